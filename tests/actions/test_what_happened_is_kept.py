"""No model refuses the record of a thing that was done: it says what does not fit, and every page still opens."""

from typing import Any

import numpy as np
import pytest

from stillroom.actions.correcting import correct_weighing
from stillroom.actions.deciding import release
from stillroom.actions.forecasting import course_of, does_not_fit, expected_now
from stillroom.actions.in_hand import next_up
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.making import begin_batch, do_step, step_in_hand
from stillroom.actions.receiving import receive_lot
from stillroom.actions.showing import show_batch
from stillroom.actions.spirit_account import show_spirit
from stillroom.actions.starting import copy_procedure
from stillroom.actions.tracing import show_trace
from stillroom.actions.weighing import Weighed
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.records.lots import Lot, LotKind
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


@pytest.mark.parametrize("factor", (10.0, 0.1, 1000.0))
def test_a_decimal_slip_in_any_mass_leaves_every_page_open_and_is_put_right_as_if_it_had_not_been(
    lab: Laboratory, factor: float
) -> None:
    with lab.look() as look:
        before = expected_now(look, "E1")
    for at in range(len(within_of(lab, "E1"))):
        number, line, written, mass_g = within_of(lab, "E1")[at]
        correct_weighing(
            lab, number, line, f"{mass_g * factor:.6g} g", why="a slip", by="TO", at=later(1)
        )
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


def test_what_follows_an_odd_mass_goes_by_what_was_weighed(lab: Laboratory) -> None:
    number, line, _, mass_g = next(one for one in within_of(lab, "E1") if one[1] == "percolate")
    with lab.look() as look:
        before = {one.name: one.now[1] for one in expected_now(look, "E1")}
    correct_weighing(
        lab, number, line, f"{mass_g / 10:.6g} g", why="the flask broke", by="TO", at=later(1)
    )
    with lab.look() as look:
        course = course_of(look, "E1")
        assert course is not None
        course.misfits = {line: mass_g / 10}
        course.moved = course.drawn
        account = course.account()
    names = [one.name for one in account.steps]
    after_it = next(one for one in account.steps if line in one.taken)

    # Of what was weighed, each draw takes that much into the next step.
    np.testing.assert_allclose(after_it.taken[line].sum(axis=0), mass_g / 10, rtol=1e-12)
    assert before["percolate"] == pytest.approx(mass_g, rel=0.05)
    assert names == [one.name for one in account.steps]


def soxhlet_with_weak_spirit(lab: Laboratory) -> Any:
    copy_procedure(lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=later(-9))
    begin_batch(lab, "S1", "bark-soxhlet", "30 g", order="ORD-1", by="TO", at=later(-8))
    return step_in_hand(lab, "S1")


def test_a_soxhlet_of_weak_spirit_is_recorded_to_its_end_and_every_page_opens(lab: Laboratory) -> None:
    with lab.look() as look:
        spirit = next(lot for lot in look.lots() if lot.substance.startswith("spirit"))
    copy_procedure(lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=later(-9))
    with lab.look() as look:
        procedure = look.procedure("bark-soxhlet")
    wanted = next(line.substance for line in procedure.lines if line.substance.startswith("spirit"))
    weak = Lot("WEAK-01", LotKind.SPIRIT, wanted, "weak spirit", stated="70 % v/v at 20 °C")
    receive_lot(lab, weak, "2000 g", by="TO", at=later(-8))
    release(lab, "WEAK-01", meaning="label read", by="MA", at=later(-7))
    begin_batch(lab, "S1", "bark-soxhlet", "30 g", order="ORD-1", by="TO", at=later(-6))

    for at, step in enumerate(procedure.steps):
        text = every_page_opens(lab, "S1")
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

    assert "This does not fit: A Soxhlet needs a pure or nearly constant-boiling solvent" in " ".join(
        text.split()
    )
    assert next_up(lab, "S1").does == "done"
    assert spirit.code
