"""Forecast and memory take the siphonings that there were; a tap after the end of its step is asked about once."""

from datetime import timedelta

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.giving_up import give_up
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.remembering import starter_inputs
from stillroom.actions.releasing.deciding import release
from stillroom.actions.watching.run_watched import run_watched
from stillroom.actions.watching.siphonings_noted import tap
from stillroom.errors import BadEntry
from stillroom.planning.forecast import runs_of_starter
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.practice import later

BEGINS = later(0) - timedelta(hours=8)
CYCLES = "extraction/siphon/cycles"


def begun(lab: Laboratory, taps: int) -> None:
    copy_procedure(lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=BEGINS)
    begin_batch(lab, "S1", "bark-soxhlet", "12 g", by="TO", at=BEGINS)
    for number in range(taps):
        tap(lab, "S1", by="TO", at=BEGINS + timedelta(minutes=60 + 12 * number))


def _lot(line: str, direction: str) -> str:
    return "CIN-01" if line == "plant" else "STRONG-01" if direction == "in" else ""


def ended(lab: Laboratory) -> None:
    """The Soxhlet is done, four hours after it began."""
    with lab.look() as look:
        lines = look.procedure("bark-soxhlet").lines
    wanted = next(one.substance for one in lines if one.substance.startswith("spirit"))
    spirit = Lot("STRONG-01", LotKind.SPIRIT, wanted, "spirit", stated="96 % v/v at 20 °C")
    receive_lot(lab, spirit, "2000 g", by="TO", at=BEGINS)
    release(lab, "STRONG-01", meaning="label read", by="MA", at=BEGINS)
    in_hand = step_in_hand(lab, "S1")
    assert in_hand is not None
    assert in_hand.step.kind == "soxhlet"
    weighed = [
        Weighed(one.line, f"{one.planned_g or 20.0:.1f} g", _lot(one.line, one.direction), "")
        for one in in_hand.lines
    ]
    do_step(
        lab, "S1", in_hand.step.name, weighed, ticks=in_hand.step.ticks, note="as it was at hand", by="TO",
        at=BEGINS + timedelta(hours=4),
    )  # fmt: skip


def test_an_ended_soxhlet_had_as_many_siphonings_as_were_tapped(lab: Laboratory) -> None:
    begun(lab, 9)
    with lab.look() as look:
        assert starter_inputs(look, "S1")[CYCLES].value == 14.0
    ended(lab)
    with lab.look() as look:
        inputs = starter_inputs(look, "S1")
        procedure = look.procedure("bark-soxhlet")
    planned = runs_of_starter(procedure, inputs, 12.0, {}, 64)["siphon"].siphonings

    assert inputs[CYCLES].value == 9.0
    assert planned is not None
    assert len(planned.minutes) == 9


def test_a_soxhlet_nobody_tapped_ran_as_planned(lab: Laboratory) -> None:
    begun(lab, 0)
    ended(lab)
    with lab.look() as look:
        assert starter_inputs(look, "S1")[CYCLES].value == 14.0


def test_a_tap_after_the_end_is_asked_about_and_kept_with_a_note(lab: Laboratory) -> None:
    begun(lab, 3)
    ended(lab)
    with pytest.raises(BadEntry, match="before its step is ended"):
        tap(lab, "S1", by="TO", at=BEGINS + timedelta(hours=5))
    tap(lab, "S1", note="heated again", by="TO", at=BEGINS + timedelta(hours=5))
    tap(
        lab, "S1", by="TO", at=BEGINS + timedelta(minutes=96)
    )  # it came late from a phone without a connection
    with lab.look() as look:
        found = run_watched(look, "S1").found

    assert found is not None
    assert len(found.taps.number_of_tap) == 5


def test_a_tap_of_a_batch_given_up_is_asked_about(lab: Laboratory) -> None:
    begun(lab, 3)
    give_up(lab, "S1", why="the flask broke", by="TO", at=BEGINS + timedelta(hours=3))
    with pytest.raises(BadEntry, match="before its step is ended"):
        tap(lab, "S1", by="TO", at=BEGINS + timedelta(hours=5))
