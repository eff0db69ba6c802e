"""What the marc keeps: closes with what drains, and splitting the liquid always helps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import NotEnough
from stillroom.science.extraction.marc import liquid_kept_ml, macerated_fraction, retention_ml_g


@given(st.floats(1.0, 1e4), st.floats(0.1, 3.0), st.floats(1.0, 20.0))
def test_what_is_kept_and_what_drains_is_what_was_poured(mass, retention, ratio):
    poured = mass * (retention + ratio)
    kept = liquid_kept_ml(mass, retention)

    assert retention_ml_g(mass, poured, poured - kept) == pytest.approx(retention, rel=1e-9)


@given(st.floats(0.3, 2.5), st.floats(3.0, 20.0), st.floats(0.0, 2.0))
def test_two_halves_extract_more_than_one_whole(retention, ratio, sorption):
    volume = 100 * (retention * 2 + ratio)
    once = macerated_fraction(100.0, [volume], retention, sorption)
    twice = macerated_fraction(
        100.0, [(volume + 100 * retention) / 2, (volume - 100 * retention) / 2], retention, sorption
    )

    assert 0 < once < twice < 1


def test_less_liquid_than_the_marc_keeps_is_refused():
    with pytest.raises(NotEnough, match="The marc keeps 160 mL"):
        macerated_fraction(100.0, [120.0], 1.6)


def test_more_liquid_back_than_was_poured_is_refused():
    with pytest.raises(NotEnough, match="No more liquid can drain than was poured"):
        retention_ml_g(100.0, 500.0, 510.0)
