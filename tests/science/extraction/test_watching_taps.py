"""Taps as siphonings: a forgotten tap, a cut of power, a slip of the finger, a heater that fades."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry
from stillroom.science.extraction.watching_taps import siphonings_of


def taps(cycle, count, seed=0, scatter=0.03, trend=0.0):
    rng = np.random.default_rng(seed)
    return np.cumsum(cycle * np.exp(rng.normal(0.0, scatter, count) + trend * np.arange(count)))


@given(st.floats(8.0, 20.0), st.integers(6, 20), st.integers(0, 99), st.data())
def test_a_forgotten_tap_is_noticed_and_counted(cycle, count, seed, data):
    every = taps(cycle, count, seed)
    gone = data.draw(st.integers(1, count - 2))
    found = siphonings_of(np.delete(every, gone))

    assert found.forgotten == (gone + 1,)
    assert found.minutes.size == count
    assert found.cuts == ()
    assert found.minutes[-1] - found.minutes[0] == pytest.approx(every[-1] - every[0])


@given(st.floats(8.0, 20.0), st.integers(6, 20), st.integers(0, 99), st.floats(35.0, 400.0), st.data())
def test_a_cut_is_not_read_as_a_slow_cycle(cycle, count, seed, cut, data):
    every = taps(cycle, count, seed)
    at = data.draw(st.integers(2, count - 1))
    later = every.copy()
    later[at:] += cut
    found = siphonings_of(later, stood=[(float(every[at - 1]) + 2.0, float(every[at - 1]) + 2.0 + cut)])

    assert found.forgotten == ()
    assert [after for after, _ in found.cuts] == [at] or found.cuts == ()
    assert found.minutes[-1] == pytest.approx(every[-1] - every[0] + found.minutes[0], rel=0.02)
    assert found.cycle_min == pytest.approx(cycle, rel=0.12)


@given(st.floats(8.0, 20.0), st.integers(8, 20), st.integers(0, 99), st.floats(1.42, 1.55), st.integers(1, 7))
def test_a_cut_nobody_noted_is_recognised_by_its_odd_length(cycle, count, seed, odd, at):
    later = taps(cycle, count, seed)
    later[at:] += cycle * odd
    found = siphonings_of(later)

    assert [after for after, _ in found.cuts] == [at]
    assert found.minutes.size == count
    assert found.cycle_min == pytest.approx(cycle, rel=0.12)


def test_what_somebody_counted_is_believed():
    found = siphonings_of([0.0, 12.0, 24.0, 84.0, 96.0], counted=[0, 0, 0, 2, 0])

    assert found.minutes.size == 6
    assert found.forgotten == (4,)


def test_two_taps_in_a_moment_are_one_siphoning():
    found = siphonings_of([0.0, 12.0, 24.0, 24.2, 36.0, 48.0])

    assert found.minutes.size == 5
    assert found.number_of_tap == (1, 2, 3, 0, 4, 5)


@given(st.integers(0, 99), st.floats(9.0, 15.0))
def test_a_heater_that_fades_is_noticed_and_one_that_does_not_is_left_alone(seed, cycle):
    assert siphonings_of(taps(cycle, 12, seed, trend=0.035)).fades
    assert not siphonings_of(taps(cycle, 12, seed, trend=0.0)).fades


def test_the_next_cycle_follows_the_heater():
    every = taps(10.0, 12, scatter=0.01, trend=0.04)

    assert siphonings_of(every).cycle_min == pytest.approx(10.0 * np.exp(0.04 * 12), rel=0.06)


def test_with_one_tap_the_plan_says_how_long_a_siphoning_takes():
    found = siphonings_of([3.0], planned_cycle_min=14.0)

    assert (found.cycle_min, found.minutes.tolist()) == (14.0, [14.0])


def test_taps_out_of_order_are_said():
    with pytest.raises(BadEntry, match="in order"):
        siphonings_of([12.0, 3.0])


@given(st.floats(0.2, 5.0), st.integers(2, 8))
def test_a_plan_that_is_wrong_about_the_heater_does_not_make_taps_forgotten(wrong, count):
    found = siphonings_of(taps(12.0, count, seed=1), planned_cycle_min=12.0 * wrong)

    assert found.forgotten == ()
    assert found.cycle_min == pytest.approx(12.0, rel=0.1)
