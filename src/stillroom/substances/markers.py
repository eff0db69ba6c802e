"""Markers: what the strength of a plant or an extract is expressed in.

Promises the published figures as answers that open to their row. Holds no content of any plant: that is
assayed.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, published, reading
from stillroom.reference.tables import Row, row, table
from stillroom.substances.other_languages import alike_in_english
from stillroom.substances.own import Charge, OwnMarker, each_once, own, own_marker

TABLE, GROUPS = "markers", "marker_groups"
ALSO_CALLED = {
    "aescin": "triterpene glycosides",
    "alkaloids": "total alkaloids",
    "anethole": "trans-anethole",
    "bisabolol": "alpha-bisabolol",
    "catechin": "(+)-catechin",
    "cineole": "1,8-cineole",
    "epicatechin": "(-)-epicatechin",
    "escin": "triterpene glycosides",
    "essential oil": "volatile oil",
    "eucalyptol": "1,8-cineole",
    "flavonoids": "total flavonoids",
    "gingerol": "[6]-gingerol",
    "glycyrrhizin": "glycyrrhizic acid",
    "menthol": "(-)-menthol",
    "oil": "volatile oil",
    "phenols": "total phenols",
    "polyphenols": "total phenols",
    "resveratrol": "trans-resveratrol",
    "thujone": "alpha-thujone",
    "total polyphenols": "total phenols",
}
"""Names in use, and the key each stands for."""
GROUP_OF: dict[Charge, str] = {"base": "tertiary alkaloid", "permanent charge": "quaternary alkaloid"}
"""Group of a marker of one's own that has a charge; "volatile oil" where it goes over with steam, else "other"."""
WEAKEST_ACID_PKA, WEAKEST_BASE_PKA = 6.5, 5.0
"""A weaker acid, or base, has no end point in water: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Marker:
    """One compound with its published figures."""

    name: str
    cas: str
    """Registry number."""
    marker_class: str
    """Such as "alkaloid (tertiary)"."""
    fixed_charge: bool
    """Charged at every pH: basify-and-shake cannot move it."""
    handling: str
    row: Row
    """Every other published figure."""


def marker(name: str) -> Marker:
    """One marker.

    Parameters
    ----------
    name : str
        Key of the table ``markers``. [text]

    Returns
    -------
    Marker
        Its published figures. [record]

    Raises
    ------
    UnknownName
        The marker is not listed; the nearest names are offered.
    """
    found = row(TABLE, name)
    charge = found["fixed_charge"]
    return Marker(
        name=name,
        cas=found.words("cas"),
        marker_class=found.words("marker_class"),
        fixed_charge=isinstance(charge, float) and charge != 0.0,
        handling=found.words("handling"),
        row=found,
    )


def molar_mass(name: str) -> Answer:
    """The molar mass of a marker, of one's own or of the table.

    Parameters
    ----------
    name : str
        By any name in use. [text]

    Returns
    -------
    Answer
        Molar mass. [g/mol]

    Raises
    ------
    UnknownName
        The marker is not listed; the nearest names are offered.
    BadEntry
        No molar mass is printed for it, or none was entered.

    References
    ----------
    iupac-atomic-weights
    """
    mine = own_marker(name)
    if mine is not None and (mass_g_mol := mine[0].molar_mass_g_mol) is not None:
        known, stated = mine
        return reading(
            f"molar mass of {known.name}",
            mass_g_mol,
            "g/mol",
            stated.where,
            entry_no=stated.entry_no,
        )
    if mine is not None and mine[0].name not in _single():
        raise BadEntry(
            worded("The molar mass of {called} must be known here", called=mine[0].name),
            worded("none in {where}", where=mine[1].where),
            "Enter it under Laboratory, Markers, plants and ingredients of your own",
        )
    found = row(TABLE, marker_key(name) or name)
    return published(
        f"molar mass of {found.key}",
        found.number("molar_mass_g_mol"),
        "g/mol",
        f"{TABLE}, {found.key}",
        sources=(found.words("source"),),
    )


def marker_pka(name: str) -> tuple[float, ...]:
    """The acid constants of a marker; empty where none is entered or printed as one figure.

    Parameters
    ----------
    name : str
        Of one's own, or key of the table ``markers``. [text]
    """
    mine = own_marker(name)
    if mine is not None and mine[0].pka:
        return mine[0].pka
    found = next((one for one in table(TABLE).rows if one.key == name), None)
    if found is None or found["pka_1"] is None:
        return ()
    return tuple(found.number(one) for one in ("pka_1", "pka_2") if found[one] is not None)


def takes_protons(name: str) -> bool:
    """Whether the constants of a marker are those of a base, however weak it is."""
    mine = own_marker(name)
    if mine is not None and mine[0].pka:
        return mine[0].charge == "base"
    return row(TABLE, name).words("pka_of") == "base"


def markers_with_pka() -> tuple[str, ...]:
    """Markers whose acid constants are known, each as one figure: of the table, then of one's own."""
    mine = (one.name for one, _ in each_once(own().markers) if one.pka)
    return tuple(dict.fromkeys((*(one.key for one in table(TABLE).rows if marker_pka(one.key)), *mine)))


def charge_of(name: str) -> Charge:
    """What a marker is in water, which decides by what it can be titrated.

    Parameters
    ----------
    name : str
        By any name in use. [text]

    Returns
    -------
    Charge
        A base is titrated with acid, an acid with alkali; a permanent charge and what has none by neither; "not known"
        where nothing is said, and for a group. [word]

    Notes
    -----
    A base whose strongest constant lies below 5, or an acid whose first lies above 6.5, has no end point in water and
    counts as none (common practice, no source).
    """
    mine = own_marker(name)
    if mine is not None and mine[0].charge != "not known":
        return _that_can_be_seen(mine[0].charge, mine[0].pka)
    key = marker_key(name)
    if key not in _single():
        return "not known"
    found = row(TABLE, key)
    if marker(key).fixed_charge:
        return "permanent charge"
    if found.words("marker_group") == GROUP_OF["base"]:
        return "base"
    pka = [found[one] for one in ("pka_1", "pka_1_low") if isinstance(found[one], float)]
    if found.words("pka_of") == "acid":
        return _that_can_be_seen("acid", tuple(float(one) for one in pka[:1] if one is not None) or (14.0,))
    return "none"


def equivalents_of(name: str) -> Answer | None:
    """Moles of titrant that a mole of a marker takes up, where somebody said other than one."""
    mine = own_marker(name)
    if mine is None or mine[0].equivalents == 1.0:
        return None
    known, stated = mine
    return reading(
        f"equivalents of {known.name}", known.equivalents, "mol/mol", stated.where, entry_no=stated.entry_no
    )


def usual_compound(counted: str) -> str:
    """The compound that something is usually counted as; "" where that has to be said.

    Parameters
    ----------
    counted : str
        A marker or a group, by any name in use. [text]

    Returns
    -------
    str
        A single compound is counted as itself, and so is a group of no usual compound that is found by mass. [text]
    """
    key = marker_key(counted)
    if key is None or key in _single() or own_marker(counted) is not None:
        return counted
    group = row(GROUPS, key)
    return group.words("counted_as") or ("" if group.words("marker_group") == GROUP_OF["base"] else counted)


def _that_can_be_seen(charge: Charge, pka: tuple[float, ...]) -> Charge:
    if charge == "acid" and pka and min(pka) > WEAKEST_ACID_PKA:
        return "none"
    if charge == "base" and pka and max(pka) < WEAKEST_BASE_PKA:
        return "none"
    return charge


@dataclass(frozen=True, slots=True)
class MarkerNature:
    """What decides how a marker can be got out of a plant.

    ``fixed_charge``, ``volatile``, ``heat_labile``, ``hardly_in_water``: charged at every pH; goes over with
    steam; loses by long boiling; hardly dissolves in hot water.
    """

    name: str
    """Key of ``markers`` or ``marker_groups``."""
    group: str
    """Such as "tertiary alkaloid", "phenol" or "volatile oil"."""
    counted_as: str
    """Compound it is usually counted as; empty when usage differs."""
    fixed_charge: bool
    volatile: bool
    heat_labile: bool
    hardly_in_water: bool
    note: str
    """Handling or meaning, in words."""


def marker_key(name: str) -> str | None:
    """The key of a marker or of a group of markers, by any name in use.

    Parameters
    ----------
    name : str
        Such as "Menthol" or "total polyphenols". [text]

    Returns
    -------
    str or None
        None when it is not known here. [text]
    """
    mine = own_marker(name)
    if mine is not None:
        return mine[0].name
    plain = _plain(name)
    return _keys().get(_plain(ALSO_CALLED.get(plain, plain))) or _key_in_english(plain)


@lru_cache(maxsize=1024)
def _key_in_english(plain: str) -> str | None:
    """Of a name in another language, where all that it may stand for is one marker."""
    keys = {_keys()[_plain(ALSO_CALLED.get(one, one))] for one in alike_in_english(plain, _names_of_keys)}
    return keys.pop() if len(keys) == 1 else None


def _names_of_keys() -> tuple[str, ...]:
    return (*_keys(), *ALSO_CALLED)


def marker_nature(name: str) -> MarkerNature | None:
    """What is known about getting a marker out of a plant.

    Parameters
    ----------
    name : str
        As ``marker_key`` takes it. [text]

    Returns
    -------
    MarkerNature or None
        None when nothing is known here. [record]
    """
    key = marker_key(name)
    if key is None:
        return None
    mine = own_marker(name)
    if mine is not None:
        return _nature_of_own(mine[0])
    single = key in _single()
    found = row(TABLE if single else GROUPS, key)
    return MarkerNature(
        name=key,
        group=found.words("marker_group"),
        counted_as=key if single else found.words("counted_as"),
        fixed_charge=marker(key).fixed_charge if single else False,
        volatile=found.words("volatile") == "yes",
        heat_labile=found.words("heat_labile") == "yes",
        hardly_in_water=found.words("hardly_in_water") == "yes",
        note=found.words("handling" if single else "note"),
    )


def nearest_markers(name: str) -> tuple[str, ...]:
    """Names near to one that is not known; empty when none is near.

    Parameters
    ----------
    name : str
        As it was written. [text]
    """
    mine = {_plain(called): one.name for called, (one, _) in own().markers.items()}
    plain = {**{_plain(one): key for one, key in ALSO_CALLED.items()}, **_keys(), **mine}
    return tuple(dict.fromkeys(plain[one] for one in get_close_matches(_plain(name), plain, n=4, cutoff=0.6)))


def marker_names() -> tuple[str, ...]:
    """Every single marker that is known here, of the table and of one's own, to be offered while a name is typed."""
    mine = (one.name for one, _ in each_once(own().markers))
    return tuple(dict.fromkeys((*mine, *(one.key for one in table(TABLE).rows))))


def _nature_of_own(known: OwnMarker) -> MarkerNature:
    return MarkerNature(
        name=known.name,
        group=GROUP_OF.get(known.charge, "volatile oil" if known.volatile else "other"),
        counted_as=known.name,
        fixed_charge=known.charge == "permanent charge",
        volatile=known.volatile,
        heat_labile=known.heat_labile,
        hardly_in_water=known.hardly_in_water,
        note=known.solubility,
    )


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


@cache
def _single() -> frozenset[str]:
    return frozenset(one.key for one in table(TABLE).rows)


@cache
def _keys() -> dict[str, str]:
    return {_plain(one.key): one.key for name in (GROUPS, TABLE) for one in table(name).rows}
