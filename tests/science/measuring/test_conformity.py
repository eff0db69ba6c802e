"""A result against a limit: tabled normal and Student points, and the two sides add up."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry
from stillroom.science.measuring.conformity import (
    lower_bound,
    one_sided_factor,
    probability_above,
    probability_below,
    upper_bound,
)


@pytest.mark.parametrize(("dof", "printed"), [(math.inf, 1.645), (5, 2.015), (10, 1.812), (30, 1.697)])
def test_one_sided_95_per_cent_points_are_those_of_printed_tables(dof, printed):
    # Student's t, one-sided 95 %; statistical tables, from memory
    assert one_sided_factor(0.95, dof) == pytest.approx(printed, abs=0.0005)


def test_at_the_limit_the_chance_is_one_half():
    assert probability_above(0.2, 0.2, 0.01) == pytest.approx(0.5)


def test_1_645_uncertainties_below_the_limit_five_in_a_hundred_are_above():
    assert probability_above(1.0, 1.0 - 1.645 * 0.1, 0.1) == pytest.approx(0.05, abs=0.0005)


@given(st.floats(-10, 10), st.floats(-10, 10), st.floats(0.01, 5.0), st.floats(1.0, 100.0))
def test_above_and_below_are_everything(limit, value, uncertainty, dof):
    above, below = (
        probability_above(limit, value, uncertainty, dof),
        probability_below(limit, value, uncertainty, dof),
    )

    assert above + below == pytest.approx(1.0)


@given(st.floats(-10, 10), st.floats(0.01, 5.0), st.floats(2.0, 100.0), st.floats(0.6, 0.999))
def test_the_bound_is_where_the_chance_is_what_was_asked(value, uncertainty, dof, coverage):
    upper = upper_bound(value, uncertainty, dof, coverage=coverage)
    lower = lower_bound(value, uncertainty, dof, coverage=coverage)

    assert probability_below(upper, value, uncertainty, dof) == pytest.approx(coverage, abs=1e-9)
    assert probability_above(lower, value, uncertainty, dof) == pytest.approx(coverage, abs=1e-9)


def test_a_chance_without_an_uncertainty_is_refused():
    with pytest.raises(BadEntry, match="needs a standard uncertainty above zero"):
        probability_above(0.2, 0.1, 0.0)


def test_no_freedom_no_bound():
    with pytest.raises(BadEntry, match="at least one degree of freedom"):
        upper_bound(0.1, 0.01, 0.5)
