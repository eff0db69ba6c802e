"""Sums about a simple still in grams, per cent by volume and shares, as a maker writes them.

Plain functions, so that an answer can name them and be reckoned again; the equations stand in ``science``.
"""

from stillroom.science.heat.distilling import heat_to_distil_j, heat_to_warm_j, minutes_at_power
from stillroom.science.liquids.distilling import Distilled, distil_to_mass, distil_to_share
from stillroom.science.liquids.still_cuts import (
    boiling_of_spirit_c,
    drip_mass_fraction,
    residue_at_boiling,
    residue_at_drip,
    share_at_distillate,
    share_at_residue,
)
from stillroom.substances.spirits import (
    alcoholometer_in_spirit,
    ethanol_water_heats,
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_still,
    spirit_volume_fraction_20c,
)

J_PER_KJ = 1000.0
ROUNDS = 60


def given_share(ethanol_share: float) -> float:
    """A share as it was chosen. [1].

    Parameters
    ----------
    ethanol_share : float
        [1]
    """
    return ethanol_share


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


def rest_g(whole_g: float, part_g: float) -> float:
    """What is left of a mass. [g].

    Parameters
    ----------
    whole_g, part_g : float
        [g]
    """
    return whole_g - part_g


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


def share_at_distillate_percent(
    volume_percent_20c: float, pressure_pa: float, distillate_percent_20c: float
) -> float:
    """Share of the ethanol over when the distillate is down to a strength. [1].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    distillate_percent_20c : float
        Of all that came over. [% v/v]

    References
    ----------
    rayleigh-1902
    """
    wanted = _by_mass(distillate_percent_20c)
    return float(share_at_distillate(_by_mass(volume_percent_20c), wanted, spirit_still(pressure_pa)))


def share_at_drip_percent(volume_percent_20c: float, pressure_pa: float, drip_percent_20c: float) -> float:
    """Share of the ethanol over when the drip is down to a strength. [1].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    drip_percent_20c : float
        Of what drips. [% v/v]

    References
    ----------
    rayleigh-1902
    """
    curve = spirit_still(pressure_pa)
    left = float(residue_at_drip(_by_mass(drip_percent_20c), curve))
    return float(share_at_residue(_by_mass(volume_percent_20c), left, curve))


def share_at_boiling_point(volume_percent_20c: float, pressure_pa: float, boiling_c: float) -> float:
    """Share of the ethanol over when the flask boils at a temperature. [1].

    Parameters
    ----------
    volume_percent_20c : float
        Of the flask at the start. [% v/v]
    pressure_pa : float
        [Pa]
    boiling_c : float
        Of the liquid. [°C]

    References
    ----------
    rayleigh-1902
    """
    curve = spirit_still(pressure_pa)
    left = float(residue_at_boiling(boiling_c, curve))
    return float(share_at_residue(_by_mass(volume_percent_20c), left, curve))


def share_at_mass(
    start_mass_g: float, volume_percent_20c: float, pressure_pa: float, distillate_mass_g: float
) -> float:
    """Share of the ethanol over when so much is distilled. [1].

    Parameters
    ----------
    start_mass_g : float
        Spirit in the flask. [g]
    volume_percent_20c : float
        Its strength. [% v/v]
    pressure_pa : float
        [Pa]
    distillate_mass_g : float
        Over. [g]

    References
    ----------
    rayleigh-1902
    """
    found: Distilled[float] = distil_to_mass(
        start_mass_g, _by_mass(volume_percent_20c), distillate_mass_g, spirit_still(pressure_pa)
    )
    return found.ethanol_share


def share_at_volume(
    start_mass_g: float,
    volume_percent_20c: float,
    pressure_pa: float,
    distillate_volume_ml: float,
    temperature_c: float,
) -> float:
    """Share of the ethanol over when so much is distilled, by volume. [1].

    Parameters
    ----------
    start_mass_g : float
        Spirit in the flask. [g]
    volume_percent_20c : float
        Its strength. [% v/v]
    pressure_pa : float
        [Pa]
    distillate_volume_ml : float
        Over, measured. [mL]
    temperature_c : float
        Of the distillate. [°C]

    Notes
    -----
    Mass is found anew from the density of the mixture until the volume no longer changes.

    References
    ----------
    rayleigh-1902, oiml-r22-1975
    """
    curve, start = spirit_still(pressure_pa), _by_mass(volume_percent_20c)
    mass_g = distillate_volume_ml * 0.85
    for _ in range(ROUNDS):
        over: Distilled[float] = distil_to_mass(start_mass_g, start, mass_g, curve)
        density = float(spirit_density_kg_m3(over.distillate_mass_fraction, temperature_c))
        better_g = distillate_volume_ml * density / 1000.0
        if abs(better_g - mass_g) <= 1e-12 * mass_g:
            break
        mass_g = better_g
    return over.ethanol_share


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


def _run(volume_percent_20c: float, pressure_pa: float, ethanol_share: float) -> Distilled[float]:
    return distil_to_share(1.0, _by_mass(volume_percent_20c), ethanol_share, spirit_still(pressure_pa))


def _by_mass(volume_percent_20c: float) -> float:
    return float(spirit_mass_fraction(volume_percent_20c / 100.0))


def _by_volume(ethanol_mass_fraction: float) -> float:
    return 100.0 * float(spirit_volume_fraction_20c(ethanol_mass_fraction))
