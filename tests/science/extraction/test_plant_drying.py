"""Fresh to dry by mass, and when a rack is dry."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, NotEnough
from stillroom.science.extraction.plant_drying import dried_mass_g, moisture_by_mass, rack_seen


@given(fresh_g=st.floats(10.0, 1e5), wet=st.floats(0.5, 0.95), left=st.floats(0.0, 0.3))
def test_the_dry_matter_stays_and_the_mass_tells_the_moisture_back(
    fresh_g: float, wet: float, left: float
) -> None:
    dried_g = dried_mass_g(fresh_g, wet, left)

    assert dried_g * (1.0 - left) == pytest.approx(fresh_g * (1.0 - wet), rel=1e-12)
    assert moisture_by_mass(fresh_g, wet, dried_g) == pytest.approx(left, abs=1e-9)


def test_a_rack_that_still_loses_is_not_dry_and_one_that_gains_the_same_is() -> None:
    assert not rack_seen([0.0, 24.0, 48.0], [5000.0, 2100.0, 1500.0]).constant
    assert rack_seen([0.0, 72.0, 96.0], [5000.0, 1250.0, 1255.0]).constant


def test_weighings_of_one_hour_say_nothing_of_constant_mass() -> None:
    with pytest.raises(NotEnough, match="12 h apart"):
        rack_seen([0.0, 1.0], [1250.0, 1250.0])


def test_a_slow_drying_seen_twice_in_half_a_day_is_judged_by_the_day() -> None:
    assert not rack_seen([0.0, 12.0], [1260.0, 1250.0]).constant


@pytest.mark.parametrize(
    ("hours", "masses"), [([0.0, 24.0], [5.0]), ([24.0, 0.0], [5.0, 4.0]), ([0.0, 24.0], [5.0, 0.0])]
)
def test_weighings_out_of_order_or_of_nothing_are_asked_back(hours: list[float], masses: list[float]) -> None:
    with pytest.raises(BadEntry):
        rack_seen(hours, masses)
