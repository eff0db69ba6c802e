"""No model refuses the record of a thing that was done: it says what does not fit, and every page still opens."""

import re
from dataclasses import replace

import numpy as np
import pytest

from stillroom.actions.bench.form_choices import next_up
from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_weighing, put_right
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step, leave_out
from stillroom.actions.making.giving_up import give_up
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders import forecasting
from stillroom.actions.orders.forecasting import course_of, does_not_fit, expected_now
from stillroom.actions.releasing.deciding import release, review_release
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.errors import StillroomError
from stillroom.pages.batches import show_batch, show_batches
from stillroom.pages.spirit_month import show_spirit
from stillroom.pages.tracing import show_trace
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.long_form import some_of
from tests.practice import later, words_of_pdf


def within_of(lab: Laboratory, batch: str) -> list[tuple[int, str, str, float]]:
    """Entry, line and mass of everything weighed that a batch gave."""
    with lab.look() as look:
        return [
            (entry.entry_no, one.line, one.as_written, one.actual_g)
            for entry in look.steps(batch)
            for one in entry.body.weighings
            if one.direction != "in"
        ]


def every_page_opens(lab: Laboratory, batch: str) -> str:
    show_trace(lab, batch)
    show_spirit(lab, "2026-11")
    page = show_batch(lab, batch)
    assert words_of_pdf(page_pdf(page))
    return page_text(page)


@pytest.mark.parametrize("factor", [10.0, 0.001])
def test_a_decimal_slip_in_any_mass_leaves_every_page_open_and_is_put_right_as_if_it_had_not_been(
    lab: Laboratory, factor: float
) -> None:
    with lab.look() as look:
        before = expected_now(look, "E1")
    for at in some_of(range(len(within_of(lab, "E1"))), 5):
        number, line, written, mass_g = within_of(lab, "E1")[at]
        correct_weighing(lab, number, line, f"{mass_g * factor:.6g} g", why="a slip", by="TO", at=later(1))
        with lab.look() as look:
            unfit = does_not_fit(look, "E1")
        assert any(one.startswith(line) for one in unfit), (line, unfit)
        page = show_batch(lab, "E1")
        assert f"This does not fit: {line}" in " ".join(page_text(page).split())
        number = next(one[0] for one in within_of(lab, "E1") if one[1] == line)
        correct_weighing(lab, number, line, written, why="put back", by="TO", at=later(2))
    text = every_page_opens(lab, "E1")
    with lab.look() as look:
        after = expected_now(look, "E1")

    assert "This does not fit" not in text
    assert [one.read for one in after] == [one.read for one in before]
    np.testing.assert_allclose([one.now for one in after], [one.now for one in before], rtol=1e-9)


def test_a_mass_that_only_less_than_nothing_of_a_plant_explains_stands_beside_the_model(
    lab: Laboratory, monkeypatch: pytest.MonkeyPatch
) -> None:
    with lab.look() as look:
        course = course_of(look, "E1")
    assert course is not None
    begun = replace(course, moved=course.drawn, misfits={}, says=())
    line, mass_g = next((line, mass_g) for _, line, _, mass_g in within_of(lab, "E1"))
    far_off = begun.drawn.moved(begun.drawn.matrix - 9.0)
    monkeypatch.setattr(forecasting, "condition_through", lambda *_, **__: far_off)
    taken = begun.taking(line, mass_g)

    assert taken.misfits == {line: mass_g}
    assert taken.account().steps


def test_what_follows_an_odd_mass_goes_by_what_was_weighed(lab: Laboratory) -> None:
    number, line, _, mass_g = next(one for one in within_of(lab, "E1") if one[1] == "percolate")
    with lab.look() as look:
        before = {one.name: one.now[1] for one in expected_now(look, "E1")}
    correct_weighing(lab, number, line, f"{mass_g / 10:.6g} g", why="the flask broke", by="TO", at=later(1))
    with lab.look() as look:
        course = course_of(look, "E1")
        assert course is not None
        account = replace(course, misfits={line: mass_g / 10}, moved=course.drawn).account()
    after_it = next(one for one in account.steps if line in one.taken)

    # Of what was weighed, each draw takes that much into the next step.
    np.testing.assert_allclose(after_it.taken[line].sum(axis=0), mass_g / 10, rtol=1e-12)
    assert before["percolate"] == pytest.approx(mass_g, rel=0.05)


def test_a_soxhlet_of_weak_spirit_is_recorded_to_its_end_and_every_page_opens(lab: Laboratory) -> None:
    copy_procedure(lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=later(-9))
    with lab.look() as look:
        procedure = look.procedure("bark-soxhlet")
    wanted = next(line.substance for line in procedure.lines if line.substance.startswith("spirit"))
    weak = Lot("WEAK-01", LotKind.SPIRIT, wanted, "weak spirit", stated="70 % v/v at 20 °C")
    receive_lot(lab, weak, "2000 g", by="TO", at=later(-8))
    release(lab, "WEAK-01", meaning="label read", by="MA", at=later(-7))
    begin_batch(lab, "S1", "bark-soxhlet", "30 g", order="ORD-1", by="TO", at=later(-6))

    for at, step in enumerate(procedure.steps):
        show_batch(lab, "S1")
        in_hand = step_in_hand(lab, "S1")
        assert in_hand is not None
        assert in_hand.step.name == step.name
        weighed = [
            Weighed(
                one.line,
                f"{one.planned_g or 20.0:.1f} g",
                "CIN-01" if one.line == procedure.scaled_by else "WEAK-01" if one.direction == "in" else "",
                "",
            )
            for one in in_hand.lines
        ]
        do_step(
            lab, "S1", step.name, weighed, ticks=step.ticks, note="70 % was at hand", by="TO", at=later(at)
        )
    text = every_page_opens(lab, "S1")

    said = " ".join(text.split())
    assert re.search(r"Poured is 70 % v/v, but the plant is washed by 8[3-6] % v/v", said)
    assert "percolates, macerates or boils it under reflux instead" in said
    assert "No published table of a Soxhlet's yield over time was found" in said
    assert next_up(lab, "S1").does == "done"


FRESH = "E9"
TICK = ("No flame and no open element in the room",)


def begun(lab: Laboratory) -> str:
    begin_batch(lab, FRESH, "bark-extract", "100 g", order="ORD-1", by="TO", at=later(-9))
    return FRESH


def as_planned(lab: Laboratory, batch: str, step: str) -> list[Weighed]:
    in_hand = step_in_hand(lab, batch, step)
    assert in_hand is not None
    lots = {"stock spirit": "SPI-01", "water": "WAT-01", "bark": "CIN-01"}
    return [Weighed(one.line, f"{one.planned_g:.1f} g", lots.get(one.line, ""), "") for one in in_hand.lines]


def test_what_is_odd_is_asked_about_once_and_then_kept_as_a_deviation(lab: Laboratory) -> None:
    batch = begun(lab)
    before = lab.book.digest()
    weighed = as_planned(lab, batch, "mix spirit")
    odd = (
        ([replace(weighed[0], mass="0 g"), weighed[1]], TICK, "must weigh something"),
        ([replace(weighed[0], mass=""), weighed[1]], TICK, "missing: stock spirit"),
        ([replace(weighed[0], lot="GLY-01"), weighed[1]], TICK, "must be spirit 96 %"),
        (weighed, (), "tick that stops harm"),
        ([replace(weighed[0], mass="90 kg"), weighed[1]], TICK, "by the book"),
    )
    for masses, ticks, question in odd:
        with pytest.raises(StillroomError, match=question):
            do_step(lab, batch, "mix spirit", masses, ticks=ticks, by="TO", at=later(1))
        assert lab.book.digest() == before
    done = do_step(lab, batch, "mix spirit", odd[-1][0], ticks=(), note="all of it", by="TO", at=later(1))
    with lab.look() as look:
        (noted,) = look.deviations(batch)

    assert "The shelf holds less than the book thinks (SPI-01)" in done.says
    assert "90 kg" in noted.body.what
    assert "not ticked" in noted.body.what
    every_page_opens(lab, batch)
    assert lab.book.verify().troubles == ()


def test_a_step_left_out_is_said_so_and_can_be_done_later(lab: Laboratory) -> None:
    batch = begun(lab)
    leave_out(lab, batch, "mix spirit", "ready mixed", by="TO", at=later(1))

    assert next_up(lab, batch).step == "moisten"
    assert "Not done; Done" in " ".join(every_page_opens(lab, batch).split())
    do_step(lab, batch, "mix spirit", as_planned(lab, batch, "mix spirit"), ticks=TICK, by="TO", at=later(2))
    with lab.look() as look:
        (step,) = look.steps(batch)
        (deviation,) = look.deviations(batch)
    assert not step.body.not_done
    assert step.corrects is not None
    assert deviation.body.done_about_it.startswith("ready mixed; entry")
    assert deviation.body.done_about_it.endswith("done after all")
    assert lab.book.verify().troubles == ()


def test_a_step_done_twice_or_out_of_its_turn_is_kept_with_a_note_and_taken_out_again(
    lab: Laboratory,
) -> None:
    batch = begun(lab)
    bark = [Weighed("bark", "100.0 g", "CIN-01", "")]
    with pytest.raises(StillroomError, match="moisten before mix spirit"):
        do_step(lab, batch, "moisten", bark, by="TO", at=later(1))
    do_step(lab, batch, "moisten", bark, note="the spirit is mixed, not written", by="TO", at=later(1))
    with pytest.raises(StillroomError, match="done again"):
        do_step(lab, batch, "moisten", bark, by="TO", at=later(2))
    twice = do_step(lab, batch, "moisten", bark, note="a second portion", by="TO", at=later(2))
    with lab.look() as look:
        used = look.balance_ug("CIN-01", f"batch/{batch}")
    text = every_page_opens(lab, batch)
    put_right(lab, twice.entries[0], {"happened": "no"}, why="entered twice", by="TO", at=later(3))
    with lab.look() as look:
        left = look.balance_ug("CIN-01", f"batch/{batch}")

    assert (used, left) == (200_000_000, 100_000_000)
    assert "It stands twice now" in twice.says
    assert "by TO, says it as well" in twice.says
    assert text.count("a second portion") >= 1
    assert next_up(lab, batch).step == "mix spirit"
    assert lab.book.verify().troubles == ()


def test_a_batch_begun_by_mistake_is_put_right_or_given_up_and_stands_as_such(lab: Laboratory) -> None:
    begin_batch(lab, "X1", "bark-extract", "1000000 kg", order="ORD-1", by="TO", at=later(-9))
    with lab.look() as look:
        number = look.begun("X1").entry_no
    put_right(lab, number, {"scale": "100 g"}, why="typed wrongly", by="MA", at=later(1))
    with lab.look() as look:
        assert look.batch("X1").scale_g == 100.0
    do_step(lab, "X1", "mix spirit", as_planned(lab, "X1", "mix spirit"), ticks=TICK, by="TO", at=later(2))
    with lab.look() as look:
        used = look.balance_ug("SPI-01", "batch/X1")
    give_up(lab, "X1", why="the mixer fell", by="TO", at=later(3))
    with lab.look() as look:
        assert look.balance_ug("SPI-01", "batch/X1") == used
        entry = look.given_up("X1")
    assert entry is not None
    assert re.search(r"Begun .* by TO\b", every_page_opens(lab, "X1")), "not by who corrected it"
    assert next_up(lab, "X1").does == "done"
    assert "Given up" in every_page_opens(lab, "X1")
    assert "the mixer fell" in page_text(show_trace(lab, "X1"))
    assert "given up" in page_text(show_batches(lab))
    with pytest.raises(StillroomError, match="taken up again"):
        do_step(lab, "X1", "moisten", [Weighed("bark", "100 g", "CIN-01", "")], by="TO", at=later(4))
    put_right(lab, entry.entry_no, {"given up": "no"}, why="it was saved", by="TO", at=later(5))

    assert next_up(lab, "X1").step == "moisten"
    assert lab.book.verify().troubles == ()


def test_what_a_batch_made_before_it_was_given_up_cannot_be_taken_by_mistake(lab: Laboratory) -> None:
    give_up(lab, "E1", why="a wrong plant was in the jar", by="MA", at=later(1))
    with lab.look() as look:
        assert look.status("E1") == "stopped"
    review = review_release(lab, "E1", by="JU", at=later(2))

    assert not review.may_release
