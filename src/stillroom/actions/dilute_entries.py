"""The entries of a dilution, read as a person writes them: how strong, wanted, how much, how warm.

Promises an answer for each entry, or one sentence at its field. A figure without a unit takes the one printed beside
its field; a strength on another basis than its field says is asked back, never mixed.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeVar

from stillroom.answers.budget import Stated
from stillroom.answers.spirit_percent import spirit_mass_g, spirit_volume_ml
from stillroom.answers.spirit_stated import stated_strength, wanted_strength, way_of
from stillroom.answers.spirit_strength import (
    READING_DOUBT,
    KnownBy,
    assumed_doubt,
    doubt,
    strength_by_bottle,
)
from stillroom.errors import BadEntry, OutsideModel, StillroomError, UnknownName, worded
from stillroom.evidence.answer import Answer, published, reading, reckoned
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import degrees_apart, entry, step_of, sureness_of
from stillroom.quantities.fractions import volume_fraction
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.strength_words import read_strength
from stillroom.quantities.strengths import USUAL_C, Strength
from stillroom.quantities.units import Ratio, convert
from stillroom.questions.spirit_at_hand import refuse_another_alcohol
from stillroom.reference.tables import row, table
from stillroom.science.liquids.vessels import volume_at_mark_ml
from stillroom.substances.rules import rule

T = TypeVar("T")
ASKED = "as asked"
ENTRIES = ("have", "known-by", "want", "amount", "amount-as", "temperature")
"""Fields of the four entries: how strong and how it is known, wanted, how much, how warm."""
KNOWN_BY: dict[KnownBy, tuple[str, str]] = {
    "label": ("label", "% v/v"),
    "certificate": ("certificate", "% v/v"),
    "mass": ("certificate", "% w/w"),
    "density": ("density", "g/mL"),
    "alcoholometer": ("alcoholometer", "% v/v"),
    "bottle": ("bottle and scale", "g"),
}
"""Ways to know a strength: words, and the unit of a figure without one."""
TO_THE_MARK = "to the mark"
AMOUNT_AS = (
    "L wanted", "mL wanted", "kg wanted", f"mL {TO_THE_MARK}", "L at hand", "mL at hand", "kg at hand",
)  # fmt: skip
VESSEL = "soda-lime glass"
NEEDED: dict[str, tuple[str, str]] = {
    "have": (
        "The strength of the spirit at hand is needed",
        "Read its label, or hold an alcoholometer in it",
    ),
    "want": ("The strength wanted is needed", "Say what the mixture is to hold"),
    "amount": ("An amount is needed", "Say how much is wanted, or at hand"),
    "temperature": ("The temperature is asked, never filled in", "Hold the thermometer in the spirit"),
}
"""Entries that must not be empty: what they must hold, and what to do."""
_TEMPERATURES = (-20.0, 40.0)


def known_by_in(fields: Mapping[str, str]) -> KnownBy:
    """How the strength is known; told from its words and its unit where no field says so."""
    for name in ("have", "want", "amount"):
        refuse_another_alcohol(fields.get(name, ""), name)
    said = fields.get("known-by", "")
    if said and said not in KNOWN_BY:
        raise BadEntry(
            worded("A strength is known by one of {known_by}", known_by=", ".join(KNOWN_BY)),
            repr(said[:40]),
            "Choose one",
            where="known-by",
        )
    if said == "bottle" or any(
        fields.get(name) for name in ("bottle-empty", "bottle-water", "bottle-spirit")
    ):
        return "bottle"
    return way_of(strength_in(fields))


def strength_in(fields: Mapping[str, str], temperature: Answer | None = None) -> Strength:
    """The strength at hand with everything that was said of it, in its words and in the fields beside them.

    Parameters
    ----------
    fields : mapping of str to str
        "have", "known-by", "read-at", "reference", "have-plus-minus"; "have-in" is the ratio printed beside it. [text]
    temperature : Answer or None
        Of the liquids: that of a reading where nobody said another. [°C]

    Raises
    ------
    BadEntry
        It cannot be read, lacks what it refers to, or two fields contradict each other.
    """
    said = fields.get("known-by", "")
    read_at = temperature_in(fields, "read-at").value if fields.get("read-at") else None
    strength = read_strength(
        _needed(fields, "have"),
        known_by=said,
        read_at_c=read_at,
        otherwise_at_c=temperature.value if temperature else USUAL_C,
        means=fields.get("reference", "").strip(),
        bare_ratio=_bare_ratio(said, fields.get("have-in", "")),
        where="have",
    )
    return _with_doubt(strength, fields)


def have_in(
    fields: Mapping[str, str], known_by: KnownBy, temperature: Answer, thermometer: Answer
) -> tuple[Stated, str]:
    """The strength of the spirit at hand with its doubt, and the words it was said in."""
    if known_by == "bottle":
        read_at = temperature_in(fields, "read-at") if fields.get("read-at") else temperature
        empty, water, spirit = (_weighing(fields, f"bottle-{name}") for name in ("empty", "water", "spirit"))
        words = f"{empty.value:g} g empty, {water.value:g} g with water, {spirit.value:g} g with the spirit"
        weighed = _at("bottle-spirit", lambda: strength_by_bottle(empty, water, spirit, read_at, thermometer))
        _refuse_disagreeing(fields, weighed, temperature, thermometer)
        return weighed, words
    strength = strength_in(fields, temperature)
    found = _at("have", lambda: stated_strength(strength, thermometer, temperature=temperature))
    return found, f"{strength.words}, by its {strength.known_by}" if strength.is_stated else strength.words


def _refuse_disagreeing(
    fields: Mapping[str, str], weighed: Stated, temperature: Answer, thermometer: Answer
) -> None:
    """Refuse a bottle whose weighings and whose stated strength cannot both be true."""
    if not fields.get("have", "").strip():
        return
    weighed_only = ("known-by", "read-at") if fields.get("known-by", "") in ("", "bottle") else ()
    said = {name: text for name, text in fields.items() if name not in weighed_only}
    strength = strength_in({**said, "have-in": "v/v"}, temperature)
    stated = _at("have", lambda: stated_strength(strength, thermometer, temperature=temperature))
    allowed = math.hypot(weighed.expanded_uncertainty, stated.expanded_uncertainty)
    if abs(weighed.answer.value - stated.answer.value) > allowed:
        raise BadEntry(
            "What is stated of a spirit and what its bottle weighs must agree within their doubts",
            worded(
                "{stated:.2f} % v/v stated, {weighed:.2f} % v/v by weighing, ± {allowed:.2f} together",
                stated=stated.answer.value, weighed=weighed.answer.value, allowed=allowed,
            ),
            "Weigh again, or leave out what is not believed", where="have",
        )  # fmt: skip


def _bare_ratio(known_by: str, printed: str) -> Ratio | None:
    """The ratio of a figure that says none: the one its way has, or the one printed beside its field."""
    if known_by == "mass":
        return "w/w"
    by_volume = known_by in ("label", "certificate", "alcoholometer") or printed == "v/v"
    return "v/v" if by_volume else None


def _with_doubt(strength: Strength, fields: Mapping[str, str]) -> Strength:
    """The strength with the doubt of the field beside it, k = 2, in the unit of the strength."""
    text = fields.get("have-plus-minus", "").strip()
    if not text:
        return strength
    own = strength.unit_written or "%"
    unit = own if strength.unit == "°" else strength.unit
    beside = Quantity(
        convert(strength.value, unit, own),
        own,
        Basis(ratio=strength.ratio),
        standard_uncertainty=None
        if strength.standard_uncertainty is None
        else strength.standard_uncertainty * convert(1.0, unit, own),
        as_written=strength.as_written,
    )
    half = sureness_of(beside, text.replace("°", ""), unit, where="have-plus-minus")
    return replace(strength, standard_uncertainty=half / 2.0)


def want_in(fields: Mapping[str, str]) -> Answer:
    """The strength wanted, by volume at 20 °C whichever way it was said."""
    strength = read_strength(_needed(fields, "want"), bare_ratio="v/v", where="want")
    if not strength.is_stated or strength.standard_uncertainty is not None:
        raise BadEntry(
            "A strength that is wanted is stated by volume or by mass, with no doubt",
            repr(strength.as_written[:40]),
            'Write "70 % v/v"',
            where="want",
        )
    return _at("want", lambda: wanted_strength(strength))


def want_words(want: Answer) -> str:
    """The strength wanted in words, by mass too where it was said so."""
    by_volume = f"{want.value:.4g} % v/v"
    return f"{want.says} ({by_volume})" if want.inputs else by_volume


def amount_in(
    fields: Mapping[str, str],
    have: Answer,
    want: Answer,
    temperature: Answer,
    expansion: Answer | None = None,
) -> tuple[Answer, bool, str]:
    """A volume wanted in mL, or the mass of the spirit at hand in g.

    Parameters
    ----------
    fields : mapping of str to str
        "amount" and "amount-as". [text]
    have, want, temperature : Answer
        Strengths [% v/v at 20 °C], and of the liquids [°C].
    expansion : Answer or None
        Of the vessel that is filled to its mark; without it no amount goes to a mark. [1/K]

    Returns
    -------
    tuple of (Answer, bool, str)
        The amount [mL or g], whether it is spirit at hand, and its words.
    """
    kind = fields.get("amount-as", "") or "wanted"
    ways = ("wanted", "at hand", *((TO_THE_MARK,) if expansion else ()))
    which = next((one for one in ways if kind.endswith(one)), "")
    if not which:
        raise BadEntry(
            worded("An amount is {ways}", ways=" or ".join(f'"{one}"' for one in ways)),
            repr(kind[:40]),
            "Choose one",
            where="amount-as",
        )
    unit = kind.removesuffix(which).strip()
    text = fields.get("amount", "")
    written = entry(
        text, unit, want=("volume",) if which == TO_THE_MARK else ("volume", "mass"), where="amount"
    )
    at_hand = which == "at hand"
    strength = have if at_hand else want
    inputs = {"volume_percent_20c": strength, "temperature_c": temperature}
    words = f"{'all of ' if at_hand else ''}{written.number} {written.unit}"
    name = "spirit at hand" if at_hand else "mixture wanted"
    if written.dimension == "mass":
        mass = reading(name, written.in_unit("g"), "g", ASKED)
        if at_hand:
            return mass, True, words
        volume = reckoned(
            f"{name}, by volume", spirit_volume_ml, unit="mL", inputs={"mass_g": mass, **inputs},
            says="its mass over its density",
        )  # fmt: skip
        return volume, False, words
    volume = reading(name, written.in_unit("mL"), "mL", ASKED)
    if which == TO_THE_MARK and expansion is not None:
        mark = replace(volume, name="mark of the vessel")
        filled = reckoned(
            name, volume_at_mark_ml, unit="mL",
            inputs={"mark_ml": mark, "temperature_c": temperature, "vessel_expansion_per_k": expansion},
            says="what a vessel marked at 20 °C holds at this temperature", sources=("iso-4787",),
        )  # fmt: skip
        return filled, False, words
    if not at_hand:
        return volume, False, words
    mass = reckoned(
        f"{name}, by mass", spirit_mass_g, unit="g", inputs={"volume_ml": volume, **inputs},
        says="its volume times its density",
    )  # fmt: skip
    return mass, True, words


def temperature_in(fields: Mapping[str, str], name: str) -> Answer:
    """A temperature, asked and never filled in."""
    value = entry(_needed(fields, name), "°C", where=name).in_unit("°C")
    return reading(
        "temperature" if name == "temperature" else "temperature at the reading", value, "°C", ASKED
    )


def refuse_outside(temperature: Answer) -> None:
    """Refuse a temperature the density table does not reach."""
    low, high = _TEMPERATURES
    if not low <= temperature.value <= high:
        raise OutsideModel(
            worded("Spirit is calculated from {low:g} to {high:g} °C", low=low, high=high),
            f"{temperature.value:g} °C",
            "Bring it into that range, and read again",
            where="temperature",
        )


def thermometer_in(fields: Mapping[str, str]) -> Answer:
    """What the thermometer may be off."""
    said = fields.get("thermometer", "")
    if said:
        limits = degrees_apart(said, where="thermometer")
        if not limits > 0:
            raise BadEntry(
                "A doubt lies above zero", repr(said[:40]), "Nothing is known exactly", where="thermometer"
            )
        return doubt("error of the thermometer", limits, "°C", ASKED, said=True)
    return doubt(
        "error of the thermometer", rule("thermometer-limits").value, "°C", "a plain thermometer", said=False
    )


def _weighing(fields: Mapping[str, str], name: str) -> Answer:
    if not fields.get(name):
        raise BadEntry(
            "A bottle is weighed three times: empty, full of water, full of the spirit", "nothing here",
            "Weigh it at one temperature", where=name,
        )  # fmt: skip
    written = entry(fields[name], "g", where=name)
    return reading(
        {"bottle-empty": "bottle empty", "bottle-water": "bottle with water"}.get(
            name, "bottle with the spirit"
        ),
        written.in_unit("g"),
        "g",
        "as asked, doubted by its last figure",
        standard_uncertainty=step_of(written, "g") / 12.0**0.5,
        shape="rectangular",
    )


def expansion_of(vessel: str) -> Answer:
    """How a measuring vessel of that material grows with warmth."""
    try:
        known = (one.key for one in table("vessel_materials").rows)
        vessel = UnknownName.unless(vessel, "a material of a measuring vessel", known)
    except UnknownName as error:
        raise error.at("vessel") from error
    found = row("vessel_materials", vessel)
    return published(
        f"expansion of {vessel}",
        found.number("cubic_expansion_per_k"),
        "1/K",
        f"vessel_materials, {vessel}",
        sources=(found.words("source"),),
    )


def alcoholometer_in(fields: Mapping[str, str]) -> Answer:
    """What the alcoholometer that is held into the mixture may be off."""
    if not fields.get("division"):
        return assumed_doubt("alcoholometer", name=READING_DOUBT)
    division = entry(fields["division"], "%", by_definition=Basis(ratio="v/v"), where="division")
    if division.basis.ratio != "v/v":
        raise BadEntry(
            "An alcoholometer is divided in % v/v",
            repr(fields["division"][:40]),
            'Write "0.5 %"',
            where="division",
        )
    half = 100 * volume_fraction(division, where="division") / 2.0
    return doubt(READING_DOUBT, half, "%", "half a division either way", said=True)


def _needed(fields: Mapping[str, str], name: str) -> str:
    text = fields.get(name, "").strip()
    if not text:
        raise BadEntry(
            worded("{called} is needed", called=name.replace("-", " ").capitalize()),
            "nothing",
            "Fill it in",
            where=name,
        )
    return text


def _at(name: str, work: Callable[[], T]) -> T:
    try:
        return work()
    except StillroomError as error:
        raise error.at(name) from error
