"""From the mark on the alcoholometer to the strength, when the spirit is not at 20 °C.

The scale is right at 20 °C only. Off 20 °C the liquid's density changes, and a little also the glass. Assumes
ethanol and water alone: extract, sugar and methanol deceive it.
"""

from typing import cast

from stillroom.science.arrays import N, array, like_given
from stillroom.science.liquids.density import DensityTable, density_kg_m3, mass_fraction_from_density
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    volume_fraction_from_mass_fraction,
)

SODA_LIME_GLASS_PER_K = 25e-6


def true_volume_fraction_20c(
    reading_volume_fraction: N | float,
    temperature_c: N | float,
    table: DensityTable,
    *,
    glass_expansion_per_k: float = SODA_LIME_GLASS_PER_K,
) -> N:
    """True strength by volume at 20 °C behind an alcoholometer reading at another temperature.

    Parameters
    ----------
    reading_volume_fraction : float or array
        Reading of an alcoholometer whose scale is per cent by volume at 20 °C [1].
    temperature_c : float or array
        Temperature of the spirit at the reading [°C].
    table : DensityTable
        Coefficients and their range [-].
    glass_expansion_per_k : float
        Cubic expansion of the glass [1/K].

    Returns
    -------
    float or array
        Ethanol by volume at 20 °C [1].

    Raises
    ------
    OutsideModel
        When the reading or the temperature lies outside the table, or no spirit can give that reading there.

    Notes
    -----
    The liquid's density is rho(reading, 20) (1 - alpha (t - 20)); the strength follows from it at t.
    alpha = 25e-6 /K for soda-lime glass.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * true_volume_fraction_20c(0.30, 21.0, oiml_r22())  # an alcoholometer's table, second-hand
    29.6

    References
    ----------
    oiml-r22-1975
    """
    temperature = array(temperature_c)
    scale = array(mass_fraction_from_volume_fraction(array(reading_volume_fraction), table))
    mark = array(density_kg_m3(scale, table.base_temperature_c, table))
    liquid = mark * (1.0 - glass_expansion_per_k * (temperature - table.base_temperature_c))
    fraction = array(mass_fraction_from_density(liquid, temperature, table))
    return cast(N, like_given(array(volume_fraction_from_mass_fraction(fraction, table))))


def reading_volume_fraction(
    true_volume_fraction_20c: N | float,
    temperature_c: N | float,
    table: DensityTable,
    *,
    glass_expansion_per_k: float = SODA_LIME_GLASS_PER_K,
) -> N:
    """What an alcoholometer shows in a spirit of known strength at another temperature.

    Parameters
    ----------
    true_volume_fraction_20c : float or array
        Ethanol by volume at 20 °C [1].
    temperature_c : float or array
        Temperature of the spirit at the reading [°C].
    table : DensityTable
        Coefficients and their range [-].
    glass_expansion_per_k : float
        Cubic expansion of the glass [1/K].

    Returns
    -------
    float or array
        The reading, per cent by volume at 20 °C written as a fraction [1].

    Raises
    ------
    OutsideModel
        When the strength or the temperature lies outside the table, or the scale ends before the reading.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * reading_volume_fraction(0.296, 21.0, oiml_r22())  # an alcoholometer's table, second-hand
    30.0

    References
    ----------
    oiml-r22-1975
    """
    temperature = array(temperature_c)
    fraction = array(mass_fraction_from_volume_fraction(array(true_volume_fraction_20c), table))
    liquid = array(density_kg_m3(fraction, temperature, table))
    mark = liquid / (1.0 - glass_expansion_per_k * (temperature - table.base_temperature_c))
    scale = array(mass_fraction_from_density(mark, table.base_temperature_c, table))
    return cast(N, like_given(array(volume_fraction_from_mass_fraction(scale, table))))
