"""Ingredients of products by name: what each is called on a label.

Promises to know a name or to say that it does not; being known says nothing about limits.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stillroom.errors import UnknownName
from stillroom.reference.tables import Row, table

TABLE = "ingredients"


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient.

    Attributes
    ----------
    name : str
        Key of the table ``ingredients``.
    label_name : str
        Name on the list of ingredients.
    what_for : str
        Such as "humectant".
    cas : str
        Registry number; empty where none is printed.
    source : str
    """

    name: str
    label_name: str
    what_for: str
    cas: str
    source: str


def ingredient(name: str) -> Ingredient:
    """The ingredient of a name.

    Parameters
    ----------
    name : str
        Its key, its label name or another name it goes by. [text]

    Returns
    -------
    Ingredient
        The ingredient. [record]

    Raises
    ------
    UnknownName
        It is not listed; the nearest names are offered.
    """
    known = _by_name()
    found = known.get(_folded(name))
    if found is None:
        near = {_folded(one): one for one in (row.key for row in table(TABLE).rows)} | {
            folded: row.key for folded, row in known.items()
        }
        raise UnknownName.among(_folded(name), "an ingredient", near)
    return Ingredient(
        name=found.key,
        label_name=found.words("label_name"),
        what_for=found.words("what_for"),
        cas=found.words("cas"),
        source=found.words("source"),
    )


def names_of_ingredients() -> tuple[str, ...]:
    """Every name of the table, for the nearest one to what is misspelt."""
    return tuple(name for row in table(TABLE).rows for name in _names(row))


def _names(row: Row) -> tuple[str, ...]:
    return tuple(
        one for one in (row.key, row.words("label_name"), *row.words("also_called").split(";")) if one
    )


@cache
def _by_name() -> Mapping[str, Row]:
    listed: dict[str, Row] = {}
    for row in reversed(table(TABLE).rows):
        listed.update({_folded(one): row for one in reversed(_names(row))})
    return listed


def _folded(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").split())
