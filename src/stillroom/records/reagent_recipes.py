"""Recipes of reagents that are shipped: procedures with the amounts of their source, to be copied and altered.

Promises the amounts as printed, in the words of the recipe, and which reagent each belongs to. Scales nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.quantities.parse import parse
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.procedures import Line, Procedure
from stillroom.reference.tables import Row, row, table

RECIPES = "reagent_recipes"
FILLED_TO = "to "


@dataclass(frozen=True, slots=True)
class Taken:
    """What one line of a recipe takes."""

    value: float
    """In the unit beside it; the volume it is filled up to where ``fills``. [g or mL]"""
    unit: str
    fills: bool = False
    """Whether the line fills up to that volume."""


def recipe_names() -> tuple[str, ...]:
    """Every recipe that is shipped.

    Returns
    -------
    tuple of str
        In the order of the table. [text]
    """
    return tuple(one.key for one in table(RECIPES).rows)


def recipe_row(name: str) -> Row:
    """What the table says of a recipe: its reagent, bottle, hazards and source.

    Parameters
    ----------
    name : str
        Such as "dragendorff-a". [text]

    Raises
    ------
    UnknownName
        There is none of that name; the nearest are offered.
    """
    return row(RECIPES, name.strip().casefold())


@cache
def recipe(name: str) -> Procedure:
    """One recipe as the procedure it is.

    Parameters
    ----------
    name : str
        Such as "dragendorff-a". [text]

    Raises
    ------
    UnknownName
        There is none of that name; the nearest are offered.
    """
    file = f"{recipe_row(name).key}.yaml"
    text = files("stillroom.records").joinpath("reagents").joinpath(file).read_text("utf-8")
    return procedure_from_yaml(text, file)


def recipes_of(reagent: str) -> tuple[str, ...]:
    """The recipes of a reagent, its parts before what is joined from them.

    Parameters
    ----------
    reagent : str
        Key of the table ``reagents``. [text]

    Returns
    -------
    tuple of str
        Empty where the test takes no mixture. [text]
    """
    return tuple(one.key for one in table(RECIPES).rows if one.words("reagent") == reagent)


def recipe_making(substance: str) -> str:
    """The recipe that makes a substance.

    Parameters
    ----------
    substance : str
        "dragendorff part A". [text]

    Raises
    ------
    UnknownName
        No recipe makes it.
    """
    found = _makers().get(substance)
    if found is None:
        raise UnknownName.among(substance, "what a recipe makes", _makers())
    return found


def is_made(substance: str) -> bool:
    """Whether a recipe that is shipped makes a substance.

    Parameters
    ----------
    substance : str
        As a lot has it. [text]
    """
    return substance in _makers()


@cache
def _makers() -> Mapping[str, str]:
    """The recipe of each substance, the first of the table where two make it."""
    return {recipe(name).makes: name for name in reversed(recipe_names())}


def taken_of(line: Line) -> Taken:
    """What a line of a recipe takes.

    Parameters
    ----------
    line : Line
        With its amount. [record]

    Raises
    ------
    BadEntry
        It states no amount, none above zero, or fills up without being the q.s. line.
    """
    fills = line.amount.startswith(FILLED_TO)
    quantity = parse(
        line.amount.removeprefix(FILLED_TO), want=("mass", "volume"), zero_allowed=False, where=line.name
    )
    unit = "g" if quantity.dimension.startswith("mass") else "mL"
    if fills and (line.role != "q.s." or unit != "mL"):
        raise BadEntry(
            "Only the q.s. line fills up, and to a volume",
            worded("{amount!r} of {line_name!r}", amount=line.amount, line_name=line.name),
            "Mark the line q.s., or write what it takes",
            where=line.name,
        )
    return Taken(quantity.in_unit(unit), unit, fills)
