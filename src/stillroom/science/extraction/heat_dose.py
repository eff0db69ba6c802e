"""What a time in the warmth weighs for something that heat destroys: as so many minutes at one temperature.

Says nothing about what it becomes, nor about acid, light or air.
"""

from collections.abc import Sequence

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.science.extraction.uptake import time_at_temperature_min


def heat_dose_min(
    minutes: Sequence[float],
    temperatures_c: Sequence[float],
    reference_c: float,
    activation_energy_kj_mol: float,
) -> float:
    """Minutes at one temperature that destroy as much as a record of times and temperatures.

    Parameters
    ----------
    minutes : sequence of float
        When each temperature was read, running forwards [min].
    temperatures_c : sequence of float
        What was read [°C].
    reference_c : float
        The one temperature [°C].
    activation_energy_kj_mol : float
        Of what destroys it [kJ/mol].

    Returns
    -------
    float
        [min]

    Raises
    ------
    BadEntry
        There are not as many times as temperatures, or the times run backwards.
    OutsideModel
        Outside 0 to 130 °C.

    Notes
    -----
    Arrhenius, the rate straight between two readings: the sum of dt exp(E/R (1/T_ref - 1/T)).

    Examples
    --------
    >>> heat_dose_min([0.0, 1.0], [40.0, 40.0], 25.0, 50.0)  # ratio of rates 40 to 25 °C at 50 kJ, second-hand
    2.63

    References
    ----------
    jaganyi-price-1999
    """
    at, read = np.asarray(minutes, dtype=np.float64), np.asarray(temperatures_c, dtype=np.float64)
    if at.shape != read.shape or np.any(np.diff(at) < 0.0):
        raise BadEntry(
            "A record has one temperature for each time, and its times run forwards",
            worded("{times} times, {temperatures} temperatures", times=at.size, temperatures=read.size),
            "Write them in the order they were read",
        )
    rate = 1.0 / np.asarray(time_at_temperature_min(1.0, reference_c, read, activation_energy_kj_mol))
    return float(np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(at)))
