"""Yield against strength and time: the plan's own model turned, own trials heard, and the next trial."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.planning.lines import asked_of, inputs_of
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import supply
from stillroom.planning.trials import (
    DRAWS,
    STRENGTH_POINTS,
    STRENGTH_STEP_PERCENT,
    OwnTrial,
    levers_of,
    strength_doubt,
    trials,
    turned,
)
from stillroom.stream.components import MARKER
from tests.planning.test_ways import PLANT_G, ways


def request(name: str) -> PlanRequest:
    found = ways()[name].request
    assert found is not None
    return replace(found, draws=DRAWS)


@pytest.mark.parametrize(
    ("name", "setting", "strength"),
    [
        ("maceration", "contact_min", 60.0),
        ("reflux", "contact_min", 60.0),
        ("percolation", "spirit_ml_per_g", 70.0),
        ("soxhlet", "cycles", 96.0),
        ("infusion", "contact_min", None),
    ],
)
def test_each_way_is_turned_by_what_lets_it_give_more(
    name: str, setting: str, strength: float | None
) -> None:
    levers = levers_of(request(name))

    assert levers is not None
    assert (levers.longer, levers.strength_percent) == (setting, strength)


@pytest.mark.parametrize("name", ["maceration", "soxhlet"])
def test_the_picture_is_the_plan_at_that_strength_and_time(name: str) -> None:
    asked, found = request(name), trials(request(name), PLANT_G)
    levers = levers_of(asked)
    assert found is not None
    assert levers is not None
    for place in (found.places[0], found.places[-1]):
        there = turned(asked, levers, place.strength_percent, place.value)
        account = supply(asked_of(there, inputs_of(there, PLANT_G)).only("supply")).charge
        recovery = 100.0 * account.given("extract")[MARKER] / account.from_shelf["plant"][MARKER]
        assert place.middle == pytest.approx(float(np.median(recovery)), abs=1e-6)
        assert place.hours > 0.0


def test_longer_never_brings_less_out_of_a_cold_jar() -> None:
    found = trials(request("maceration"), PLANT_G)
    assert found is not None
    for strength in {one.strength_percent for one in found.places}:
        middles = [one.middle for one in found.places if one.strength_percent == strength]
        assert middles == sorted(middles)


def test_what_is_not_known_of_a_strength_grows_with_the_distance() -> None:
    strengths = np.array([40.0, 60.0, 80.0, 90.0])
    doubt = strength_doubt(strengths, 60.0)

    assert np.diag(doubt)[1] == 0.0
    assert np.sqrt(doubt[2, 2]) == pytest.approx(STRENGTH_POINTS)
    assert strengths[2] - strengths[1] == STRENGTH_STEP_PERCENT
    assert doubt[3, 3] > doubt[2, 2]
    assert doubt[0, 2] < doubt[2, 3]
    assert np.all(np.linalg.eigvalsh(doubt) > -1e-9)
    assert np.all(strength_doubt(strengths, None) == 0.0)


def test_own_trials_move_the_strengths_beside_them_and_the_next_trial_goes_elsewhere() -> None:
    asked = request("maceration")
    before = trials(asked, PLANT_G)
    assert before is not None
    first = before.next
    assert first.strength_percent is not None
    less = [OwnTrial(f"E{at}", first.strength_percent, first.value, first.middle - 15.0) for at in range(3)]
    after = trials(asked, PLANT_G, less)
    assert after is not None

    def at(found: object, strength: float) -> list[float]:
        return [one.middle for one in found.places if one.strength_percent == strength]  # type: ignore[attr-defined]

    mine, away = first.strength_percent, 120.0 - first.strength_percent
    assert np.mean(at(after, mine)) < np.mean(at(before, mine)) - 8.0
    assert at(after, 60.0) == pytest.approx(at(before, 60.0))
    assert abs(np.mean(at(after, away)) - np.mean(at(before, away))) < 8.0
    assert after.next.strength_percent != first.strength_percent
    assert sum(one.high - one.low for one in after.places) < sum(one.high - one.low for one in before.places)


def test_a_surface_through_own_trials_finds_the_best_of_a_hidden_plant() -> None:
    asked = request("maceration")
    design = [
        (40.0, 2.0),
        (40.0, 8.0),
        (70.0, 2.0),
        (70.0, 8.0),
        (55.0, 4.0),
        (55.0, 1.0),
        (80.0, 4.0),
        (30.0, 4.0),
    ]
    chance = np.random.default_rng(5)

    def hidden(strength: float, days: float) -> float:
        return 80.0 - ((strength - 58.0) / 12.0) ** 2 - 3.0 * np.log2(days / 5.0) ** 2

    own = [
        OwnTrial(f"E{at}", strength, 1440.0 * days, hidden(strength, days) + float(chance.normal(0.0, 0.1)))
        for at, (strength, days) in enumerate(design)
    ]  # fmt: skip
    found, fewer = trials(asked, PLANT_G, own), trials(asked, PLANT_G, own[:6])
    assert found is not None
    assert fewer is not None

    assert found.top == (pytest.approx(58.0, abs=2.0), pytest.approx(5.0 * 1440.0, rel=0.1))
    assert fewer.surface is None
    alike = trials(asked, PLANT_G, [replace(own[0], code=f"A{at}") for at in range(9)])
    assert alike is not None
    assert alike.surface is None


def test_a_top_outside_what_was_tried_is_no_best() -> None:
    design = [(40.0, 1.0), (40.0, 4.0), (50.0, 1.0), (50.0, 4.0), (45.0, 2.0), (45.0, 4.0), (40.0, 2.0)]
    own = [
        OwnTrial(
            f"E{at}",
            strength,
            1440.0 * days,
            80.0 - ((strength - 75.0) / 10.0) ** 2 - np.log2(days / 2.0) ** 2,
        )
        for at, (strength, days) in enumerate(design)
    ]
    found = trials(request("maceration"), PLANT_G, own)
    assert found is not None
    assert found.surface is not None

    assert found.surface.shape == "top"
    assert found.top is None
