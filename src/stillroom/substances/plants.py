"""Plants and the rule each one has: permitted with a ceiling, restricted, prohibited, or none found.

Promises that "no rule found" is said and never read as allowed. Says nothing about identity: that is
decided by a competent person with the plant in hand.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias

from stillroom.errors import NotAllowed, worded
from stillroom.reference.tables import Row, table
from stillroom.substances.other_languages import in_english
from stillroom.substances.own import own_plant

TABLE = "plants"
PlantStatus: TypeAlias = Literal["permitted", "restricted", "prohibited", "no rule found"]


@dataclass(frozen=True, slots=True)
class PlantRule:
    """What the reference says about a plant."""

    name: str
    """As asked."""
    status: PlantStatus
    why: str
    """The reason, in one sentence."""
    markers: tuple[str, ...] = ()
    """What it is known for, of one's own where somebody stated it."""
    limit_row: str = ""
    """Row of ``limits_eu``; empty when there is none."""
    source: str = ""
    """Key of ``sources.toml``; empty when no rule was found."""


def plant_rule(name: str) -> PlantRule:
    """The rule of a plant, found by its key or its Latin name; of a plant of one's own also by the Latin name stated.

    Parameters
    ----------
    name : str
        Such as "cinchona bark" or "Aconitum napellus". [text]

    Returns
    -------
    PlantRule
        The rule, or the status "no rule found". [record]
    """
    mine = own_plant(name)
    markers = tuple(one.marker for one in mine[0].markers) if mine else ()
    found = _row_of(name) or (_row_of(mine[0].latin_name) if mine else None)
    if found is None:
        return PlantRule(
            name,
            "no rule found",
            f"No rule about {name!r} is held here, which never means allowed: look it up before it is used.",
            markers,
        )
    status = found.words("status")
    kept: PlantStatus = (
        "permitted" if status == "permitted" else "prohibited" if status == "prohibited" else "restricted"
    )
    return PlantRule(
        name=found.key,
        status=kept,
        why=found.words("why"),
        markers=markers or tuple(one for one in found.words("markers").split(";") if one),
        limit_row=found.words("limit_row"),
        source=found.words("source"),
    )


@lru_cache(maxsize=2048)
def plant_rules_in(written: str) -> tuple[PlantRule, ...]:
    """Every prohibited or restricted plant that an ingredient names, whatever part or preparation of it.

    Parameters
    ----------
    written : str
        "belladonna leaf extract", "Aconitum napellus root tincture". [text]

    Returns
    -------
    tuple of PlantRule
        Those with a rule against them; a plant that is merely restricted only where it is named alone. [records]
    """
    words = f" {_worded(written)} "
    found = []
    for one in table(TABLE).rows:
        if one["status"] == "permitted" or any(
            f" {_worded(other)} " in words for other in _split(one, "unless")
        ):
            continue
        if any(f" {_worded(name)} " in words for name in _called(one)):
            found.append(plant_rule(one.key))
    return tuple(found)


def refuse_prohibited(name: str) -> PlantRule:
    """The rule of a plant, unless the law prohibits it, whatever part it is named with and in whatever language.

    Parameters
    ----------
    name : str
        Key or Latin name, alone or beside a part: "aconite root", "feuille de belladone". [text]

    Returns
    -------
    PlantRule
        A rule that does not prohibit. [record]

    Raises
    ------
    NotAllowed
        The plant is prohibited in the products made here.
    """
    asked = plant_rule(name)
    for found in (asked, *plant_rules_in(" / ".join((name, *in_english(name))))):
        if found.status == "prohibited":
            raise NotAllowed(
                worded("{found_name} may not be received for a product", found_name=found.name),
                f"{found.why.rstrip('.')} [{found.source}]",
                "Keep it apart, and ask a competent person what to do with it",
            )
    return asked


def _row_of(name: str) -> Row | None:
    wanted = " ".join(name.casefold().split())
    rows = table(TABLE).rows
    for one in rows:
        if wanted in {one.key.casefold(), one.words("latin_name").casefold(), *_split(one, "also_called")}:
            return one
    genus = [one for one in rows if one.words("latin_name").casefold().endswith(" spp.")]
    for one in genus:
        first = one.words("latin_name").casefold().removesuffix("spp.").strip()
        if wanted.split()[:1] == [first]:
            return one
    return None


def _called(one: Row) -> tuple[str, ...]:
    latin = one.words("latin_name").removesuffix("spp.").strip()
    return (*(() if one["status"] == "restricted" else (latin,)), one.key, *_split(one, "also_called"))


def _split(one: Row, column: str) -> tuple[str, ...]:
    return tuple(name.strip().casefold() for name in one.words(column).split(";") if name.strip())


def _worded(written: str) -> str:
    return " ".join(
        re.sub(r"[^a-z0-9]+", " ", written.casefold().replace("\u2019", "").replace("'", "")).split()
    )
