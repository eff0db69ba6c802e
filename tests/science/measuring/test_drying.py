"""Loss on drying, and the weighing at which the mass is constant."""

import pytest

from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.science.measuring.drying import constant_mass, loss_on_drying_fraction


def test_loss_is_of_the_sample_not_of_the_dish():
    assert loss_on_drying_fraction(30.0, 32.0, 31.81) == pytest.approx(0.095)


def test_two_weighings_within_five_milligrams_are_constant():
    # two weighings within 5 mg on 2 to 5 g; second-hand
    found = constant_mass([31.9000, 31.8220, 31.8140, 31.8090], 2.0)

    assert found.constant
    assert found.at_weighing == 4
    assert found.final_mass_g == 31.8090


def test_six_milligrams_are_not_constant_yet():
    found = constant_mass([31.8220, 31.8160], 2.0)

    assert not found.constant
    assert found.last_difference_g == pytest.approx(0.006)


def test_a_single_weighing_says_nothing():
    with pytest.raises(NotEnough, match="takes two weighings in a row"):
        constant_mass([31.8], 2.0)


def test_the_rule_holds_for_two_to_five_grams():
    with pytest.raises(OutsideModel, match="between 2 and 5 g"):
        constant_mass([31.8, 31.8], 0.5)


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
