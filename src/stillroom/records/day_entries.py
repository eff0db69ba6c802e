"""Bodies of entries of the day: a schedule that was kept, and what was tapped or went otherwise at the bench."""

from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

Noted: TypeAlias = Literal[
    "begun", "done", "water", "power", "water and power", "broken", "late", "again", "taken back"
]
"""A step begun, or done that is no step of a batch; what is off; what broke; who comes late; what is done again; a note
of these that was not so, by its entry."""


@dataclass(frozen=True, slots=True)
class DayPlanned:
    """A schedule as it was solved: shown from here, never solved again to be shown."""

    begins: str
    """ISO time that its minutes count from."""
    horizon_min: int
    """[min]"""
    plan: dict[str, Any]
    """Jobs, bench and schedule as JSON content."""


@dataclass(frozen=True, slots=True)
class BenchNoted:
    """Something of the day."""

    what: Noted
    subject: str
    """A job, a limit of the bench, a person."""
    step: str = ""
    """Of the job."""
    minutes: float = 0.0
    """For how long; 0 where that is not known. [min]"""
    why: str = ""
