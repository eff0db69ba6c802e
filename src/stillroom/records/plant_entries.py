"""Bodies of entries that speak of a lot of plant: that it is what it is called, and what it is like."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

PlantState: TypeAlias = Literal["", "fresh", "dry"]
GrindTerm: TypeAlias = Literal["", "whole", "cut", "coarse", "medium", "fine"]


@dataclass(frozen=True, slots=True)
class IdentityDecided:
    """Somebody competent compared the plant with a reference, or did not agree."""

    lot: str
    accepted: bool
    evidence: str
    voucher: str = ""


@dataclass(frozen=True, slots=True)
class PlantDescribed:
    """What a lot of plant is like; the last description stands, and what is "" or None in it nobody said."""

    lot: str
    state: PlantState = ""
    moisture_percent: float | None = None
    """What it loses on drying, as it is; a drying that was weighed comes before it. [% w/w]"""
    moisture_standard_uncertainty_percent: float | None = None
    """[% w/w]"""
    grind: GrindTerm = ""
    particle_mm: float | None = None
    """Middle particle by mass, as it was sieved. [mm]"""
    particle_log_sd: float | None = None
    """Standard uncertainty of its logarithm. [1]"""
    place: str = ""
    """Where it grew."""
    harvested: str = ""
    """Month, as year and month: "2026-09"."""
    as_written: str = ""
    """What was said this time."""
