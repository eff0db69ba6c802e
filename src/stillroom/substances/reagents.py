"""Reagents for present-or-absent tests: what a positive looks like, what deceives, how long they keep.

Promises the published words and the cautious end of each stated life. A life without a source is common
practice, and a control test on the day beats any calendar.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from unicodedata import normalize

from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import row, table

TABLE = "reagents"
_SOLD_AS = re.compile(r"(?:[’']s(?: (?:reagent|solution|test))?| reagent)$")


@dataclass(frozen=True, slots=True)
class Reagent:
    """One reagent as the reference knows it.

    ``false_positive``, ``false_negative``: what deceives it; "not stated" where the reference is silent.
    ``composition``, ``printed_in``: as printed, where, and whether the page was opened.
    """

    key: str
    name: str
    detects: str
    positive: str
    """What a positive looks like."""
    false_positive: str
    false_negative: str
    controls: str
    """What it is tried on."""
    life: str
    """How long it keeps, in words."""
    hazards: str
    cautions: tuple[str, ...]
    """Cautions in words."""
    storage: str = ""
    composition: str = ""
    printed_in: str = ""


def reagent_key(name: str) -> str:
    """The key of a reagent by its key or by the name on the bottle.

    Parameters
    ----------
    name : str
        "mayer", "Mayer's reagent", "Folin–Ciocalteu reagent". [text]

    Returns
    -------
    str
        Key of the table ``reagents``; "" where none is called so. A chemical alone ("tannic acid") is not yet the
        reagent made of it. [text]
    """
    plain = _plain(name)
    if plain in {one.key for one in table(TABLE).rows}:
        return plain
    called = _SOLD_AS.sub("", plain)
    return _sold_names().get(called.replace("-", " "), "") if called != plain else ""


@cache
def _sold_names() -> Mapping[str, str]:
    found: dict[str, str] = {}
    for one in table(TABLE).rows:
        said = _plain(one.words("name").partition(",")[0])
        for called in (one.key, said.removesuffix(" reagent"), *said.split(" / ")):
            found.setdefault(called.replace("-", " "), one.key)
    return found


def _plain(name: str) -> str:
    """Lower case, no brackets, no accents, one kind of dash and of space."""
    bare = re.sub(r"\([^)]*\)", "", normalize("NFKD", name.casefold()).replace("–", "-"))
    return " ".join("".join(one for one in bare if not "\u0300" <= one <= "\u036f").split())


def reagent(key: str) -> Reagent:
    """One reagent.

    Parameters
    ----------
    key : str
        Key of the table ``reagents`` ("dragendorff"). [text]

    Returns
    -------
    Reagent
        Its published words. [record]

    Raises
    ------
    UnknownName
        The reagent is not listed; the nearest names are offered.

    References
    ----------
    reagent-recipes
    """
    found = row(TABLE, key)
    return Reagent(
        key=key,
        name=found.words("name"),
        detects=found.words("detects"),
        positive=found.words("positive"),
        false_positive=_or_not_stated(key, "false_positive"),
        false_negative=_or_not_stated(key, "false_negative"),
        controls=_or_not_stated(key, "controls"),
        life=found.words("life"),
        hazards=found.words("hazards"),
        cautions=tuple(one.strip() for one in found.words("cautions").split(";") if one.strip()),
        storage=found.words("storage"),
        composition=found.words("composition"),
        printed_in=f"{found.words('composition_from')} ({found.words('seen')})",
    )


def life_days(key: str) -> Answer:
    """How long a reagent keeps, at the cautious end of what is stated.

    Parameters
    ----------
    key : str
        Key of the table ``reagents``. [text]

    Returns
    -------
    Answer
        Life from the day it is made. [d]

    Raises
    ------
    UnknownName
        The reagent is not listed.
    BadEntry
        No life is stated for it.

    References
    ----------
    reagent-recipes
    """
    found = row(TABLE, key)
    return published(
        f"life of {found.words('name')}",
        found.number("life_days"),
        "d",
        f"{TABLE}, {key}",
        sources=(found.words("source"),),
    )


def use_by(key: str, made_on: str, ingredients_use_by: Iterable[str] = ()) -> str:
    """The last day a reagent made here may be used.

    Parameters
    ----------
    key : str
        Key of the table ``reagents``. [text]
    made_on : str
        Day it was made. [ISO date]
    ingredients_use_by : iterable of str
        Use-by dates of what went in. [ISO dates]

    Returns
    -------
    str
        The earliest of life and ingredients. [ISO date]

    Raises
    ------
    BadEntry
        A date is not a date, or no life is stated.

    Notes
    -----
    A life of one day means the day it was made.
    """
    last = day_of(last_day(made_on, int(life_days(key).value)))
    return min([last, *(day_of(one) for one in ingredients_use_by)]).isoformat()


def last_day(made_on: str, days: int) -> str:
    """The last day of a life that begins on a day.

    Parameters
    ----------
    made_on : str
        Day or moment it begins. [ISO date]
    days : int
        Life; one day means that day. [d]

    Returns
    -------
    str
        Last day of use. [ISO date]

    Raises
    ------
    BadEntry
        It is not a date.
    """
    return (day_of(made_on) + timedelta(days=max(days - 1, 0))).isoformat()


def day_of(text: str) -> date:
    """The day in a date or a moment written the ISO way.

    Parameters
    ----------
    text : str
        "2026-03-14" or "2026-03-14T10:30:00+01:00". [ISO date or time]

    Returns
    -------
    date
        The day as it was written, in its own time zone. [day]

    Raises
    ------
    BadEntry
        It is not a date.
    """
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        raise BadEntry(
            "A day must be written year-month-day", repr(text), "Write it like 2026-03-14"
        ) from None


def _or_not_stated(key: str, column: str) -> str:
    said = row(TABLE, key).words(column)
    if said == "as above":
        return row(TABLE, "dragendorff").words(column)
    return said or "not stated"
