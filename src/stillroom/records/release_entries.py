"""Bodies of entries about leaving: decisions on lots and on lines of the release list, papers, who was told."""

from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from stillroom.records.lots import Status

Outcome: TypeAlias = Literal["passes", "fails", "shown"]


@dataclass(frozen=True, slots=True)
class StatusDecided:
    """A lot is released, suspended, stopped or rejected."""

    subject: str
    to: Status
    meaning: str
    alone: bool = False
    """Marks a release without a second person."""
    missing: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    """What changed after the release, "old → new"; only where a lot is suspended by it."""
    because_of: tuple[int, ...] = ()
    """Entries that changed it."""


@dataclass(frozen=True, slots=True)
class LineDecided:
    """A named person decided a line of the release list that the book cannot decide.

    It holds as long as the line says the same (``says``); when that changes it is asked again.
    """

    subject: str
    key: str
    about: str
    says: str
    reason: str


@dataclass(frozen=True, slots=True)
class EvidenceShown:
    """A paper or a test from elsewhere that the release list asks for."""

    subject: str
    """A lot, or the procedure of a formula, where the paper holds for every batch of it."""
    what: str
    """One of ``products.papers.PAPERS``."""
    outcome: Outcome
    says: str
    """What was found, in the words of the paper."""
    document: str
    """Number and issuer."""
    dated: str = ""
    """[ISO date]"""
    keeps_days: int | None = None
    """For a document on stability: how long it shows that the product keeps. [d]"""


@dataclass(frozen=True, slots=True)
class CertificateIssued:
    """A certificate as it was issued: both forms whole, and the label let out with it, to be shown for ever."""

    subject: str
    revision: int
    why: str
    changed: tuple[str, ...] = ()
    pages: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PeopleTold:
    """Somebody was told of a stop, a suspension or a recall: who, how, and what they answered."""

    subject: str
    who: str
    how: str
    said: str
    order: str = ""


@dataclass(frozen=True, slots=True)
class ComplaintHeard:
    """Somebody complained of a lot that left: who, of what, and whether somebody reacted to it."""

    subject: str
    who: str
    what: str
    order: str = ""
    reacted: bool = False


@dataclass(frozen=True, slots=True)
class RecallRehearsed:
    """A recall was rehearsed; nothing was stopped and nobody was told."""

    subject: str
    took_min: float
    found: str
    bottles: int
    accounted: int
