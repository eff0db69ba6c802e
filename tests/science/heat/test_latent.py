"""A liquid that boils colder takes more heat for each gram, against a textbook and the steam tables."""

import numpy as np
import pytest

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.heat.latent import latent_heat_at_j_g
from stillroom.substances.spirits import ethanol_water_heats


def test_methanol_at_200_degrees_as_a_textbook_works_it():
    # Felder and Rousseau, Elementary Principles of Chemical Processes, example on Watson's correlation: methanol,
    # 35.3 kJ/mol at 337.9 K, critical temperature 513.2 K, gives 20.2 kJ/mol at 473 K; from-memory.
    assert latent_heat_at_j_g(35.3, 337.9 - 273.15, 473.0 - 273.15, 513.2) == pytest.approx(20.2, abs=0.05)


def test_ethanol_at_25_degrees_is_near_the_measured_heat():
    # 42.3 kJ/mol at 25 °C over 46.07 g/mol (an open database of thermochemistry, from-memory). The law is good for 2 %,
    # and sources of the heat at the boiling point itself lie between 838 and 855 J/g.
    assert ethanol_water_heats(25.0).ethanol_latent_j_g == pytest.approx(1000 * 42.3 / 46.07, rel=0.035)


@pytest.mark.parametrize(
    ("boiling_c", "latent_j_g"), [(50.0, 2381.9), (60.0, 2357.7), (80.0, 2308.0), (100.0, 2256.4)]
)
def test_water_under_a_vacuum_is_that_of_the_steam_tables(boiling_c: float, latent_j_g: float):
    # IAPWS steam tables, heat of evaporation at saturation; from-memory, 50 °C also in the open table of water.
    assert ethanol_water_heats(boiling_c).water_latent_j_g == pytest.approx(latent_j_g, abs=1.5)


def test_water_that_boils_above_100_degrees_is_taken_as_at_100():
    assert ethanol_water_heats(101.0).water_latent_j_g == ethanol_water_heats(100.0).water_latent_j_g


def test_an_array_of_temperatures_gives_an_array():
    found = latent_heat_at_j_g(849.6, 78.24, np.array([40.0, 78.24]), 513.9)

    assert found[1] == pytest.approx(849.6, rel=1e-12)
    assert found[0] > found[1]


def test_there_is_no_latent_heat_past_the_critical_point():
    with pytest.raises(OutsideModel, match="critical point"):
        latent_heat_at_j_g(849.6, 78.24, 241.0, 513.9)
    with pytest.raises(BadEntry, match="above zero"):
        latent_heat_at_j_g(0.0, 78.24, 60.0, 513.9)
