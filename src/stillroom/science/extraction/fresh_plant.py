"""The plant's own water counts: spirit poured on fresh plant is weaker once the two have come to rest.

Masses are added, never volumes. Says nothing about how fast the water leaves the cells: what is reckoned is where it
goes to, and hours or days of standing get there.
"""

from typing import cast

import numpy as np

from stillroom.errors import NotEnough, worded
from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)
from stillroom.science.liquids.density import DensityTable, density_kg_m3

STEPS = 60


def strength_on_plant(
    poured_mass_g: N | float, poured_mass_fraction: N | float, plant_water_g: N | float
) -> N:
    """Strength of spirit once the water of the plant is in it.

    Parameters
    ----------
    poured_mass_g : float or array
        Spirit poured on [g].
    poured_mass_fraction : float or array
        Its ethanol by mass [1].
    plant_water_g : float or array
        Water that the plant brings [g].

    Returns
    -------
    float or array
        Ethanol by mass at rest [1].

    Raises
    ------
    BadEntry
        When nothing was poured, or a mass is negative.
    OutsideModel
        When the strength is no share.

    Notes
    -----
    w = w0 m / (m + m_water): ethanol goes into the plant's water as into any other.

    Examples
    --------
    >>> strength_on_plant(300.0, 0.9, 80.0 + 70.0)
    0.6

    References
    ----------
    extraction-practice
    """
    poured, fraction, water = array(poured_mass_g), array(poured_mass_fraction), array(plant_water_g)
    refuse_not_positive("The spirit poured", poured, "g")
    refuse_negative("The water of the plant", water, "g")
    refuse_outside("Ethanol by mass", fraction, 0.0, 1.0, "1", source="a share of the whole")
    return cast(N, like_given(np.asarray(fraction * poured / (poured + water))))


def strength_to_pour(
    want_mass_fraction: N | float, poured_ml: N | float, plant_water_g: N | float, table: DensityTable
) -> N:
    """Strength to pour, so that what is wanted is there once the plant's water is in.

    Parameters
    ----------
    want_mass_fraction : float or array
        Ethanol by mass at rest with the plant [1].
    poured_ml : float or array
        Spirit that is poured, at 20 °C [mL].
    plant_water_g : float or array
        Water that the plant brings [g].
    table : DensityTable
        Density by strength [-].

    Returns
    -------
    float or array
        Ethanol by mass to pour; above 1 where no spirit is strong enough for so little of it [1].

    Raises
    ------
    BadEntry
        When nothing is poured, or the water is negative.
    OutsideModel
        When the strength is no share.

    Notes
    -----
    Solves p V rho(p) = w (V rho(p) + m_water).

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> strength_to_pour(0.4, 250.0, 0.0, oiml_r22())
    0.4

    References
    ----------
    oiml-r22-1975
    """
    wanted, volume, water = array(want_mass_fraction), array(poured_ml), array(plant_water_g)
    refuse_not_positive("The spirit poured", volume, "mL")
    refuse_negative("The water of the plant", water, "g")
    refuse_outside("Ethanol by mass", wanted, 0.0, 1.0, "1", source="a share of the whole")
    found = wanted + 0.0 * (volume + water)
    for _ in range(STEPS):
        mass_g = volume * array(density_kg_m3(np.minimum(found, 1.0), 20.0, table)) / 1000.0
        found = wanted * (1.0 + water / mass_g)
    return cast(N, like_given(np.asarray(found)))


def least_to_pour_g(
    want_mass_fraction: N | float, stock_mass_fraction: N | float, plant_water_g: N | float
) -> N:
    """Least of a stock spirit that holds the wanted strength against the plant's water.

    Parameters
    ----------
    want_mass_fraction : float or array
        Ethanol by mass at rest with the plant [1].
    stock_mass_fraction : float or array
        Ethanol by mass of the strongest spirit at hand [1].
    plant_water_g : float or array
        Water that the plant brings [g].

    Returns
    -------
    float or array
        Stock spirit [g].

    Raises
    ------
    NotEnough
        When the stock is no stronger than what is wanted.
    BadEntry
        When the water is negative.

    Examples
    --------
    >>> least_to_pour_g(0.6, 0.9, 150.0)
    300.0

    References
    ----------
    extraction-practice
    """
    wanted, stock, water = array(want_mass_fraction), array(stock_mass_fraction), array(plant_water_g)
    refuse_negative("The water of the plant", water, "g")
    if not np.all(stock > wanted):
        raise NotEnough(
            "The spirit at hand must be stronger than what is wanted on the plant",
            worded("{stock:.3f} by mass where {wanted:.3f} is wanted",
                   stock=float(np.min(stock)), wanted=float(np.max(wanted))),
            "Take stronger spirit, dry the plant, or want less",
        )  # fmt: skip
    return cast(N, like_given(np.asarray(wanted * water / (stock - wanted))))
