"""Where the next of several like results is to be expected, and which lies where none of the others would."""

import numpy as np
import pytest

from stillroom.errors import BadEntry
from stillroom.science.measuring.prediction import like_none_before, next_result


def test_the_interval_of_a_printed_example_holds() -> None:
    # Hahn and Meeker, Statistical intervals (1991), five circuit packs of mean 50.10 V and s 1.31 V: the 95 %
    # prediction interval of one more is 46.1 to 54.1 V; from memory.
    five = np.array([-1.3, -0.4, 0.0, 0.2, 1.5])
    five = 50.10 + 1.31 * (five - five.mean()) / five.std(ddof=1)

    low, middle, high = next_result(five.tolist(), 0.95)

    assert (low, middle, high) == (
        pytest.approx(46.1, abs=0.05),
        pytest.approx(50.10, abs=0.005),
        pytest.approx(54.1, abs=0.05),
    )


def test_it_holds_the_next_as_often_as_it_says() -> None:
    chance = np.random.default_rng(11)
    held = []
    for _ in range(4000):
        *seen, coming = chance.normal(5.0, 2.0, 6)
        low, _, high = next_result(seen, 0.8)
        held.append(low <= coming <= high)

    assert np.mean(held) == pytest.approx(0.8, abs=0.02)


def test_a_lot_that_behaves_like_none_before_is_found_and_one_that_is_merely_low_is_not() -> None:
    assert like_none_before([17.0, 17.4, 17.2, 16.9, 9.0]) == (False, False, False, False, True)
    assert like_none_before([17.0, 17.4, 17.2, 16.9, 16.5]) == (False,) * 5
    assert like_none_before([17.0, 9.0]) == (False, False)


def test_two_results_tell_no_spread() -> None:
    with pytest.raises(BadEntry, match="needs 3 results"):
        next_result([1.0, 2.0], 0.8)
    with pytest.raises(BadEntry, match="between 0 and 1"):
        next_result([1.0, 2.0, 3.0], 1.0)
