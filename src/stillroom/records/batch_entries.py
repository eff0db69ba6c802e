"""Bodies of entries that speak of a batch as a whole, and of what went otherwise in it."""

from dataclasses import dataclass
from typing import Any

GIVEN_UP = "given up"
"""How a batch that was given up stands."""


@dataclass(frozen=True, slots=True)
class BatchBegun:
    """A making is begun: which procedure, at what scale, for what. It will make the lot of the same code."""

    code: str
    procedure: str
    version: int
    scale_g: float
    order: str = ""
    planned: dict[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class BatchGivenUp:
    """A batch is ended before its steps are, and why; ``taken_up_again`` says that this was a mistake.

    What it used stays used.
    """

    batch: str
    why: str
    taken_up_again: bool = False


@dataclass(frozen=True, slots=True)
class DeviationNoted:
    """Something went otherwise than the procedure says."""

    batch: str
    step: str
    what: str
    done_about_it: str
    closed: bool = True
