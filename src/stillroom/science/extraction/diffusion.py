"""Diffusion out of grains of a plain shape into fresh liquid, after Crank: sphere, slab, long cylinder.

Promises the series with enough terms, and the form for short times where the series would want too many. The surface is
kept clean, as fresh condensate keeps it; a bath that fills up gives less.
"""

from functools import cache
from typing import cast

import numpy as np

from stillroom.science.arrays import Floats, N, array, like_given, refuse_negative

TERMS = 80
SHORT = 0.002
"""Fourier number below which the form for short times is used, good to 1e-6 there; above it the series is whole."""


def out_of_sphere(fourier: N | float) -> N:
    """Share that has left a sphere.

    Parameters
    ----------
    fourier : float or array
        D t / R², R the radius [1].

    Returns
    -------
    float or array
        Share out, 0 to 1 [1].

    Raises
    ------
    BadEntry
        When it is negative.

    Notes
    -----
    f = 1 - (6/pi²) sum n^-2 exp(-n² pi² Fo); for short times 6 sqrt(Fo/pi) - 3 Fo.

    Examples
    --------
    >>> out_of_sphere(0.1)  # crank, Mathematics of diffusion (0.77048 by two forms), from-memory
    0.7705

    References
    ----------
    crank-1975
    """
    time = _time(fourier)
    number = np.arange(1.0, TERMS + 1.0)
    series = 1.0 - 6.0 / np.pi**2 * _decay(time, (number * np.pi) ** 2, 1.0 / number**2)
    short = 6.0 * np.sqrt(time / np.pi) - 3.0 * time
    return cast(N, _joined(time, short, series))


def out_of_slab(fourier: N | float) -> N:
    """Share that has left a slab through both faces.

    Parameters
    ----------
    fourier : float or array
        D t / L², L half of the thickness [1].

    Returns
    -------
    float or array
        Share out, 0 to 1 [1].

    Raises
    ------
    BadEntry
        When it is negative.

    Notes
    -----
    f = 1 - (8/pi²) sum (2n+1)^-2 exp(-(2n+1)² pi² Fo / 4); for short times 2 sqrt(Fo/pi).

    Examples
    --------
    Half has left at 0.049 times the square of the whole thickness over D.

    >>> round(out_of_slab(4 * 0.049), 2)  # crank-1975 (0.049), from-memory
    0.5

    References
    ----------
    crank-1975
    """
    time = _time(fourier)
    odd = 2.0 * np.arange(float(TERMS)) + 1.0
    series = 1.0 - 8.0 / np.pi**2 * _decay(time, (odd * np.pi / 2.0) ** 2, 1.0 / odd**2)
    return cast(N, _joined(time, 2.0 * np.sqrt(time / np.pi), series))


def out_of_cylinder(fourier: N | float) -> N:
    """Share that has left a long cylinder.

    Parameters
    ----------
    fourier : float or array
        D t / a², a the radius [1].

    Returns
    -------
    float or array
        Share out, 0 to 1 [1].

    Raises
    ------
    BadEntry
        When it is negative.

    Notes
    -----
    f = 1 - 4 sum a_n^-2 exp(-a_n² Fo), J0(a_n) = 0; for short times 4 sqrt(Fo/pi) - Fo - Fo^1.5 / (3 sqrt(pi)).

    Examples
    --------
    >>> out_of_cylinder(0.1)  # crank, Mathematics of diffusion (0.60582), from-memory
    0.6058

    References
    ----------
    crank-1975
    """
    time = _time(fourier)
    zeros = _bessel_zeros()
    series = 1.0 - 4.0 * _decay(time, zeros**2, 1.0 / zeros**2)
    short = 4.0 * np.sqrt(time / np.pi) - time - time**1.5 / (3.0 * np.sqrt(np.pi))
    return cast(N, _joined(time, short, series))


@cache
def _bessel_zeros() -> Floats:
    from scipy.special import jn_zeros

    return np.asarray(jn_zeros(0, TERMS))


def _time(fourier: N | float) -> Floats:
    time = array(fourier)
    refuse_negative("The Fourier number", time, "1")
    return time


def _decay(time: Floats, rates: np.ndarray, weights: np.ndarray) -> Floats:
    return np.asarray((weights * np.exp(-np.minimum(time[..., None] * rates, 700.0))).sum(axis=-1))


def _joined(time: Floats, short: Floats, series: Floats) -> float | Floats:
    return like_given(np.asarray(np.where(time < SHORT, short, series)))
