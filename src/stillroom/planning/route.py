"""What a figure asks of the two procedures of an order: which lines and steps are there, and what is counted.

Promises to look at structure only; nothing is run. A figure that does not apply to a chain is left out of its
plan, so that an infusion has no line about spirit.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.records.procedures import Line, Procedure, Step
from stillroom.stream.kind import Does, Reagent
from stillroom.stream.kinds import kind_does, takes_reagent

WATERS = ("purified water", "water")
MEAN_OF = "mean of "
LINE = "line/"
"""Beginning of the key of a figure that is the grams of a line of the extraction."""
OF_REAGENT: dict[Reagent, str] = {
    "acid": "acid_g", "ammonia": "ammonia_g", "clean-up solvent": "ethyl_acetate_g",
}  # fmt: skip
"""Figures that are a reagent a step takes from the shelf beside the liquor."""


@dataclass(frozen=True, slots=True)
class Chain:
    """The two procedures of an order, and the marker it is about."""

    extraction: Procedure
    formula: Procedure
    marker: str
    """What is counted, in words: "total alkaloids as quinine", "rosmarinic acid"."""
    both: tuple[str, ...] = ()
    """Two compounds whose mean an assay may count; empty where that is not usual."""
    bounded: bool = True
    """Whether a ceiling is known."""
    currency: str = "EUR"
    """What money is counted in."""
    by_mass: bool = False
    """Whether what each bottle holds is a mass: no density is asked for."""

    def does(self, what: Does) -> bool:
        """Whether a step of the extraction does that."""
        return any(steps_that(self.extraction, what))

    def takes(self, reagent: Reagent) -> bool:
        """Whether a step of the extraction takes that beside the liquor."""
        return any(takes_reagent(one.kind, reagent) for one in self.extraction.steps)


def steps_that(procedure: Procedure, what: Does) -> Iterator[Step]:
    """The steps of a procedure that do something, in order.

    Parameters
    ----------
    what : str
        As a kind of step says it of itself.
    """
    return (one for one in procedure.steps if kind_does(one.kind, what))


def lines_to_buy(extraction: Procedure) -> dict[str, str]:
    """Key of a figure and name of its line, for every line of an extraction that is bought as it is."""
    of_reagent = {taken_from_shelf(extraction, one): key for one, key in OF_REAGENT.items()}
    return {of_reagent.get(one.name, f"{LINE}{one.name}"): one.name for one in other_lines(extraction)}


def recovers_spirit(procedure: Procedure) -> Step | None:
    """The first step that gives spirit back, or None where no spirit goes in or none is caught."""
    if not spirit_lines(procedure):
        return None
    return next(steps_that(procedure, "recovers"), None)


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


def taken_from_shelf(procedure: Procedure, reagent: Reagent) -> str:
    """The line that is a reagent taken beside the liquor; "" where there is none."""
    step = next((one for one in procedure.steps if takes_reagent(one.kind, reagent)), None)
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
