"""Heat to distil and cooling water, against two worked condensers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.heat.distilling import (
    cooling_water_l,
    heat_to_distil_j,
    heat_to_warm_j,
    latent_heat_j_g,
    minutes_at_power,
)
from stillroom.substances.spirits import ETHANOL_WATER_HEATS as HEATS


def test_cooling_water_of_a_textbook_condenser():
    # 2 kg/s of ethanol vapour at 838 kJ/kg, water from 20 to 50 °C: 1676 kW, 13.3 kg/s (cp 4.2)
    # data second-hand; the page shows its answers as pictures
    duty_w = 2 * 838e3

    assert duty_w == pytest.approx(1676e3)
    assert cooling_water_l(duty_w, 30.0) == pytest.approx(13.3, abs=0.05)


def test_latent_heat_of_90_per_cent_vapour():
    # 0.8566 by mass, 849.6 and 2256.5 kJ/kg: 1051.3 kJ/kg; same equation
    assert latent_heat_j_g(0.8566, HEATS) == pytest.approx(1051.3, abs=0.05)


def test_steam_needs_2257_joules_a_gram():
    # steam tables, from memory; the library's correlation allows 12 kJ/kg
    assert latent_heat_j_g(0.0, HEATS) == pytest.approx(2257, abs=1)


@given(st.floats(0.0, 5e3), st.floats(0.0, 1.0), st.floats(10.0, 30.0), st.floats(70.0, 90.0))
def test_distilling_nothing_needs_only_the_warming(mass, fraction, start, boiling):
    only_warm = heat_to_warm_j(mass, fraction, start, boiling, HEATS)

    assert heat_to_distil_j(mass, fraction, 0.0, 0.8, start, boiling, HEATS) == pytest.approx(only_warm)


def test_a_kilogram_of_water_takes_4184_joules_a_kelvin():
    # cp of water 4.184 kJ/(kg K) at 20 °C, IAPWS-95
    assert heat_to_warm_j(1000.0, 0.0, 20.0, 21.0, HEATS) == pytest.approx(4184, abs=0.5)


def test_minutes_follow_from_power_and_what_arrives():
    assert minutes_at_power(180e3, 300.0, 0.5) == pytest.approx(20.0)


def test_more_than_all_of_the_power_cannot_arrive():
    with pytest.raises(OutsideModel, match=r"a mantle gives 0\.4 to 0\.7"):
        minutes_at_power(1000.0, 300.0, 55.0)


def test_water_that_may_not_warm_cannot_cool():
    with pytest.raises(BadEntry, match="The rise in temperature must be above zero"):
        cooling_water_l(1000.0, 0.0)
