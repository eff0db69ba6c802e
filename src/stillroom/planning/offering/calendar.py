"""Days that pass in every draw at once: work in working hours from Monday to Friday, soaking day and night.

A clock is counted in minutes from the opening of the first day; a day opens at its minute 0. Says nothing about
holidays, nor about who else needs the bench.
"""

import numpy as np

from stillroom.planning.working_days import DAYS_PER_WEEK, MINUTES_PER_DAY, SATURDAY
from stillroom.stream.components import Array, Number


def after_work(clock_min: Number, work_min: Number, day_min: float, first_weekday: int) -> Array:
    """The clock after so many minutes of work, which pass in working hours only.

    Parameters
    ----------
    clock_min : float or array
        Minutes since the first day opened. [min]
    work_min : float or array
        Hands and eyes. [min]
    day_min : float
        Working minutes of a day. [min]
    first_weekday : int
        Weekday of the first day, Monday 0. [1]

    Returns
    -------
    array
        Unchanged where there is no work. [min]
    """
    clock, work = np.broadcast_arrays(
        np.asarray(clock_min, dtype=np.float64), np.asarray(work_min, dtype=np.float64)
    )
    day, at_min = np.divmod(clock, MINUTES_PER_DAY)
    over = at_min >= day_min
    day, at_min = day + over, np.where(over, 0.0, at_min)
    weekday = (first_weekday + day) % DAYS_PER_WEEK
    free = weekday >= SATURDAY
    day = day + np.where(free, DAYS_PER_WEEK - weekday, 0.0)
    at_min = np.where(free, 0.0, at_min)
    weekday = np.where(free, 0.0, weekday)
    total_min = at_min + work
    more = np.maximum(np.ceil(total_min / day_min) - 1.0, 0.0)
    weekends = np.floor((weekday + more) / SATURDAY)
    ended = day + more + (DAYS_PER_WEEK - SATURDAY) * weekends
    found = ended * MINUTES_PER_DAY + total_min - more * day_min
    return np.where(work > 0, found, clock)


def days_of(clock_min: Array) -> Array:
    """Whole days after the first day at which a clock stands [d].

    Parameters
    ----------
    clock_min : array
        Minutes since the first day opened. [min]
    """
    return np.asarray(np.floor(clock_min / MINUTES_PER_DAY))
