"""The share of the ethanol that is over when a simple still is stopped, by whatever it is stopped at.

Plain functions, so that an answer can name them and be reckoned again; the equations stand in ``science``.
"""

from typing import cast

import numpy as np

from stillroom.answers.still_sums import by_mass
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import Floats, N, array, like_given
from stillroom.science.liquids.distilling import Distilled, distil_to_mass
from stillroom.science.liquids.still_cuts import (
    residue_at_boiling,
    residue_at_drip,
    share_at_distillate,
    share_at_residue,
)
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_still

ROUNDS = 60


@formula("given-share", takes_arrays=("ethanol_share",))
def given_share(ethanol_share: N | float) -> N:
    """A share as it was chosen. [1].

    Parameters
    ----------
    ethanol_share : float
        [1]
    """
    return cast(N, like_given(array(ethanol_share)))


@formula("share-over-by-distillate", takes_arrays=("volume_percent_20c", "distillate_percent_20c"))
def share_at_distillate_percent(
    volume_percent_20c: N | float, pressure_pa: float, distillate_percent_20c: N | float
) -> N:
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
    start, wanted = by_mass(volume_percent_20c), by_mass(distillate_percent_20c)
    return share_at_distillate(start, wanted, spirit_still(pressure_pa))


@formula("share-over-by-drip", takes_arrays=("volume_percent_20c", "drip_percent_20c"))
def share_at_drip_percent(
    volume_percent_20c: N | float, pressure_pa: float, drip_percent_20c: N | float
) -> N:
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
    return share_at_residue(
        by_mass(volume_percent_20c), residue_at_drip(by_mass(drip_percent_20c), curve), curve
    )


@formula("share-over-by-boiling-point", takes_arrays=("volume_percent_20c", "boiling_c"))
def share_at_boiling_point(volume_percent_20c: N | float, pressure_pa: float, boiling_c: N | float) -> N:
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
    return share_at_residue(by_mass(volume_percent_20c), residue_at_boiling(boiling_c, curve), curve)


@formula("share-over-by-mass", takes_arrays=("start_mass_g", "volume_percent_20c", "distillate_mass_g"))
def share_at_mass(
    start_mass_g: N | float, volume_percent_20c: N | float, pressure_pa: float, distillate_mass_g: N | float
) -> N:
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
    start: N = by_mass(volume_percent_20c)
    found: Distilled[N] = distil_to_mass(start_mass_g, start, distillate_mass_g, spirit_still(pressure_pa))
    return found.ethanol_share


@formula(
    "share-over-by-volume",
    takes_arrays=("start_mass_g", "volume_percent_20c", "distillate_volume_ml", "temperature_c"),
)
def share_at_volume(
    start_mass_g: N | float,
    volume_percent_20c: N | float,
    pressure_pa: float,
    distillate_volume_ml: N | float,
    temperature_c: N | float,
) -> N:
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
    curve, start = spirit_still(pressure_pa), by_mass(volume_percent_20c)
    volume_ml = array(distillate_volume_ml)
    mass_g = volume_ml * 0.85
    for _ in range(ROUNDS):
        over: Distilled[Floats] = distil_to_mass(start_mass_g, start, mass_g, curve)
        better_g = volume_ml * spirit_density_kg_m3(over.distillate_mass_fraction, temperature_c) / 1000.0
        if (np.abs(better_g - mass_g) <= 1e-12 * mass_g).all():
            break
        mass_g = better_g
    return cast(N, like_given(array(over.ethanol_share)))
