"""Mixing: mass and ethanol close, order does not matter, fresh herb brings its water."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.science.liquids.mixing import Part, after_fresh_herb, mix, mixture_volume_ml
from stillroom.substances.spirits import oiml_r22

TABLE = oiml_r22()
parts = st.lists(st.builds(Part, st.floats(0.1, 1e5), st.floats(0.0, 1.0)), min_size=1, max_size=6)


@given(parts)
def test_mass_and_ethanol_close(poured):
    mixture = mix(poured)

    assert mixture.mass_g == pytest.approx(sum(one.mass_g for one in poured), rel=1e-12)
    assert mixture.ethanol_mass_g == pytest.approx(
        sum(one.mass_g * one.ethanol_mass_fraction for one in poured), rel=1e-12
    )


@given(parts)
def test_the_order_of_pouring_does_not_matter(poured):
    there, back = mix(poured), mix(poured[::-1])

    assert there.ethanol_mass_fraction == pytest.approx(back.ethanol_mass_fraction, rel=1e-12)


@given(parts)
def test_a_mixture_is_never_stronger_than_its_strongest_part(poured):
    strengths = [one.ethanol_mass_fraction for one in poured]

    assert min(strengths) - 1e-12 <= mix(poured).ethanol_mass_fraction <= max(strengths) + 1e-12


def test_fresh_herb_dilutes_the_spirit():
    # 800 g of herb at 78 % water in 1.6 L of 96 %: worked by hand, tolerance 0.1 % v/v
    found = after_fresh_herb(800.0, 0.78, 1600.0, 0.96, 20.0, TABLE)

    assert 100 * found.ethanol_volume_fraction_20c == pytest.approx(70.83, abs=0.1)
    assert found.liquor_volume_ml == pytest.approx(2169, abs=1)
    assert 100 * found.additive_volume_fraction_20c == pytest.approx(69.06, abs=0.1)


def test_dry_herb_leaves_the_strength_as_it_was():
    found = after_fresh_herb(800.0, 0.0, 1600.0, 0.96, 20.0, TABLE)

    assert found.ethanol_volume_fraction_20c == pytest.approx(0.96, abs=1e-12)
    assert found.liquor_volume_ml == pytest.approx(1600.0, rel=1e-12)


def test_water_alone_has_the_volume_of_water():
    assert mixture_volume_ml(mix([Part(998.2, 0.0)]), 20.0, TABLE) == pytest.approx(1000.0, abs=0.1)


def test_nothing_poured_is_refused():
    with pytest.raises(NotEnough, match="Something must be poured"):
        mix([])


def test_a_negative_mass_is_refused():
    with pytest.raises(BadEntry, match=r"cannot be below zero\. Got -3 g"):
        mix([Part(-3.0, 0.5)])


def test_moisture_in_per_cent_is_refused():
    with pytest.raises(OutsideModel, match="Moisture of the herb must lie between 0 and 1"):
        after_fresh_herb(800.0, 78.0, 1600.0, 0.96, 20.0, TABLE)
