"""Loss on drying."""

import pytest

from stillroom.errors import BadEntry
from stillroom.science.measuring.drying import loss_on_drying_fraction


def test_loss_is_of_the_sample_not_of_the_dish():
    assert loss_on_drying_fraction(30.0, 32.0, 31.81) == pytest.approx(0.095)


@pytest.mark.parametrize(
    ("tare", "before", "after", "says"),
    [
        (30.0, 29.0, 28.0, "more than the empty dish"),
        (30.0, 32.0, 32.1, "does not gain"),
        (30.0, 32.0, 29.9, "at least nothing"),
    ],
)
def test_impossible_weighings_are_asked_about(tare, before, after, says):
    with pytest.raises(BadEntry, match=says):
        loss_on_drying_fraction(tare, before, after)
