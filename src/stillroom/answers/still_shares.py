"""The share of the ethanol that is over when a simple still is stopped, by whatever it is stopped at.

Plain functions, so that an answer can name them and be reckoned again; the equations stand in ``science``.
"""

from stillroom.evidence.formulas import formula
from stillroom.science.liquids.distilling import Distilled, distil_to_mass
from stillroom.science.liquids.still_cuts import (
    residue_at_boiling,
    residue_at_drip,
    share_at_distillate,
    share_at_residue,
)
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction, spirit_still

ROUNDS = 60


@formula("given-share")
def given_share(ethanol_share: float) -> float:
    """A share as it was chosen. [1].

    Parameters
    ----------
    ethanol_share : float
        [1]
    """
    return ethanol_share


@formula("share-over-by-distillate")
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


@formula("share-over-by-drip")
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


@formula("share-over-by-boiling-point")
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


@formula("share-over-by-mass")
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


@formula("share-over-by-volume")
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


def _by_mass(volume_percent_20c: float) -> float:
    return float(spirit_mass_fraction(volume_percent_20c / 100.0))
