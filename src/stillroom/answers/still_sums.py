"""Sums about a simple still in grams, per cent by volume and shares, as a maker writes them.

Plain functions, so that an answer can name them and be reckoned again; the equations stand in ``science``.
"""

from typing import cast

import numpy as np

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given
from stillroom.science.heat.distilling import heat_to_distil_j, heat_to_warm_j, minutes_at_power
from stillroom.science.liquids.distilling import Distilled, distil_to_share
from stillroom.science.liquids.still_cuts import (
    boiling_of_spirit_c,
    drip_mass_fraction,
)
from stillroom.substances.spirits import (
    alcoholometer_in_spirit,
    ethanol_water_heats,
    spirit_mass_fraction,
    spirit_still,
    spirit_volume_fraction_20c,
)

J_PER_KJ = 1000.0


@formula("ethanol-in-spirit", takes_arrays=("mass_g", "volume_percent_20c"))
def ethanol_g(mass_g: N | float, volume_percent_20c: N | float) -> N:
    """Ethanol in a mass of spirit. [g].

    Parameters
    ----------
    mass_g : float
        [g]
    volume_percent_20c : float
        [% v/v]

    References
    ----------
    oiml-r22-1975
    """
    return cast(N, like_given(array(mass_g) * by_mass(volume_percent_20c)))


@formula("part-of-mass", takes_arrays=("whole_g", "share"))
def part_g(whole_g: N | float, share: N | float) -> N:
    """A share of a mass. [g].

    Parameters
    ----------
    whole_g : float
        [g]
    share : float
        [1]
    """
    return cast(N, like_given(array(whole_g) * share))


@formula("rest-of-mass", takes_arrays=("whole_g", "part_g"))
def rest_g(whole_g: N | float, part_g: N | float) -> N:
    """What is left of a mass. [g].

    Parameters
    ----------
    whole_g, part_g : float
        [g]
    """
    return cast(N, like_given(array(whole_g) - part_g))


@formula("distillate-mass")
def distillate_g(
    start_mass_g: float, volume_percent_20c: float, pressure_pa: float, ethanol_share: float
) -> float:
    """Distillate when a share of the ethanol is over. [g].

    Parameters
    ----------
    start_mass_g : float
        Spirit in the flask. [g]
    volume_percent_20c : float
        Its strength. [% v/v]
    pressure_pa : float
        [Pa]
    ethanol_share : float
        [1]

    References
    ----------
    rayleigh-1902
    """
    return start_mass_g * _run(volume_percent_20c, pressure_pa, ethanol_share).distillate_mass_g


@formula("distillate-strength", takes_arrays=("volume_percent_20c", "ethanol_share"))
def distillate_percent(volume_percent_20c: N | float, pressure_pa: float, ethanol_share: N | float) -> N:
    """Strength of all that came over. [% v/v].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    ethanol_share : float
        [1]

    References
    ----------
    rayleigh-1902
    """
    return _by_volume(_run(volume_percent_20c, pressure_pa, ethanol_share).distillate_mass_fraction)


@formula("residue-strength", takes_arrays=("volume_percent_20c", "ethanol_share"))
def residue_percent(volume_percent_20c: N | float, pressure_pa: float, ethanol_share: N | float) -> N:
    """Strength of what is left in the flask. [% v/v].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    ethanol_share : float
        [1]

    References
    ----------
    rayleigh-1902
    """
    return _by_volume(_run(volume_percent_20c, pressure_pa, ethanol_share).residue_mass_fraction)


@formula("drip-strength", takes_arrays=("volume_percent_20c", "ethanol_share"))
def drip_percent(volume_percent_20c: N | float, pressure_pa: float, ethanol_share: N | float) -> N:
    """Strength of what drips at that moment. [% v/v].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    ethanol_share : float
        [1]

    References
    ----------
    ethanol-water-nrtl-vle-ig
    """
    left = _run(volume_percent_20c, pressure_pa, ethanol_share).residue_mass_fraction
    return _by_volume(drip_mass_fraction(left, spirit_still(pressure_pa)))


@formula("still-boiling-point")
def boiling_point_c(volume_percent_20c: float, pressure_pa: float, ethanol_share: float) -> float:
    """Boiling point of the flask at that moment. [°C].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    ethanol_share : float
        [1]

    References
    ----------
    ethanol-water-nrtl-vle-ig, perry-8-dippr101
    """
    left = _run(volume_percent_20c, pressure_pa, ethanol_share).residue_mass_fraction
    return float(boiling_of_spirit_c(left, spirit_still(pressure_pa)))


@formula("alcoholometer-in-distillate")
def reading_percent(volume_percent_20c: float, temperature_c: float) -> float:
    """What an alcoholometer marked at 20 °C shows. [% v/v].

    Parameters
    ----------
    volume_percent_20c : float
        True strength. [% v/v]
    temperature_c : float
        Of the spirit. [°C]

    References
    ----------
    oiml-r22-1975
    """
    return 100.0 * float(alcoholometer_in_spirit(volume_percent_20c / 100.0, temperature_c))


@formula("still-heat")
def heat_kj(
    start_mass_g: float,
    volume_percent_20c: float,
    pressure_pa: float,
    ethanol_share: float,
    temperature_c: float,
) -> float:
    """Heat that must reach the liquid. [kJ].

    Parameters
    ----------
    start_mass_g : float
        Spirit in the flask. [g]
    volume_percent_20c : float
        Its strength. [% v/v]
    pressure_pa : float
        [Pa]
    ethanol_share : float
        Over at the end. [1]
    temperature_c : float
        Of the flask at the start. [°C]

    Notes
    -----
    All is warmed to its boiling point, what stays on to its last one, and the distillate is boiled off, with the
    latent heats half way between the first and the last boiling point.

    References
    ----------
    chemicals-1.5.2, popiel-wojtkowiak-1998, watson-1943
    """
    curve, start = spirit_still(pressure_pa), by_mass(volume_percent_20c)
    run = _run(volume_percent_20c, pressure_pa, ethanol_share)
    first: float = boiling_of_spirit_c(start, curve)
    last: float = boiling_of_spirit_c(run.residue_mass_fraction, curve)
    heats = ethanol_water_heats((first + last) / 2.0)
    distil: float = heat_to_distil_j(
        1.0, start, run.distillate_mass_g, run.distillate_mass_fraction, temperature_c, first, heats
    )
    on: float = heat_to_warm_j(run.residue_mass_g, run.residue_mass_fraction, first, last, heats)
    return start_mass_g * (distil + on) / J_PER_KJ


@formula("heating-minutes")
def minutes_for_kj(heat_kj: float, power_w: float, power_share: float) -> float:
    """Minutes a heater takes. [min].

    Parameters
    ----------
    heat_kj : float
        Into the liquid. [kJ]
    power_w : float
        Of the heater. [W]
    power_share : float
        Part of it that arrives. [1]
    """
    return float(minutes_at_power(heat_kj * J_PER_KJ, power_w, power_share))


@formula("distillate-strength-within-published", takes_arrays=("percent", "difference_percent"))
def with_difference_percent(percent: N | float, difference_percent: N | float, sign: float = 1.0) -> N:
    """A strength with what published boilings differ by brought in as a difference of 0. [% v/v at 20 °C].

    Parameters
    ----------
    percent, difference_percent : float
        [% v/v]
    sign : float
        -1 for the strength by the boiling data of one in truth. [1]
    """
    off = array(percent) + sign * array(difference_percent)
    return cast(N, like_given(np.minimum(np.maximum(off, 0.0), 100.0)))


@formula(
    "distillate-of-strength",
    takes_arrays=("start_mass_g", "start_percent", "ethanol_share", "distillate_percent"),
)
def distillate_of_strength_g(
    start_mass_g: N | float, start_percent: N | float, ethanol_share: N | float, distillate_percent: N | float
) -> N:
    """Distillate that holds a share of the ethanol at a strength. [g].

    Parameters
    ----------
    start_mass_g : float
        In the flask. [g]
    start_percent, distillate_percent : float
        [% v/v at 20 °C]
    ethanol_share : float
        Over. [1]
    """
    over_g = array(ethanol_share * ethanol_g(start_mass_g, start_percent))
    strength = np.where(over_g > 0.0, by_mass(distillate_percent), 1.0)
    return cast(N, like_given(np.asarray(over_g / strength)))


def _run(volume_percent_20c: N | float, pressure_pa: float, ethanol_share: N | float) -> Distilled[N]:
    return distil_to_share(1.0, by_mass(volume_percent_20c), ethanol_share, spirit_still(pressure_pa))


def by_mass(volume_percent_20c: N | float) -> N:
    """Strength by mass [1].

    Parameters
    ----------
    volume_percent_20c : float or array
        [% v/v]
    """
    return spirit_mass_fraction(volume_percent_20c / 100.0)


def _by_volume(ethanol_mass_fraction: N | float) -> N:
    return cast(N, like_given(100.0 * array(spirit_volume_fraction_20c(ethanol_mass_fraction))))
