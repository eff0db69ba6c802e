"""Percolation: the tank model against the incomplete gamma function and a step-by-step washing."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import gammaincc

from stillroom.errors import BadEntry
from stillroom.science.extraction.percolation import percolated_fraction


@given(st.floats(0.0, 5e4), st.floats(1.0, 1e4), st.floats(0.2, 3.0), st.integers(1, 12))
def test_the_poisson_tail_is_that_of_a_general_library(volume, mass, capacity, tanks):
    mean = tanks * volume / (capacity * mass)
    tail = sum(gammaincc(i, mean) for i in range(1, tanks + 1)) / tanks

    assert percolated_fraction(volume, mass, capacity, tanks) == pytest.approx(1 - tail, abs=1e-12)


def test_tanks_washed_drop_by_drop_end_where_the_formula_says():
    tanks, drops, turnover = 3, 40_000, 1.7
    holds = np.full(tanks, 1 / tanks)
    for _ in range(drops):
        moved = holds * (tanks * turnover / drops)
        holds = holds - moved
        holds[1:] += moved[:-1]

    assert percolated_fraction(turnover, 1.0, 1.0, tanks) == pytest.approx(1 - holds.sum(), abs=1e-4)


@given(st.integers(1, 6))
def test_nothing_collected_is_nothing_extracted_and_more_liquid_never_means_less(tanks):
    share = percolated_fraction(np.linspace(0.0, 5e3, 200), 250.0, 0.6, tanks)

    assert share[0] == 0
    assert (np.diff(share) >= 0).all()
    assert (share < 1 + 1e-12).all()


def test_a_percolator_without_a_tank_is_refused():
    with pytest.raises(BadEntry, match="at least one tank"):
        percolated_fraction(1000.0, 250.0, 0.6, 0)


def test_a_bed_without_plant_is_refused():
    with pytest.raises(BadEntry, match="The plant in the bed must be above zero"):
        percolated_fraction(1000.0, 0.0, 0.6)
