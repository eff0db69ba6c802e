"""A batch whose last step nobody did has made its lot all the same."""

import pytest

from stillroom.actions.bench.form_choices import is_a_lot
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.batches import begin_batch, do_step, leave_out
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.releasing.deciding import review_release
from stillroom.documents.as_text import page_text
from stillroom.pages.batches import show_batch
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import grams
from tests.practice import later


def written_but_for_the_last(lab: Laboratory, batch: str) -> tuple[str, float]:
    """The name of the last step, and what was weighed before it."""
    begin_batch(lab, batch, "bark-extract", "100 g", order="ORD-1", by="TO", at=later(-9))
    with lab.look() as look:
        *steps, last = look.procedure("bark-extract").steps
    for at, step in enumerate(steps):
        in_hand = step_in_hand(lab, batch, step.name)
        assert in_hand is not None
        weighed = [
            Weighed(one.line, f"{one.planned_g or 7.25:.2f} g", one.lots[0].code if one.lots else "", "")
            for one in in_hand.lines
        ]
        do_step(lab, batch, step.name, weighed, ticks=step.ticks, note="as it was", by="TO", at=later(at - 8))
    with lab.look() as look:
        weighed_last = [
            one.actual_g for one in look.steps(batch)[-1].body.weighings if one.line in last.takes
        ]
    return last.name, weighed_last[0]


def test_what_was_weighed_last_is_the_lot_and_can_be_reviewed_for_release(lab: Laboratory) -> None:
    last, mass_g = written_but_for_the_last(lab, "E77")
    said = leave_out(lab, "E77", last, "too little to spare a sample", by="TO", at=later(5)).says

    assert "E77" in said
    assert f"{mass_g:.2f} g" in said
    with lab.look() as look:
        lot = look.lot("E77")
        assert lot.kind is LotKind.EXTRACT
        assert grams(look.balance_ug("E77")) == pytest.approx(mass_g, abs=1e-6)
    review_release(lab, "E77", by="TO")
    assert page_text(show_batch(lab, "E77"))
    assert lab.book.verify().troubles == ()


def test_the_step_can_still_be_done_and_the_lot_then_holds_what_it_left(lab: Laboratory) -> None:
    last, mass_g = written_but_for_the_last(lab, "E77")
    leave_out(lab, "E77", last, "no time", by="TO", at=later(5))
    in_hand = step_in_hand(lab, "E77", last)
    assert in_hand is not None
    weighed = [
        Weighed(one.line, "0.50 g" if at else f"{mass_g - 0.5:.2f} g", "" if at else "E77", "")
        for at, one in enumerate(in_hand.lines)
    ]
    do_step(lab, "E77", last, weighed, ticks=in_hand.step.ticks, note="done after all", by="TO", at=later(6))

    with lab.look() as look:
        assert grams(look.balance_ug("E77")) == pytest.approx(mass_g - 0.5, abs=0.006)
        assert look.lot("E77").made_by == "E77"
    assert lab.book.verify().troubles == ()


def test_a_step_left_out_early_makes_no_lot_of_what_is_still_on_its_way(lab: Laboratory) -> None:
    begin_batch(lab, "E77", "bark-extract", "100 g", order="ORD-1", by="TO", at=later(-9))
    with lab.look() as look:
        last = look.procedure("bark-extract").steps[-1].name
    leave_out(lab, "E77", last, "no time", by="TO", at=later(5))
    assert not is_a_lot(lab, "E77")
