"""A change after release is an event: the lot is suspended, its paper is revised and names it, the first stays."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stillroom.actions.book.ceilings import state_ceiling
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_weighing
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.lots.stock_movements import deliver, keep_back
from stillroom.actions.making.deviations import note_deviation
from stillroom.actions.releasing.after_release import NEVER, ONLY_CORRECTED
from stillroom.actions.releasing.deciding import reject, release, stop
from stillroom.actions.releasing.evidence_shown import show_paper
from stillroom.actions.releasing.recalling import hear_complaint, rehearse_recall, take_back, tell_people
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.actions.releasing.suspended import MOST, told_with_what_followed
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.ph import read_ph
from stillroom.actions.testing.precipitate import read_test
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, NotEnough
from stillroom.pages.lists import show_bench
from stillroom.pages.release import show_certificate, show_whole_certificate
from stillroom.pages.tracing import show_trace
from stillroom.records import entries as e
from stillroom.records.lots import Status
from tests.practice import copied, later, opened, row_of

Change = Callable[[Laboratory], object]


@pytest.fixture
def lab(tmp_path: Path) -> Iterator[Laboratory]:
    with opened(copied(tmp_path)) as one:
        yield one


def blend_no(lab: Laboratory, batch: str = "T1") -> int:
    with lab.look() as look:
        return next(one.entry_no for one in look.steps(batch) if one.body.step == "blend")


def weighed_again(line: str, mass: str) -> Change:
    return lambda lab: correct_weighing(
        lab, blend_no(lab), line, mass, why="read again", by="TO", at=later(1)
    )


CHANGES: dict[str, tuple[Change, set[str], str]] = {
    "a weighing of the batch is corrected": (weighed_again("extract", "14.02 g"), {"T1"}, "13.02 g → 14.02 g"),
    "a weighing that moves no printed figure is corrected": (
        weighed_again("panthenol", "25.01 g"), {"T1"}, "25.00 g → 25.01 g",
    ),
    "a pH is read late": (
        lambda lab: read_ph(lab, "T1", ph="6.8", read_by="meter", meter_buffers="4.01, 6.86", by="TO", at=later(1)),
        {"T1"}, "pH: nothing → 6.8",
    ),
    "an extract is tested late, and fails": (
        lambda lab: read_test(
            lab, "E1", test="wagner", reagent="WAG-01", sample="clear", blank="clear", positive="precipitate",
            by="TO", at=later(1),
        ),
        {"E1", "T1", "T2"}, "absent",
    ),
    "a deviation is written late": (
        lambda lab: note_deviation(lab, "T2", step="blend", what="a fly fell in", by="TO", at=later(1)),
        {"T2"}, "a fly fell in",
    ),
    "an ingredient is stopped": (
        lambda lab: stop(lab, "GLY-01", meaning="recalled by its maker", by="MA", at=later(1)),
        {"T1", "T2"}, "recalled by its maker",
    ),
    "the plant is rejected": (
        lambda lab: reject(lab, "CIN-01", meaning="heavy metals", by="MA", at=later(1)),
        {"E1", "T1", "T2"}, "heavy metals",
    ),
    "the identity is doubted": (
        lambda lab: decide_identity(
            lab, "CIN-01", accepted=False, evidence="section differs from the voucher", by="MA", at=later(1)
        ),
        {"E1", "T1", "T2"}, "section differs from the voucher",
    ),
    "the reagent of a test is stopped": (
        lambda lab: stop(lab, "DRA-01", meaning="its label was swapped", by="MA", at=later(1)),
        {"E1", "T1", "T2"}, "its label was swapped",
    ),
    "the titrant of an assay is stopped": (
        lambda lab: stop(lab, "NAOH-01", meaning="half as strong", by="MA", at=later(1)),
        {"E1", "T1", "T2"}, "half as strong",
    ),
    "a customer complains": (
        lambda lab: hear_complaint(
            lab, "T1", who="CUST-1", what="smells of vinegar", order="ORD-1", by="MA", at=later(1)
        ),
        {"T1"}, "smells of vinegar",
    ),
    "a newer text allows less": (
        lambda lab: state_ceiling(
            lab, "quinine", "hair leave-on", "EU", "0.05 %", "an amendment, invented", by="MA", at=later(1)
        ),
        {"T1", "T2"}, "0.05 %",
    ),
    "a count of microbes comes late, and fails": (
        lambda lab: show_paper(
            lab, "T2", "microbial count", outcome="fails", says="2400 CFU/g", document="M-7", by="MA", at=later(1)
        ),
        {"T2"}, "2400 CFU/g",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_what_reaches_a_released_lot_suspends_it_and_its_revision_names_it(
    lab: Laboratory, name: str
) -> None:
    change, reached, words = CHANGES[name]
    first = {lot: page_text(show_certificate(lab, lot)) for lot in ("E1", "T1", "T2")}
    change(lab)
    with lab.look() as look:
        suspended = {one.code for one in look.lots() if look.status(one.code) is Status.SUSPENDED}
        told = {lot: " ".join(look.decisions(lot)[-1].body.changed) for lot in suspended}
        keys = {one.key for lot in suspended for one in standing_list(look, lot).lines if "/" in one.key}

    assert suspended == reached
    assert not [key for key in keys if any(f"({key})" in one for one in told.values())]
    assert all(words in one for one in told.values()), told
    for lot in reached:
        revised = page_text(show_certificate(lab, lot))
        assert "Suspended" in revised
        assert words.split()[0] in revised
        assert page_text(show_certificate(lab, lot, 1)) == first[lot]
        assert page_text(show_whole_certificate(lab, lot, 1)) != revised
    for lot in {"E1", "T1", "T2"} - reached:
        assert page_text(show_certificate(lab, lot)) == first[lot]
    bench = page_text(show_bench(lab))
    assert bench.index("Suspended") < bench.index("waiting") if "waiting" in bench else "Suspended" in bench
    assert lab.book.verify().troubles == ()


def test_a_late_reading_that_only_confirms_leaves_the_lot_released_and_is_a_line_of_its_trace(
    lab: Laboratory,
) -> None:
    strip = {"read_by": "strip", "by": "TO"}
    meter = {"read_by": "meter", "meter_buffers": "4.01, 6.86", "by": "TO"}
    read_ph(lab, "T1", ph="5.2", **strip, at=later(1))  # the paper said that it was not tested
    with lab.look() as look:
        assert look.status("T1") is Status.SUSPENDED
    release(lab, "T1", meaning="its pH is known now", by="JU", at=later(2))
    read_ph(lab, "T1", ph="5.4", **meter, at=later(3))  # inside 5.2 ± 0.5
    with lab.look() as look:
        issued = len(look.certificates("T1"))
        assert look.status("T1") is Status.RELEASED
    trace = " ".join(page_text(show_trace(lab, "T1")).split())
    assert "looked at again, nothing printed moved: pH (entry" in trace
    read_ph(lab, "T1", ph="6.1", **meter, at=later(4))  # outside 5.4 ± 0.05
    with lab.look() as look:
        assert look.status("T1") is Status.SUSPENDED
        assert len(look.certificates("T1")) == issued + 1
        assert "6.1" in " ".join(look.decisions("T1")[-1].body.changed)


def test_the_answer_of_a_correction_says_what_it_suspended_and_who_has_bottles(lab: Laboratory) -> None:
    done = correct_weighing(lab, blend_no(lab), "extract", "14.02 g", why="read again", by="TO", at=later(1))
    told = told_with_what_followed(lab, done)

    assert "Suspended with this: T1." in told.says
    assert "ORD-1" in told.says
    assert "31 bottles" in told.says
    assert done.says in told.says
    with lab.look() as look:
        told_first = " ".join(look.decisions("T1")[-1].body.changed[:MOST])
    assert "extract, as written" in told_first
    assert "in the product: " in told_first
    again = note_condition(lab, "room temperature", "22 °C", by="TO", at=later(2))
    assert told_with_what_followed(lab, again) == again
    stopped = told_with_what_followed(
        lab, stop(lab, "T1", meaning="an itch was reported", by="MA", at=later(3))
    )
    assert "Tell who has some of T1: Corner shop (invented) (ORD-1): 31 bottles" in stopped.says
    for paper in (show_certificate, show_whole_certificate):
        assert paper(lab, "T1").status == "stopped"
        assert "Stopped" in page_text(paper(lab, "T1"))
        assert "Suspended" not in page_text(paper(lab, "T1")).splitlines()


def test_a_test_that_is_repeated_and_found_the_same_suspends_nothing(lab: Laboratory) -> None:
    for at, reagent in enumerate(("WAG-01", "DRA-01"), start=1):
        read_test(
            lab, "E1", test="wagner" if reagent == "WAG-01" else "dragendorff", reagent=reagent, sample="precipitate",
            blank="clear", positive="precipitate", by="TO", at=later(at),
        )  # fmt: skip
    with lab.look() as look:
        assert {look.status(one) for one in ("E1", "T1", "T2")} == {Status.RELEASED}


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    line=st.sampled_from(["spirit", "glycerin", "panthenol", "extract", "water"]),
    batch=st.sampled_from(["T1", "T2"]),
    factor=st.floats(0.5, 1.5).filter(lambda one: abs(one - 1) > 0.01),
)
def test_any_weighing_corrected_after_release_suspends_its_lot_alone_and_is_named(
    tmp_path_factory: pytest.TempPathFactory, line: str, batch: str, factor: float
) -> None:
    with opened(copied(tmp_path_factory.mktemp("any"))) as lab:
        number = blend_no(lab, batch)
        with lab.look() as look:
            (old,) = [one for one in look.entry(number).body.weighings if one.line == line]
        mass = f"{old.actual_g * factor:.2f} g"
        correct_weighing(lab, number, line, mass, why="read again", by="TO", at=later(1))
        with lab.look() as look:
            changed = " ".join(look.decisions(batch)[-1].body.changed)
            others = {"E1", "T1", "T2"} - {batch}

            assert look.status(batch) is Status.SUSPENDED
            assert f"{old.as_written} → {mass}" in changed
            assert {look.status(one) for one in others} == {Status.RELEASED}
            assert look.certificates(batch)[-1].body.revision == 2


def test_what_says_nothing_of_the_bottle_leaves_the_lot_released(lab: Laboratory) -> None:
    keep_back(lab, "T1", amount="1 bottles", by="TO", at=later(1))
    deliver(lab, "ORD-1", {"T1": "2 bottles"}, by="MA", at=later(2))
    take_back(lab, "T1", order="ORD-1", amount="1 bottles", why="leaks", by="MA", at=later(3))
    tell_people(lab, "T1", who="the shop", how="by telephone", by="MA", at=later(4))
    rehearse_recall(lab, "E1", minutes="12", found="every bottle", by="MA", at=later(5))
    with lab.look() as look:
        assert {look.status(one) for one in ("E1", "T1", "T2")} == {Status.RELEASED}


def test_a_paper_that_comes_late_and_holds_for_every_batch_suspends_nothing_and_one_that_fails_does(
    lab: Laboratory,
) -> None:
    paper = {"outcome": "shown", "document": "SR-1", "every_batch": True, "by": "MA"}
    show_paper(lab, "T2", "safety report", **paper, at=later(1))
    with lab.look() as look:
        assert {look.status(one) for one in ("T1", "T2")} == {Status.RELEASED}
    show_paper(lab, "T2", "challenge test", **paper | {"outcome": "fails"}, at=later(2))
    with lab.look() as look:
        assert {look.status(one) for one in ("T1", "T2")} == {Status.SUSPENDED}


def test_a_suspended_lot_is_not_delivered_and_released_again_by_a_named_person(lab: Laboratory) -> None:
    weighed_again("panthenol", "25.01 g")(lab)
    with pytest.raises(NotAllowed, match="suspended"):
        deliver(lab, "ORD-1", {"T1": "1 bottles"}, by="MA", at=later(2))
    release(lab, "T1", meaning="the corrected weighing read: no figure moves", by="JU", at=later(3))
    deliver(lab, "ORD-1", {"T1": "1 bottles"}, by="MA", at=later(4))
    with lab.look() as look:
        revisions = [one.body.revision for one in look.certificates("T1")]
    text = " ".join(page_text(show_certificate(lab, "T1")).split())

    assert revisions == [1, 2, 3]
    assert "25.00 g → 25.01 g" in text
    assert "By Juno Ullrich (JU)" in text
    assert "the corrected weighing read" in text


def test_the_trace_tells_who_had_bottles_how_many_came_back_who_was_told_and_that_it_was_rehearsed(
    lab: Laboratory,
) -> None:
    stop(lab, "GLY-01", meaning="recalled by its maker", by="MA", at=later(1))
    tell_people(
        lab, "T1", who="CUST-1", how="by telephone", said="stops selling", order="ORD-1", by="MA", at=later(2)
    )
    take_back(
        lab, "T1", order="ORD-1", amount="3 bottles", why="asked back", into="waste", by="MA", at=later(3)
    )
    rehearse_recall(
        lab, "GLY-01", minutes="12 min", found="one shelf label was missing", by="JU", at=later(4)
    )
    text = " ".join(page_text(show_trace(lab, "GLY-01")).split())
    assert row_of(show_trace(lab, "GLY-01"), "Order", "ORD-1") == {
        "Order": "ORD-1", "Customer": "Corner shop (invented)", "Lot": "T1",
        "Had": "31", "Came back": "3", "Has now": "28",
    }  # fmt: skip
    with lab.look() as look:
        (rehearsed,) = look.rehearsals("GLY-01")

    for words in ("recalled by its maker", "by telephone", "asked back", "rehearsal of a recall", "12 min"):
        assert words in text
    assert rehearsed.body.bottles == rehearsed.body.accounted == 51 + 78


def test_a_complaint_waits_for_a_named_decision_that_the_certificate_prints(lab: Laboratory) -> None:
    done = hear_complaint(lab, "T1", who="a user", what="my scalp itches", reacted=True, by="MA", at=later(1))
    key = f"complaint/{done.entries[0]}"
    assert "authority" in done.says
    with pytest.raises(NotAllowed, match="my scalp itches Somebody reacted"):
        release(lab, "T1", meaning="looked at", by="JU", at=later(2))
    reason = "the retained sample smells and reads as on the day of release"
    release(lab, "T1", meaning="looked at", decisions={key: reason}, by="JU", at=later(3))

    for paper in (show_certificate, show_whole_certificate):
        assert reason in json.dumps(page_json(paper(lab, "T1")))
    assert "a user complained: my scalp itches" in " ".join(page_text(show_trace(lab, "T1")).split())


def test_the_bench_names_who_has_bottles_of_a_stopped_lot_until_they_were_told(lab: Laboratory) -> None:
    stop(lab, "PAN-01", meaning="its maker asks it back", with_what_was_made=True, by="MA", at=later(1))
    told = " ".join(page_text(show_bench(lab)).split())
    assert "Stopped, and not everybody was told" in told
    assert "Corner shop (invented) (ORD-1): 31" in told
    tell_people(lab, "T1", who="CUST-1", how="by telephone", order="ORD-1", by="MA", at=later(2))
    told = " ".join(page_text(show_bench(lab)).split())
    assert "Corner shop (invented) (ORD-1): 31" not in told
    assert "(ORD-2): 44" in told


def test_what_comes_back_goes_nowhere_near_the_shelf_and_never_more_than_went(lab: Laboratory) -> None:
    with pytest.raises(BadEntry, match="came back goes to"):
        take_back(
            lab, "T1", order="ORD-1", amount="1 bottles", why="leaks", into="shelf", by="MA", at=later(1)
        )
    with pytest.raises(NotEnough, match="ORD-1 has 31"):
        take_back(lab, "T1", order="ORD-1", amount="32 bottles", why="leaks", by="MA", at=later(1))


COVERED = {
    e.LotReceived, e.IdentityDecided, e.ReadingTaken, e.ResultReckoned, e.ControlTestRead, e.StatusDecided,
    e.StepDone, e.ComplaintHeard, e.DeviationNoted, e.OutageNoted, e.DoseDecided, e.UnitsFilled, e.EvidenceShown,
    e.BatchGivenUp,
}  # fmt: skip
BY_THE_PAPER_ALONE = {e.CeilingStated, e.MarkerStated, e.PlantStated, e.IngredientStated}


def test_every_kind_of_entry_is_known_to_reach_a_released_lot_or_not_to() -> None:
    assert set(e.KINDS.values()) == {*NEVER, *ONLY_CORRECTED, *COVERED, *BY_THE_PAPER_ALONE}


@pytest.mark.parametrize("kind", sorted(COVERED, key=lambda one: one.__name__), ids=lambda one: one.__name__)
def test_an_entry_of_any_kind_about_the_batch_suspends_whoever_writes_it(lab: Laboratory, kind: type) -> None:
    """Written with the bare pen, as an action of tomorrow would."""
    with lab.look() as look:
        made = [one for one in look.entries() if type(one.body) is kind]
    about = [
        one for one in made if "T1" in (getattr(one.body, "batch", ""), getattr(one.body, "subject", ""))
    ]
    with lab.act("an action of tomorrow", {"kind": kind.__name__}, by="MA", at=later(1)) as pen:
        match kind:
            case e.StepDone | e.UnitsFilled | e.DoseDecided:
                body = next(one for one in about if one.corrects is None or one.corrected_by is None)
                changed = {"StepDone": {"note": "odd"}, "UnitsFilled": {"left_over_g": 80.0},
                           "DoseDecided": {"mass_g": 13.0}}[kind.__name__]  # fmt: skip
                pen.enter(replace(body.body, **changed), corrects=body.entry_no, why="typed wrong")
            case e.LotReceived:
                (one,) = [one for one in made if one.body.lot.code == "GLY-01"]
                lot = replace(one.body.lot, use_by="2026-11-01")
                pen.enter(replace(one.body, lot=lot), corrects=one.entry_no, why="typed wrong")
            case e.IdentityDecided:
                pen.enter(e.IdentityDecided("CIN-01", accepted=False, evidence="another species"))
            case e.StatusDecided:
                pen.enter(e.StatusDecided("PAN-01", Status.STOPPED, "smells"))
            case e.OutageNoted:
                pen.enter(e.OutageNoted("power", False, ("T1",), ("fill",)))
            case e.EvidenceShown:
                pen.enter(e.EvidenceShown("T1", "microbial count", "fails", "2400 CFU/g", "M-7"))
            case e.BatchGivenUp:
                pen.enter(e.BatchGivenUp("T1", "spilt"))
            case e.ComplaintHeard:
                pen.enter(e.ComplaintHeard("T1", "CUST-1", "it itches", "ORD-1", True))
            case e.DeviationNoted:
                pen.enter(e.DeviationNoted("T1", "fill", "one cap was cracked", "changed"))
            case e.ReadingTaken:
                read = about[-1]
                pen.enter(replace(read.body, value=1.0), corrects=read.entry_no, why="typed wrong")
            case e.ControlTestRead:
                pen.enter(replace(made[-1].body, subject="T1", outcome="absent"))
            case _:
                pen.enter(replace(about[-1].body, counts=False, because="the scale was off"))
    with lab.look() as look:
        assert look.status("T1") is Status.SUSPENDED
        assert look.certificates("T1")[-1].body.revision == 2


def test_a_certificate_says_what_was_decided_about_the_identity_of_its_plant(lab: Laboratory) -> None:
    for paper in (show_certificate, show_whole_certificate):
        said = " ".join(page_text(paper(lab, "T1")).split())
        assert "Identity of CIN-01" in said
        assert "accepted: quills, fracture and section compared with the voucher" in said
        assert "Identity and precipitate tests" not in said


def test_what_changed_names_the_verdict_first_and_no_figure_to_its_last_digit(lab: Laboratory) -> None:
    weighed_again("extract", "30.00 g")(lab)
    with lab.look() as look:
        changed = look.certificates("T1")[-1].body.changed

    assert "→ over, " in changed[0]
    assert any("extract" in one and "→ 30.00 g" in one for one in changed)
    assert not any(": value: " in one or "standard uncertainty" in one for one in changed)
