"""Per cent by volume and per cent by mass of the same spirit.

Strength by volume is the volume of pure ethanol, measured alone at the base temperature, per volume of
mixture at that temperature. The base is 20 °C in Europe, 15.56 °C in the United States, 15 °C in older French
tables; it must be said. Strength by mass has no such trap.
"""

from typing import cast

import numpy as np

from stillroom.errors import OutsideModel, worded
from stillroom.science.arrays import N, array, like_given, refuse_outside
from stillroom.science.liquids.density import DensityTable, coefficients_at, density_kg_m3
from stillroom.science.liquids.polynomial import horner, root_between_0_and_1


def volume_fraction_from_mass_fraction(
    ethanol_mass_fraction: N | float, table: DensityTable, *, base_temperature_c: float = 20.0
) -> N:
    """Strength by volume of a spirit whose strength by mass is known.

    Parameters
    ----------
    ethanol_mass_fraction : float or array
        Ethanol by mass [1].
    table : DensityTable
        Coefficients and their range [-].
    base_temperature_c : float
        Temperature both volumes are taken at [°C].

    Returns
    -------
    float or array
        Ethanol by volume at the base temperature [1].

    Raises
    ------
    OutsideModel
        When the strength is not a fraction between 0 and 1.

    Notes
    -----
    q = p rho(p, base) / rho(1, base).

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> at_60_f = volume_fraction_from_mass_fraction(0.41, oiml_r22(), base_temperature_c=15.56)
    >>> 100.0 * at_60_f  # usp-29, second-hand
    48.4

    References
    ----------
    oiml-r22-1975
    """
    fraction = array(ethanol_mass_fraction)
    mixture = array(density_kg_m3(fraction, base_temperature_c, table))
    pure: float = density_kg_m3(1.0, base_temperature_c, table)
    return cast(N, like_given(np.minimum(fraction * mixture / pure, 1.0)))


def mass_fraction_from_volume_fraction(
    ethanol_volume_fraction: N | float, table: DensityTable, *, base_temperature_c: float = 20.0
) -> N:
    """Strength by mass of a spirit whose strength by volume is known.

    Parameters
    ----------
    ethanol_volume_fraction : float or array
        Ethanol by volume at the base temperature [1].
    table : DensityTable
        Coefficients and their range [-].
    base_temperature_c : float
        Temperature the strength by volume refers to [°C].

    Returns
    -------
    float or array
        Ethanol by mass [1].

    Raises
    ------
    OutsideModel
        When the strength is not a fraction between 0 and 1.

    Notes
    -----
    Solves p rho(p, base) = q rho(1, base) for p.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * mass_fraction_from_volume_fraction(0.962, oiml_r22())  # a pharmacy's table, second-hand
    94.1

    References
    ----------
    oiml-r22-1975
    """
    strength = array(ethanol_volume_fraction)
    do = "Write 70 % v/v as 0.70"
    refuse_outside("Ethanol by volume", strength, 0.0, 1.0, "1", source=table.source, do=do)
    at_base = coefficients_at(array(base_temperature_c), table)
    pure: float = density_kg_m3(1.0, base_temperature_c, table)
    ethanol_per_volume = np.concatenate(([0.0], at_base))
    highest = float(horner(ethanol_per_volume, array(1.0)))
    target = np.minimum(strength * pure, highest)
    return cast(N, like_given(root_between_0_and_1(ethanol_per_volume, target, rising=True)))


def refuse_stronger(have: float, want: float) -> None:
    """Refuse a dilution that would have to make spirit stronger.

    Parameters
    ----------
    have : float
        Strength at hand [1].
    want : float
        Strength wanted, on the same basis [1].

    Raises
    ------
    OutsideModel
        When the wanted strength exceeds the strength at hand.

    Examples
    --------
    >>> refuse_stronger(0.40, 0.70)
    Traceback (most recent call last):
    stillroom.errors.OutsideModel: Water can only weaken spirit. Got 40 % at hand and 70 % wanted. ...
    """
    if want > have:
        raise OutsideModel(
            "Water can only weaken spirit",
            worded("{have:.4g} % at hand and {want:.4g} % wanted", have=100 * have, want=100 * want),
            "Take stronger spirit, or distil",
        )
