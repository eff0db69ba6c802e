"""Get spirit back with nothing set up: what is in the flask, where to stop, under which pressure, on how many watts.

Promises the strength and the amount at the cut, and that a wish for more than a simple still can give is refused with
the most it can. Reads text as a person writes it and writes nothing. The temperature is asked, never filled in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.actions.dilute_entries import (
    amount_in,
    have_in,
    known_by_in,
    refuse_outside,
    temperature_in,
    thermometer_in,
)
from stillroom.actions.entries_missing import refuse_missing
from stillroom.answers.cooled import pressure_at
from stillroom.answers.spirit_recovered import Recovered, recovered
from stillroom.answers.spirit_stated import stated_strength, usual_thermometer, wanted_strength
from stillroom.answers.still_stops import StopAs, share_at_stop
from stillroom.answers.still_sums import drip_percent
from stillroom.documents.recovering import RecoveryWords
from stillroom.errors import BadEntry, NotAllowed, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry, share, with_unit
from stillroom.quantities.strength_words import read_strength
from stillroom.records.entries import LeftUnsaid
from stillroom.reference.tables import row

ASKED = "as asked"
NEEDED: dict[str, tuple[str, str]] = {
    "have": ("The strength in the flask is needed", "Measure it before the plant goes in, or calculate it"),
    "amount": ("How much is in the flask is needed", "Weigh it, or measure it at its temperature"),
    "temperature": ("The temperature is asked, never filled in", "Hold the thermometer in the liquid"),
    "stop": (
        "Where to stop is needed",
        'Write "91 %" of the ethanol, "83 % v/v" of the distillate, "88 °C" or "3.8 L"',
    ),
}
"""Entries that must not be empty: what they must hold, and what to do."""
STOP_AS: dict[StopAs, tuple[str, str]] = {
    "share": ("of the ethanol is over", "%"),
    "distillate": ("is the distillate so far", "% v/v"),
    "drip": ("is what drips", "% v/v"),
    "boiling": ("is the boiling point", "°C"),
    "volume": ("is distilled, by volume", "L"),
    "mass": ("is distilled, by mass", "kg"),
}
"""What a stop is a figure of: words after it, and the unit of a figure without one."""
HOLDS = ("spirit only", "extract")
READ_IN_IT = ("alcoholometer", "density", "bottle")
MOST_SHARE = 0.9999
ESCAPES = 0.01
POWER_W = 500.0
LEAST_PA, MOST_PA = 30e3, 110e3
WEATHER = 1.05
"""The highest air pressure of any weather over the standard one at that height. Common practice, no source."""
VACUUM = 0.9
"""Below this share of the air's pressure glass stands under vacuum."""


@dataclass(frozen=True, slots=True)
class RecoveredAsAsked:
    """A run of a still with the words it was asked in.

    Attributes
    ----------
    found : Recovered
    words : RecoveryWords
    unsaid : tuple of (LeftUnsaid, float)
        What nobody said, with the share of the answer it moves.
    """

    found: Recovered
    words: RecoveryWords
    unsaid: tuple[tuple[LeftUnsaid, float], ...]


def work_out_recovery(fields: Mapping[str, str]) -> RecoveredAsAsked:
    """Work a run of a simple still out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        "have", "known-by", "amount", "temperature", "stop", "stop-as", and what else was said: "holds", "altitude",
        "pressure", "power", "share", "escapes", "distillate-at", and what tells how sure the strength is.

    Raises
    ------
    BadEntry
        An entry is missing, or cannot be read.
    OutsideModel
        The still never comes to the stop, or a figure lies outside the data.
    """
    bottle = fields.get("known-by") == "bottle" or fields.get("bottle-spirit")
    refuse_missing(fields, {name: told for name, told in NEEDED.items() if not (bottle and name == "have")})
    temperature = temperature_in(fields, "temperature")
    refuse_outside(temperature)
    known_by = known_by_in(fields)
    holds = fields.get("holds", "")
    if holds not in ("", *HOLDS):
        raise BadEntry(
            'The flask holds "spirit only" or "extract"', repr(holds[:40]), "Choose one", where="holds"
        )
    if holds == "extract" and known_by in READ_IN_IT:
        raise BadEntry(
            "Neither density nor alcoholometer tells the strength of a liquid that holds extract",
            worded("known by {known_by}", known_by=known_by),
            "Take the strength it had before the plant, or read the distillate",
            where="known-by",
        )
    have, have_words = have_in(fields, known_by, temperature, thermometer_in(fields))
    start, _, amount_words = amount_in(
        {**fields, "amount-as": "at hand"}, have.answer, have.answer, temperature
    )
    pressure, pressure_words = _pressure(fields)
    distillate_at = _distillate_at(fields, temperature)
    kind, stop = _stop(fields)
    _refuse_never(kind, stop, have.answer, pressure)
    try:
        cut = share_at_stop(kind, stop, start, have.answer, pressure, distillate_at)
        found = recovered(
            have, start, cut, temperature=temperature, distillate_temperature=distillate_at,
            pressure=pressure, escapes=_escapes(fields), power=_power(fields), power_share=_power_share(fields),
        )  # fmt: skip
    except StillroomError as error:
        raise error.at(error.where or "stop") from error
    words = RecoveryWords(
        have=have_words,
        amount=amount_words.removeprefix("all of "),
        stop=_stop_words(kind, stop),
        temperature=f"{temperature.value:g} °C",
        distillate_temperature=f"{distillate_at.value:g} °C",
        pressure=pressure_words,
        vacuum=pressure.value < VACUUM * pressure_at(_altitude(fields)).value,
        extract=holds == "extract",
    )
    return RecoveredAsAsked(found, words, _left_unsaid(found, fields))


def stop_kind(fields: Mapping[str, str]) -> StopAs:
    """What the stop is a figure of; told from its unit where nobody said."""
    said = fields.get("stop-as", "")
    for key in STOP_AS:
        if said == key:
            return key
    if said:
        raise BadEntry(
            worded("A stop is one of {stop_as}", stop_as=", ".join(STOP_AS)),
            repr(said[:40]),
            "Choose one",
            where="stop-as",
        )
    try:
        wanted = ("ratio", "temperature", "volume", "mass")
        written = entry(fields["stop"], want=wanted, basis_required=False, zero_allowed=True, where="stop")
    except StillroomError as trouble:
        return _strength_or(trouble, fields["stop"])
    if written.dimension == "ratio":
        return "distillate" if written.basis.ratio else "share"
    kinds: dict[str, StopAs] = {"temperature": "boiling", "volume": "volume", "mass": "mass"}
    return kinds[written.dimension]


def _stop(fields: Mapping[str, str]) -> tuple[StopAs, Answer]:
    kind, text = stop_kind(fields), fields["stop"]
    words, unit = STOP_AS[kind]
    name = f"what {words}"
    if kind in ("distillate", "drip"):
        return kind, _strength_at_stop(text, name)
    if kind == "share":
        value = share(text, where="stop")
        if not 0.0 < value <= MOST_SHARE:
            raise BadEntry(
                "Where to stop must lie above 0 and below 100 %",
                repr(text[:40]),
                "Never to dryness: leave liquid in the flask",
                where="stop",
            )
        return kind, reading(name, value, "1", ASKED)
    in_unit = {"boiling": "°C", "volume": "mL"}.get(kind, "g")
    written = entry(with_unit(text, unit), in_unit, where="stop")
    return kind, reading(name, written.in_unit(in_unit), in_unit, ASKED)


def _strength_or(trouble: StillroomError, text: str) -> StopAs:
    """The strength of the distillate where the words are one; otherwise what was wrong with them."""
    try:
        read_strength(text, where="stop")
    except StillroomError:
        raise trouble from None
    return "distillate"


def _strength_at_stop(text: str, name: str) -> Answer:
    """A strength to stop at, by volume at 20 °C: a wish, or what an alcoholometer will show. [% v/v]."""
    strength = read_strength(text, bare_ratio="v/v", where="stop")
    try:
        if strength.is_stated:
            found = wanted_strength(strength)
        else:
            found = stated_strength(strength, usual_thermometer()).answer
    except StillroomError as error:
        raise error.at("stop") from error
    return replace(found, name=name, standard_uncertainty=None)


def _refuse_never(kind: StopAs, stop: Answer, have: Answer, pressure: Answer) -> None:
    """Refuse a strength that no cut of a simple still has, and say the most it gives."""
    if kind not in ("distillate", "drip"):
        return
    most = drip_percent(have.value, pressure.value, 0.0)
    if stop.value > most:
        raise OutsideModel(
            worded(
                "A simple still that starts at {have:.1f} % v/v never gives more than {most:.1f} % v/v, its first drop",
                have=have.value,
                most=most,
            ),
            worded("{stop:.4g} % v/v wanted", stop=stop.value),
            "Ask for less, distil what it gives a second time, or buy it",
            where="stop",
        )


def _stop_words(kind: StopAs, stop: Answer) -> str:
    words, unit = STOP_AS[kind]
    value = {"share": 100.0, "volume": 0.001, "mass": 0.001}.get(kind, 1.0) * stop.value
    return f"{value:.4g} {unit} {words}"


def _pressure(fields: Mapping[str, str]) -> tuple[Answer, str]:
    """Pressure in the still: said, or that of the altitude, or that at the sea."""
    if fields.get("pressure"):
        pascal = entry(fields["pressure"], "hPa", where="pressure").in_unit("Pa")
        _refuse_overpressure(pascal, pressure_at(_altitude(fields)).value)
        if not LEAST_PA <= pascal <= MOST_PA:
            raise OutsideModel(
                worded(
                    "Boiling is known from {least_pa:g} to {most_pa:g} hPa, absolute pressure",
                    least_pa=LEAST_PA / 100,
                    most_pa=MOST_PA / 100,
                ),
                worded("{pascal:g} hPa", pascal=pascal / 100),
                "Work at a pressure between the two; a gauge that shows what is missing is taken off the air's",
                where="pressure",
            )
        return reading("pressure in the still", pascal, "Pa", ASKED), f"{pascal / 100:.4g} hPa"
    altitude = _altitude(fields)
    found = pressure_at(altitude)
    return found, f"{found.value / 100:.4g} hPa, as at {altitude.value:g} m"


def _altitude(fields: Mapping[str, str]) -> Answer:
    """Height of the still above the sea: said, or none."""
    text = fields.get("altitude", "")
    if not text:
        return assumed("altitude", 0.0, "m", "the sea, since nobody said")
    written = entry(text, "m", negative_allowed=True, zero_allowed=True, where="altitude")
    altitude = reading("altitude", written.in_unit("m"), "m", ASKED)
    if not -450.0 <= altitude.value <= 5000.0:
        raise BadEntry(
            "Altitude must lie between -450 and 5000 m",
            repr(text[:40]),
            "Look at a map",
            where="altitude",
        )
    return altitude


def _refuse_overpressure(pascal: float, air_pa: float) -> None:
    """Refuse a still that holds more than the air: it would be closed, and a closed still bursts."""
    most = WEATHER * air_pa
    if pascal > most:
        raise NotAllowed(
            worded(
                "A still stays open to the air, so it never holds more than the air does: {most:.0f} hPa here at most",
                most=most / 100,
            ),
            worded("{pascal:g} hPa", pascal=pascal / 100),
            "Never heat a closed apparatus: open the receiver to the air; for a gauge that counts from the air's, add "
            "the air pressure",
            where="pressure",
        )


def _distillate_at(fields: Mapping[str, str], temperature: Answer) -> Answer:
    name = "temperature of the distillate"
    if not fields.get("distillate-at"):
        return assumed(name, temperature.value, "°C", "as warm as the liquid was at the start")
    found = temperature_in(fields, "distillate-at")
    refuse_outside(found)
    return reading(name, found.value, "°C", ASKED)


def _escapes(fields: Mapping[str, str]) -> Answer:
    name = "share past the condenser"
    if not fields.get("escapes"):
        return assumed(name, ESCAPES, "1", "common practice, no source: 0.5 to 2 % past a good condenser")
    return reading(name, share(fields["escapes"], most=0.5, where="escapes"), "1", ASKED)


def _power_share(fields: Mapping[str, str]) -> Answer:
    if fields.get("share"):
        arrives = share(fields["share"], least=0.01, where="share")
        return reading("share of the heater that arrives", arrives, "1", ASKED)
    found = row("parameter_ranges", "eta_mantle")
    because = f"parameter_ranges, eta_mantle: {found.number('low'):g} to {found.number('high'):g}"
    return assumed("share of the heater that arrives", found.number("default"), "1", because)


def _power(fields: Mapping[str, str]) -> Answer:
    if not fields.get("power"):
        return assumed("power of the heater", POWER_W, "W", "a usual mantle, since nobody said")
    return reading("power of the heater", entry(fields["power"], "W", where="power").in_unit("W"), "W", ASKED)


def _left_unsaid(found: Recovered, fields: Mapping[str, str]) -> tuple[tuple[LeftUnsaid, float], ...]:
    made: list[tuple[LeftUnsaid, float]] = []
    if not fields.get("power"):
        half = f"a heater of {2 * POWER_W:g} W takes {found.minutes.value / 2:.0f} minutes"
        made.append((LeftUnsaid("the heater", f"{POWER_W:g} W", "a usual mantle", half, "power"), 0.5))
    if not fields.get("share"):
        made.append(
            (LeftUnsaid("how much of the heater's power arrives", "55 %", "a mantle gives 40 to 70 %",
                        f"{found.minutes.value * 0.55 / 0.7:.0f} to {found.minutes.value * 0.55 / 0.4:.0f} minutes",
                        "share"), 0.4)
        )  # fmt: skip
    if not fields.get("escapes"):
        made.append(
            (LeftUnsaid("what gets past the condenser", "1 %", "common practice, no source",
                        f"0.5 to 2 %: {0.5 * found.escaped.value:.0f} to {2 * found.escaped.value:.0f} g are lost",
                        "escapes"), 0.02)
        )  # fmt: skip
    if not fields.get("pressure") and not fields.get("altitude"):
        made.append(
            (LeftUnsaid("altitude, or the pressure in the still", "0 m", "the sea, since nobody said",
                        "each 300 m lowers the boiling point by about 1 °C; the strength hardly moves",
                        "altitude"), 0.1)
        )  # fmt: skip
    if not fields.get("distillate-at"):
        made.append(
            (LeftUnsaid("how warm the distillate is when it is measured", f"{found_temperature(found)} °C",
                        "as warm as the liquid was at the start",
                        "10 °C more makes it 1 % larger, and the alcoholometer shows 3 to 4 % more",
                        "distillate-at"), 0.05)
        )  # fmt: skip
    if not fields.get("holds"):
        made.append(
            (LeftUnsaid("what else is in the flask", "nothing", "nobody said",
                        "extract raises the boiling point by less than half a kelvin below 200 g/L", "holds"), 0.01)
        )  # fmt: skip
    return tuple(made)


def found_temperature(found: Recovered) -> str:
    """How warm the distillate is taken to be when it is measured. [°C, as text]."""
    return f"{dict(found.stop.volume.inputs)['temperature_c'].value:g}"
