"""The Soxhlet's arithmetic: the fall at each siphoning, the tail, the strengths of a watery spirit."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.science.extraction.siphoning import (
    condensate_ml_per_min,
    left_in_thimble_share,
    siphon_ratio,
    siphonings_needed,
    soxhlet_split,
    soxhlet_tail,
)
from stillroom.substances.spirits import ethanol_water_boiling, oiml_r22

TABLE, MODEL = oiml_r22(), ethanol_water_boiling()


@given(st.floats(0.2, 0.9), st.floats(50.0, 1000.0), st.integers(3, 9))
def test_residues_that_fall_evenly_give_their_own_ratio_and_sum(ratio, first_mg, count):
    residues = [first_mg * ratio**at for at in range(count)]
    tail = soxhlet_tail(residues, 50.0, 12.0, 1e-3)
    to_come = sum(residues[-1] * ratio**at for at in range(1, 4000))

    assert tail.ratio == pytest.approx(ratio, rel=1e-9)
    assert tail.remaining_mass_mg == pytest.approx(to_come, rel=1e-6)


@given(st.floats(0.2, 0.9), st.floats(50.0, 1000.0), st.floats(1e-4, 0.2))
def test_the_further_siphonings_are_enough_and_one_less_is_not(ratio, first_mg, target):
    residues = [first_mg * ratio**at for at in range(5)]
    tail = soxhlet_tail(residues, 20.0, 12.0, target)
    share_after = tail.remaining_share * ratio**tail.more_cycles

    assert share_after <= target * (1 + 1e-6)
    if tail.more_cycles:
        assert tail.remaining_share * ratio ** (tail.more_cycles - 1) > target
    assert tail.more_minutes == 12.0 * tail.more_cycles


def test_residues_that_do_not_fall_are_no_tail():
    with pytest.raises(OutsideModel, match="must fall"):
        soxhlet_tail([50.0, 55.0, 61.0], 10.0, 14.0, 1e-3)


def test_two_residues_are_no_tail():
    with pytest.raises(NotEnough, match="at least 3"):
        soxhlet_tail([50.0, 30.0], 10.0, 14.0, 1e-3)


def test_more_residue_than_was_collected_is_a_slip():
    with pytest.raises(BadEntry, match="includes these residues"):
        soxhlet_tail([500.0, 300.0, 200.0], 0.9, 14.0, 1e-3)


def test_an_empty_heel_takes_everything_at_once_and_a_full_one_is_refused():
    assert siphon_ratio(80.0, 0.0) == 0.0
    with pytest.raises(NotEnough, match="empty more than it keeps"):
        siphon_ratio(80.0, 80.0)


@given(st.floats(0.05, 0.95), st.floats(1e-6, 0.5))
def test_as_many_siphonings_as_needed_leave_what_may_stay(ratio, left):
    number = siphonings_needed(left, ratio)

    assert ratio**number == pytest.approx(left, rel=1e-9)


def test_the_slow_rest_leaves_with_time_however_often_it_siphons():
    often = left_in_thimble_share(40.0, 0.3, 6.0, 0.5, 300.0)
    seldom = left_in_thimble_share(10.0, 0.3, 24.0, 0.5, 300.0)

    assert often == pytest.approx(0.5 * math.exp(-240.0 / 300.0), rel=1e-4)
    assert seldom == pytest.approx(often, rel=1e-4)


def test_arrays_are_reckoned_draw_by_draw():
    both = left_in_thimble_share(10.0, np.array([0.3, 0.5]), 12.0, 0.6, 300.0)

    assert both[1] == left_in_thimble_share(10.0, 0.5, 12.0, 0.6, 300.0)


@given(st.floats(0.05, 0.93), st.floats(10.0, 120.0))
def test_ethanol_poured_is_in_flask_and_thimble(fraction, held_ml):
    split = soxhlet_split(300.0, fraction, held_ml, TABLE, MODEL)
    from stillroom.science.liquids.density import density_kg_m3

    held_g = held_ml * density_kg_m3(split.thimble_mass_fraction, 20.0, TABLE) / 1000.0
    found = (300.0 - held_g) * split.flask_mass_fraction + held_g * split.thimble_mass_fraction

    assert found == pytest.approx(300.0 * fraction, rel=1e-9)
    assert split.flask_mass_fraction < fraction < split.thimble_mass_fraction


def test_an_extractor_larger_than_the_charge_is_refused():
    with pytest.raises(NotEnough, match="More must be poured"):
        soxhlet_split(80.0, 0.9, 120.0, TABLE, MODEL)


def test_heat_that_is_all_lost_boils_nothing():
    with pytest.raises(NotEnough, match="left for boiling"):
        condensate_ml_per_min(20.0, 0.4, 10.0, 850.0, 0.8)
