"""Finished batches in the book make the next plan; a kept plan does not move, and no paper rests on it."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_weighing
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.orders import remembering
from stillroom.actions.orders.forecasting import course_of
from stillroom.actions.orders.ordering import keep_plan, work_back
from stillroom.actions.orders.remembering import batches_of_plant, ended_at
from stillroom.actions.orders.requesting import request_for
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.documents.as_text import page_text
from stillroom.evidence.answer import walk
from stillroom.evidence.trails import from_trail
from stillroom.pages.plans import kept_plan, show_plan
from stillroom.planning.inputs import all_inputs
from stillroom.planning.plan_inputs import Known
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.practice import document, later

MARC = "extraction/percolate/retention_ml_per_g"


def remembered_in(lab: Laboratory) -> dict[str, Known]:
    with lab.look() as look:
        return {one.role: one for one in request_for(look, "ORD-1").remembered}


def test_a_finished_batch_is_found_by_itself_and_the_next_plan_says_so(told: Laboratory) -> None:
    with told.look() as look:
        ended = [one for one in batches_of_plant(look, "cinchona bark") if ended_at(look, one)]
    found = remembered_in(told)

    assert ended == ["E1"]
    assert found[MARC].origin == "own runs"
    assert "(E1" in found[MARC].because
    assert "the starter alone would have said 1.60 (1.07 to 2.40) mL/g" in found[MARC].because
    assert found[MARC].uncertainty_in_unit < 0.25 * 1.6


def test_a_plan_that_was_kept_before_does_not_move_and_a_new_one_says_what_changed(lab: Laboratory) -> None:
    with lab.look() as look:
        kept = kept_plan(look, "ORD-1")
    assert kept is not None
    assert kept[0].request.remembered == ()
    before = kept[1].body.answers["plant_g"]

    assert kept[0].supply.plant_g == pytest.approx(before, rel=1e-9)
    fresh = work_back(lab, "ORD-1")
    assert fresh.supply.plant_g != before
    keep_plan(lab, "ORD-1", by="MA", at=later(0))
    words = " ".join(page_text(show_plan(lab, "ORD-1")).split())
    assert "This rests on runs of your own; the starter alone would have said" in words
    assert "What your own runs say" in words
    with lab.look() as look:
        again = kept_plan(look, "ORD-1")
    assert again is not None
    assert again[0].supply.plant_g == pytest.approx(again[1].body.answers["plant_g"], rel=1e-12)


def test_a_corrected_weighing_is_remembered_as_it_stands_now(lab: Laboratory) -> None:
    before = remembered_in(lab)[MARC]
    with lab.look() as look:
        (entry,) = [one for one in look.steps("E1") if one.body.step == "percolate"]
    correct_weighing(lab, entry.entry_no, "marc", "603.40 g", why="misread", by="TO", at=later(1))

    after = remembered_in(lab)[MARC]
    assert after.value > 1.02 * before.value


def test_a_batch_under_way_knows_what_ended_before_it_and_never_itself(told: Laboratory) -> None:
    with told.look() as look:
        course = course_of(look, "E1")
        when = look.begun("E1").done_at
        request = request_for(look, "ORD-1", before=when)

    assert course is not None
    assert "E1" not in " ".join(one.because for one in request.remembered)
    assert "E1" not in " ".join(one.because for one in course.charge.inputs.values())


def test_no_paper_that_leaves_the_laboratory_rests_on_what_runs_say(told: Laboratory) -> None:
    with told.look() as look:
        results = [from_trail(one.body.trail) for code in ("E1", "T1") for one in look.results(code)]
    kinds = {leaf.leaf.kind for one in results for leaf in walk(one) if leaf.leaf}

    assert results
    assert "own runs" not in kinds
    for name in ("certificate-T1", "certificate-T1-whole", "label-T1"):
        assert "of yours" not in page_text(document(name))


def test_every_remembered_input_takes_the_place_of_an_assumption(told: Laboratory) -> None:
    with told.look() as look:
        request = request_for(look, "ORD-1")
    inputs = all_inputs(request)

    assert all(inputs[one.role] == one for one in request.remembered)
    assert inputs[next(one for one in inputs if one.startswith("assay of the plant"))].origin == "reading"


def test_a_plan_looks_back_on_the_newest_measured_lots_alone(
    lab: Laboratory, monkeypatch: pytest.MonkeyPatch
) -> None:
    codes = [f"CIN-{number}" for number in range(71, 75)]
    for code in codes:
        receive_lot(lab, Lot(code, LotKind.PLANT, "cinchona bark", "bark"), "1 kg", by="TO")
        enter_outside_result(
            lab, code, marker="total alkaloids", found="6.1 % ± 0.2 (k = 2)", reckoned_as="quinine", matter="as is",
            laboratory="an invented laboratory", certificate=f"C-{code}", method="HPLC", by="TO",
        )  # fmt: skip
    monkeypatch.setattr(remembering, "MOST_LOTS", 3)
    with lab.look() as look:
        aim = request_for(look, "ORD-1").order.aim
        found = remembering._lots(look, "cinchona bark", aim)

    assert [one.belongs.lot for one in found] == codes[1:]
