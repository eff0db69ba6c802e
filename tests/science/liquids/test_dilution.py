"""Dilution: mass and ethanol close, volumes shrink, and the naive answer is shown to be wrong."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.liquids.dilution import dilute_from_stock, dilute_to_volume
from stillroom.substances.spirits import (
    oiml_r22,
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_to_volume,
)

TABLE = oiml_r22()
strengths = st.floats(0.02, 0.98)


def test_five_litres_of_70_from_96_per_cent():
    # worked by hand from OIML R 22 as masses: story tolerances 0.05 % v/v, 1 g, 1 mL
    found = spirit_to_volume(0.96, 0.70, 5000.0, 20.0)

    assert found.stock_mass_g == pytest.approx(2943.7, abs=1)
    assert found.stock_volume_ml == pytest.approx(3645.8, abs=1)
    assert found.water_mass_g == pytest.approx(1484.1, abs=1)
    assert found.water_volume_ml == pytest.approx(1486.8, abs=1)
    assert found.contraction_ml == pytest.approx(132.6, abs=1)
    assert 100 * found.naive_volume_fraction_20c == pytest.approx(71.79, abs=0.05)
    assert found.naive_volume_ml == pytest.approx(4875.3, abs=1)
    error_fraction = found.naive_volume_fraction_20c - found.want_volume_fraction_20c
    assert 100 * error_fraction == pytest.approx(1.79, abs=0.05)


@given(strengths, strengths, st.floats(1.0, 1e6), st.floats(5.0, 35.0))
def test_mass_and_ethanol_close(have, want, volume, temperature):
    assume(want <= have)
    found = dilute_to_volume(have, want, volume, temperature, TABLE)

    assert found.stock_mass_g + found.water_mass_g == pytest.approx(found.product_mass_g, rel=1e-12)
    assert found.stock_mass_g * found.have_mass_fraction == pytest.approx(found.ethanol_mass_g, rel=1e-12)
    assert found.product_volume_ml == pytest.approx(volume, rel=1e-12)
    assert found.water_mass_g >= -1e-9 * found.product_mass_g


@given(strengths, strengths, st.floats(1.0, 1e5), st.floats(5.0, 35.0))
def test_both_ways_of_asking_give_the_same_dilution(have, want, volume, temperature):
    assume(want <= have)
    wanted = dilute_to_volume(have, want, volume, temperature, TABLE)
    at_hand = dilute_from_stock(have, want, wanted.stock_mass_g, temperature, TABLE)

    assert at_hand.product_volume_ml == pytest.approx(volume, rel=1e-10)
    assert at_hand.water_mass_g == pytest.approx(wanted.water_mass_g, rel=1e-9, abs=1e-9)


@given(st.floats(0.6, 0.98), st.floats(0.1, 0.9))
def test_strong_spirit_and_water_shrink_when_they_meet(have, share):
    found = dilute_to_volume(have, have * share, 1000.0, 20.0, TABLE)

    assert found.contraction_ml > 0


def test_weak_spirit_and_water_grow_a_little_when_they_meet():
    # so contraction may be negative: 37.5 % to half its strength
    found = dilute_to_volume(0.375, 0.1875, 1000.0, 20.0, TABLE)

    assert -0.5 < found.contraction_ml < 0


def test_draws_of_volume_come_back_as_draws():
    found = dilute_to_volume(0.96, 0.70, np.array([1000.0, 2000.0]), 20.0, TABLE)

    assert found.stock_mass_g[1] == pytest.approx(2 * found.stock_mass_g[0])


def test_water_is_not_asked_to_make_spirit_stronger():
    with pytest.raises(
        OutsideModel, match=r"Water can only weaken spirit\. Got 70 % at hand and 96 % wanted"
    ):
        dilute_to_volume(0.70, 0.96, 1000.0, 20.0, TABLE)


@pytest.mark.parametrize("volume", [0.0, -5.0, float("nan")])
def test_no_volume_is_refused(volume):
    with pytest.raises(BadEntry, match="The volume wanted must be above zero"):
        dilute_to_volume(0.96, 0.70, volume, 20.0, TABLE)


def test_stock_cannot_be_diluted_to_nothing():
    with pytest.raises(BadEntry, match="The strength wanted must be above zero"):
        dilute_from_stock(0.96, 0.0, 100.0, 20.0, TABLE)


def test_the_volumes_are_those_at_the_liquids_own_temperature():
    warm = dilute_to_volume(0.96, 0.70, 1000.0, 30.0, TABLE)

    assert warm.product_mass_g == pytest.approx(spirit_density_kg_m3(spirit_mass_fraction(0.70), 30.0))
