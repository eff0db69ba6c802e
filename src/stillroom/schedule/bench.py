"""What there is to do it with: people and their hours, places and apparatus, watts, water, and when they are cut.

Promises whole minutes from the same beginning as the jobs. The cooling check is that of ``science.heat``: water in
series is shared and warms from one condenser to the next, water side by side takes its own flow for each.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from stillroom.science.heat.breaker import PLANNED_SHARE, most_w
from stillroom.science.heat.condensers import GRAMS_PER_S
from stillroom.science.heat.distilling import WATER_CAPACITY_J_G_K

Span: TypeAlias = tuple[int, int]
"""From one minute to another, the second not counted. [min]"""
POWER, TAP, COOLING = "power", "tap water", "heat into the cooling water"
"""Names of the limits that the house itself sets."""
CONDENSER_L_MIN = 0.5
"""Usual least water of one condenser; common practice, no source. [L/min]"""
WATCH_MOST = 3
"""Set-ups within one glance of one person: common practice, no source."""
BELOW_BOILING_K = 20.0
"""Cooling water leaves at least so far below the boiling point: common practice, no source. [K]"""


@dataclass(frozen=True, slots=True)
class Break:
    """Time off within a day, somewhere between two moments.

    ``earliest_min``, ``latest_min``: it begins and ends between these. [min]
    """

    minutes: int
    """How long. [min]"""
    earliest_min: int
    latest_min: int
    in_the_room: bool = False
    """Whether a still may be watched meanwhile."""


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody who works on the bench."""

    code: str
    name: str
    at_work: tuple[Span, ...]
    """Spans of presence, in order. [min]"""
    breaks: tuple[Break, ...] = ()


@dataclass(frozen=True, slots=True)
class Cut:
    """A time in which less is there.

    ``begins_min``, ``ends_min``: [min]
    """

    begins_min: int
    ends_min: int
    left: int = 0
    """What is left of the limit."""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Limit:
    """Something of which only so much is there at once."""

    name: str
    most: int
    """In its unit."""
    unit: str = ""
    """Such as "W", "mL/min"; "" for places counted in pieces."""
    cuts: tuple[Cut, ...] = ()

    def cut(self, begins_min: int, ends_min: int, left: int = 0, why: str = "") -> "Limit":
        """The same with one cut more."""
        return replace(self, cuts=(*self.cuts, Cut(begins_min, ends_min, left, why)))


@dataclass(frozen=True, slots=True)
class Bench:
    """One bench and who works on it."""

    people: tuple[Worker, ...]
    limits: tuple[Limit, ...]
    watch_most: int = WATCH_MOST
    """How many set-ups one person watches at once."""

    def limit(self, name: str) -> Limit | None:
        """The limit of that name, None where the bench has none."""
        return next((one for one in self.limits if one.name == name), None)

    def with_limit(self, limit: Limit) -> "Bench":
        """The same bench with a limit in place of the one of that name."""
        others = tuple(one for one in self.limits if one.name != limit.name)
        return replace(self, limits=(*others, limit))

    def worker(self, code: str) -> Worker | None:
        """The person of that code, None where nobody has it."""
        return next((one for one in self.people if one.code == code), None)


def power_limit(current_a: float, voltage_v: float = 230.0, share: float = PLANNED_SHARE) -> Limit:
    """The watts that may be on at once.

    Parameters
    ----------
    current_a : float
        Printed on the breaker. [A]
    voltage_v : float
        Of the mains. [V]
    share : float
        Share of the breaker one plans to. [1]

    Examples
    --------
    >>> power_limit(10.0).most, power_limit(16.0).most
    (1840, 2944)
    """
    return Limit(POWER, int(most_w(current_a, voltage_v, share)), "W")


def series_limit(flow_l_min: float, inlet_c: float, boiling_c: float) -> Limit:
    """The heat that condensers one after the other may give to their common water.

    Parameters
    ----------
    flow_l_min : float
        Water through the chain. [L/min]
    inlet_c : float
        Water coming in. [°C]
    boiling_c : float
        The lowest boiling point in the chain. [°C]

    Notes
    -----
    The last outlet may stand 20 K below the lowest boiling point (common practice, no source), wherever in the chain
    that one is: so the order of the water does not matter.

    Examples
    --------
    >>> series_limit(0.5, 18.0, 78.3).most
    1405
    """
    rise_k = max(boiling_c - BELOW_BOILING_K - inlet_c, 0.0)
    return Limit(COOLING, int(flow_l_min * GRAMS_PER_S * WATER_CAPACITY_J_G_K * rise_k), "W")


def tap_limit(flow_l_min: float) -> Limit:
    """The water the tap gives, for condensers side by side.

    Parameters
    ----------
    flow_l_min : float
        All the tap gives. [L/min]
    """
    return Limit(TAP, int(flow_l_min * 1000.0), "mL/min")


def joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Spans in order, those that touch made one.

    Examples
    --------
    >>> joined([(5, 9), (0, 5), (12, 12), (20, 30)])
    ((0, 9), (20, 30))
    """
    found: list[Span] = []
    for begins, ends in sorted(one for one in spans if one[1] > one[0]):
        if found and begins <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], ends))
        else:
            found.append((begins, ends))
    return tuple(found)


def outside(spans: Sequence[Span], horizon_min: int) -> tuple[Span, ...]:
    """What spans leave of a time.

    Examples
    --------
    >>> outside([(10, 20), (30, 40)], 50)
    ((0, 10), (20, 30), (40, 50))
    """
    edges = [0, *(edge for one in joined(spans) for edge in one), horizon_min]
    return tuple(
        (begins, min(ends, horizon_min))
        for begins, ends in zip(edges[::2], edges[1::2], strict=True)
        if begins < min(ends, horizon_min)
    )
