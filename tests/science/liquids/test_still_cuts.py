"""Where a still is stopped: each way to say it meets the same moment, and no still gives more than its first drop."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.errors import OutsideModel
from stillroom.science.liquids.dilution import dilute_from_stock
from stillroom.science.liquids.distilling import distil_to_share
from stillroom.science.liquids.still_cuts import (
    boiling_of_spirit_c,
    drip_mass_fraction,
    residue_at_boiling,
    residue_at_drip,
    share_at_distillate,
    share_at_residue,
)
from stillroom.substances.spirits import (
    oiml_r22,
    spirit_mass_fraction,
    spirit_still,
    spirit_volume_fraction_20c,
)

CURVE = spirit_still()
starts = st.floats(0.05, 0.93)
shares = st.floats(0.02, 0.998)


@settings(max_examples=60, deadline=None)
@given(starts, shares)
def test_every_way_to_say_where_to_stop_meets_the_same_moment(start, share):
    run = distil_to_share(1.0, start, share, CURVE)
    boils = boiling_of_spirit_c(run.residue_mass_fraction, CURVE)
    drips = drip_mass_fraction(run.residue_mass_fraction, CURVE)

    assert share_at_distillate(start, run.distillate_mass_fraction, CURVE) == pytest.approx(share, abs=2e-6)
    assert residue_at_boiling(boils, CURVE) == pytest.approx(run.residue_mass_fraction, abs=2e-6)
    assert residue_at_drip(drips, CURVE) == pytest.approx(run.residue_mass_fraction, abs=2e-6)
    assert share_at_residue(start, run.residue_mass_fraction, CURVE) == pytest.approx(share, abs=1e-9)


@settings(max_examples=200, deadline=None)
@given(st.floats(0.30, 0.96), st.floats(0.10, 0.99), st.floats(0.05, 0.999), st.floats(50.0, 20_000.0))
def test_diluting_then_getting_back_never_makes_ethanol(have, thinner, share, mass_g):
    want = have * thinner
    water_g = dilute_from_stock(have, want, mass_g, 20.0, oiml_r22()).water_mass_g
    ethanol_g = mass_g * spirit_mass_fraction(have)
    flask_g = mass_g + water_g
    run = distil_to_share(flask_g, ethanol_g / flask_g, share, CURVE)
    over_g = run.distillate_mass_g * run.distillate_mass_fraction
    left_g = run.residue_mass_g * run.residue_mass_fraction

    assert over_g <= ethanol_g * (1.0 + 1e-9)
    assert over_g + left_g == pytest.approx(ethanol_g, rel=1e-9)
    assert run.distillate_mass_g + run.residue_mass_g == pytest.approx(flask_g, rel=1e-9)
    assert run.distillate_mass_fraction <= drip_mass_fraction(ethanol_g / flask_g, CURVE) * (1.0 + 1e-6)


@settings(max_examples=40, deadline=None)
@given(starts, st.floats(0.05, 0.9))
def test_a_longer_run_is_weaker_and_hotter(start, share):
    sooner, later = (distil_to_share(1.0, start, one, CURVE) for one in (share, share + 0.05))

    assert later.distillate_mass_fraction < sooner.distillate_mass_fraction
    assert boiling_of_spirit_c(later.residue_mass_fraction, CURVE) > boiling_of_spirit_c(
        sooner.residue_mass_fraction, CURVE
    )


def test_arrays_answer_as_each_alone():
    wanted = np.array([0.75, 0.7, 0.6])
    together = share_at_distillate(0.6, wanted, CURVE)

    assert list(together) == [share_at_distillate(0.6, float(one), CURVE) for one in wanted]


def test_a_still_that_starts_at_70_never_gives_more_than_about_86():
    # common practice, no source: "a simple still starting at 70 % v/v never gives more than about 86 %"
    first = drip_mass_fraction(spirit_mass_fraction(0.70), CURVE)

    assert 100 * spirit_volume_fraction_20c(first) == pytest.approx(86.0, abs=0.5)
    with pytest.raises(OutsideModel, match="at most"):
        share_at_distillate(spirit_mass_fraction(0.70), spirit_mass_fraction(0.90), CURVE)


def test_a_temperature_at_which_no_spirit_boils_is_refused_with_the_range():
    with pytest.raises(OutsideModel, match=r"Spirit boils between 78\.\d and 100\.0 °C"):
        residue_at_boiling(70.0, CURVE)
    with pytest.raises(OutsideModel, match="at most"):
        residue_at_drip(0.97, CURVE)
