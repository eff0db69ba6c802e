"""How fast the plant gives up: falling, bounded, faster when warm."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutsideModel
from stillroom.science.extraction.maceration import macerated_in_time
from stillroom.science.extraction.marc import macerated_fraction
from stillroom.science.extraction.steaming import oil_by_volume_ml_per_100g, oil_kept_by_water_g
from stillroom.science.extraction.uptake import (
    share_not_yet_out,
    time_at_temperature_min,
    uptake_time_from_share_min,
)


@given(st.floats(0.0, 1.0), st.floats(0.1, 50.0), st.floats(1.0, 500.0), st.floats(0.0, 300.0))
def test_what_is_left_falls_and_stays_a_share(washed, fast, slow, time):
    now = share_not_yet_out(time, washed, fast, slow)
    later = share_not_yet_out(time + 1.0, washed, fast, slow)

    assert 0.0 <= later <= now <= 1.0
    assert share_not_yet_out(0.0, washed, fast, slow) == pytest.approx(1.0)


def test_the_washed_share_is_gone_at_once_when_it_needs_no_time():
    assert share_not_yet_out(0.0, 0.3, 0.0, 60.0) == pytest.approx(0.7)


@given(st.floats(1.0, 90.0), st.floats(1.0, 20.0))
def test_warmer_is_faster_and_the_way_back_leads_home(temperature_c, warmer_k):
    there = time_at_temperature_min(10.0, temperature_c, temperature_c + warmer_k, 30.0)

    assert there < 10.0
    assert time_at_temperature_min(there, temperature_c + warmer_k, temperature_c, 30.0) == pytest.approx(
        10.0
    )


def test_a_temperature_beyond_the_law_is_refused():
    with pytest.raises(OutsideModel, match="0 and 130 °C"):
        time_at_temperature_min(10.0, 80.0, 180.0, 30.0)


@given(st.floats(1.0, 300.0), st.floats(0.01, 0.99))
def test_a_time_read_from_one_point_passes_through_it(time, out):
    constant = uptake_time_from_share_min(time, out)

    assert 1.0 - share_not_yet_out(time, 0.0, 0.0, constant) == pytest.approx(out)


@given(st.floats(0.2, 2.0), st.floats(0.0, 2.0), st.integers(1, 4))
def test_a_long_maceration_is_the_one_at_rest(retention, sorption, portions):
    found = macerated_in_time(100.0, 1000.0, retention, sorption, portions, 1e6, 10.0, 0.0)
    at_rest = macerated_fraction(100.0, [1000.0 / portions] * portions, retention, sorption)

    assert found.drained_share == pytest.approx(at_rest, rel=1e-12)


@given(st.floats(0.0, 1.0), st.integers(1, 3), st.floats(0.0, 5000.0))
def test_drained_and_held_are_never_more_than_there_was(washed, portions, time):
    found = macerated_in_time(100.0, 1000.0, 1.5, 0.5, portions, time, 600.0, washed)

    assert found.drained_share >= 0.0
    assert found.held_share >= 0.0
    assert found.drained_share + found.held_share <= 1.0 + 1e-12


def test_water_never_keeps_more_oil_than_came_over():
    assert oil_kept_by_water_g(0.1, 1000.0, 300.0) == 0.1
    assert oil_kept_by_water_g(5.0, 1000.0, 300.0) == pytest.approx(0.3)


def test_an_arm_read_without_xylene_is_all_oil():
    assert oil_by_volume_ml_per_100g(0.5, 0.0, 50.0) == pytest.approx(1.0)
