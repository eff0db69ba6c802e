"""The entries of a dilution, read as a person writes them: how strong, wanted, how much, how warm.

Promises an answer for each entry, or one sentence at its field. A figure without a unit takes the one printed beside
its field; a strength on another basis than its field says is asked back, never mixed.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeVar

from stillroom.actions.dilute_seen import refuse_another_alcohol
from stillroom.actions.scale_entries import names_a_scale, stated_on_a_scale
from stillroom.errors import BadEntry, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, published, reading, reckoned
from stillroom.quantities.basis import Basis
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.reference.tables import row, table
from stillroom.results.budget import Stated
from stillroom.results.spirit_percent import spirit_mass_g, spirit_volume_ml
from stillroom.results.spirit_strength import (
    BASIS,
    OWN_DOUBT,
    READING_DOUBT,
    Doubts,
    KnownBy,
    assumed_doubt,
    doubt,
    strength_by_bottle,
    strength_by_mass_percent,
    strength_known,
)
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
_BARE = re.compile(r"[\d.,]+(?:\s?%)?")
_TEMPERATURES = (-20.0, 40.0)


def known_by_in(fields: Mapping[str, str]) -> KnownBy:
    """How the strength is known; told from its unit where nobody said."""
    refuse_another_alcohol(fields)
    said = fields.get("known-by", "")
    for key in KNOWN_BY:
        if said == key:
            return key
    if said:
        raise BadEntry(
            worded("A strength is known by one of {known_by}", known_by=", ".join(KNOWN_BY)),
            repr(said[:40]),
            "Choose one",
            where="known-by",
        )
    if any(fields.get(name) for name in ("bottle-empty", "bottle-water", "bottle-spirit")):
        return "bottle"
    if names_a_scale(fields.get("have", "")):
        return "label"
    written = _read(fields, "have", "", None)
    if written.dimension == "density":
        return "density"
    return "mass" if written.basis.ratio == "w/w" else "label"


def have_in(
    fields: Mapping[str, str], known_by: KnownBy, temperature: Answer, thermometer: Answer
) -> tuple[Stated, str]:
    """The strength of the spirit at hand with its doubt, and the words it was said in."""
    read_at = temperature_in(fields, "read-at") if fields.get("read-at") else temperature
    if known_by == "bottle":
        empty, water, spirit = (_weighing(fields, f"bottle-{name}") for name in ("empty", "water", "spirit"))
        words = f"{empty.value:g} g empty, {water.value:g} g with water, {spirit.value:g} g with the spirit"
        return _at(
            "bottle-spirit", lambda: strength_by_bottle(empty, water, spirit, read_at, thermometer)
        ), words
    words, unit = KNOWN_BY[known_by]
    if known_by in ("label", "certificate"):
        on = _at("have", lambda: stated_on_a_scale(fields))
        own = _own_doubt(fields, known_by, unit)
        stated = _at("have", lambda: strength_known(known_by, on.percent, on.base, Doubts(own, thermometer)))
        return stated, f"{on.words}, by its {known_by}"
    ratio = {"mass": "w/w"}.get(known_by, "v/v")
    if known_by == "density":
        value = reading("density", _number(fields, "have", unit, None).in_unit("g/mL"), "g/mL", ASKED)
    else:
        found = _number(fields, "have", "%", Basis(ratio=ratio))  # type: ignore[arg-type]
        if found.basis.ratio != ratio:
            raise BadEntry(
                worded("A strength known by {words} is {ratio}", words=words, ratio=ratio),
                fields.get("have", ""),
                worded("Write it as {ratio}, or choose how it is known", ratio=ratio),
                where="have",
            )
        if not 0.0 < 100 * found.fraction <= 100.0:
            raise BadEntry("A strength must lie above 0 and up to 100 %", found.in_words(), where="have")
        value = reading("strength as stated", 100 * found.fraction, "%", ASKED, basis=ratio)
    own = _own_doubt(fields, known_by, unit)
    stated = _at("have", lambda: strength_known(known_by, value, read_at, Doubts(own, thermometer)))
    shown = f"{value.value:.10g} {'g/mL' if known_by == 'density' else '% ' + ratio}"
    told = {
        "alcoholometer": f"{shown} read on an alcoholometer at {read_at.value:g} °C",
        "density": f"{shown} at {read_at.value:g} °C",
    }
    return stated, told.get(known_by, f"{shown}, by its certificate")


def _own_doubt(fields: Mapping[str, str], known_by: KnownBy, unit: str) -> Answer:
    if not fields.get("have-plus-minus"):
        return assumed_doubt(known_by)
    text = fields["have-plus-minus"].lstrip("±+-/ ")
    unit_said = "g/mL" if unit == "g/mL" else "%"
    basis = None if unit_said == "g/mL" else Basis(ratio="w/w" if known_by == "mass" else "v/v")
    half = _number({"have-plus-minus": text}, "have-plus-minus", unit_said, basis).in_unit(unit_said)
    if not half > 0:
        raise BadEntry("A doubt lies above zero", text, "Nothing is known exactly", where="have-plus-minus")
    return doubt(OWN_DOUBT[known_by], half, unit_said, ASKED, said=True, k=2.0)


def want_in(fields: Mapping[str, str]) -> Answer:
    """The strength wanted, by volume at 20 °C whichever way it was said."""
    found = _number(fields, "want", "%", Basis(ratio="v/v"))
    percent = reading("strength wanted", 100 * found.fraction, "%", ASKED, basis=found.basis.ratio or "")
    if found.basis.ratio == "w/w":
        exact = reading("error of what is wanted", 0.0, "%", "it is a wish")
        return reckoned(
            "strength wanted",
            strength_by_mass_percent,
            unit="%",
            basis=BASIS,
            inputs={"mass_percent": percent, "difference_percent": exact},
            says="from the strength by mass",
        )
    if found.basis.ratio != "v/v":
        raise BadEntry(
            "A strength of spirit is v/v or w/w", fields.get("want", ""), 'Write "70 % v/v"', where="want"
        )
    return reading("strength wanted", percent.value, "%", ASKED, basis=BASIS)


def want_words(want: Answer) -> str:
    """The strength wanted in words, by mass too where it was said so."""
    by_volume = f"{want.value:.4g} % v/v"
    said = dict(want.inputs).get("mass_percent")
    return f"{said.value:.4g} % w/w ({by_volume})" if said else by_volume


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
    written = parse(
        f"{text} {unit}" if unit and _BARE.fullmatch(text) else text,
        want=("volume",) if which == TO_THE_MARK else ("volume", "mass"),
        zero_allowed=False,
        where="amount",
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
    value = _number(fields, name, "°C", None).in_unit("°C")
    return reading(
        "temperature" if name == "temperature" else "temperature at the reading", value, "°C", ASKED
    )


def refuse_outside(temperature: Answer) -> None:
    """Refuse a temperature the density table does not reach."""
    low, high = _TEMPERATURES
    if not low <= temperature.value <= high:
        raise OutsideModel(
            worded("Spirit is reckoned from {low:g} to {high:g} °C", low=low, high=high),
            f"{temperature.value:g} °C",
            "Bring it into that range, and read again",
            where="temperature",
        )


def thermometer_in(fields: Mapping[str, str]) -> Answer:
    """What the thermometer may be off."""
    said = fields.get("thermometer", "")
    if said:
        limits = number_in(re.sub(r"\s*(?:°\s?C|K)$", "", said.lstrip("±+-/ ")), where="thermometer").value
        if not limits > 0:
            raise BadEntry("A doubt lies above zero", said, "Nothing is known exactly", where="thermometer")
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
    written = _number(fields, name, "g", None)
    step = 10.0 ** -(written.decimals or 0)
    factor = written.in_unit("g") / written.value if written.value else 1.0
    return reading(
        {"bottle-empty": "bottle empty", "bottle-water": "bottle with water"}.get(
            name, "bottle with the spirit"
        ),
        written.in_unit("g"),
        "g",
        "as asked, doubted by its last figure",
        standard_uncertainty=step * factor / 12.0**0.5,
    )


def expansion_of(vessel: str) -> Answer:
    """How a measuring vessel of that material grows with warmth."""
    known = {one.key for one in table("vessel_materials").rows}
    if vessel not in known:
        raise BadEntry(
            worded("A measuring vessel is of {known}", known=", ".join(sorted(known))),
            repr(vessel[:40]),
            "Choose one",
            where="vessel",
        )
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
    half = 100 * _number(fields, "division", "%", Basis(ratio="v/v")).fraction / 2.0
    return doubt(READING_DOUBT, half, "%", "half a division either way", said=True)


def _number(fields: Mapping[str, str], name: str, unit: str, basis: Basis | None) -> Quantity:
    want = {"%": "ratio", "g": "mass", "°C": "temperature", "g/mL": "density"}.get(unit)
    return _read(fields, name, unit, basis, want)


def _read(
    fields: Mapping[str, str], name: str, unit: str, basis: Basis | None, want: str | None = None
) -> Quantity:
    text = fields.get(name, "").strip()
    if not text:
        raise BadEntry(
            worded("{called} is needed", called=name.replace("-", " ").capitalize()),
            "nothing",
            "Fill it in",
            where=name,
        )
    if unit and re.fullmatch(r"[-+−]?[\d.,]+", text):
        text = f"{text} {unit}"
    if basis is not None:
        parse(text, want=want, basis_required=False, where=name)
    return parse(text, want=want, by_definition=basis, negative_allowed=unit == "°C", where=name)


def _at(name: str, work: Callable[[], T]) -> T:
    try:
        return work()
    except StillroomError as error:
        raise error.at(name) from error
