"""Boiling: the azeotrope, the activities at infinite dilution, the two pure ends."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutsideModel
from stillroom.science.liquids.boiling import (
    activity_coefficients,
    azeotrope_mole_fraction,
    bubble_point_c,
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
    vapour_pressure_pa,
)
from stillroom.substances.spirits import ETHANOL_WATER_BOILING as MODEL

AIR = 101325.0


def test_the_azeotrope_lies_where_three_publications_put_it():
    # x 0.8943 Perry 4th ed., 0.8947 from 95.6 % by mass (1916), 0.8946 from 2012 data; second-hand
    # 78.15 °C Perry 4th ed.
    found = azeotrope_mole_fraction(AIR, MODEL)

    assert found == pytest.approx(0.8945, abs=0.0015)
    assert bubble_point_c(found, AIR, MODEL) == pytest.approx(78.15, abs=0.02)


def test_activities_at_infinite_dilution_are_those_of_a_public_unit_test():
    # 298.15 K: 4.557085 for ethanol in water, 2.660317 for water in ethanol; second-hand
    ethanol, _ = activity_coefficients(0.0, 25.0, MODEL)
    _, water = activity_coefficients(1.0, 25.0, MODEL)

    assert ethanol == pytest.approx(4.557085, abs=5e-7)
    assert water == pytest.approx(2.660317, abs=5e-7)


def test_the_pure_liquids_boil_where_they_boil():
    # 99.97 and 78.24 °C at 101.325 kPa: from memory, half a last digit of a handbook's 0.1 K
    assert bubble_point_c(0.0, AIR, MODEL) == pytest.approx(99.97, abs=0.05)
    assert bubble_point_c(1.0, AIR, MODEL) == pytest.approx(78.24, abs=0.1)


def test_ethanol_boils_at_about_178_mbar_at_40_c():
    # bench tables print 175 mbar (from memory), a correlation in an open library 178.8: within 3 %
    assert vapour_pressure_pa(40.0, MODEL.ethanol) / 100 == pytest.approx(178.8, rel=0.03)


@given(st.floats(0.001, 0.85), st.floats(35e3, 105e3))
def test_below_the_azeotrope_the_vapour_is_stronger_than_the_liquid(ethanol, pressure):
    assert vapour_mole_fraction(ethanol, pressure, MODEL) > ethanol


@given(st.floats(0.0, 1.0))
def test_moles_and_mass_lead_back_to_each_other(fraction):
    moles = mole_fraction_from_mass_fraction(fraction, MODEL)

    assert mass_fraction_from_mole_fraction(moles, MODEL) == pytest.approx(fraction, abs=1e-14)


@given(st.floats(0.02, 0.98))
def test_the_two_activities_obey_gibbs_and_duhem(ethanol):
    step = 1e-5
    (e1, w1), (e2, w2) = (activity_coefficients(ethanol + d, 80.0, MODEL) for d in (-step, step))

    assert ethanol * np.log(e2 / e1) + (1 - ethanol) * np.log(w2 / w1) == pytest.approx(0.0, abs=1e-8)


def test_arrays_give_what_single_numbers_give():
    ethanol = np.array([0.05, 0.3, 0.8])
    single = [vapour_mole_fraction(float(one), AIR, MODEL) for one in ethanol]

    assert vapour_mole_fraction(ethanol, AIR, MODEL) == pytest.approx(single, abs=1e-12)


def test_a_strong_vacuum_is_refused_with_the_models_range():
    with pytest.raises(OutsideModel, match=r"between 30000 and 110000 Pa \(ethanol-water-nrtl-vle-ig\)"):
        bubble_point_c(0.3, 5000.0, MODEL)


def test_a_temperature_beyond_the_vapour_pressure_equation_is_refused():
    with pytest.raises(OutsideModel, match=r"temperature of water must lie between .* \(perry-8-dippr101\)"):
        vapour_pressure_pa(-30.0, MODEL.water)
