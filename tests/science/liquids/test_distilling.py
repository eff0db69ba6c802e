"""Simple distillation: a step-by-step boil agrees, masses close, nothing gets past the azeotrope."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.liquids.boiling import (
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)
from stillroom.science.liquids.dilution import dilute_from_stock
from stillroom.science.liquids.distilling import distil_to_mass, distil_to_residue, distil_to_share
from stillroom.substances.spirits import (
    ETHANOL_WATER_BOILING,
    oiml_r22,
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_still,
    spirit_volume_fraction_20c,
)

CURVE = spirit_still()
starts = st.floats(0.01, 0.94)


def boiled_step_by_step(start_mass_g, start_mass_fraction, residue_mass_g):
    """Ethanol and water leave as their vapour says, integrated by a general solver."""

    def leaving(_, left):
        fraction = left[0] / left.sum()
        moles = mole_fraction_from_mass_fraction(float(fraction), ETHANOL_WATER_BOILING)
        vapour = vapour_mole_fraction(moles, CURVE.pressure_pa, ETHANOL_WATER_BOILING)
        over = mass_fraction_from_mole_fraction(vapour, ETHANOL_WATER_BOILING)
        return [-over, -(1 - over)]

    start = [start_mass_g * start_mass_fraction, start_mass_g * (1 - start_mass_fraction)]
    span = (0.0, start_mass_g - residue_mass_g)
    return solve_ivp(leaving, span, start, rtol=1e-9, atol=1e-9).y[:, -1]


@pytest.mark.parametrize(("strength", "share"), [(0.62, 0.91), (0.3, 0.5), (0.1, 0.99), (0.9, 0.6)])
def test_a_boil_reckoned_step_by_step_leaves_the_same_behind(strength, share):
    done = distil_to_share(1000.0, strength, share, CURVE)

    ethanol, water = boiled_step_by_step(1000.0, strength, done.residue_mass_g)

    assert ethanol == pytest.approx(done.residue_mass_g * done.residue_mass_fraction, abs=2e-3)
    assert ethanol + water == pytest.approx(done.residue_mass_g, abs=1e-6)
    assert 1 - ethanol / (1000 * strength) == pytest.approx(share, abs=1e-5)


def test_five_litres_of_70_per_cent_give_back_about_3_8_litres_at_83_per_cent():
    # for 91 % of the ethanol; 82.7 to 83.2 % v/v by the boiling data used; litres to the printed digit
    start = spirit_mass_fraction(0.70)
    done = distil_to_share(5.0 * spirit_density_kg_m3(start, 20.0), start, 0.91, CURVE)
    litres = done.distillate_mass_g / spirit_density_kg_m3(done.distillate_mass_fraction, 20.0)

    assert litres == pytest.approx(3.8, abs=0.05)
    assert 82.65 <= 100 * spirit_volume_fraction_20c(done.distillate_mass_fraction) <= 83.25
    assert 100 * spirit_volume_fraction_20c(done.first_vapour_mass_fraction) == pytest.approx(86, abs=0.5)


@given(st.floats(1.0, 1e5), starts, st.floats(0.0, 0.999))
def test_mass_and_ethanol_close(mass, strength, share):
    done = distil_to_share(mass, strength, share, CURVE)
    ethanol = (
        done.distillate_mass_g * done.distillate_mass_fraction
        + done.residue_mass_g * done.residue_mass_fraction
    )

    assert done.distillate_mass_g + done.residue_mass_g == pytest.approx(mass, rel=1e-12)
    assert ethanol == pytest.approx(mass * strength, rel=1e-9)
    assert done.ethanol_share == pytest.approx(share, abs=1e-9)
    assert done.residue_mass_g > 0
    assert 0 <= done.residue_mass_fraction <= strength


@given(starts, st.floats(0.01, 0.99))
def test_the_three_ways_to_name_the_cut_agree(strength, share):
    by_share = distil_to_share(1000.0, strength, share, CURVE)
    assume(by_share.residue_mass_fraction > 1e-5)
    assume(by_share.distillate_mass_g < 980)

    by_mass = distil_to_mass(1000.0, strength, by_share.distillate_mass_g, CURVE)
    by_residue = distil_to_residue(1000.0, strength, by_share.residue_mass_fraction, CURVE)

    assert by_mass.ethanol_share == pytest.approx(share, abs=1e-8)
    assert by_residue.distillate_mass_g == pytest.approx(by_share.distillate_mass_g, rel=1e-7, abs=1e-6)


@given(st.floats(0.05, 0.9), st.floats(0.05, 0.99))
def test_diluting_and_recovering_never_makes_ethanol(strength, share):
    table = oiml_r22()
    diluted = dilute_from_stock(0.96, spirit_volume_fraction_20c(strength), 1000.0, 20.0, table)
    done = distil_to_share(diluted.product_mass_g, diluted.want_mass_fraction, share, CURVE)

    assert done.distillate_mass_g * done.distillate_mass_fraction <= 1000.0 * diluted.have_mass_fraction * (
        1 + 1e-12
    )
    assert done.distillate_mass_fraction < CURVE.azeotrope_mass_fraction
    assert done.distillate_mass_fraction <= done.first_vapour_mass_fraction + 1e-9


@given(starts)
def test_the_more_comes_over_the_weaker_it_is(strength):
    shares = np.linspace(0.05, 0.99, 12)
    done = distil_to_share(1000.0, strength, shares, CURVE)

    assert (np.diff(done.distillate_mass_g) > 0).all()
    assert (np.diff(done.distillate_mass_fraction) < 1e-9).all()


def test_draws_give_what_single_runs_give():
    masses, strengths, shares = np.array([100.0, 900.0]), np.array([0.2, 0.7]), np.array([0.8, 0.95])
    together = distil_to_share(masses, strengths, shares, CURVE)
    alone = distil_to_share(900.0, 0.7, 0.95, CURVE)

    assert isinstance(alone.distillate_mass_g, float)
    assert together.distillate_mass_g[1] == pytest.approx(alone.distillate_mass_g, rel=1e-12)


def test_nothing_distilled_is_nothing_lost():
    done = distil_to_mass(1000.0, 0.5, 0.0, CURVE)

    assert done.distillate_mass_g == 0
    assert done.residue_mass_fraction == pytest.approx(0.5, rel=1e-12)
    assert not math.isnan(done.distillate_mass_fraction)


def test_spirit_at_the_azeotrope_is_refused():
    with pytest.raises(OutsideModel, match="A simple still cannot strengthen it further"):
        distil_to_share(1000.0, 0.96, 0.5, CURVE)


def test_a_still_is_not_run_dry():
    with pytest.raises(OutsideModel, match="Never to dryness"):
        distil_to_mass(1000.0, 0.5, 999.0, CURVE)


def test_a_cut_after_the_last_ethanol_is_refused():
    with pytest.raises(OutsideModel, match="Ethanol must be left in the still"):
        distil_to_mass(1000.0, 0.01, 985.0, CURVE)


def test_a_residue_stronger_than_the_start_is_refused():
    with pytest.raises(OutsideModel, match="What stays in a simple still gets weaker"):
        distil_to_residue(1000.0, 0.3, 0.5, CURVE)


def test_an_empty_still_is_refused():
    with pytest.raises(BadEntry, match="The mass in the still must be above zero"):
        distil_to_share(0.0, 0.5, 0.5, CURVE)


def test_at_altitude_the_still_boils_cooler_and_the_vapour_is_a_little_stronger():
    high = spirit_still(80_000.0)
    there = distil_to_share(1000.0, 0.6, 0.9, high)
    here = distil_to_share(1000.0, 0.6, 0.9, CURVE)

    assert there.distillate_mass_fraction > here.distillate_mass_fraction
    assert high.azeotrope_mass_fraction > CURVE.azeotrope_mass_fraction
