"""Shaking a base out: pH decides, quaternary bases are refused with the ways that work."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.extraction.partition import (
    distribution_ratio_of_acid,
    distribution_ratio_of_base,
    shakes_needed,
    share_left,
    share_recovered,
)


@pytest.mark.parametrize(
    ("ph", "ratio", "one", "three"), [(9.5, 54.545, 98.0, 99.981), (7.0, 1.839, 62.34, 73.238)]
)
def test_a_base_of_pka_8_5_from_100_ml_of_water(ph, ratio, one, three):
    # partition ratio 60, one portion of 90 mL or three of 30: worked by hand, 0.01 %
    found = distribution_ratio_of_base(60.0, 8.5, ph)

    assert found == pytest.approx(ratio, abs=0.0005)
    assert 100 * share_recovered(found, 100.0, 90.0, 1) == pytest.approx(one, abs=0.01)
    assert 100 * share_recovered(found, 100.0, 30.0, 3) == pytest.approx(three, abs=0.01)


def test_a_quaternary_base_is_refused_with_the_ways_that_work():
    with pytest.raises(OutsideModel, match=r"keeps its charge at every pH.*cation exchanger.*1-butanol"):
        distribution_ratio_of_base(0.03, 9.0, 10.0, quaternary=True)


@given(st.floats(0.1, 1e3), st.floats(4.0, 11.0), st.floats(2.0, 12.0))
def test_half_is_charged_where_ph_equals_pka_and_alkali_always_helps_a_base(ratio, pka, ph):
    at_pka = distribution_ratio_of_base(ratio, pka, pka)

    assert at_pka == pytest.approx(ratio / 2)
    assert distribution_ratio_of_base(ratio, pka, ph) < distribution_ratio_of_base(ratio, pka, ph + 0.5)
    assert distribution_ratio_of_acid(ratio, pka, ph) > distribution_ratio_of_acid(ratio, pka, ph + 0.5)


@given(st.floats(0.01, 500.0), st.floats(10.0, 500.0), st.floats(5.0, 500.0), st.integers(1, 6))
def test_what_is_left_and_what_is_recovered_is_all_of_it(ratio, water, solvent, shakes):
    left, over = share_left(ratio, water, solvent, shakes), share_recovered(ratio, water, solvent, shakes)

    assert left + over == pytest.approx(1.0)


@given(st.floats(1.0, 100.0), st.floats(20.0, 200.0), st.floats(20.0, 300.0), st.floats(0.5, 0.999))
def test_the_portions_needed_are_enough_and_one_fewer_is_not(ratio, water, solvent, wanted):
    shakes = shakes_needed(ratio, water, solvent, wanted)

    assert share_recovered(ratio, water, solvent, shakes) >= wanted - 1e-9
    assert shakes == 1 or share_recovered(ratio, water, solvent, shakes - 1) < wanted + 1e-9


def test_the_ph_may_be_draws():
    found = distribution_ratio_of_base(60.0, (8.52, 4.13), np.array([2.0, 7.0, 10.0]))

    assert (np.diff(found) > 0).all()


def test_pka_in_the_wrong_order_is_refused():
    with pytest.raises(BadEntry, match="from high to low"):
        distribution_ratio_of_base(60.0, (4.13, 8.52), 9.0)


def test_a_ph_of_95_is_refused():
    with pytest.raises(OutsideModel, match="The pH must lie between 0 and 14"):
        distribution_ratio_of_base(60.0, 8.5, 95.0)


def test_a_hopeless_shaking_is_refused_with_what_to_change():
    with pytest.raises(OutsideModel, match="For a base raise the pH first"):
        shakes_needed(1e-4, 100.0, 30.0, 0.95)
