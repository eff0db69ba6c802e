"""Markers: what the strength of a plant or an extract is expressed in.

Promises the published figures as answers that open to their row. Holds no content of any plant: that is
assayed.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row, table

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


@dataclass(frozen=True, slots=True)
class Marker:
    """One compound with its published figures.

    Attributes
    ----------
    name : str
    cas : str
        Registry number.
    marker_class : str
        Such as "alkaloid (tertiary)".
    fixed_charge : bool
        Charged at every pH: basify-and-shake cannot move it.
    handling : str
    row : Row
        Every other published figure.
    """

    name: str
    cas: str
    marker_class: str
    fixed_charge: bool
    handling: str
    row: Row


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
    """The molar mass of a marker.

    Parameters
    ----------
    name : str
        Key of the table ``markers``. [text]

    Returns
    -------
    Answer
        Molar mass. [g/mol]

    Raises
    ------
    UnknownName
        The marker is not listed; the nearest names are offered.
    BadEntry
        No molar mass is printed for it.

    References
    ----------
    iupac-atomic-weights
    """
    found = row(TABLE, name)
    return published(
        f"molar mass of {name}",
        found.number("molar_mass_g_mol"),
        "g/mol",
        f"{TABLE}, {name}",
        sources=(found.words("source"),),
    )


def marker_pka(name: str) -> tuple[float, ...]:
    """The acid constants of a marker; empty where none is printed as one figure, or there is no such marker.

    Parameters
    ----------
    name : str
        Key of the table ``markers``. [text]
    """
    found = next((one for one in table(TABLE).rows if one.key == name), None)
    if found is None or found["pka_1"] is None:
        return ()
    return tuple(found.number(one) for one in ("pka_1", "pka_2") if found[one] is not None)


def markers_with_pka() -> tuple[str, ...]:
    """Markers whose acid constants are printed, each as one figure, in the order of the table."""
    return tuple(one.key for one in table(TABLE).rows if marker_pka(one.key))


@dataclass(frozen=True, slots=True)
class MarkerNature:
    """What decides how a marker can be got out of a plant.

    Attributes
    ----------
    name : str
        Key of ``markers`` or ``marker_groups``.
    group : str
        Such as "tertiary alkaloid", "phenol" or "volatile oil".
    counted_as : str
        Compound it is usually counted as; empty when usage differs.
    fixed_charge, volatile, heat_labile, hardly_in_water : bool
        Charged at every pH; goes over with steam; loses by long boiling; hardly dissolves in hot water.
    note : str
        Handling or meaning, in words.
    """

    name: str
    group: str
    counted_as: str
    fixed_charge: bool
    volatile: bool
    heat_labile: bool
    hardly_in_water: bool
    note: str


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
    plain = _plain(name)
    return _keys().get(_plain(ALSO_CALLED.get(plain, plain)))


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
    plain = {**{_plain(one): key for one, key in ALSO_CALLED.items()}, **_keys()}
    return tuple(dict.fromkeys(plain[one] for one in get_close_matches(_plain(name), plain, n=4, cutoff=0.6)))


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


@cache
def _single() -> frozenset[str]:
    return frozenset(one.key for one in table(TABLE).rows)


@cache
def _keys() -> dict[str, str]:
    return {_plain(one.key): one.key for name in (GROUPS, TABLE) for one in table(name).rows}
