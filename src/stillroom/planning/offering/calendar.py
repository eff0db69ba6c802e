"""Days that pass in every draw at once: work in the hours somebody is free, soaking day and night.

Where the bench is known a draw begins its work in the first time that is left on it, in one piece where that fits.
Where nothing is known of it, work passes in working hours from Monday to Friday, holidays unknown.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from stillroom.planning.working_days import DAYS_PER_WEEK, MINUTES_PER_DAY, SATURDAY
from stillroom.schedule.bench import joined
from stillroom.stream.components import Array, Number

Spans: TypeAlias = tuple[tuple[int, int], ...]
"""From one minute to another, by their beginning, the second not counted; of two people they may overlap. [min]"""
Flags: TypeAlias = NDArray[np.bool_]
ANYTHING = ""
"""What takes nothing of the bench: hands alone."""
DESK = "desk"
"""What takes not even the hands that others ask for: reading, deciding, labels."""
NO_SPANS: Mapping[str, Spans] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Hours:
    """When work passes."""

    day_min: float
    """Working minutes of a day, where nothing is known of the bench. [min]"""
    first_weekday: int
    """Weekday of the first day, Monday 0. [1]"""
    free: Mapping[str, Spans] = field(default_factory=lambda: NO_SPANS)
    """By kind of step, when somebody and what it takes are free, from midnight of the first day; empty where
    nothing is known of the bench. [min]"""

    def after(self, clock_min: Number, work_min: Number, kind: str = ANYTHING) -> Array:
        """The clock after so many minutes of work of a kind [min].

        Parameters
        ----------
        clock_min, work_min : float or array
            [min]
        kind : str
            Of step; what the bench does not know is hands alone.
        """
        spans = self.free.get(kind) or self.free.get(ANYTHING)
        if not spans:
            return after_work(clock_min, work_min, self.day_min, self.first_weekday)
        clock, work = np.broadcast_arrays(
            np.asarray(clock_min, dtype=np.float64), np.asarray(work_min, dtype=np.float64)
        )
        found, fits = in_one_piece(clock, work, spans)
        spread, enough = in_pieces(clock, work, spans)
        found, fits = np.where(fits, found, spread), fits | enough
        if np.all(fits):
            return np.where(work > 0, found, clock)
        beyond = after_work(
            np.maximum(clock, max(end for _, end in spans)), work, self.day_min, self.first_weekday
        )
        return np.where(work > 0, np.where(fits, found, beyond), clock)


def in_one_piece(clock_min: Array, work_min: Array, spans: Spans) -> tuple[Array, Flags]:
    """The clock after work that is done without a stop, in the first span that holds it, and whether one does.

    Parameters
    ----------
    clock_min, work_min : array
        [min]
    spans : tuple of (int, int)
        [min]

    Returns
    -------
    tuple of array
        [min], and whether it fits.
    """
    found, left = clock_min.astype(np.float64), np.full(clock_min.shape, True)
    for begins, ends in spans:
        if ends <= np.min(clock_min):
            continue
        done = np.maximum(clock_min, begins) + work_min
        here = left & (done <= ends)
        found = np.where(here, done, found)
        left &= ~here
        if not np.any(left):
            break
    return found, ~left


def in_pieces(clock_min: Array, work_min: Array, spans: Spans) -> tuple[Array, Flags]:
    """The clock after work that goes on from span to span, and whether the spans hold it.

    Parameters
    ----------
    clock_min, work_min : array
        [min]
    spans : tuple of (int, int)
        [min]

    Returns
    -------
    tuple of array
        [min], and whether it fits.
    """
    edges = np.asarray(joined(spans), dtype=np.float64)
    begins, ends = edges[:, 0], edges[:, 1]
    until = np.cumsum(ends - begins)
    before = until - (ends - begins)
    at = np.searchsorted(ends, clock_min, side="right")
    inside = np.minimum(at, len(edges) - 1)
    gone = np.where(at < len(edges), before[inside] + np.maximum(clock_min - begins[inside], 0.0), until[-1])
    wanted = gone + work_min
    last = np.minimum(np.searchsorted(until, wanted - 1e-9, side="left"), len(edges) - 1)
    return ends[last] - (until[last] - wanted), wanted <= until[-1] + 1e-9


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
