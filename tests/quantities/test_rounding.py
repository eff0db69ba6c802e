"""Rounding by named rules, against the printed examples of those rules."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry
from stillroom.quantities import rounding
from stillroom.quantities.measured import Measured
from stillroom.quantities.money import Money
from stillroom.quantities.rounding import (
    down_to_step,
    shown,
    to_decimals,
    to_significant,
    to_step,
    up_to_step,
)

PRINTED = list(
    csv.DictReader((Path(__file__).parent / "rounding_printed.csv").read_text("utf-8").splitlines())
)


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{row['value']} to {row['printed']}")
def test_a_number_is_rounded_as_the_standard_prints(row):
    found = getattr(rounding, row["rule"])(float(row["value"]), int(row["argument"]))

    assert str(found) == row["printed"]


@given(st.floats(0.0, 1e308), st.integers(1, 12))
def test_a_number_of_any_size_is_rounded_to_its_figures_or_refused_in_a_sentence(value, digits):
    """A mass of 10^30 g, typed for a step of a recipe, closed its page."""
    rounded = float(to_significant(value, digits))
    assert rounded == pytest.approx(value, rel=10.0 ** (1 - digits), abs=1e-300)
    with pytest.raises(BadEntry, match="25 figures"):
        Money.parse(f"{10**30 * max(1, digits)} EUR")


def test_the_example_of_the_guide_comes_out():
    # JCGM 100:2008, 7.2.6: y = 10.057 62 ohm with u = 27 milliohm is rounded to 10.058 ohm (second-hand).
    found = shown(10.05762, 0.027)

    assert (found.value, found.uncertainty) == ("10.058", "0.027")


@pytest.mark.parametrize(
    ("value", "spread", "value_text", "spread_text"),
    [
        (7.8731, 0.0346, "7.873", "0.035"),
        (0.1, 0.0312, "0.100", "0.031"),
        (12345.6, 789.0, "12350", "790"),
        (99.96, 0.0996, "99.96", "0.10"),
        (5.0, 9.96, "5", "10"),
        (-0.001, 0.1, "0.00", "0.10"),
        (0.0, 1.0, "0.0", "1.0"),
    ],
)
def test_value_and_uncertainty_end_at_the_same_decimal(value, spread, value_text, spread_text):
    found = shown(value, spread)

    assert (found.value, found.uncertainty) == (value_text, spread_text)


def test_a_dose_is_rounded_to_what_the_scale_shows():
    assert str(to_step(13.0208, 0.01)) == "13.02"
    assert str(to_step(13.0208, 0.02)) == "13.02"
    assert str(up_to_step(13.0208, 0.01)) == "13.03"
    assert str(down_to_step(13.0208, 1)) == "13"
    assert str(up_to_step(0.1 + 0.2, 0.1)) == "0.3"
    assert str(to_step(2.5, 5)) == "0"
    with pytest.raises(BadEntry, match="above zero"):
        to_step(1.0, 0)


@given(st.floats(0, 1e6), st.sampled_from(["0.001", "0.01", "0.02", "0.05", "0.1", "0.5", "1", "5"]))
def test_a_step_is_a_multiple_nearest_above_or_below(value, step):
    size = Decimal(step)
    near, above, below = to_step(value, size), up_to_step(value, size), down_to_step(value, size)

    assert near % size == above % size == below % size == 0
    assert abs(near - Decimal(value)) <= size / 2 + Decimal("1e-8")
    assert below <= near <= above <= below + size


@given(st.floats(1e-6, 1e6), st.integers(1, 6))
def test_significant_figures_are_counted_after_rounding(value, digits):
    found = to_significant(value, digits)

    assert abs(found - Decimal(repr(value))) <= Decimal(10) ** (found.adjusted() - digits + 1) / 2
    assert to_significant(found, digits) == found


@pytest.mark.parametrize("wrong", [float("nan"), float("inf")])
def test_what_is_not_finite_is_not_printed(wrong):
    with pytest.raises(BadEntry, match="finite"):
        to_decimals(wrong, 2)
    with pytest.raises(BadEntry, match="above zero is needed"):
        shown(1.0, 0.0)


def test_a_measured_value_is_scaled_with_its_uncertainty():
    found = Measured(7.125, 0.035, "%", dof=9).scaled(-2.0, "g")

    assert found == Measured(-14.25, 0.07, "g", 9)
    assert found.expanded(2) == pytest.approx(0.14, abs=1e-15)
    assert found.relative == pytest.approx(0.07 / 14.25, rel=1e-12)


@pytest.mark.parametrize("wrong", [(1.0, -0.1), (float("nan"), 0.1), (1.0, float("inf"))])
def test_a_measured_value_that_cannot_be_is_refused(wrong):
    with pytest.raises(BadEntry, match="Got"):
        Measured(*wrong, "g")
    with pytest.raises(BadEntry, match="other than zero"):
        _ = Measured(0.0, 0.1, "g").relative


def test_money_is_exact_and_stays_in_its_currency():
    price = Money.parse("12.50 EUR")

    assert price.times(3).plus(Money.parse("0.10 EUR")).in_words() == "37.60 EUR"
    assert Money.parse("0.10 EUR").times(3).amount == Decimal("0.30")
    with pytest.raises(BadEntry, match="two currencies"):
        price.plus(Money.parse("1 USD"))
    with pytest.raises(BadEntry, match="currency code"):
        Money.parse("12.50 g")
    with pytest.raises(BadEntry, match="one reading"):
        Money.parse("1,250 EUR")
