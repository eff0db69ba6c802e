"""Thinning closes in mass; the heat of sulfuric acid against printed heats of solution."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, NotEnough
from stillroom.science.solutions.diluting import (
    stock_mass_g,
    sulfuric_mixing_heat_j_mol,
    sulfuric_thinning_heat_j,
    water_mass_g,
)


@given(st.floats(0.1, 1e4), st.floats(0.01, 1.0), st.floats(1.0, 50.0))
def test_what_the_bottle_gives_and_the_water_make_the_solution(solute, stock, times):
    taken = stock_mass_g(solute, stock)
    water = water_mass_g(times * taken, taken)

    assert taken * stock == pytest.approx(solute, rel=1e-12)
    assert taken + water == pytest.approx(times * taken, rel=1e-12)
    assert water >= 0.0


@pytest.mark.parametrize(
    ("water", "printed_kj"), [(1.0, 28.1), (2.0, 41.9), (5.0, 58.0), (10.0, 67.0), (20.0, 71.5)]
)
def test_the_heat_of_mixing_is_good_to_a_tenth(water, printed_kj):
    # Heats of solution of sulfuric acid, kJ/mol, handbook of thermodynamics; from memory.
    assert sulfuric_mixing_heat_j_mol(water) / 1000.0 == pytest.approx(printed_kj, rel=0.1)


@given(st.floats(0.02, 0.9), st.floats(0.02, 0.9))
def test_thinner_means_more_heat(one, other):
    thin, strong = sorted((one, other))
    heats = sulfuric_thinning_heat_j(98.079, 0.96, np.array([strong, thin]), 98.079)

    assert heats[1] >= heats[0] >= 0.0


def test_a_solution_stronger_than_its_bottle_is_refused():
    with pytest.raises(NotEnough, match="cannot be stronger than what it is made from"):
        water_mass_g(100.0, 120.0)


def test_an_empty_bottle_is_refused():
    with pytest.raises(BadEntry, match="must be above zero"):
        stock_mass_g(5.0, 0.0)
