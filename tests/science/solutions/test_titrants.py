"""Titrants: stoichiometry against a pharmacopoeia's equivalent, volume at 20 °C, spread, drift and life."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.solutions.titrants import (
    drift_of,
    life_at_d,
    relative_spread,
    standard_amount_mmol,
    titrant_strength,
    volume_at_20c_ml,
)


def test_a_millilitre_of_tenth_molar_alkali_takes_20_42_mg_of_phthalate():
    # 1 mL of 0.1 M sodium hydroxide is equivalent to 20.42 mg of hydrogen phthalate: pharmacopoeias, from memory
    amount = standard_amount_mmol(0.02042, 1.0, 204.22, 1.0)

    assert titrant_strength(amount, 1.0, 0.0) == pytest.approx(0.1, abs=0.00005)


def test_a_millilitre_of_molar_acid_takes_53_00_mg_of_sodium_carbonate():
    # 1 mL of 1 M hydrochloric acid is equivalent to 53.00 mg of sodium carbonate: pharmacopoeias, from memory
    amount = standard_amount_mmol(0.0530, 1.0, 105.99, 2.0)

    assert titrant_strength(amount, 1.0, 0.0) == pytest.approx(1.0, abs=0.0002)


def test_a_litre_of_water_at_30_degrees_is_997_4_ml_at_20():
    # Water 0.99820 and 0.99565 g/mL at 20 and 30 °C, handbook; borosilicate 9.9e-6 per kelvin; both from memory
    found = volume_at_20c_ml(1000.0, 30.0, 0.99565, 0.99820, 9.9e-6)

    assert found == pytest.approx(997.5, abs=0.1)


@given(st.lists(st.floats(0.5, 2.0), min_size=2, max_size=10))
def test_a_spread_does_not_depend_on_the_order(values):
    assert relative_spread(values) == pytest.approx(relative_spread(values[::-1]), abs=1e-12)
    assert relative_spread(values) >= 0.0


def test_a_drift_is_the_slope_a_statistics_library_gives():
    days = np.array([0.0, 7.0, 14.0, 21.0, 30.0])
    factors = np.array([1.0041, 1.0032, 1.0029, 1.0011, 1.0003])
    found, expected = drift_of(days, factors), linregress(days, factors)

    assert found.slope_per_d == pytest.approx(expected.slope, rel=1e-9)
    assert found.standard_uncertainty_per_d == pytest.approx(expected.stderr, rel=1e-9)
    assert found.degrees_of_freedom == 3


def test_a_drift_of_two_days_has_no_uncertainty():
    assert np.isnan(drift_of([0.0, 7.0], [1.0, 0.999]).standard_uncertainty_per_d)


@given(st.floats(-10.0, 40.0), st.floats(1.0, 30.0))
def test_a_warmer_room_never_means_a_longer_life(temperature, warmer):
    at, later = life_at_d(30.0, 25.0, np.array([temperature, temperature + warmer]), 2.0)

    assert 0.0 < later <= at <= 30.0


def test_one_titration_has_no_spread():
    with pytest.raises(BadEntry, match="at least two replicates"):
        relative_spread([1.0])


def test_a_titre_below_its_blank_is_refused():
    with pytest.raises(BadEntry, match="titre less the blank must be above zero"):
        titrant_strength(1.0, 0.1, 0.2)


def test_a_burette_in_the_sun_is_refused():
    with pytest.raises(OutsideModel, match="between 5 and 45 °C"):
        volume_at_20c_ml(10.0, 60.0, 0.98, 0.998, 1e-5)
