"""The arithmetic of a dose at its edges."""

import pytest

from stillroom.errors import BadEntry
from stillroom.products.dose_otherwise import stock_solution
from stillroom.products.dosing import (
    content_by_rule_percent,
    content_of_bulk_percent,
    dose_mass_g,
    on_the_scale_g,
)


@pytest.mark.parametrize(
    ("bulk", "aim", "strength"),
    [
        (0.0, 0.1, 38.0),
        (5000.0, 0.0, 38.0),
        (5000.0, 0.1, 0.0),
        (-1.0, 0.1, 38.0),
        (5000.0, -0.1, 38.0),
        (1.0, 0.1, -1.0),
    ],
)
def test_nothing_that_is_not_above_zero_can_be_dosed(bulk, aim, strength):
    with pytest.raises(BadEntry, match="must lie above zero"):
        dose_mass_g(bulk, aim, strength)


@pytest.mark.parametrize(
    ("bulk", "aim", "strength", "mass"), [(0.5, 0.25, 0.5, 0.25), (200.0, 10.0, 40.0, 50.0)]
)
def test_small_and_large_doses_are_worked_by_hand(bulk, aim, strength, mass):
    assert dose_mass_g(bulk, aim, strength) == pytest.approx(mass, rel=1e-12)


def test_an_extract_just_as_strong_as_the_product_is_the_product():
    assert dose_mass_g(100.0, 38.4, 38.4) == 100.0
    with pytest.raises(BadEntry, match="stronger than its extract"):
        dose_mass_g(100.0, 38.5, 38.4)


@pytest.mark.parametrize(
    ("mass", "step", "way", "shown"),
    [
        (13.021, 0.01, "nearest", 13.02),
        (13.021, 0.01, "up", 13.03),
        (13.029, 0.01, "down", 13.02),
        (13.0, 0.5, "up", 13.0),
    ],
)
def test_a_scale_shows_whole_steps(mass, step, way, shown):
    assert on_the_scale_g(mass, step, way) == pytest.approx(shown, rel=1e-12)


def test_a_way_of_rounding_that_is_not_known_is_asked_back():
    with pytest.raises(BadEntry, match="nearest step, up or down"):
        on_the_scale_g(13.0, 0.01, "sideways")


def test_more_on_the_scale_is_more_in_the_product():
    assert content_of_bulk_percent(13.0, 40.0, 5000.0) == pytest.approx(0.104, rel=1e-12)
    assert content_of_bulk_percent(13.0, 40.0, 5000.0, 1.0) == pytest.approx(0.112, rel=1e-12)
    assert content_by_rule_percent(0.5, 40.0) == pytest.approx(0.2, rel=1e-12)


@pytest.mark.parametrize(
    ("dose_g", "step_g", "times"),
    [
        (0.35, 0.01, 5.0),
        (1.0, 0.01, None),
        (0.99, 0.01, 2.0),
        (0.1, 0.01, 10.0),
        (0.05, 0.01, 20.0),
        (0.05, 0.1, None),
    ],
)
def test_a_stock_solution_holds_enough_doses_for_one_step_to_be_one_percent(dose_g, step_g, times):
    found = stock_solution(dose_g, step_g)

    if times is None:
        assert found is None
        return
    assert found.extract_g == pytest.approx(times * dose_g, abs=step_g / 2.0)
    assert found.solution_g / found.extract_g == pytest.approx(found.portion_g / dose_g, rel=0.01)
    assert step_g / found.extract_g <= 0.0101
    assert step_g / found.portion_g <= 0.0101
