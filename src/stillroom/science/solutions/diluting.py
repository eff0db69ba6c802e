"""Thinning an acid or alkali with water: what to take of the bottle, and how warm it grows.

Promises that substance and mass close: what the bottle gives is what the solution holds, and the rest of its mass is
water. Volumes are never added; the volume of the solution comes from its density.
"""

from typing import cast

import numpy as np

from stillroom.errors import NotEnough, worded
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)

THOMSEN_HEAT_J_MOL = 74_730.0
THOMSEN_WATER_RATIO = 1.7983
WATER_MOLAR_MASS_G_MOL = 18.015
SHARE = "a share of the whole"


@formula("thinning-stock")
def stock_mass_g(solute_mass_g: N | float, stock_mass_fraction: N | float) -> N:
    """Mass to take from the bottle for a mass of the substance itself.

    Parameters
    ----------
    solute_mass_g : float or array
        Substance wanted [g].
    stock_mass_fraction : float or array
        Substance by mass of what is in the bottle [1].

    Returns
    -------
    float or array
        To be taken from the bottle [g].

    Raises
    ------
    BadEntry
        When the mass is negative or the strength not above zero.
    OutsideModel
        When the strength is above 1.

    Examples
    --------
    >>> stock_mass_g(12.0, 0.48)
    25.0
    """
    solute, stock = array(solute_mass_g), array(stock_mass_fraction)
    refuse_negative("The substance", solute, "g")
    refuse_not_positive("The strength of the bottle", stock, "1")
    refuse_outside("The strength of the bottle", stock, 0.0, 1.0, "1", source=SHARE)
    return cast(N, like_given(np.asarray(solute / stock)))


@formula("thinning-water")
def water_mass_g(product_mass_g: N | float, stock_mass_g: N | float) -> N:
    """Water that makes up the mass of the solution.

    Parameters
    ----------
    product_mass_g : float or array
        Solution [g].
    stock_mass_g : float or array
        Taken from the bottle [g].

    Returns
    -------
    float or array
        Water [g].

    Raises
    ------
    BadEntry
        When a mass is negative.
    NotEnough
        When the bottle's liquid alone is more than the solution: it is too weak.

    Examples
    --------
    >>> water_mass_g(100.0, 25.0)
    75.0
    """
    product, stock = array(product_mass_g), array(stock_mass_g)
    refuse_negative("The solution", product, "g")
    refuse_negative("The bottle's liquid", stock, "g")
    water = product - stock
    if (water < -1e-9 * np.maximum(product, 1.0)).any():
        raise NotEnough(
            "A solution cannot be stronger than what it is made from",
            worded(
                "{max:.4g} g from the bottle for {min:.4g} g of solution",
                max=float(stock.max()),
                min=float(product.min()),
            ),
            "Want less, or take a stronger bottle",
        )
    return cast(N, like_given(np.asarray(np.maximum(water, 0.0))))


def sulfuric_mixing_heat_j_mol(water_per_acid: N | float) -> N:
    """Heat that a mole of sulfuric acid gives off with water, from the pure acid on.

    Parameters
    ----------
    water_per_acid : float or array
        Moles of water to a mole of acid [1].

    Returns
    -------
    float or array
        Heat given off [J/mol].

    Raises
    ------
    BadEntry
        When it is negative.

    Notes
    -----
    Q = 74.73 kJ/mol n / (n + 1.7983), Thomsen. Good to about a tenth up to some fifty moles of water.

    Examples
    --------
    >>> sulfuric_mixing_heat_j_mol(1.0) / 4184.0  # thomsen-sulfuric (6.379), from-memory
    6.38

    References
    ----------
    thomsen-sulfuric
    """
    ratio = array(water_per_acid)
    refuse_negative("The water", ratio, "mol/mol")
    return cast(N, like_given(np.asarray(THOMSEN_HEAT_J_MOL * ratio / (ratio + THOMSEN_WATER_RATIO))))


def sulfuric_thinning_heat_j(
    solute_mass_g: N | float,
    stock_mass_fraction: N | float,
    product_mass_fraction: N | float,
    molar_mass_g_mol: N | float,
) -> N:
    """Heat given off when sulfuric acid is thinned.

    Parameters
    ----------
    solute_mass_g : float or array
        Acid itself [g].
    stock_mass_fraction : float or array
        Acid by mass in the bottle [1].
    product_mass_fraction : float or array
        Acid by mass in the solution [1].
    molar_mass_g_mol : float or array
        Of the acid [g/mol].

    Returns
    -------
    float or array
        Heat [J].

    Raises
    ------
    BadEntry
        When a figure is not above zero.
    OutsideModel
        When a strength is above 1.

    Examples
    --------
    >>> sulfuric_thinning_heat_j(98.079, 1.0, 0.84483, 98.079) / 4184.0  # thomsen-sulfuric (6.379), from-memory
    6.38

    References
    ----------
    thomsen-sulfuric
    """
    solute, molar_mass = array(solute_mass_g), array(molar_mass_g_mol)
    refuse_negative("The acid", solute, "g")
    refuse_not_positive("The molar mass", molar_mass, "g/mol")
    ratios = []
    for one in (array(product_mass_fraction), array(stock_mass_fraction)):
        refuse_not_positive("The strength", one, "1")
        refuse_outside("The strength", one, 0.0, 1.0, "1", source=SHARE)
        ratios.append((1.0 - one) / one * molar_mass / WATER_MOLAR_MASS_G_MOL)
    after, before = (array(sulfuric_mixing_heat_j_mol(one)) for one in ratios)
    return cast(N, like_given(np.asarray(solute / molar_mass * np.maximum(after - before, 0.0))))
