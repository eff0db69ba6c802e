"""Ingredients of products by name: what each is called on a label.

Promises to know a name, of the table or of one's own, or to say that it does not; being known says nothing about
limits.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from stillroom.errors import UnknownName
from stillroom.reference.tables import Row, table
from stillroom.substances.own import each_once, own, own_ingredient, own_plants_of_hydrosol

TABLE = "ingredients"


_WAY = re.compile(r"( (?:extract|oil|hydrosol)), .*")
_HYDROSOL = re.compile(r"\bhydro(?:sol|late?)$", re.IGNORECASE)
_WATER = re.compile(r"\b(?:water|aqua|hydrosol|hydrolate?|infusion|decoction|juice)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient."""

    name: str
    """Key of the table ``ingredients``, or of one's own."""
    label_name: str
    """Name on the list of ingredients."""
    what_for: str
    """Such as "humectant"."""
    cas: str
    """Registry number; empty where none is printed."""
    source: str
    """Key of ``sources.toml``, or the entry where it was stated."""


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
    listed = known_ingredient(name)
    if listed is None:
        near = {_folded(one): one for one in ingredient_names()} | {
            folded: row.key for folded, row in _by_name().items()
        }
        raise UnknownName.among(_folded(name), "an ingredient", near)
    return listed


def known_ingredient(name: str) -> Ingredient | None:
    """The ingredient of a name, None where it is not listed.

    Parameters
    ----------
    name : str
        Its key, its label name or another name it goes by. [text]
    """
    found = _by_name().get(_folded(name))
    if found is None:
        mine = own_ingredient(name)
        if mine is None:
            return None
        stated, where = mine
        return Ingredient(stated.name, stated.label_name, stated.what_for, stated.cas, where.where)
    return Ingredient(
        name=found.key,
        label_name=found.words("label_name"),
        what_for=found.words("what_for"),
        cas=found.words("cas"),
        source=found.words("source"),
    )


def is_called_water(name: str) -> bool:
    """Whether a name ends in what water is called: "rose hydrosol", "Rosa Damascena Flower Water", "birch juice".

    Parameters
    ----------
    name : str
        As lot, line or label has it. [text]
    """
    return _WATER.search(name.strip()) is not None


def weighs_as_water(name: str) -> bool:
    """Whether it weighs and expands as water does: water under any name, or a hydrosol, a listed one or any plant's.

    Parameters
    ----------
    name : str
        As a line has it. [text]
    """
    listed = known_ingredient(name)
    if listed is None:
        return _HYDROSOL.search(name.strip()) is not None
    return listed.what_for in ("water", "hydrosol")


def same_substance(one: str, other: str) -> bool:
    """Whether two names stand for one substance: the same words, two names of one ingredient, or a plant's hydrosol.

    Parameters
    ----------
    one, other : str
        As lot, line or label has it. [text]
    """
    if one == other:
        return True
    first, second = (known_ingredient(name) for name in (one, other))
    if first and second:
        return first == second
    plants = own_plants_of_hydrosol(one), own_plants_of_hydrosol(other)
    return len(plants[0] | plants[1]) == 1 and plants[0] == plants[1]


def names_of_ingredients() -> tuple[str, ...]:
    """Every name of the table, for the nearest one to what is misspelt."""
    return tuple(name for row in table(TABLE).rows for name in _names(row))


def _names(row: Row) -> tuple[str, ...]:
    return tuple(
        one for one in (row.key, row.words("label_name"), *row.words("also_called").split(";")) if one
    )


def ingredient_names() -> tuple[str, ...]:
    """Every ingredient that is known here, of the table and of one's own, in the order of the alphabet."""
    mine = (one.name for one, _ in each_once(own().ingredients))
    return tuple(sorted(dict.fromkeys((*(row.key for row in table(TABLE).rows), *mine))))


def listed_ingredient(name: str, cas: str) -> str:
    """The ingredient of the table that a name or a registry number stands for already; "" where there is none.

    Parameters
    ----------
    name, cas : str
        Either may be empty. [text]
    """
    found = _by_name().get(_folded(name))
    if found is not None:
        return found.key
    return next((row.key for row in table(TABLE).rows if cas and row.words("cas") == cas), "")


@cache
def _by_name() -> Mapping[str, Row]:
    listed: dict[str, Row] = {}
    for row in reversed(table(TABLE).rows):
        listed.update({_folded(one): row for one in reversed(_names(row))})
    return listed


@lru_cache(4096)
def _folded(name: str) -> str:
    """A name without its capitals, hyphens, and the way an extract was made by: "sage leaf extract, macerated"."""
    plain = " ".join(name.casefold().replace("-", " ").split())
    return _WAY.sub(r"\1", plain)
