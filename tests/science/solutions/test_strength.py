"""Strength of acids and alkalis through density: there and back, rising, never beyond the print."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.solutions.strength import (
    mass_concentration_g_ml,
    moles_in_a_litre_mol_l,
    solute_mass_fraction,
    solution_density_g_ml,
)
from stillroom.substances.acids import densities_of

SOLUTES = ("acetic acid", "ammonia", "hydrochloric acid", "sodium hydroxide", "sulfuric acid")
SHARES = st.floats(0.0, 1.0)


def reached(solute, share):
    return share * densities_of(solute).solute_mass_fractions[-1]


@given(st.sampled_from(SOLUTES), SHARES)
def test_grams_in_a_millilitre_lead_back_to_the_strength(solute, share):
    table = densities_of(solute)
    grams = mass_concentration_g_ml(reached(solute, share), table)

    assert solute_mass_fraction(grams, table) == pytest.approx(reached(solute, share), abs=1e-9)


@given(st.sampled_from(SOLUTES), SHARES, SHARES)
def test_a_stronger_solution_holds_more_in_a_millilitre(solute, one, other):
    table = densities_of(solute)
    low, high = sorted((reached(solute, one), reached(solute, other)))

    assert mass_concentration_g_ml(low, table) <= mass_concentration_g_ml(high, table) + 1e-15


@pytest.mark.parametrize("solute", SOLUTES)
def test_the_curve_is_monotone_between_rows(solute):
    table = densities_of(solute)
    rows = np.array(table.solute_mass_fractions)
    for low, high in pairwise(rows):
        between = solution_density_g_ml(np.linspace(low, high, 40), table)
        steps = np.diff(between)

        assert (steps >= -1e-12).all() or (steps <= 1e-12).all()


def test_an_array_gives_what_the_library_gives():
    table = densities_of("sulfuric acid")
    asked = np.linspace(0.0, 0.98, 1000)
    curve = PchipInterpolator(table.solute_mass_fractions, table.densities_g_ml)

    assert solution_density_g_ml(asked, table) == pytest.approx(curve(asked), abs=1e-12)


def test_beyond_the_last_row_nothing_is_guessed():
    with pytest.raises(OutsideModel, match=r"printed for 0 to 28 % by mass at 20 °C .* Got 30 %"):
        solution_density_g_ml(0.30, densities_of("ammonia"))


def test_a_gap_in_the_rows_is_not_bridged():
    with pytest.raises(OutsideModel, match="0 to 40 % and at 68 %"):
        solution_density_g_ml(0.5, densities_of("nitric acid"))


def test_more_than_the_strongest_solution_is_refused():
    with pytest.raises(OutsideModel, match=r"must hold at most .* g in 100 mL"):
        solute_mass_fraction(0.9, densities_of("sodium hydroxide"))


def test_a_negative_strength_is_refused():
    with pytest.raises(BadEntry, match="cannot be below zero"):
        moles_in_a_litre_mol_l(-0.1, 36.461)
