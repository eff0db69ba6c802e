"""How fast a plant gives up what the liquid can reach: washed at once, then slowly, faster when warmer.

Shares of what is within reach, never of the whole plant. Promises no rate for any plant: time constants come
in as arguments. A washed share with a slow rest is the film form; with two time constants it is the two-site
form; with a washed share of zero it is plain first order.
"""

from typing import cast

import numpy as np

from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)

GAS_J_MOL_K = 8.314462618


def share_not_yet_out(
    minutes: N | float, washed_share: N | float, fast_min: N | float, slow_min: N | float
) -> N:
    """Share of what is within reach that is still in the plant after some time.

    Parameters
    ----------
    minutes : float or array
        Time so far [min].
    washed_share : float or array
        Share that lies at broken surfaces and leaves fast, 0 to 1 [1].
    fast_min : float or array
        Time in which all but 1/e of the washed share has left; 0 for at once [min].
    slow_min : float or array
        Time in which all but 1/e of the rest has left [min].

    Returns
    -------
    float or array
        Share still in the plant, 0 to 1 [1].

    Raises
    ------
    BadEntry
        When a time is negative, or the slow one not above zero.
    OutsideModel
        When the washed share lies outside 0 to 1.

    Notes
    -----
    left = F exp(-t/fast) + (1 - F) exp(-t/slow). With fast at 0 the first term is gone: (1 - b) exp(-kt).

    Examples
    --------
    >>> share_not_yet_out(54.3, 0.0, 0.0, 1.0 / 0.0128)  # Martin's Physical pharmacy, half-life, from-memory
    0.50

    References
    ----------
    extraction-practice
    """
    time, washed = array(minutes), array(washed_share)
    fast, slow = array(fast_min), array(slow_min)
    refuse_negative("The time", time, "min")
    refuse_negative("The time of the washed share", fast, "min")
    refuse_not_positive("The time of the slow share", slow, "min")
    refuse_outside("The washed share", washed, 0.0, 1.0, "1", source="extraction-practice")
    quick = np.where(fast > 0.0, np.exp(-time / np.where(fast > 0.0, fast, 1.0)), 0.0)
    return cast(N, like_given(np.asarray(washed * quick + (1.0 - washed) * np.exp(-time / slow))))


def time_at_temperature_min(
    reference_min: N | float,
    reference_c: N | float,
    temperature_c: N | float,
    activation_energy_kj_mol: N | float,
) -> N:
    """A time constant at another temperature.

    Parameters
    ----------
    reference_min : float or array
        Time constant where it was measured [min].
    reference_c : float or array
        Temperature at which it was measured [°C].
    temperature_c : float or array
        Temperature of the liquid [°C].
    activation_energy_kj_mol : float or array
        Activation energy [kJ/mol].

    Returns
    -------
    float or array
        Time constant at the temperature of the liquid [min].

    Raises
    ------
    BadEntry
        When a time is not above zero or the energy is negative.
    OutsideModel
        Outside 0 to 130 °C.

    Notes
    -----
    Arrhenius: the rate 1/time goes as exp(-E / RT).

    Examples
    --------
    >>> time_at_temperature_min(2.0, 25.0, 35.0, 52.9)  # a school's exercise: twice as fast, second-hand
    1.00

    References
    ----------
    jaganyi-price-1999
    """
    reference, energy = array(reference_min), array(activation_energy_kj_mol)
    there, here = array(reference_c), array(temperature_c)
    refuse_not_positive("The time constant", reference, "min")
    refuse_negative("The activation energy", energy, "kJ/mol")
    for name, degrees in (("The reference temperature", there), ("The temperature", here)):
        refuse_outside(name, degrees, 0.0, 130.0, "°C", source="jaganyi-price-1999")
    apart_per_k = 1.0 / (here + 273.15) - 1.0 / (there + 273.15)
    return cast(N, like_given(np.asarray(reference * np.exp(1000.0 * energy / GAS_J_MOL_K * apart_per_k))))


def time_at_size_min(
    reference_min: N | float,
    reference_mm: N | float,
    particle_mm: N | float,
    size_exponent: N | float,
) -> N:
    """A time constant of another grind.

    Parameters
    ----------
    reference_min : float or array
        Time constant of the grind it was measured with [min].
    reference_mm : float or array
        Mean particle of that grind [mm].
    particle_mm : float or array
        Mean particle of the grind at hand [mm].
    size_exponent : float or array
        2 for diffusion inside, 1 for a film around each particle [1].

    Returns
    -------
    float or array
        Time constant of the grind at hand [min].

    Raises
    ------
    BadEntry
        When a time or a size is not above zero, or the exponent is negative.

    Notes
    -----
    time goes as particle^exponent.

    Examples
    --------
    >>> time_at_size_min(2.2, 0.925, 0.550, 1.52)  # price-spiro-1985 (2.2 times as fast), second-hand
    1.0

    References
    ----------
    price-spiro-1985
    """
    reference, power = array(reference_min), array(size_exponent)
    there, here = array(reference_mm), array(particle_mm)
    refuse_not_positive("The time constant", reference, "min")
    refuse_not_positive("The size it was measured with", there, "mm")
    refuse_not_positive("The size of the grind", here, "mm")
    refuse_negative("The exponent of the size", power, "1")
    return cast(N, like_given(np.asarray(reference * (here / there) ** power)))


def washed_share_at_size(washed_share: N | float, reference_mm: N | float, particle_mm: N | float) -> N:
    """The share at broken surfaces of another grind.

    Parameters
    ----------
    washed_share : float or array
        Of the grind it was measured with [1].
    reference_mm : float or array
        Mean particle of that grind [mm].
    particle_mm : float or array
        Mean particle of the grind at hand [mm].

    Returns
    -------
    float or array
        Of the grind at hand, 1 where every cell is broken [1].

    Raises
    ------
    BadEntry
        When a size is not above zero.
    OutsideModel
        When the share lies outside 0 to 1.

    Notes
    -----
    Grains are taken as spheres whose outer shell is broken, as thick in every grind: F = 1 - (1 - 2 s / d)^3.

    Examples
    --------
    >>> washed_share_at_size(0.875, 2.0, 4.0)
    0.578125

    References
    ----------
    extraction-practice
    """
    share, there, here = array(washed_share), array(reference_mm), array(particle_mm)
    refuse_outside("The washed share", share, 0.0, 1.0, "1", source="extraction-practice")
    refuse_not_positive("The size it was measured with", there, "mm")
    refuse_not_positive("The size of the grind", here, "mm")
    shell_mm = there * (1.0 - np.cbrt(1.0 - share))
    return cast(N, like_given(np.asarray(1.0 - np.maximum(1.0 - shell_mm / here, 0.0) ** 3)))


def uptake_time_from_share_min(minutes: N | float, share_out: N | float) -> N:
    """The time constant of a first-order uptake from one point of it.

    Parameters
    ----------
    minutes : float or array
        Time at which the share was out [min].
    share_out : float or array
        Share of the final yield that was out by then, above 0 and below 1 [1].

    Returns
    -------
    float or array
        Time constant [min].

    Raises
    ------
    BadEntry
        When the time is not above zero.
    OutsideModel
        When the share lies outside 0.0001 to 0.9999.

    Examples
    --------
    >>> 1.0 / uptake_time_from_share_min(40.0, 0.40)  # Martin's Physical pharmacy, 500 to 300 units, from-memory
    0.0128
    """
    time, out = array(minutes), array(share_out)
    refuse_not_positive("The time", time, "min")
    refuse_outside("The share that is out", out, 1e-4, 0.9999, "1", source="extraction-practice")
    return cast(N, like_given(np.asarray(-time / np.log1p(-out))))
