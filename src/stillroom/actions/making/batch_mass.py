"""The mass of a batch: what went in, what came out weighed, and whether that closes."""

from dataclasses import dataclass
from math import hypot

from stillroom.records.entries import Weighing
from stillroom.records.lots import batch_account, grams
from stillroom.store.reader import Reader
from stillroom.stream.happened import closes
from stillroom.stream.kinds import kind_does


@dataclass(frozen=True, slots=True)
class BatchMass:
    """What went into a batch and came out of it.

    ``in_g``, ``out_g``: [g]
    """

    in_g: float
    out_g: float
    all_weighed: bool
    """Whether everything it gave is weighed: it was filled into bottles."""

    @property
    def closes(self) -> bool:
        """Whether it comes out as it went in, within what may be lost or misread."""
        return closes(self.in_g, self.out_g, all_weighed=self.all_weighed)

    @property
    def missing_percent(self) -> float:
        """What did not come out, as a share of what went in; below zero when more came out. [%]."""
        return 100.0 * (self.in_g - self.out_g) / self.in_g if self.in_g else 0.0


def mass_of_batch(look: Reader, batch: str) -> BatchMass:
    """The mass of a batch by its movements and fillings."""
    into_ug, out_of_ug = look.through(batch_account(batch))
    fillings = look.fillings(batch)
    filled_g = sum(entry.body.filled_g + entry.body.left_over_g for entry in fillings)
    return BatchMass(grams(into_ug), grams(out_of_ug) + filled_g, bool(fillings))


def mass_made_g(look: Reader, batch: str) -> float:
    """The bulk as it was weighed when it was blended, else what was weighed in, else as it was begun [g]."""
    return sum(one.actual_g for one in _weighings_of_bulk(look, batch)) or look.batch(batch).scale_g


def mass_made_sure_g(look: Reader, batch: str) -> float:
    """How well that bulk is known by the scales it was weighed on, one standard deviation [g]."""
    scales = [one.apparatus for one in _weighings_of_bulk(look, batch) if one.apparatus]
    return hypot(*(look.apparatus(one).standard_uncertainty for one in scales))


def _weighings_of_bulk(look: Reader, batch: str) -> list[Weighing]:
    """The bulk where it was weighed, else everything weighed in."""
    steps = look.procedure_of(batch).steps
    filling = {one.name for one in steps if kind_does(one.kind, "bottles")}
    weighings = [
        one for entry in look.steps(batch) if entry.body.step not in filling for one in entry.body.weighings
    ]
    within = [one for one in weighings if one.direction == "within"]
    return within[-1:] or [one for one in weighings if one.direction == "in"]
