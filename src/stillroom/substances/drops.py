"""Drops of spirit of a strength, from the published tension and density: how many make a millilitre off a tip.

Between the rows of the table the logarithm of the tension is taken straight, since it falls by half within the first
20 % by mass.
"""

from functools import cache

import numpy as np

from stillroom.reference.tables import table
from stillroom.science.arrays import Floats, array
from stillroom.science.liquids.dripping import STANDARD_DROPS, drops_in_a_millilitre
from stillroom.substances.spirits import spirit_density_kg_m3

DROPS_SOURCES = ("tate-1864", "vazquez-1995", "usp-32-1101")
TIP_LOG_SD = 0.25
"""Standard uncertainty of drops off a tip that nobody counted, as a share of them (common practice, no source). [1]"""
COUNTED_LOG_SD = 0.05
"""Of drops counted for a measured volume. [1]"""


@cache
def _tensions() -> tuple[Floats, Floats]:
    rows = sorted(
        (one.number("ethanol_mass_percent"), one.number("surface_tension_mn_m"))
        for one in table("surface_tension_ethanol_water").rows
    )
    return np.array([percent / 100.0 for percent, _ in rows]), np.log([tension for _, tension in rows])


def spirit_drops(ethanol_mass_fraction: Floats | float, water_drops: float = STANDARD_DROPS) -> Floats:
    """Drops of spirit that make a millilitre off a tip.

    Parameters
    ----------
    ethanol_mass_fraction : float or array
        [g/g]
    water_drops : float
        Drops of water off the same tip; a standard dropper's where nobody counted. [1/mL]

    Returns
    -------
    array
        [1/mL]
    """
    fraction = np.clip(array(ethanol_mass_fraction), 0.0, 1.0)
    shares, logs = _tensions()
    tension = np.exp(np.interp(fraction, shares, logs) - logs[0])
    density = array(spirit_density_kg_m3(fraction, 20.0)) / float(spirit_density_kg_m3(0.0, 20.0))
    return np.asarray(drops_in_a_millilitre(density, tension, water_drops))
