"""Where each step lies: the schedule, as it is kept and shown.

A schedule that was solved is kept and read again, never solved anew to be shown.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.schedule.bench import Span

Sure: TypeAlias = Literal["proven", "gap", "by rule"]
"""Proven: nothing better exists. Gap: it may be better by no more than is said. By rule: one after the other."""


@dataclass(frozen=True, slots=True)
class Placed:
    """One step in its place."""

    job: str
    step: str
    pieces: tuple[Span, ...]
    """When it is done, in order. [min]"""
    person: str = ""
    """Who has the hands in it; "" for watching and for nobody."""
    begun: bool = False
    """It has begun: it stays."""

    @property
    def begins_min(self) -> int:
        """When it begins [min]."""
        return self.pieces[0][0]

    @property
    def ends_min(self) -> int:
        """When it ends [min]."""
        return self.pieces[-1][1]

    @property
    def key(self) -> tuple[str, str]:
        """Job and step."""
        return self.job, self.step


@dataclass(frozen=True, slots=True)
class Late:
    """A job that ends after it is due [min]."""

    job: str
    minutes: int


@dataclass(frozen=True, slots=True)
class WaitsOver:
    """A step that begins later than it should, because what came before had begun already [min]."""

    job: str
    step: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """Every step in its place."""

    placed: tuple[Placed, ...]
    """By their beginning."""
    end_min: int
    """When the last step ends. [min]"""
    tied_min: int
    """How long somebody must be there: from the first to the last step that needs somebody, added over the
    days. [min]"""
    breaks: tuple[tuple[str, int, int], ...] = ()
    """Person and when the break is. [min]"""
    late: tuple[Late, ...] = ()
    waits_over: tuple[WaitsOver, ...] = ()
    sure: Sure = "by rule"
    better_by_min: int = 0
    """How much earlier the end could at most be, where that is not proven. [min]"""

    def of(self, job: str, step: str) -> Placed | None:
        """Where a step lies, None where it is not in the schedule."""
        return next((one for one in self.placed if one.key == (job, step)), None)
