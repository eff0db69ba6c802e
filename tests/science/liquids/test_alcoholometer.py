"""The alcoholometer off 20 °C: there and back, and never the reading itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutsideModel
from stillroom.science.liquids.alcoholometer import reading_volume_fraction, true_volume_fraction_20c
from stillroom.substances.spirits import oiml_r22, spirit_from_alcoholometer

TABLE = oiml_r22()


@given(st.floats(0.15, 0.9), st.floats(0.0, 38.0))
def test_the_reading_a_strength_gives_leads_back_to_that_strength(strength, temperature):
    reading = reading_volume_fraction(strength, temperature, TABLE)

    assert true_volume_fraction_20c(reading, temperature, TABLE) == pytest.approx(strength, abs=1e-10)


@given(st.floats(0.05, 0.95))
def test_at_20_c_the_reading_is_the_strength(strength):
    assert spirit_from_alcoholometer(strength, 20.0) == pytest.approx(strength, abs=1e-12)


@given(st.floats(0.3, 0.9))
def test_in_warm_spirit_the_alcoholometer_flatters(reading):
    assert spirit_from_alcoholometer(reading, 28.0) < reading


def test_a_reading_no_spirit_can_give_at_that_temperature_is_refused():
    with pytest.raises(OutsideModel, match="at 0 °C weighs between"):
        spirit_from_alcoholometer(0.999, 0.0)
