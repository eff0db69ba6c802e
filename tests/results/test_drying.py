"""Loss on drying and the moment the mass is constant."""

import math

import pytest

from stillroom.answers.budget import spread_leaf
from stillroom.answers.drying import (
    allowed_difference_mg,
    constant,
    loss_on_drying,
    loss_on_drying_percent,
)
from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import Answer, leaves, reading, rerun
from stillroom.evidence.trails import from_trail, trail


def _weighed(name: str, value: float, entry_no: int = 1) -> Answer:
    return reading(
        name, value, "g", f"entry {entry_no}, {name}", entry_no=entry_no, standard_uncertainty=0.001
    )


EMPTY = _weighed("dish, empty", 40.0000, 1)
LOADED = _weighed("dish with bark", 43.0000, 2)


def _dried(*masses: float) -> list[Answer]:
    return [_weighed(f"dish after drying {at}", mass, 2 + at) for at, mass in enumerate(masses, 1)]


def test_a_loss_counts_when_the_last_two_weighings_agree():
    found = loss_on_drying(EMPTY, LOADED, _dried(42.7300, 42.7170, 42.7150))

    assert found.counts
    assert found.answer.value == pytest.approx(9.5, abs=1e-9)
    assert found.constancy.difference_mg == pytest.approx(2.0)
    assert "as is" in found.answer.basis
    assert rerun(from_trail(trail(found.answer))) == found.answer.value
    assert all(one.leaf.entry_no for one in leaves(found.answer))


@pytest.mark.parametrize(
    ("last", "counts"), [(42.7100, True), (42.7099, False), (42.7200, True), (42.7201, False)]
)
def test_five_milligrams_on_three_grams_are_the_edge(last, counts):
    # Two weighings within 5 mg on 2 to 5 g: European Pharmacopoeia as quoted, second-hand.
    assert loss_on_drying(EMPTY, LOADED, _dried(42.7150, last)).counts is counts


def test_a_mass_still_falling_does_not_count_and_says_what_to_do():
    found = loss_on_drying(EMPTY, LOADED, _dried(42.7500, 42.7150))

    assert not found.counts
    assert found.because.startswith("It does not count.")
    assert "Dry for another hour" in found.constancy.do_next


def test_a_mass_that_rises_was_weighed_warm_or_took_up_water():
    assert "gained" in constant([42.70, 42.72], 3.0).says
    for slip in ([361.4, 36.13], [36.13, 361.4]):
        assert "more than the whole sample of 12 g" in constant(slip, 12.02, scale_step_g=0.01).says
        assert constant(slip, 12.02).do_next.startswith("Correct it")


def test_one_weighing_after_drying_is_never_enough():
    found = loss_on_drying(EMPTY, LOADED, _dried(42.7150))

    assert not found.counts
    assert found.constancy.difference_mg is None


def test_a_scale_too_coarse_cannot_show_constancy():
    assert "finer scale" in constant([42.72, 42.72], 3.0, scale_step_g=0.01).do_next
    assert constant([52.72, 52.72], 10.0, scale_step_g=0.01).constant


@pytest.mark.parametrize(
    ("sample_g", "allowed_mg"), [(1.0, 2.5), (2.0, 5.0), (3.0, 5.0), (5.0, 5.0), (20.0, 20.0)]
)
def test_the_allowed_difference_keeps_its_share_outside_the_quoted_range(sample_g, allowed_mg):
    assert allowed_difference_mg(sample_g) == pytest.approx(allowed_mg)


def test_the_uncertainty_of_the_loss_is_worked_by_hand():
    spread = spread_leaf("between portions", 0.0, "%", "earlier portions", standard_uncertainty=0.3)
    plain = loss_on_drying(EMPTY, LOADED, _dried(42.7170, 42.7150))
    wide = loss_on_drying(EMPTY, LOADED, _dried(42.7170, 42.7150), method_difference=spread)

    # y = (b - c)/(b - a): dy/db = (c - a)/3^2, dy/dc = -1/3, dy/da = (b - c)/3^2, times 1 mg and 100 %.
    by_hand = 100.0 * 0.001 * math.hypot(2.715 / 9.0, 1.0 / 3.0, 0.285 / 9.0)
    assert plain.answer.standard_uncertainty == pytest.approx(by_hand, rel=1e-5)
    assert wide.answer.standard_uncertainty == pytest.approx(math.hypot(by_hand, 0.3), rel=1e-5)
    assert wide.answer.value == plain.answer.value


def test_a_sample_that_lost_nothing_has_a_loss_of_zero():
    found = loss_on_drying(EMPTY, LOADED, _dried(43.0000, 43.0000))

    assert found.counts
    assert found.answer.value == 0.0


@pytest.mark.parametrize(
    ("empty", "loaded", "dried", "message"),
    [
        (EMPTY, LOADED, [], "at least one weighing after drying"),
        (reading("dish", 40.0, "kg", "entry 1"), LOADED, _dried(42.7), "must be in grams"),
    ],
)
def test_weighings_that_cannot_be_right_are_asked_back(empty, loaded, dried, message):
    with pytest.raises(BadEntry, match=message):
        loss_on_drying(empty, loaded, dried)


@pytest.mark.parametrize("dried_g", [39.9, 40.0, 43.0001, 43.1, 427.15])
def test_a_dish_that_gained_or_holds_nothing_any_more_is_kept_and_does_not_count(dried_g):
    found = loss_on_drying(EMPTY, LOADED, _dried(dried_g, dried_g))

    assert found.answer.value == pytest.approx((43.0 - dried_g) / 3.0 * 100.0)
    assert not found.counts
    assert found.because.startswith("It does not count. The dried dish weighs")


@pytest.mark.parametrize(("empty", "loaded"), [(LOADED, EMPTY), (EMPTY, EMPTY)])
def test_of_no_sample_no_share_can_be_lost(empty, loaded):
    with pytest.raises(OutsideModel, match="weigh more than the empty dish"):
        loss_on_drying(empty, loaded, _dried(42.7))


def test_a_known_difference_of_the_method_is_added():
    assert loss_on_drying_percent(40.0, 43.0, 42.715, 0.2) == pytest.approx(9.7, abs=1e-9)


def test_no_sample_has_no_allowed_difference():
    with pytest.raises(BadEntry, match="needs a sample"):
        allowed_difference_mg(0.0)
