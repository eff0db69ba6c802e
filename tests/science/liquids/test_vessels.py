"""A vessel marked at 20 °C holds more when it is warm."""

import pytest

from stillroom.errors import BadEntry
from stillroom.science.liquids.vessels import mark_for_volume_ml, volume_at_mark_ml


def test_a_litre_of_borosilicate_at_30_degrees() -> None:
    # Worked by hand from V(t) = V20 (1 + gamma (t - 20)), gamma 9.9e-6 /K as ISO 4787 has it (from-memory): a vessel
    # marked 1000 mL holds 1000.099 mL at 30 °C, so 1000.099 mL stand at its mark.
    assert mark_for_volume_ml(1000.099, 30.0, 9.9e-6) == pytest.approx(1000.0, abs=0.0005)


def test_at_its_own_temperature_a_mark_is_right_and_in_the_cold_it_stands_higher() -> None:
    assert mark_for_volume_ml(250.0, 20.0, 4.5e-4) == 250.0
    assert mark_for_volume_ml(250.0, 5.0, 4.5e-4) > 250.0
    assert mark_for_volume_ml(250.0, 15.0, 4.5e-4, base_temperature_c=15.0) == 250.0


def test_what_stands_at_a_mark_is_what_the_mark_was_reckoned_for() -> None:
    # By hand, as above: 1000 mL x (1 + 9.9e-6 x 10).
    assert volume_at_mark_ml(1000.0, 30.0, 9.9e-6) == pytest.approx(1000.099, abs=0.0005)
    assert mark_for_volume_ml(volume_at_mark_ml(250.0, 31.0, 4.5e-4), 31.0, 4.5e-4) == pytest.approx(
        250.0, rel=1e-14
    )


def test_no_volume_has_no_mark() -> None:
    with pytest.raises(BadEntry, match="volume wanted"):
        mark_for_volume_ml(0.0, 20.0, 9.9e-6)
    with pytest.raises(BadEntry, match="The mark"):
        volume_at_mark_ml(-1.0, 20.0, 9.9e-6)
