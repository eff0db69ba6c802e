"""Acids, alkalis, weak acids and buffer salts as published: names, densities, constants, bound to their equations.

Promises the figure of the table or a sentence that says where the table ends. A bottle's own label or certificate comes
before any row here.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stillroom.errors import OutsideModel, UnknownName, worded
from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row, table
from stillroom.science.solutions.acidity import Protolyte
from stillroom.science.solutions.strength import SolutionDensities
from stillroom.substances.markers import marker_pka, markers_with_pka, takes_protons
from stillroom.substances.other_languages import alike_in_english
from stillroom.substances.regulated import squeezed

SOLUTES, DENSITIES, BOTTLES = "acid_solutes", "acid_densities", "commercial_reagents"
CONSTANTS, PAIRS, STANDARDS = "acid_constants", "buffer_pairs", "primary_standards"
WIDEST_GAP_FRACTION = 0.15
SOLID_WORDS = ("pellets", "solid", "flakes", "beads")
_AFTER_A_NAME = re.compile(rf"(?:,|,? (?:\d|\.|,|{'|'.join(SOLID_WORDS)}))", re.IGNORECASE)
"""A strength, or a word for a solid: "monohydrate" makes another substance."""


@dataclass(frozen=True, slots=True)
class AcidOrAlkali:
    """A substance that is thinned."""

    solute: str
    """Key of ``acid_solutes``."""
    formula: str
    hazard: str
    kind: str
    """One of "acid", "alkali", or "salt" for any other solid."""
    cautions: tuple[str, ...]
    """Keys of ``reference.cautions``."""
    molar_mass: Answer
    """[g/mol]"""
    heat_of_solution: Answer | None
    """Of the solid in much water, below zero where heat is given off. [kJ/mol]"""


@dataclass(frozen=True, slots=True)
class BufferPair:
    """Two forms of one acid or base, and the salts they are weighed as.

    ``acid_form``, ``base_form``: names of the salts.
    ``acid_mass``, ``base_mass``: molar masses, for one buffering unit. [g/mol]
    ``acid_cations``, ``base_cations``: single positive ions that come with one buffering unit; below zero for
    chloride. [1]
    """

    pair: str
    protolyte: Protolyte
    acid_form: str
    base_form: str
    acid_mass: Answer
    base_mass: Answer
    acid_cations: float
    base_cations: float
    per_k: Answer | None
    """How the pH moves with warmth. [1/K]"""
    where: str


def acid_or_alkali(name: str) -> AcidOrAlkali:
    """An acid or alkali by any of its names.

    Parameters
    ----------
    name : str
        "hydrochloric acid", "HCl", "lye", "Salzsäure". [text]

    Returns
    -------
    AcidOrAlkali
        Its published figures. [record]

    Raises
    ------
    UnknownName
        It is not listed; the nearest names are offered.
    """
    wanted = " ".join(name.casefold().split())
    key = _key(wanted)
    if not key:
        raise UnknownName.among(wanted, "an acid, alkali or salt", _names())
    found = row(SOLUTES, key)
    return AcidOrAlkali(
        found.key,
        found.words("formula"),
        found.words("hazard"),
        found.words("kind"),
        tuple(one for one in found.words("cautions").split(";") if one),
        _published(found, SOLUTES, "molar_mass_g_mol", f"molar mass of {found.key}", "g/mol"),
        _published(found, SOLUTES, "heat_of_solution_kj_mol", f"heat of solution of {found.key}", "kJ/mol")
        if found["heat_of_solution_kj_mol"] is not None
        else None,
    )


def name_and_rest(text: str) -> tuple[str, str]:
    """The acid or alkali a text begins with, and what follows.

    Parameters
    ----------
    text : str
        "hydrochloric acid 37 %". [text]

    Returns
    -------
    (str, str)
        Key of the substance, and the rest. [text]

    Raises
    ------
    UnknownName
        It begins with no acid or alkali that is listed.
    """
    words = " ".join(text.split())
    for name in sorted(_names(), key=len, reverse=True):
        rest = words[len(name) :].strip()
        if words.casefold().startswith(name) and (not rest or _AFTER_A_NAME.match(words[len(name) :])):
            return _names()[name], rest.lstrip(", ")
    said = _AFTER_A_NAME.search(words)
    at = said.start() if said else len(words)
    if key := _key(words[:at].casefold()):
        return key, words[at:].lstrip(", ")
    raise UnknownName.among(words[:40].casefold(), "an acid, alkali or salt", _names())


def solute_in(text: str) -> str:
    """The acid, alkali or salt that a text names anywhere; "" where it names none.

    Parameters
    ----------
    text : str
        "titrant: sulfuric acid 0.05 mol/L". [text]
    """
    words = text.casefold()
    named = sorted(_names(), key=len, reverse=True)
    return next((_names()[one] for one in named if re.search(rf"(?<!\w){re.escape(one)}(?!\w)", words)), "")


def densities_of(solute: str) -> SolutionDensities:
    """The printed densities of an acid or alkali in water.

    Parameters
    ----------
    solute : str
        Key of ``acid_solutes``. [text]

    Returns
    -------
    SolutionDensities
        Its rows at 20 °C. [record]

    Raises
    ------
    OutsideModel
        None are printed here.
    """
    if solute not in _densities():
        raise OutsideModel(
            worded(
                "The density of {solute} in water must be printed to go from volume to mass", solute=solute
            ),
            "no table of it here",
            "Say w/v or mol/L and fill up to a mark; a share by mass is weighed, and the rest is water",
        )
    return _densities()[solute]


def bottle(solute: str, percent: float | None) -> Row | None:
    """The bottle as it is sold with that strength, or the solid where none is said.

    Parameters
    ----------
    solute : str
        Key of ``acid_solutes``. [text]
    percent : float or None
        Of its label. [% w/w]

    Returns
    -------
    Row or None
        Row of ``commercial_reagents``; None where none is listed. [record]
    """
    for one in bottles(solute):
        if (percent is None and one["density_g_ml"] is None) or (
            percent is not None
            and one["density_g_ml"] is not None
            and abs(one.number("strength_percent") - percent) < 1e-9
        ):
            return one
    return None


def bottles(solute: str) -> tuple[Row, ...]:
    """Every bottle of a substance that is listed.

    Parameters
    ----------
    solute : str
        Key of ``acid_solutes``. [text]

    Returns
    -------
    tuple of Row
        Rows of ``commercial_reagents``. [records]
    """
    return tuple(one for one in table(BOTTLES).rows if one["solute"] == solute)


def protolyte(name: str) -> Protolyte:
    """A weak acid or base with its constants.

    Parameters
    ----------
    name : str
        Key of ``acid_constants``, or a marker whose constants are printed. [text]

    Returns
    -------
    Protolyte
        At 25 °C and zero ionic strength. [record]

    Raises
    ------
    UnknownName
        It is not listed.

    References
    ----------
    martell-smith
    """
    of_marker = marker_pka(name)
    if of_marker:
        charge = len(of_marker) if takes_protons(name) else 0
        return Protolyte(name, tuple(sorted(of_marker)), charge)
    found = row(CONSTANTS, name)
    pka = tuple(found.number(f"pka_{at}") for at in range(1, 5) if found[f"pka_{at}"] is not None)
    return Protolyte(name, pka, int(found.number("charge_fully_protonated")))


def protolytes() -> tuple[str, ...]:
    """Every weak acid and base that is listed.

    Returns
    -------
    tuple of str
        Keys of ``acid_constants``, and markers whose constants are printed. [text]
    """
    return (*(one.key for one in table(CONSTANTS).rows), *markers_with_pka())


def buffer_pair(name: str) -> BufferPair:
    """A pair of salts a buffer is weighed from.

    Parameters
    ----------
    name : str
        Key of ``buffer_pairs``. [text]

    Returns
    -------
    BufferPair
        Molar masses and ions for one buffering unit. [record]

    Raises
    ------
    UnknownName
        It is not listed.

    References
    ----------
    buffer-salts
    """
    found = row(PAIRS, name)

    def mass(side: str) -> Answer:
        units = found.number(f"{side}_form_units")
        return published(
            f"molar mass of {found.words(f'{side}_form')}" + (f", for one of {units:g}" if units > 1 else ""),
            found.number(f"{side}_form_molar_mass_g_mol") / units,
            "g/mol",
            f"{PAIRS}, {name}",
            sources=(found.words("source"),),
        )

    return BufferPair(
        name,
        protolyte(found.words("protolyte")),
        found.words("acid_form"),
        found.words("base_form"),
        mass("acid"),
        mass("base"),
        found.number("acid_form_cations") / found.number("acid_form_units"),
        found.number("base_form_cations") / found.number("base_form_units"),
        _published(found, PAIRS, "ph_per_k", f"shift of {name} buffer with warmth", "1/K")
        if found["ph_per_k"] is not None
        else None,
        found.words("where"),
    )


def buffer_pairs() -> tuple[str, ...]:
    """Every pair of salts that is listed.

    Returns
    -------
    tuple of str
        Keys of ``buffer_pairs``. [text]
    """
    return tuple(one.key for one in table(PAIRS).rows)


def _published(found: Row, name: str, column: str, what: str, unit: str) -> Answer:
    return published(
        what, found.number(column), unit, f"{name}, {found.key}", sources=(found.words("source"),)
    )


def _key(name: str) -> str:
    """Key of a name in small letters, in another language where all that it may stand for is one; "" of none."""
    keys = {_names()[one] for one in ((name,) if name in _names() else alike_in_english(name, _names))}
    return keys.pop() if len(keys) == 1 else ""


@cache
def _names() -> Mapping[str, str]:
    found: dict[str, str] = {}
    for one in table(SOLUTES).rows:
        for name in (one.key, *one.words("names").split(";")):
            found[name.strip().casefold()] = one.key
    return found


@cache
def _densities() -> Mapping[str, SolutionDensities]:
    rows: dict[str, list[tuple[float, float]]] = {}
    for one in table(DENSITIES).rows:
        rows.setdefault(one.words("solute"), []).append(
            (one.number("mass_percent") / 100.0, one.number("density_20c_g_ml"))
        )
    return {
        solute: SolutionDensities(
            solute,
            tuple(share for share, _ in points),
            tuple(density for _, density in points),
            20.0,
            WIDEST_GAP_FRACTION,
            "crc-102",
        )
        for solute, points in rows.items()
    }


def standard_names() -> tuple[str, ...]:
    """Every primary standard, in the order of the table.

    Returns
    -------
    tuple of str
        Names. [text]
    """
    return tuple(one.key for one in table(STANDARDS).rows)


def primary_standard(name: str) -> str:
    """The key of a primary standard by any of its names; a name that nobody knows is left as it is.

    Parameters
    ----------
    name : str
        "KHP", "Tris", "Kaliumhydrogenphthalat". [text]

    Returns
    -------
    str
        Key of ``primary_standards``. [text]
    """
    wanted = squeezed(name)
    called = {one.key: (one.key, *one.words("also_called").split(";")) for one in table(STANDARDS).rows}
    return next((key for key, names in called.items() if wanted in map(squeezed, names)), name)
