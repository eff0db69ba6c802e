"""A vessel marked at 20 °C holds more when it is warm."""

import pytest

from stillroom.errors import BadEntry
from stillroom.science.liquids.vessels import mark_for_volume_ml


def test_a_litre_of_borosilicate_at_30_degrees() -> None:
    # Worked by hand from V(t) = V20 (1 + gamma (t - 20)), gamma 9.9e-6 /K as ISO 4787 has it (from-memory): a vessel
    # marked 1000 mL holds 1000.099 mL at 30 °C, so 1000.099 mL stand at its mark.
    assert mark_for_volume_ml(1000.099, 30.0, 9.9e-6) == pytest.approx(1000.0, abs=0.0005)


def test_at_its_own_temperature_a_mark_is_right_and_in_the_cold_it_stands_higher() -> None:
    assert mark_for_volume_ml(250.0, 20.0, 4.5e-4) == 250.0
    assert mark_for_volume_ml(250.0, 5.0, 4.5e-4) > 250.0
    assert mark_for_volume_ml(250.0, 15.0, 4.5e-4, base_temperature_c=15.0) == 250.0


def test_no_volume_has_no_mark() -> None:
    with pytest.raises(BadEntry, match="volume wanted"):
        mark_for_volume_ml(0.0, 20.0, 9.9e-6)
