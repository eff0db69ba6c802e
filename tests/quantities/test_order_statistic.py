"""The rank that bounds a share of cases, against printed tables and against the beta distribution."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from stillroom.errors import BadEntry, OutsideModel
from stillroom.quantities.order_statistic import tolerance_rank, upper_limit

# Least number of runs for a one-sided 95 % / 95 % limit by the largest, second largest ... value: the table
# made with Wilks 1941 that is printed in guides to nuclear safety (from-memory).
WILKS_95_95 = [(59, 1), (93, 2), (124, 3), (153, 4), (181, 5)]
# Largest value only: share covered, confidence, least number (from-memory).
LARGEST = [(0.90, 0.95, 29), (0.95, 0.90, 45), (0.99, 0.95, 299), (0.95, 0.99, 90)]


@pytest.mark.parametrize(("runs", "order"), WILKS_95_95)
def test_the_printed_number_of_runs_gives_the_printed_order_and_one_run_fewer_does_not(runs, order):
    assert tolerance_rank(runs) == runs + 1 - order
    if runs > 59:
        assert tolerance_rank(runs - 1) == runs - 1 + 1 - (order - 1)


@pytest.mark.parametrize(("covered", "confidence", "runs"), LARGEST)
def test_the_least_number_of_runs_is_the_printed_one(covered, confidence, runs):
    assert tolerance_rank(runs, covered, confidence) == runs
    with pytest.raises(OutsideModel, match=f"Take at least {runs} draws"):
        tolerance_rank(runs - 1, covered, confidence)


def test_of_4096_draws_the_rank_is_3915():
    assert tolerance_rank(4096) == 3915


@given(
    st.integers(300, 20_000), st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]), st.sampled_from([0.5, 0.9, 0.95])
)
def test_the_rank_is_the_smallest_that_serves(draws, covered, confidence):
    # Two ways: the share below the r-th of n draws is beta (r, n + 1 - r).
    rank = tolerance_rank(draws, covered, confidence)

    assert stats.beta.sf(covered, rank, draws + 1 - rank) >= confidence - 1e-9
    assert stats.beta.sf(covered, rank - 1, draws + 2 - rank) < confidence + 1e-9


def test_in_many_laboratories_the_limit_covers_as_often_as_it_says():
    uniform = np.random.Generator(np.random.Philox(3)).random((4000, 181))
    ordered = np.sort(uniform, axis=1)

    covered = np.mean(ordered[:, tolerance_rank(181) - 1] >= 0.95)

    # Exact 95.0 % or a little more; three standard errors are 1.0 %.
    assert 0.94 < covered < 0.97


def test_draws_that_are_not_numbers_are_refused():
    with pytest.raises(BadEntry, match="finite"):
        upper_limit([1.0] * 60 + [float("nan")])
    with pytest.raises(BadEntry, match="between 0 and 1"):
        tolerance_rank(100, covered=95)
