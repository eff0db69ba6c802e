"""Substances that a rule names, by what a person calls them, and how a salt or an ester counts as its parent.

Promises that every name of a row leads to it, that a name which may mean two rows (a salt with or without its water)
gives both, and that a factor comes from molar masses. Being listed says nothing about how much is lawful.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from stillroom.reference.tables import Row, table
from stillroom.substances.letters import plain_letters

TABLE = "regulated_substances"
FREE_ACIDS, OF_THE_ALCOHOL = "as the free acids", "of the alcohol"
"""Ways to count that name no one compound: each as its own acid; a share of the alcohol it stands in."""
_SALT = re.compile(
    r" (?:(?:di|mono|hemi)?(?:hydrochloride|hydrobromide|hcl|hbr|sul(?:ph|f)ate)|(?<=ine )(?:(?:di)?nitrate|"
    r"phosphate|acetate|citrate|(?:hydrogen )?(?:bi)?tartrate|maleate|fumarate|succinate|oxalate|lactate|mesylate|"
    r"besylate|tosylate))(?: (?:mono|di|tri)?hydrate)?$",
    re.IGNORECASE,
)
"""What the name of a salt adds to that of its base."""
_CAS = re.compile(r"\b\d{2,7}-\d{2}-\d\b")


@dataclass(frozen=True, slots=True)
class Regulated:
    """One substance that a rule names, or a salt, an ester or a solution of one."""

    name: str
    """Key of the table ``regulated_substances``."""
    label_name: str
    """Name on the list of ingredients; "" where it has none."""
    parent: str
    """Key of what its rule counts."""
    parent_units: float
    """How many of it one formula unit holds. [1]"""
    molar_mass_g_mol: float | None
    """[g/mol]"""
    holds_percent: float
    """How much of it is the substance itself. [% w/w]"""
    sold_diluted: bool
    """Whether it is usually sold as a solution."""


def regulated(name: str) -> tuple[Regulated, ...]:
    """Every substance that a name may mean.

    Parameters
    ----------
    name : str
        As a person writes it, or a registry number. [text]

    Returns
    -------
    tuple of Regulated
        Empty where the table has no such name; two where the name leaves the water of a salt open. [records]
    """
    name = plain_letters(name)
    number = _CAS.search(name)
    if number and number[0] in _by_cas():
        return tuple(_record(one) for one in _by_cas()[number[0]])
    short = name.strip()
    found = _by_short_name().get(short) or _by_name().get(squeezed(name)) or ()
    return tuple(_record(one) for one in found)


def salt_of_regulated(name: str) -> tuple[Regulated, ...]:
    """A salt that no row names, as one of its base or metal; how much of that it holds is not known.

    Parameters
    ----------
    name : str
        "diphenhydramine hydrochloride", "lead chromate". [text]

    Returns
    -------
    tuple of Regulated
        Empty where the table has no such base. [records]
    """
    base = _SALT.sub("", name)
    first, _, rest = name.partition(" ")
    metal = f"{first} and its compounds" if rest else ""
    found = _by_name().get(squeezed(metal if base == name else base), ())
    return tuple(replace(_record(one), name=name, label_name="", molar_mass_g_mol=None) for one in found)


def regulated_row(key: str) -> Regulated:
    """The substance of a key of the table.

    Parameters
    ----------
    key : str
        Key of ``regulated_substances``. [text]

    Raises
    ------
    KeyError
        There is no such row: a table names it wrongly.
    """
    return _record(_by_key()[key])


def counted_as(one: Regulated, as_what: str) -> tuple[float, float]:
    """How much of a compound one gram of a substance counts as.

    Parameters
    ----------
    one : Regulated
        The salt, ester or substance itself. [record]
    as_what : str
        Key of the compound; "" counts it as it is; "as the free acids" as its own parent. [text]

    Returns
    -------
    (float, float)
        The least and the most; alike where molar masses are known. [g/g]

    Notes
    -----
    Units of the parent times the molar mass of the compound, over the molar mass of the substance.

    References
    ----------
    iupac-atomic-weights
    """
    if as_what in ("", OF_THE_ALCOHOL):
        return 1.0, 1.0
    target = one.parent if as_what == FREE_ACIDS else as_what
    mass = regulated_row(target).molar_mass_g_mol
    if one.molar_mass_g_mol is None or mass is None:
        return (1.0, 1.0) if one.parent == one.name else (0.0, 1.0)
    factor = one.parent_units * mass / one.molar_mass_g_mol
    return factor, factor


def squeezed(name: str) -> str:
    """A name without case, spaces, hyphens and the other spelling of sulfur: what two writings share.

    Parameters
    ----------
    name : str
        As written. [text]
    """
    plain = (
        unicodedata.normalize("NFKD", plain_letters(name).casefold())
        .replace("sulph", "sulf")
        .replace("hydrolys", "hydrolyz")
    )
    return re.sub(r"[^a-z0-9αβ+]", "", plain)


def names_of_regulated() -> tuple[str, ...]:
    """Every name of the table, for the nearest one to what is misspelt."""
    return tuple(name for one in table(TABLE).rows for name in _names(one))


def _names(one: Row) -> tuple[str, ...]:
    also = tuple(part.strip() for part in one.words("also_called").split(";") if part.strip())
    return tuple(dict.fromkeys((one.key, *also)))


def _is_short(name: str) -> bool:
    return len(name) <= 4 and name.isupper() and not any(sign.isdigit() for sign in name)


@cache
def _by_key() -> Mapping[str, Row]:
    return {one.key: one for one in table(TABLE).rows}


@cache
def _by_name() -> Mapping[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for one in table(TABLE).rows:
        for name in _names(one):
            if not _is_short(name):
                key = squeezed(name)
                held = found.get(key, ())
                found[key] = held if held and held[-1].key == one.key else (*held, one)
    for one in table(TABLE).rows:
        key = squeezed(one.words("label_name"))
        if key:
            found.setdefault(key, (one,))
    return found


@cache
def _by_short_name() -> Mapping[str, tuple[Row, ...]]:
    """Names of a few capitals, which hold only as they are written: TEA is triethanolamine, tea is a plant."""
    return {name: (one,) for one in table(TABLE).rows for name in _names(one) if _is_short(name)}


@cache
def _by_cas() -> Mapping[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for one in table(TABLE).rows:
        for number in _CAS.findall(one.words("cas")):
            found[number] = (*found.get(number, ()), one)
    return found


def _record(one: Row) -> Regulated:
    mass, holds, units = one["molar_mass_g_mol"], one["holds_percent"], one["parent_units"]
    return Regulated(
        name=one.key,
        label_name=one.words("label_name"),
        parent=one.words("parent"),
        parent_units=float(units) if isinstance(units, float) else 1.0,
        molar_mass_g_mol=mass if isinstance(mass, float) else None,
        holds_percent=holds if isinstance(holds, float) else 100.0,
        sold_diluted=one["sold_diluted"] == "yes",
    )
