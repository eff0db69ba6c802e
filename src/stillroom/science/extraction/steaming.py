"""Oil that goes over with steam: how much the vapour can carry, what the water keeps, what the arm shows.

Oil and water are taken not to dissolve in one another in the vapour's reckoning; the little that the
hydrosol keeps dissolved is reckoned apart. One vapour pressure stands for an oil of many compounds.
"""

from typing import cast

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_not_positive

WATER_G_MOL = 18.015


def oil_per_water_g_g(
    oil_pressure_pa: N | float, water_pressure_pa: N | float, molar_mass_g_mol: N | float
) -> N:
    """Oil that saturated vapour carries for each gram of water.

    Parameters
    ----------
    oil_pressure_pa : float or array
        Vapour pressure of the oil where both boil together [Pa].
    water_pressure_pa : float or array
        Vapour pressure of water there [Pa].
    molar_mass_g_mol : float or array
        Mean molar mass of the oil [g/mol].

    Returns
    -------
    float or array
        Grams of oil for each gram of water, at most [g/g].

    Raises
    ------
    BadEntry
        When a figure is not above zero.

    Notes
    -----
    Each liquid gives its own pressure as if alone: w = p_oil M_oil / (p_water M_water). In practice 0.3 to 0.8
    of it is reached (common practice, no source).

    Examples
    --------
    >>> oil = oil_per_water_g_g(119.0, 641.0, 157.0)
    >>> 100.0 * oil / (1.0 + oil)  # vogel-practical, bromobenzene, from-memory
    61.8

    References
    ----------
    vogel-practical
    """
    oil, water, molar = array(oil_pressure_pa), array(water_pressure_pa), array(molar_mass_g_mol)
    refuse_not_positive("The vapour pressure of the oil", oil, "Pa")
    refuse_not_positive("The vapour pressure of water", water, "Pa")
    refuse_not_positive("The molar mass", molar, "g/mol")
    return cast(N, like_given(np.asarray(oil * molar / (water * WATER_G_MOL))))


def oil_kept_by_water_g(oil_mass_g: N | float, water_ml: N | float, dissolved_mg_l: N | float) -> N:
    """Oil that stays dissolved in the hydrosol.

    Parameters
    ----------
    oil_mass_g : float or array
        Oil that came over [g].
    water_ml : float or array
        Water that came over [mL].
    dissolved_mg_l : float or array
        What a litre of the hydrosol keeps when there is oil enough [mg/L].

    Returns
    -------
    float or array
        Oil in the hydrosol, never more than came over [g].

    Raises
    ------
    BadEntry
        When a figure is negative.

    Examples
    --------
    >>> oil_kept_by_water_g(5.0, 1000.0, 300.0)
    0.3

    References
    ----------
    extraction-practice
    """
    oil, water, dissolved = array(oil_mass_g), array(water_ml), array(dissolved_mg_l)
    refuse_negative("The oil", oil, "g")
    refuse_negative("The water", water, "mL")
    refuse_negative("What a litre keeps", dissolved, "mg/L")
    return cast(N, like_given(np.asarray(np.minimum(oil, water * dissolved * 1e-6))))


def oil_by_volume_ml_per_100g(read_ml: float, xylene_ml: float, drug_mass_g: float) -> float:
    """Oil content as read in the graduated arm, xylene taken off.

    Parameters
    ----------
    read_ml : float
        Layer read in the arm [mL].
    xylene_ml : float
        Xylene read before the plant was distilled; 0 where none was used [mL].
    drug_mass_g : float
        Plant taken [g].

    Returns
    -------
    float
        Oil in 100 g of plant [mL/100 g].

    Raises
    ------
    BadEntry
        When the mass is not above zero, or more xylene is read than layer.

    Examples
    --------
    >>> oil_by_volume_ml_per_100g(0.6, 0.3, 30.0)
    1.0

    References
    ----------
    who-plant-materials-1998
    """
    refuse_not_positive("The plant", array(drug_mass_g), "g")
    refuse_negative("The xylene", array(xylene_ml), "mL")
    if read_ml < xylene_ml:
        raise BadEntry(
            "The layer holds at least the xylene",
            worded("{read_ml:g} mL", read_ml=read_ml),
            "Read both again",
        )
    return 100.0 * (read_ml - xylene_ml) / drug_mass_g
