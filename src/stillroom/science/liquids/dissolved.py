"""What an alcoholometer pretends in spirit that holds something dissolved: extract, sugar, glycerol.

What is dissolved makes the liquid heavier, and heavier spirit reads as weaker. Serves to refuse such a reading with a
figure, never to correct it: nobody knows what is dissolved well enough for that.
"""

from typing import cast

from stillroom.science.arrays import N, array, like_given
from stillroom.science.liquids.density import DensityTable, density_kg_m3, mass_fraction_from_density
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    volume_fraction_from_mass_fraction,
)


def pretended_volume_fraction_20c(
    true_volume_fraction_20c: N | float,
    solids_g_per_100ml: N | float,
    solids_volume_ml_per_g: float,
    table: DensityTable,
) -> N:
    """Strength that the density of spirit with solids in it would be taken for, at 20 °C.

    Parameters
    ----------
    true_volume_fraction_20c : float or array
        Ethanol by volume of the spirit without them [1].
    solids_g_per_100ml : float or array
        Dissolved in 100 mL of the liquid [g/100 mL].
    solids_volume_ml_per_g : float
        Volume a gram of them takes up in solution [mL/g].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    float or array
        What density and alcoholometer say [1].

    Raises
    ------
    OutsideModel
        The strength lies outside the table, or the liquid is heavier than water.

    Notes
    -----
    rho = rho_spirit + s (1 - v rho_spirit), s in grams per millilitre of the liquid.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * pretended_volume_fraction_20c(0.70, 2.0, 0.617, oiml_r22())  # common-practice, from-memory
    67.

    References
    ----------
    oiml-r22-1975
    """
    fraction = array(mass_fraction_from_volume_fraction(array(true_volume_fraction_20c), table))
    spirit = array(density_kg_m3(fraction, table.base_temperature_c, table))
    solids_kg_m3 = 10.0 * array(solids_g_per_100ml)
    liquid = spirit + solids_kg_m3 * (1.0 - solids_volume_ml_per_g * spirit / 1000.0)
    taken_for = array(mass_fraction_from_density(liquid, table.base_temperature_c, table))
    return cast(N, like_given(array(volume_fraction_from_mass_fraction(taken_for, table))))
