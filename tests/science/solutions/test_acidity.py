"""pH by charge balance: its laws, its arrays, its range; the independent way is a root finder on its own equations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.solutions.acidity import (
    Protolyte,
    cations_needed_mol_l,
    davies_log_activity,
    solve_acidity,
)

ACETIC = Protolyte("acetic acid", (4.757,), 0)
CITRIC = Protolyte("citric acid", (3.128, 4.761, 6.396), 0)
AMMONIA = Protolyte("ammonia", (9.244,), 1)
TOTALS = st.floats(1e-4, 0.04)


def test_pure_water_is_neutral():
    assert solve_acidity([], []).ph == pytest.approx(13.995 / 2, abs=1e-6)


def test_a_weak_acid_agrees_with_a_root_finder_on_textbook_equations():
    # Written out by hand for one acid: electroneutrality, activities fixed at the ionic strength that was found.
    found = solve_acidity([ACETIC], [0.1], 0.05)
    strength = found.ionic_strength_mol_l
    gamma = 10.0 ** davies_log_activity(1, strength)

    def charge(ph):
        hydrogen = 10.0**-ph / gamma
        acetate = 0.1 / (1.0 + 10.0**-ph * gamma / 10.0**-4.757)
        return hydrogen + 0.05 - acetate - 10.0 ** (ph - 13.995) / gamma

    assert found.ph == pytest.approx(brentq(charge, 0.0, 14.0, xtol=1e-12), abs=1e-9)


def test_davies_at_a_tenth_molar():
    # Davies equation at I = 0.1 mol/L, z = 1: textbooks print a coefficient of about 0.78 (from memory).
    assert 10.0 ** davies_log_activity(1, 0.1) == pytest.approx(0.78, abs=0.005)


@given(TOTALS, TOTALS)
def test_more_sodium_means_a_higher_ph(total, sodium):
    less = solve_acidity([CITRIC], [total], sodium).ph
    more = solve_acidity([CITRIC], [total], 1.1 * sodium).ph

    assert more > less


@given(TOTALS, st.floats(0.1, 2.4), TOTALS)
def test_the_sodium_needed_for_a_ph_leads_back_to_it(total, equivalents, ammonia):
    sodium = equivalents * total
    ph = solve_acidity([CITRIC, AMMONIA], [total, ammonia], sodium).ph

    assert cations_needed_mol_l([CITRIC, AMMONIA], [total, ammonia], ph) == pytest.approx(sodium, abs=1e-9)


@given(TOTALS)
def test_nothing_is_negative_and_every_acid_is_sour(total):
    found = solve_acidity([ACETIC], [total])

    assert 0.0 < found.ph < 7.0
    assert 0.0 < found.ionic_strength_mol_l <= total


@given(st.lists(TOTALS, min_size=2, max_size=6), TOTALS)
def test_an_array_gives_what_each_gives_alone(totals, sodium):
    together = solve_acidity([ACETIC], [np.array(totals)], sodium)

    assert together.ph == pytest.approx(
        [solve_acidity([ACETIC], [one], sodium).ph for one in totals], abs=1e-9
    )


def test_a_strong_solution_is_refused_with_the_range():
    with pytest.raises(OutsideModel, match=r"ionic strength must lie between 0 and 0\.5 mol/L"):
        solve_acidity([ACETIC], [0.1], 1.5)


def test_a_negative_amount_is_refused():
    with pytest.raises(BadEntry, match="cannot be below zero"):
        solve_acidity([ACETIC], [-0.1])


def test_a_ph_beyond_water_is_refused():
    with pytest.raises(OutsideModel, match="The pH must lie between -1 and 15"):
        cations_needed_mol_l([ACETIC], [0.1], 16.0)
