"""A bath without a thermostat: its temperatures are noted, make the heat dose, and what that takes of the marker."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.amounts_planned import planned
from stillroom.actions.orders.remembering import starter_inputs
from stillroom.actions.watching.warmth_noted import note_warmth
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.pages.batches import show_batch
from stillroom.records.procedures import Setting
from tests.practice import later

BEGINS = later(0) - timedelta(hours=8)
RECORD = "0 20\n10 62,5 / 40 74 °C\n\n90;80"


def begun(lab: Laboratory) -> None:
    copy_procedure(lab, "infusion", "cinchona bark", "quinine", "bark-tea", by="TO", at=BEGINS)
    with lab.look() as look:
        first = look.procedure("bark-tea")
    labile = Setting("half_gone_min", 300.0, "min", "lognormal", 0.2, "assumed", "invented for this test")
    steps = tuple(
        replace(one, settings=(*one.settings, labile)) if one.kind == "evaporate" else one
        for one in first.steps
    )
    write_procedure(lab, replace(first, version=2, steps=steps), by="TO", at=BEGINS)
    begin_batch(lab, "I1", "bark-tea", "200 g", by="TO", at=BEGINS)


def done(lab: Laboratory, until: str, at: int) -> None:
    while (in_hand := step_in_hand(lab, "I1")) is not None:
        weighed = [
            Weighed(one.line, f"{one.planned_g or 20.0:.1f} g",
                    one.lots[0].code if one.direction == "in" and one.lots else "", "")
            for one in in_hand.lines
        ]  # fmt: skip
        do_step(
            lab, "I1", in_hand.step.name, weighed, ticks=in_hand.step.ticks, note="as it was", by="TO",
            at=BEGINS + timedelta(minutes=at),
        )  # fmt: skip
        if in_hand.step.kind == until:
            return


def by_hand(minutes: list[float], celsius: list[float]) -> float:
    """Minutes at 60 °C by 66 kJ/mol, in steps of a hundredth of a minute; the rate goes straight between readings."""
    rate = np.exp(66000.0 / 8.314462618 * (1.0 / 333.15 - 1.0 / (np.asarray(celsius) + 273.15)))
    at = np.arange(minutes[0], minutes[-1], 0.01) + 0.005
    return float(np.interp(at, minutes, rate).sum() * 0.01)


def test_a_record_of_a_bath_makes_the_heat_dose_and_the_memory_counts_what_it_took(lab: Laboratory) -> None:
    begun(lab)
    done(lab, "filter", 60)
    note_warmth(lab, "I1", record=RECORD, by="TO", at=BEGINS + timedelta(minutes=160))
    told = note_warmth(lab, "I1", temperature="80", by="TO", at=BEGINS + timedelta(minutes=170)).says
    dose = by_hand([0.0, 10.0, 40.0, 90.0, 100.0], [20.0, 62.5, 74.0, 80.0, 80.0])
    with lab.look() as look:
        before = planned(look, "I1").runs["evaporate"].says
    done(lab, "evaporate", 180)
    with lab.look() as look:
        after = planned(look, "I1").runs["evaporate"]
        taken = starter_inputs(look, "I1")["extraction/evaporate/heat_dose_min"].value

    assert f"{dose:.0f} min at 60 °C" in told
    assert f"{100.0 * 0.5 ** (dose / 300.0):.0f} % stays" in told
    assert any("calculated boil" in one for one in before)
    assert any("temperatures read at the bench" in one for one in after.says)
    assert taken == pytest.approx(dose, rel=1e-4)
    assert next(one.median for one in after.figures if one.unit == "%") == pytest.approx(
        100.0 * 0.5 ** (dose / 300.0), rel=1e-3
    )
    assert "temperatures read at the bench" in page_text(show_batch(lab, "I1"))


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ({}, "temperature"),
        ({"record": "0 20\n10"}, "record"),
        ({"record": "10 20\n0 60"}, "record"),
        ({"record": "0 20\n10 600"}, "record"),
        ({"temperature": "180 °C"}, "temperature"),
    ],
)
def test_what_is_no_record_is_asked_back_at_its_field(
    lab: Laboratory, said: dict[str, str], where: str
) -> None:
    begun(lab)
    with pytest.raises(BadEntry) as refused:
        note_warmth(lab, "I1", by="TO", at=BEGINS + timedelta(minutes=160), **said)

    assert refused.value.where == where
