"""Sums about a simple still in grams, per cent by volume and shares, as a maker writes them.

Plain functions, so that an answer can name them and be reckoned again; the equations stand in ``science``.
"""

from stillroom.evidence.formulas import formula
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


@formula("ethanol-in-spirit")
def ethanol_g(mass_g: float, volume_percent_20c: float) -> float:
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
    return mass_g * _by_mass(volume_percent_20c)


@formula("part-of-mass")
def part_g(whole_g: float, share: float) -> float:
    """A share of a mass. [g].

    Parameters
    ----------
    whole_g : float
        [g]
    share : float
        [1]
    """
    return whole_g * share


@formula("rest-of-mass")
def rest_g(whole_g: float, part_g: float) -> float:
    """What is left of a mass. [g].

    Parameters
    ----------
    whole_g, part_g : float
        [g]
    """
    return whole_g - part_g


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


@formula("distillate-strength")
def distillate_percent(volume_percent_20c: float, pressure_pa: float, ethanol_share: float) -> float:
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


@formula("residue-strength")
def residue_percent(volume_percent_20c: float, pressure_pa: float, ethanol_share: float) -> float:
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


@formula("drip-strength")
def drip_percent(volume_percent_20c: float, pressure_pa: float, ethanol_share: float) -> float:
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
    return _by_volume(float(drip_mass_fraction(left, spirit_still(pressure_pa))))


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
    curve, start = spirit_still(pressure_pa), _by_mass(volume_percent_20c)
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


@formula("distillate-strength-within-published")
def with_difference_percent(percent: float, difference_percent: float, sign: float = 1.0) -> float:
    """A strength with what published boilings differ by brought in as a difference of 0. [% v/v at 20 °C].

    Parameters
    ----------
    percent, difference_percent : float
        [% v/v]
    sign : float
        -1 for the strength by the boiling data of one in truth. [1]
    """
    return min(max(percent + sign * difference_percent, 0.0), 100.0)


@formula("distillate-of-strength")
def distillate_of_strength_g(
    start_mass_g: float, start_percent: float, ethanol_share: float, distillate_percent: float
) -> float:
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
    if ethanol_share == 0.0:
        return 0.0
    over_g = ethanol_share * ethanol_g(start_mass_g, start_percent)
    return over_g / float(spirit_mass_fraction(distillate_percent / 100.0))


def _run(volume_percent_20c: float, pressure_pa: float, ethanol_share: float) -> Distilled[float]:
    return distil_to_share(1.0, _by_mass(volume_percent_20c), ethanol_share, spirit_still(pressure_pa))


def _by_mass(volume_percent_20c: float) -> float:
    return float(spirit_mass_fraction(volume_percent_20c / 100.0))


def _by_volume(ethanol_mass_fraction: float) -> float:
    return 100.0 * float(spirit_volume_fraction_20c(ethanol_mass_fraction))
