"""A weighing during a batch narrows what is still to come, moves inputs only, and an odd one is asked about."""

import numpy as np
import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.amounts_planned import planned_g as amounts_planned
from stillroom.actions.orders.forecasting import course_of, expected_now, odd_weighings
from stillroom.errors import BadEntry
from stillroom.records.entries import Weighing
from stillroom.store.reader import Reader
from stillroom.stream.components import whole_mass
from tests.practice import later


def odd(look: Reader, batch: str, line: str, mass_g: float) -> str:
    return "".join(odd_weighings(look, batch, [Weighing(line, "within", "", None, mass_g, "", "")]))


TICK = ("No flame and no open element in the room",)


def test_weighings_narrow_the_forecast_and_the_assay_then_taken_lies_within(told: Laboratory) -> None:
    with told.look() as look:
        found = {one.name: one for one in expected_now(look, "E1")}
        assayed = look.results("E1", "total alkaloids as quinine, as is")[-1].body.value
    strength, extract = found["strength of the extract"], found["extract"]

    assert extract.now[2] - extract.now[0] < 0.2 * (extract.before[2] - extract.before[0])
    assert strength.now[2] - strength.now[0] < 0.5 * (strength.before[2] - strength.before[0])
    assert strength.now[0] < assayed < strength.now[2]


def test_masses_close_in_every_draw_after_the_inputs_were_moved(told: Laboratory) -> None:
    with told.look() as look:
        course = course_of(look, "E1")
    assert course is not None
    account = course.account()

    for step in account.steps:
        taken = sum(whole_mass(one) for one in step.taken.values())
        left = sum(whole_mass(one) for one in (*step.given.values(), *step.losses.values()))
        np.testing.assert_allclose(left, taken, rtol=1e-9)


def test_a_decimal_slip_is_asked_about_and_an_ordinary_mass_is_not(told: Laboratory) -> None:
    with told.look() as look:
        assert "3.97 g where" in odd(look, "E1", "dry extract", 3.97)
        assert odd(look, "E1", "dry extract", 39.7) == ""


def test_a_formula_has_no_forecast(told: Laboratory) -> None:
    with told.look() as look:
        assert expected_now(look, "T1") == ()
        assert odd(look, "T1", "bulk", 1.0) == ""


@pytest.mark.parametrize("order", ["ORD-1", ""])
def test_an_odd_mass_is_written_once_a_note_says_what_happened(lab: Laboratory, order: str) -> None:
    begin_batch(lab, "E9", "bark-extract", "100 g", order=order, by="TO", at=later(-3))
    planned = step_in_hand(lab, "E9")
    assert planned is not None
    masses = {one.line: one.planned_g for one in planned.lines}
    lots = {"stock spirit": "SPI-01", "water": "WAT-01"}
    weighed = [Weighed(line, f"{mass:.0f} g", lots[line], "SCALE-1") for line, mass in masses.items()]
    do_step(lab, "E9", "mix spirit", weighed, ticks=TICK, by="TO", at=later(-2))
    do_step(lab, "E9", "moisten", [Weighed("bark", "100.00 g", "CIN-01", "SCALE-2")], by="TO", at=later(-1))
    drop = ("An acidified drop gives no precipitate beside a blank",)
    wrong = [
        Weighed("water", "120 g", "WAT-01", "SCALE-1"),
        Weighed("percolate", "178 g", "", "SCALE-1"),
        Weighed("marc", "200.00 g", "", "SCALE-2"),
    ]
    before = lab.book.digest()

    with pytest.raises(BadEntry, match=r"needs a note.*percolate: 178 g where"):
        do_step(lab, "E9", "percolate", wrong, ticks=drop, by="TO")
    assert lab.book.digest() == before
    done = do_step(
        lab, "E9", "percolate", wrong, ticks=drop, note="the flask broke, a tenth was saved", by="TO"
    )
    assert len(done.entries) == 2


def test_what_a_step_says_is_expected_goes_by_what_was_weighed_before_it(lab: Laboratory) -> None:
    begin_batch(lab, "E9", "bark-extract", "100 g", order="ORD-1", by="TO", at=later(-3))
    lots = {"stock spirit": "SPI-01", "water": "WAT-01"}
    mixed = step_in_hand(lab, "E9")
    assert mixed is not None
    weighed = [Weighed(one.line, f"{one.planned_g:.0f} g", lots[one.line], "SCALE-1") for one in mixed.lines]
    do_step(lab, "E9", "mix spirit", weighed, ticks=TICK, by="TO", at=later(-2))
    do_step(lab, "E9", "moisten", [Weighed("bark", "100.00 g", "CIN-01", "SCALE-2")], by="TO", at=later(-1))
    lost = [
        Weighed("water", "120 g", "WAT-01", "SCALE-1"),
        Weighed("percolate", "178 g", "", "SCALE-1"),
        Weighed("marc", "200.00 g", "", "SCALE-2"),
    ]
    do_step(
        lab, "E9", "percolate", lost, ticks=("An acidified drop gives no precipitate beside a blank",),
        note="the flask broke, a tenth was saved", by="TO",
    )  # fmt: skip
    following = step_in_hand(lab, "E9")

    assert following is not None
    coming = {one.line: one.planned_g for one in following.lines if one.direction != "in"}
    assert coming
    with lab.look() as look:
        for line, mass_g in coming.items():
            assert mass_g is not None
            assert odd(look, "E9", line, mass_g) == ""
            planned_g = next(g for (_, name), g in amounts_planned(look, "E9").items() if name == line)
            assert odd(look, "E9", line, planned_g) != ""


def test_a_few_hundredths_of_a_gram_of_a_sample_are_not_asked_about(told: Laboratory) -> None:
    with told.look() as look:
        assert odd(look, "E1", "sample", 0.52) == ""
        assert odd(look, "E1", "sample", 5.0) != ""
