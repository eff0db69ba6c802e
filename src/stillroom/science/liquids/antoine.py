"""Vapour pressure and boiling point of a pure liquid by the equation of Antoine.

Promises the equation with the constants it is given, in millimetres of mercury and degrees Celsius as they are printed.
Says nothing about a mixture, and nothing about the range of the constants: whoever holds them knows it.
"""

from typing import cast

import numpy as np

from stillroom.science.arrays import N, array, like_given, refuse_not_positive

PA_PER_MMHG = 133.322


def antoine_pressure_pa(temperature_c: N | float, antoine_a: float, antoine_b: float, antoine_c: float) -> N:
    """Vapour pressure of a pure liquid.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    antoine_a : float
        First constant, of the decimal logarithm in mmHg [1].
    antoine_b : float
        Second constant [°C].
    antoine_c : float
        Third constant [°C].

    Returns
    -------
    float or array
        Vapour pressure [Pa].

    Raises
    ------
    BadEntry
        When the temperature is so low that the equation has no answer.

    Notes
    -----
    log10(p / mmHg) = A - B / (C + t).

    Examples
    --------
    >>> ethyl_acetate = 7.10179, 1244.951, 217.881
    >>> antoine_pressure_pa(40.0, *ethyl_acetate) / 1000.0  # chemicals-1.5.2 (25.064), second-hand
    25.06

    References
    ----------
    antoine-constants
    """
    above = array(temperature_c) + antoine_c
    refuse_not_positive("The temperature above the end of the equation", above, "K")
    return cast(N, like_given(np.asarray(PA_PER_MMHG * 10.0 ** (antoine_a - antoine_b / above))))


def antoine_boiling_c(pressure_pa: N | float, antoine_a: float, antoine_b: float, antoine_c: float) -> N:
    """Temperature at which a pure liquid has a vapour pressure.

    Parameters
    ----------
    pressure_pa : float or array
        Pressure [Pa].
    antoine_a : float
        First constant, of the decimal logarithm in mmHg [1].
    antoine_b : float
        Second constant [°C].
    antoine_c : float
        Third constant [°C].

    Returns
    -------
    float or array
        Boiling point [°C].

    Raises
    ------
    BadEntry
        When the pressure is not above zero.

    Examples
    --------
    >>> water = 8.07131, 1730.63, 233.426
    >>> antoine_boiling_c(84560.0, *water)  # steam tables, from-memory
    95.0

    References
    ----------
    antoine-constants
    """
    pressure = array(pressure_pa)
    refuse_not_positive("The pressure", pressure, "Pa")
    return cast(
        N, like_given(np.asarray(antoine_b / (antoine_a - np.log10(pressure / PA_PER_MMHG)) - antoine_c))
    )
