"""A Soxhlet in a plan: what reaches the plant, how long, how much heat; told before the run, with its spread."""

from dataclasses import replace
from functools import cache

import pytest

from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.outcome import HowItRuns, Plan
from stillroom.planning.plan import plan
from tests.planning.any_plant import asked


@cache
def with_spirit(percent: float) -> Plan:
    stock = replace(ASSUMED["strength of the stock spirit"], value=percent)
    return plan(asked("soxhlet", draws=512, known=(stock,)))


def how(percent: float) -> HowItRuns:
    found = next(one.runs for one in with_spirit(percent).steps if one.step == "siphon")
    assert found is not None
    return found


def figure(percent: float, begins: str) -> tuple[float, float, float]:
    one = next(line for line in how(percent).figures if line.label.startswith(begins))
    return one.low, one.median, one.high


@pytest.mark.parametrize("percent", [50.0, 70.0])
def test_who_plans_a_watery_spirit_is_told_what_reaches_the_plant_and_what_to_do_instead(percent):
    said = " ".join(how(percent).says)

    assert f"Poured is {percent:.0f} % v/v, but the plant is washed by" in said
    assert "percolates, macerates or boils it under reflux" in said
    assert figure(percent, "Strength on the plant")[1] > percent + 10 > figure(percent, "Strength poured")[1]
    assert figure(percent, "Strength in the flask just before")[1] < percent - 2


def test_strong_spirit_is_planned_without_that_warning():
    assert not any("washed by" in one for one in how(96.0).says)


def test_the_plan_says_how_it_is_checked():
    assert any("No published table of a Soxhlet's yield over time was found" in one for one in how(70.0).says)


def test_what_comes_out_stands_with_its_spread():
    low, middle, high = figure(70.0, "Out of the plant, of the marker")
    minutes = figure(70.0, "One siphoning after that")

    assert 50.0 < low < middle < high <= 100.0
    assert 5.0 < minutes[0] < minutes[1] < minutes[2] < 60.0
    assert figure(70.0, "Electricity")[1] > 0.5
    assert figure(70.0, "Cooling water")[1] > 0.1


def test_a_watery_spirit_takes_more_heat_and_time_for_the_same_siphonings():
    assert figure(50.0, "One siphoning")[1] > figure(96.0, "One siphoning")[1]
