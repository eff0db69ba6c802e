"""Taps of a watched Soxhlet as siphonings: what a longer time between two taps means, and what the heater does.

A tap that was forgotten leaves a time that is a whole multiple of its neighbours; a cut of power or water leaves any
other long time, or one that the book knows of. Neither is read as a slow cycle. Nothing is refused: two taps within a
third of a cycle are taken as one, and it is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from stillroom.errors import BadEntry
from stillroom.science.arrays import Floats, array

LONG = 1.55
"""Time between two taps over that of their neighbours from which it needs a reason [1]."""
WHOLE = 0.15
"""How far from a whole multiple a time may be to be read as forgotten taps: this, times the root of them [1]."""
MOST_FORGOTTEN = 3
TWICE = 0.34
"""Time between two taps over that of their neighbours under which the second is a slip of the finger [1]."""
NEIGHBOURS = 3
FEWEST_FOR_A_TREND = 6
FADES_PER_SIPHONING = 0.01
"""Rise of the time of a siphoning from which the heater is said to fade [1]."""


@dataclass(frozen=True, slots=True)
class Siphonings:
    """The siphonings that taps stand for.

    ``cycle_min``, ``cycle_sd_min``: time of the next siphoning. [min]
    """

    minutes: Floats
    """Time at work from the wetting of the plant to each siphoning. [min]"""
    number_of_tap: tuple[int, ...]
    """Which siphoning each tap was; 0 for one taken as a slip. [1]"""
    forgotten: tuple[int, ...]
    """Siphonings nobody tapped. [1]"""
    cuts: tuple[tuple[int, float], ...]
    """After which siphoning it stood, and how long. [1, min]"""
    cycle_min: float
    cycle_sd_min: float
    trend: float
    """Share by which the time of a siphoning grows from one to the next. [1]"""
    trend_sd: float
    """[1]"""

    @property
    def fades(self) -> bool:
        """Whether the heater gives less and less, by more than chance [yes or no]."""
        return self.trend > FADES_PER_SIPHONING and self.trend > 3.0 * self.trend_sd


def siphonings_of(
    tap_minutes: Sequence[float],
    counted: Sequence[int] = (),
    stood: Sequence[tuple[float, float]] = (),
    planned_cycle_min: float = 0.0,
    first_over_cycle: float = 1.0,
) -> Siphonings:
    """The siphonings that taps stand for.

    Parameters
    ----------
    tap_minutes : sequence of float
        Times of the taps by one clock, in order [min].
    counted : sequence of int
        Siphonings since the tap before, where somebody said so; 0 where nobody did [1].
    stood : sequence of (float, float)
        From when to when water or power was off, by the same clock [min].
    planned_cycle_min : float
        Time of a siphoning by the plan, 0 where there is none; taken until there are two taps [min].
    first_over_cycle : float
        Time of the first siphoning, which fills dry plant to the crest, over that of a later one [1].

    Returns
    -------
    Siphonings
        At work, forgotten and cut [record].

    Raises
    ------
    BadEntry
        The times are not in order.

    Examples
    --------
    >>> siphonings_of([0.0, 12.0, 24.0, 48.0, 60.0, 72.0]).forgotten
    (4,)
    >>> siphonings_of([0.0, 12.0, 24.0, 36.0, 77.0, 89.0]).cuts
    ((4, 29.0),)

    References
    ----------
    extraction-practice
    """
    taps = array(tap_minutes)
    if taps.size == 0:
        return Siphonings(taps, (), (), (), planned_cycle_min, 0.25 * planned_cycle_min, 0.0, 0.0)
    between = np.diff(taps)
    if (between < 0.0).any():
        raise BadEntry("Taps must be in order of their times", "one before another", "Sort them")
    said = [*counted, *([0] * taps.size)][: taps.size]
    off = [_overlap(stood, early, late) for early, late in pairwise(taps)]
    cycle = _typical(between, planned_cycle_min)
    minutes = [first_over_cycle * (float(cycle[0]) if between.size else planned_cycle_min)]
    of_tap, forgotten, cuts, single = [1], list[int](), list[tuple[int, float]](), list[tuple[int, float]]()
    for at, whole in enumerate(between):
        last, now = len(minutes), minutes[-1]
        worked = float(whole) - off[at]
        times, worked, cut = _read(worked, float(cycle[at]), said[at + 1], off[at])
        if times == 0:
            of_tap.append(0)
            minutes[-1] = now + worked
            continue
        if cut:
            cuts.append((last, cut))
        forgotten += range(last + 1, last + times)
        minutes += [now + worked * one / times for one in range(1, times + 1)]
        of_tap.append(last + times)
        if not cut:
            single += [(last + one, worked / times) for one in range(1, times + 1)]
    cycle_min, cycle_sd, trend, trend_sd = _onward(single, planned_cycle_min or float(cycle[-1]))
    return Siphonings(
        np.asarray(minutes),
        tuple(of_tap),
        tuple(forgotten),
        tuple(cuts),
        cycle_min,
        cycle_sd,
        trend,
        trend_sd,
    )


def _read(worked: float, cycle: float, said: int, off: float) -> tuple[int, float, float]:
    """What a time between two taps was: siphonings, time at work, time it stood."""
    over = worked / cycle if cycle > 0.0 else 1.0
    if said > 0:
        return said, worked, off
    if over < TWICE and not off:
        return 0, worked, 0.0
    if over < LONG:
        return 1, worked, off
    times = round(over)
    if not off and times <= MOST_FORGOTTEN + 1 and abs(over - times) <= WHOLE * times**0.5:
        return times, worked, 0.0
    return 1, cycle, off + worked - cycle


def _typical(between: Floats, planned: float) -> Floats:
    """The time of one siphoning at each place: the middle of what stands about it, the long ones left out."""
    if between.size == 0:
        return np.asarray([planned or 1.0])
    shorter = between[between > TWICE * np.median(between)]
    floor = float(np.quantile(shorter, 0.3)) if shorter.size else float(between.min())
    found = []
    for at in range(between.size):
        about = np.concatenate([between[max(at - NEIGHBOURS, 0) : at], between[at + 1 : at + 1 + NEIGHBOURS]])
        fit = about[(about < LONG * floor * 1.3) & (about > TWICE * floor)]
        found.append(float(np.median(fit)) if fit.size else floor)
    return np.asarray(found)


def _onward(single: Sequence[tuple[int, float]], planned: float) -> tuple[float, float, float, float]:
    """Time of the next siphoning and its doubt; how times grow, and the doubt of that."""
    if not single:
        return planned, 0.25 * planned, 0.0, 0.0
    at, times = array([one for one, _ in single]), np.log(array([one for _, one in single]))
    if at.size < FEWEST_FOR_A_TREND:
        middle = float(np.exp(np.median(times)))
        return middle, middle * max(float(times.std()), 0.05), 0.0, 0.0
    off = at - at.mean()
    slope = float(off @ times / (off @ off))
    scatter = float(np.sqrt(np.square(times - times.mean() - slope * off).sum() / (at.size - 2)))
    slope_sd = max(scatter, 0.01) / float(np.sqrt(off @ off))
    counts = abs(slope) > 2.0 * slope_sd
    level = float(np.median(times[-4:]))
    ahead = slope * 2.5 if counts else 0.0
    cycle = float(np.exp(level + ahead))
    return cycle, cycle * max(scatter, 0.03), slope, slope_sd


def _overlap(stood: Sequence[tuple[float, float]], early: float, late: float) -> float:
    return float(sum(max(min(late, to) - max(early, since), 0.0) for since, to in stood))
