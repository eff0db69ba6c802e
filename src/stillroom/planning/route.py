"""What a figure asks of the two procedures of an order: which lines and steps are there, and what is counted.

Promises to look at structure only; nothing is run. A figure that does not apply to a chain is left out of its
plan, so that an infusion has no line about spirit.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.records.procedures import Line, Procedure, Step
from stillroom.stream.kind import Does
from stillroom.stream.kinds import KINDS

WATERS = ("purified water", "water")
STRIPS = "strip solvent"
MEAN_OF = "mean of "
LINE = "line/"
"""Beginning of the key of a figure that is the grams of a line of the extraction."""
OF_KIND = {"acidify and filter": "acid_g", "basify": "ammonia_g", "partition": "ethyl_acetate_g"}
"""Figures that are what a kind of step takes from the shelf beside the liquor."""


@dataclass(frozen=True, slots=True)
class Chain:
    """The two procedures of an order, and the marker it is about.

    Attributes
    ----------
    extraction, formula : Procedure
    marker : str
        What is counted, in words: "total alkaloids as quinine", "rosmarinic acid".
    both : tuple of str
        Two compounds whose mean an assay may count; empty where that is not usual.
    bounded : bool
        Whether a ceiling is known.
    currency : str
        What money is counted in.
    """

    extraction: Procedure
    formula: Procedure
    marker: str
    both: tuple[str, ...] = ()
    bounded: bool = True
    currency: str = "EUR"

    def does(self, what: Does) -> bool:
        """Whether a step of the extraction does that."""
        return any(steps_that(self.extraction, what))

    def has(self, kind: str) -> bool:
        """Whether the extraction has a step of that kind."""
        return any(one.kind == kind for one in self.extraction.steps)


def steps_that(procedure: Procedure, what: Does) -> Iterator[Step]:
    """The steps of a procedure that do something, in order.

    Parameters
    ----------
    procedure : Procedure
    what : str
        As a kind of step says it of itself.
    """
    return (one for one in procedure.steps if one.kind in KINDS and KINDS[one.kind].does == what)


def lines_to_buy(extraction: Procedure) -> dict[str, str]:
    """Key of a figure and name of its line, for every line of an extraction that is bought as it is.

    Parameters
    ----------
    extraction : Procedure
    """
    of_kind = {taken_from_shelf(extraction, kind): key for kind, key in OF_KIND.items()}
    return {of_kind.get(one.name, f"{LINE}{one.name}"): one.name for one in other_lines(extraction)}


def step_of_kind(procedure: Procedure, kind: str) -> Step | None:
    """The first step of a kind, or None."""
    return next((one for one in procedure.steps if one.kind == kind), None)


def recovers_spirit(procedure: Procedure) -> Step | None:
    """The first step that gives spirit back, or None where no spirit goes in or none is caught."""
    if not spirit_lines(procedure):
        return None
    return next((one for one in steps_that(procedure, "recovers") if one.kind != STRIPS), None)


def spirit_lines(procedure: Procedure) -> tuple[str, ...]:
    """Names of the lines that are spirit."""
    return tuple(one.name for one in procedure.lines if is_spirit(one))


def water_lines(procedure: Procedure) -> tuple[str, ...]:
    """Names of the lines that are water."""
    return tuple(one.name for one in procedure.lines if one.substance in WATERS)


def other_lines(procedure: Procedure) -> tuple[Line, ...]:
    """Lines that are bought as they are: no plant, spirit or water, nothing that is dosed."""
    return tuple(
        one
        for one in procedure.lines
        if one.name != procedure.scaled_by
        and one.role != "dosed"
        and not is_spirit(one)
        and one.substance not in WATERS
    )


def is_spirit(line: Line) -> bool:
    """Whether a line is spirit of some strength."""
    return line.is_spirit


def taken_from_shelf(procedure: Procedure, kind: str) -> str:
    """The line that a kind of step takes beside the liquor; "" where there is none."""
    step = step_of_kind(procedure, kind)
    if step is None:
        return ""
    names = {one.name for one in procedure.lines}
    return next((one for one in step.takes[1:] if one in names), "")


def compounds_of(reckoned_as: str) -> tuple[str, ...]:
    """The compounds an assay is reckoned as: one, or the two whose mean it takes."""
    words = reckoned_as.strip().removeprefix("the ")
    if not words.startswith(MEAN_OF):
        return (words,)
    return tuple(one.strip() for one in words.removeprefix(MEAN_OF).split(" and "))


def both_of(markers: tuple[str, ...], compound: str, reckoned_as: str) -> tuple[str, ...]:
    """The two compounds whose mean is worth telling beside the marker; empty where there are not two.

    Parameters
    ----------
    markers : tuple of str
        Of the extraction.
    compound : str
        What the order counts.
    reckoned_as : str
        What the assay of the plant counts.
    """
    mean = compounds_of(reckoned_as)
    if len(mean) == 2:
        return mean
    return markers if len(markers) == 2 and compound in markers else ()
