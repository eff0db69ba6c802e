"""The mass of a batch: what went in, what came out weighed, and whether that closes."""

from dataclasses import dataclass
from math import hypot

from stillroom.actions.book.product_made import fillings_in_turn, out_of_bulk_g, turn_of
from stillroom.records.entries import Entry, UnitsFilled, Weighing
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
    return BatchMass(
        grams(into_ug), grams(out_of_ug) + out_of_bulk_g(look, batch), bool(look.fillings(batch))
    )


@dataclass(frozen=True, slots=True)
class Bulk:
    """The bulk that a filling found."""

    mass_g: float
    """What was made, or what the filling before left. [g]"""
    sure_g: float
    """How well that is known, one standard deviation. [g]"""
    left_by: Entry[UnitsFilled] | None
    """The filling before; None for the first."""


def bulk_found(look: Reader, batch: str, code: str, on: str) -> Bulk:
    """The bulk that a filling found.

    Parameters
    ----------
    code : str
        Of its lot of bottles.
    on : str
        ISO time at which it was done.
    """
    before = [
        one
        for one in fillings_in_turn(look, batch)
        if turn_of(one.done_at, one.body.lot.code) < turn_of(on, code)
    ]
    if not before:
        return Bulk(mass_made_g(look, batch), mass_made_sure_g(look, batch), None)
    scale = before[-1].body.apparatus
    return Bulk(
        before[-1].body.left_over_g,
        look.apparatus(scale).standard_uncertainty if scale else 0.0,
        before[-1],
    )


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
