"""A liquid received by volume: its mass at the temperature it was measured at, with the doubt of that mass.

Promises a mass only where the density can be known: spirit by its strength, water, an acid by its label. Elsewhere it
says what would be needed. A dilute solution in water may leave its temperature out. The words of the receipt stay as
they were written, beside the mass.
"""

import re
from collections.abc import Callable
from math import hypot

from stillroom.answers.acid_words import bottle_of, named_in
from stillroom.answers.budget import measured
from stillroom.answers.density_by_bottle import water_density_g_ml
from stillroom.answers.density_to_20 import mass_by_density_g
from stillroom.answers.spirit_percent import spirit_mass_g
from stillroom.answers.spirit_stated import stated_strength, usual_thermometer
from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.quantities.entry import entry, step_of
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.strength_words import read_strength
from stillroom.records.lots import Lot
from stillroom.substances.acids import name_and_rest
from stillroom.substances.spirits import SPIRIT_SOURCES
from stillroom.texts.catalogue import t

AS_RECEIVED = "as received"
BOTTLE_LIMITS_SHARE = 0.015
"""How far a filled bottle or can may be off its nominal content: common practice, no source. [1]"""
ACID_PER_K = 0.0006
"""How fast an acid changes its density, at most: common practice, no source. [1/K]"""
ACID_REACH_K = 20.0
"""How far from 20 °C that is taken to hold: from the cold store to the warmest room (chosen). [K]"""
UNSAID_K = 10.0
"""How far from 20 °C a bottle may be whose temperature nobody said (chosen). [K]"""
DILUTE_MOL_L = 0.5
"""Up to which strength a solution in water is received without its temperature, or near water's density (chosen)."""
HEAVIER_PER_MOL, HEAVIER_EITHER_WAY = 0.07, 0.08
"""How much denser a mole in a litre makes water, ammonia to silver nitrate: handbook tables, from memory. [g/mL]"""
_MOLES = re.compile(r"\d[\d.,]*\s*(?:m?mol\s*/\s*(?:[lL]|dm³|dm3)|M\b)")
_NOT_IN_WATER = re.compile(r"alcohol|ethanol|methanol|propanol|\bin (?!water\b)", re.IGNORECASE)
LIQUID_PER_K, LIQUID_PER_K_EITHER_WAY = 0.0008, 0.0007
"""How a liquid grows lighter, from water (0.0001) to light solvents (0.0015): handbook tables, from memory. [1/K]"""
ASKED_ABOUT, LEAST_ASKED_ABOUT = 3.5, 0.01
"""So many standard uncertainties, and at least this share, apart before it is asked about (chosen). [1]"""
OWN_DENSITY = re.compile(
    r"(?P<volume>.+?)[,;]?\s+(?:of\s+)?(?:density\s+)?"
    r"(?P<density>[\d.,]+\s*(?:g/m[lL]|g/cm³|g/cm3|kg/[lL]|kg/d?m³|kg/d?m3))(?:\s+at\s+(?P<at>.+))?$"
)


def volume_and_density(text: str) -> tuple[str, str, str]:
    """A volume, one's own density behind it and the temperature of that; "" where none is said.

    Parameters
    ----------
    text : str
        "5 L at 22 °C, 0.8011 g/mL at 20 °C". [text]
    """
    found = OWN_DENSITY.fullmatch(text.strip())
    return (found["volume"], found["density"], found["at"] or "") if found else (text, "", "")


def mass_of_volume(lot: Lot, text: str, *, where: str = "amount") -> Answer:
    """Mass of a lot that was received by volume.

    Parameters
    ----------
    lot : Lot
        What it is, with the strength its label states.
    text : str
        Volume and its temperature, and one's own density where it was read, which goes before any table:
        "5 L at 22 °C", "5 L at 22 °C, 0.8011 g/mL", "5 L at 22 °C, 0.8020 g/mL at 20 °C".
    where : str
        Field named in an error.

    Returns
    -------
    Answer
        With its standard uncertainty. [g]

    Raises
    ------
    BadEntry
        The temperature is missing, nobody can know the density of such a lot, or a density that was read is far from
        what its label says.
    StillroomError
        Its strength or its density cannot be known.

    References
    ----------
    oiml-r22-1975
    """
    text, density, density_at = volume_and_density(text)
    found = parse(text, want="volume", zero_allowed=False, words_after=True, where=where)
    at_c = found.basis.reference_temperature_c
    by = lot.kind.traits.by_volume
    if found.basis.with_(reference_temperature_c=None) != type(found.basis)():
        raise BadEntry(
            "A volume is received with its temperature and nothing else",
            repr(text[:40]),
            'Write "5 L at 22 °C"; what it is stands in its own fields',
            where=where,
        )
    if at_c is None and by == "acid" and not density and _is_dilute(lot):
        at_c = 20.0
        apart_k = UNSAID_K
    elif at_c is not None:
        apart_k = abs(at_c - 20.0)
    else:
        raise BadEntry(
            "A volume is received at a temperature, because its mass follows from both",
            repr(text[:40]),
            'Write "5 L at 22 °C", or weigh it',
            where=where,
        )
    ways: dict[str, Callable[[], Answer]] = {
        "spirit": lambda: _spirit(lot, _volume(found), at_c),
        "water": lambda: _by_strength(_volume(found), reading("ethanol in water", 0.0, "%", "water"), at_c),
        "acid": lambda: _acid(lot, _volume(found), at_c, apart_k),
    }
    if density and lot.kind.traits.carrier != "plant":
        own = measured(_by_density(_volume(found), at_c, density, density_at, where))
        _must_agree_with_label(ways.get(by), own, density, where)
        return own
    if by not in ways:
        raise BadEntry(
            "A volume becomes a mass by a density, and none is known of this lot",
            worded("{text!r} of {kind}", text=text[:40], kind=str(lot.kind)),
            'Weigh it, and write its mass; or write its density behind it: "5 L at 22 °C, 0.8011 g/mL"',
            where=where,
        )
    try:
        return measured(ways[by]())
    except StillroomError as error:
        raise error.at(error.where or where) from error


def _volume(found: Quantity) -> Answer:
    """The volume, doubted by its last figure, or as a filled bottle may be off where that is less. [mL]."""
    value = found.in_unit("mL")
    limits = min(step_of(found, "mL") / 2.0, BOTTLE_LIMITS_SHARE * value)
    return reading("volume received", value, "mL", AS_RECEIVED, standard_uncertainty=limits / 3.0**0.5)


def _spirit(lot: Lot, volume: Answer, at_c: float) -> Answer:
    if not lot.stated:
        raise BadEntry(
            "The mass of spirit received by volume follows from its strength",
            "no strength",
            'State it as on its label: "96.0 % v/v"; or weigh it',
            where="stated",
        )
    try:
        said = read_strength(lot.stated)
    except StillroomError as error:
        raise error.at("stated") from error
    strength = stated_strength(said, usual_thermometer(), where=AS_RECEIVED)
    return _by_strength(volume, strength.answer, at_c)


def _by_strength(volume: Answer, strength: Answer, at_c: float) -> Answer:
    return reckoned(
        "mass received", spirit_mass_g, unit="g", says="its volume times its density", sources=SPIRIT_SOURCES,
        inputs={
            "volume_ml": volume, "volume_percent_20c": strength,
            "temperature_c": reading("temperature of what was received", at_c, "°C", AS_RECEIVED),
        },
    )  # fmt: skip


def _by_density(volume: Answer, at_c: float, density: str, density_at: str, where: str) -> Answer:
    """By a density that was read here, brought from its temperature to that of the volume where they differ."""
    said = parse(density, want="density", zero_allowed=False, where=where)
    own = reading(
        "density as read", said.in_unit("g/mL"), "g/mL", AS_RECEIVED,
        standard_uncertainty=step_of(said, "g/mL") / 12.0**0.5,
    )  # fmt: skip
    read_at_c = entry(density_at, "°C", where=where).in_unit("°C") if density_at else at_c
    warmer = at_c - read_at_c
    warmth = assumed(
        "density at the temperature of the volume", -LIQUID_PER_K * warmer, "1",
        "a liquid grows lighter by 0.01 to 0.15 % for each kelvin",
        standard_uncertainty=LIQUID_PER_K_EITHER_WAY * abs(warmer) / 3.0**0.5,
    )  # fmt: skip
    return reckoned(
        "mass received", mass_by_density_g, unit="g", says="its volume times the density that was read",
        inputs={"volume_ml": volume, "density_g_ml": own, "warmth_error": warmth},
    )  # fmt: skip


def _must_agree_with_label(
    by_label: Callable[[], Answer] | None, own: Answer, density: str, where: str
) -> None:
    """Ask about a density that what the label says cannot have; where no table knows the lot nothing is asked."""
    try:
        told = measured(by_label()) if by_label else None
    except StillroomError:
        return
    if told is None:
        return
    sure = hypot(own.standard_uncertainty or 0.0, told.standard_uncertainty or 0.0)
    if abs(own.value - told.value) > max(ASKED_ABOUT * sure, LEAST_ASKED_ABOUT * told.value):
        raise BadEntry(
            "A density that was read and what the label says agree",
            worded(
                "{density}, which makes {own:.4g} g; by the label {told:.4g} g",
                density=density,
                own=own.value,
                told=told.value,
            ),
            "Read it again; or receive it with the strength that was read in place of the label",
            where=where,
        )


def how_it_weighs(text: str) -> str:
    """By what a volume became a mass, in words.

    Parameters
    ----------
    text : str
        The volume as it was received. [text]
    """
    volume = parse(volume_and_density(text)[0], want="volume", words_after=True)
    if volume.basis.reference_temperature_c is None:
        return t("its density taken at 20 °C, for none was said: so dilute a solution changes little")
    return t("by the density at that temperature")


def _label_of(lot: Lot) -> str:
    return f"{lot.substance} {lot.stated}".strip()


def _moles(lot: Lot) -> Quantity | None:
    """The strength of a solution in water by moles: "0.1 mol/L"; None where its label says none. [mol/L]."""
    label = _label_of(lot)
    found = _MOLES.search(label)
    if found is None or _NOT_IN_WATER.search(label):
        return None
    return parse(found[0], want="concentration", zero_allowed=False, where="stated")


def _is_dilute(lot: Lot) -> bool:
    moles = _moles(lot)
    return moles is not None and moles.in_unit("mol/L") <= DILUTE_MOL_L


def _density_of(lot: Lot) -> Answer | None:
    """Density of an acid or another solution at 20 °C by its label; near water's where it is dilute. [g/mL]."""
    label, moles = _label_of(lot), _moles(lot)
    unknown = BadEntry(
        "A volume becomes a mass by a density, and none is known of this solution",
        repr(label[:40]),
        'Weigh it, and write its grams; or write its density behind it: "500 mL at 22 °C, 1.02 g/mL"',
    )
    if moles is None and not _MOLES.search(label):
        try:
            name_and_rest(label)
        except UnknownName:
            raise unknown from None
        return bottle_of(named_in(label, "of")).density
    if moles is None:
        raise unknown
    try:
        solute, _ = name_and_rest(label)
    except UnknownName:
        if not _is_dilute(lot):
            raise unknown from None
        mol_l = moles.in_unit("mol/L")
        return assumed(
            "density of a dilute solution", water_density_g_ml(20.0) + HEAVIER_PER_MOL * mol_l, "g/mL",
            "near that of water", standard_uncertainty=HEAVIER_EITHER_WAY * mol_l / 3.0**0.5,
        )  # fmt: skip
    return bottle_of(named_in(solute, "of"), titre=moles).density


def _acid(lot: Lot, volume: Answer, at_c: float, apart: float) -> Answer:
    density = _density_of(lot)
    if density is None or apart > ACID_REACH_K:
        raise BadEntry(
            "The density of an acid is printed at 20 °C",
            worded("{at:g} °C, {substance}", at=at_c, substance=lot.substance),
            "Measure it between 0 and 40 °C, or weigh it",
        )
    warmth = assumed(
        "density at its temperature", 0.0, "1", "an acid grows by less than 0.06 % for each kelvin",
        standard_uncertainty=ACID_PER_K * apart / 3.0**0.5,
    )  # fmt: skip
    return reckoned(
        "mass received", mass_by_density_g, unit="g", says="its volume times its density",
        inputs={"volume_ml": volume, "density_g_ml": density, "warmth_error": warmth},
    )  # fmt: skip
