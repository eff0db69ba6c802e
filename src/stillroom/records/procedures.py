"""Procedures: a formula, a reagent recipe and an extraction are one thing, versioned lines and steps.

A step is defined here once; its kind stands in ``stream/kinds``. Plan, forecast, batch sheet and step entry all point
at (procedure, version, step); nothing is copied.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

Purpose: TypeAlias = Literal["extraction", "formula", "reagent"]
Serves: TypeAlias = Literal["preservative", "other", ""]
Spreading: TypeAlias = Literal["fixed", "normal", "lognormal", "logit"]


@dataclass(frozen=True, slots=True)
class Setting:
    """One number a step runs with."""

    name: str
    """Parameter of the kind of step, unit in the name ("liquid_ml_per_g")."""
    value: float
    """Median, in the unit the name carries."""
    unit: str
    """Printed unit."""
    spread: Spreading = "fixed"
    """Shape of the uncertainty; "logit" for a share between 0 and 1."""
    standard_uncertainty: float = 0.0
    """In the unit of the value for "normal" and "logit" (taken at the median), as a share for "lognormal"."""
    origin: Literal["assumed", "published", "measured", "chosen"] = "chosen"
    """A choice has no spread; an assumption may serve a plan only."""
    because: str = ""
    """Reason or table row ("parameter_ranges, bed_retention_fine")."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a procedure.

    ``hands_min``, ``watch_min``, ``free_min``: minutes that need hands, watching eyes, nobody. [min]
    """

    name: str
    """Short and unique in the procedure ("percolate")."""
    kind: str
    """Key of ``stream/kinds``."""
    says: str
    """What to do, in one or two sentences."""
    takes: tuple[str, ...]
    """Named things going in: a line of the procedure ("bark"), or what an earlier step gave."""
    gives: tuple[str, ...]
    """Names of what comes out, in the order of the kind's outlets."""
    settings: tuple[Setting, ...] = ()
    weighs: tuple[str, ...] = ()
    """What is weighed at this step: names among takes and gives."""
    ticks: tuple[str, ...] = ()
    """At most three, only those that stop harm before it can start."""
    cautions: tuple[str, ...] = ()
    """Keys of ``reference.cautions``."""
    hands_min: float = 0.0
    watch_min: float = 0.0
    free_min: float = 0.0
    longest_wait_min: float | None = None
    """How long what it gives may wait for the next step. [min]"""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing a procedure takes from the shelf."""

    name: str
    """Name used by the steps ("bark", "spirit", "water")."""
    substance: str
    """Key of the substance it must be."""
    percent: float | None = None
    """For a formula: share of the whole by mass. [% w/w]  None for the q.s. and the dosed line, or outside a
    formula."""
    role: Literal["q.s.", "dosed", ""] = ""
    """Here "q.s." fills up to 100; "dosed" is worked out from the assay of the lot taken."""
    phase: str = ""
    """Letter of the phase in a formula."""
    label_name: str = ""
    """Name on the label's list of ingredients."""
    amount: str = ""
    """For a reagent: what its recipe takes ("1.36 g", "10 mL"), or up to where it is filled ("to 100 mL")."""
    serves: Serves = ""
    """What it is in a formula for, where the law has a limit for each; "" where nobody said."""

    @property
    def is_spirit(self) -> bool:
        """Whether it is spirit of some strength."""
        return self.substance.startswith("spirit")


@dataclass(frozen=True, slots=True)
class Procedure:
    """A versioned recipe."""

    code: str
    """Such as "bark-extract" or "hair-tonic"."""
    version: int
    title: str
    purpose: Purpose
    makes: str
    """Substance of the lot it makes."""
    scaled_by: str
    """Name of the line everything is in proportion to (an extraction), or "bulk" (a formula)."""
    lines: tuple[Line, ...]
    steps: tuple[Step, ...]
    markers: tuple[str, ...] = ()
    """Markers it was worked out for; empty for a formula."""
    keeps_days: int = 0
    """How long what it makes keeps, from the day it is made. [d]"""
    product_type: str = ""
    notes: str = ""
    claims: str = ""
    """For a formula: what its label says it is for and does."""
    label_text: str = ""
    """For a formula: directions and warnings, printed on the label as written."""

    def beside_called(self, line: str) -> str:
        """The substance of what comes out beside what is wanted: a hydrosol is that of its plant.

        Parameters
        ----------
        line : str
            Name among what its steps give. [text]
        """
        return f"{self.lines[0].substance} {line}" if line == "hydrosol" else line

    @property
    def plant(self) -> str:
        """The plant that it extracts; "" where it extracts none."""
        if self.purpose != "extraction":
            return ""
        return next((one.substance for one in self.lines if one.name == self.scaled_by), "")

    def step(self, name: str) -> Step:
        """The step of that name.

        Raises
        ------
        UnknownName
            There is no such step; the nearest names are offered.
        """
        for one in self.steps:
            if one.name == name:
                return one
        from stillroom.errors import UnknownName

        raise UnknownName.among(name, f"a step of {self.code}", (one.name for one in self.steps))
