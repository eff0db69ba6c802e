"""Recover spirit: what is in the flask, where to stop, under which pressure, on how many watts.

Promises the strength and the amount at the cut, and that a wish for more than a simple still can give is refused with
the most it can. The temperature is asked, never filled in. The calculation is ``answers.spirit_recovered``. Writes
nothing.
"""

from dataclasses import dataclass, replace

from stillroom.answers.cooled import pressure_at
from stillroom.answers.spirit_recovered import recovered
from stillroom.answers.spirit_stated import stated_strength, usual_thermometer, wanted_strength
from stillroom.answers.still_stops import StopAs, share_at_stop
from stillroom.answers.still_sums import drip_percent
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Part, Said, together
from stillroom.errors import BadEntry, NotAllowed, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry, share, with_unit
from stillroom.quantities.strength_words import read_strength, scale_of
from stillroom.questions.height import altitude_said, height
from stillroom.questions.recover_told import Back, teach, tell
from stillroom.questions.spirit_amounts import Amount, amount_in
from stillroom.questions.spirit_at_hand import (
    BOTTLE,
    AtHand,
    StrengthSaid,
    as_written,
    at_hand,
    plain_thermometer,
    temperature_in,
    temperature_now,
    thermometer_said,
)
from stillroom.reference.tables import row
from stillroom.texts.catalogue import later, t

STOP_AS: dict[StopAs, tuple[str, str]] = {
    "share": ("%", later("% of the ethanol is over")),
    "distillate": ("% v/v", later("% v/v is the distillate so far")),
    "drip": ("% v/v", later("% v/v is what drips")),
    "boiling": ("°C", later("°C is the boiling point")),
    "volume": ("L", later("L is distilled, by volume")),
    "mass": ("kg", later("kg is distilled, by mass")),
}
"""What a stop is a figure of: the unit of a figure without one, and that unit in words."""
TOLD_BY_ITS_UNIT: dict[str, StopAs] = {"temperature": "boiling", "volume": "volume", "mass": "mass"}
EXTRACT = "extract"
HOLDS = {"spirit only": later("spirit only"), EXTRACT: later("extract")}
DISTILLATE = "temperature of the distillate"
MOST_SHARE = 0.9999
ESCAPES = 0.01
POWER_W = 500.0
LEAST_PA, MOST_PA = 30e3, 110e3
WEATHER = 1.05
"""The highest air pressure of any weather over the standard one at that height. Common practice, no source."""
VACUUM = 0.9
"""Below this share of the air's pressure glass stands under vacuum."""


# ---- what is asked


@dataclass(frozen=True, slots=True, kw_only=True)
class InFlask(StrengthSaid):
    """How strong the spirit in the flask is."""

    have: str | None = maybe(
        Own(as_written, "figure"), label=later("In the flask, known by"), short=later("Strength in the flask"),
        when="have", hint=later("With extract in it: the strength it had before the plant"),
        help='Strength in the flask: "70 % v/v".',
    )  # fmt: skip


def in_flask(said: InFlask) -> AtHand:
    """The spirit of these entries."""
    if not said.have and said.known_by != "bottle" and said.bottle_spirit is None:
        raise BadEntry(
            "The strength in the flask is needed", "nothing",
            "Measure it before the plant goes in, or calculate it", where="have",
        )  # fmt: skip
    return at_hand(said)


@dataclass(frozen=True, slots=True)
class Stop:
    """Where the run is stopped: a figure, what it is a figure of, and both in words."""

    kind: StopAs
    at: Answer
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StopSaid(Part):
    """A figure to stop at, and what it is a figure of."""

    stop: str = needed(
        Own(as_written, "figure"), label=later("Stop when"), must=later("Where to stop is needed"),
        do=later('Write "91 %" of the ethanol, "83 % v/v" of the distillate, "88 °C" or "3.8 L"'),
        help='"91 %" of the ethanol, "83 % v/v" of the distillate, "88 °C", "3.8 L" or "3 kg".',
    )  # fmt: skip
    stop_as: str = taken(
        "",
        OneOf(
            {kind: words for kind, (_, words) in STOP_AS.items()},
            must=worded("A stop is one of {stop_as}", stop_as=", ".join(STOP_AS)),
        ),
        label=later("What is meant"), beside=True, chosen="share",
        help="What the stop is a figure of: share, distillate, drip, boiling, volume, mass; told by its unit.",
    )  # fmt: skip


def stop_of(said: StopSaid) -> Stop:
    """Where to stop; what it is a figure of is told by its unit where nobody said."""
    kind = next((one for one in STOP_AS if one == said.stop_as), None) or _kind_told(said.stop)
    unit, words = STOP_AS[kind]
    at = _stop_at(kind, said.stop, f"what {words.removeprefix(unit).strip()}")
    value = {"share": 100.0, "volume": 0.001, "mass": 0.001}.get(kind, 1.0) * at.value
    return Stop(kind, at, f"{value:.4g} {t(words)}")


def _kind_told(text: str) -> StopAs:
    """What a stop is a figure of, by its unit; by its words where they are a strength."""
    wanted = ("ratio", *TOLD_BY_ITS_UNIT)
    try:
        written = entry(text, want=wanted, basis_required=False, zero_allowed=True, where="stop")
    except StillroomError as trouble:
        scale_of(text)
        try:
            read_strength(text, where="stop")
        except StillroomError:
            raise trouble from None
        return "distillate"
    if written.dimension == "ratio":
        return "distillate" if written.basis.ratio else "share"
    return TOLD_BY_ITS_UNIT[written.dimension]


def _stop_at(kind: StopAs, text: str, name: str) -> Answer:
    if kind in ("distillate", "drip"):
        return _strength_at_stop(text, name)
    if kind == "share":
        value = share(text, where="stop")
        if not 0.0 < value <= MOST_SHARE:
            raise BadEntry(
                "Where to stop must lie above 0 and below 100 %", repr(text[:40]),
                "Never to dryness: leave liquid in the flask", where="stop",
            )  # fmt: skip
        return reading(name, value, "1", ASKED)
    unit = {"boiling": "°C", "volume": "mL"}.get(kind, "g")
    written = entry(with_unit(text, STOP_AS[kind][0]), unit, where="stop")
    return reading(name, written.in_unit(unit), unit, ASKED)


def _strength_at_stop(text: str, name: str) -> Answer:
    """A strength to stop at, by volume at 20 °C: a wish, or what an alcoholometer will show. [% v/v]."""
    strength = read_strength(text, bare_ratio="v/v", where="stop")
    try:
        found = (
            wanted_strength(strength)
            if strength.is_stated
            else stated_strength(strength, usual_thermometer()).answer
        )
    except StillroomError as error:
        raise error.at("stop") from error
    return replace(found, name=name, standard_uncertainty=None)


def arrives_in(text: str, where: str) -> Answer:
    """The part of a heater's power that arrives [1]."""
    return reading("share of the heater that arrives", share(text, least=0.01, where=where), "1", ASKED)


def escapes_in(text: str, where: str) -> Answer:
    """The part of the vapour that gets past the condenser [1]."""
    return reading("share past the condenser", share(text, most=0.5, where=where), "1", ASKED)


def distillate_in(text: str, where: str) -> Answer:
    """How warm the distillate is when it is measured [°C]."""
    return replace(temperature_in(text, where), name=DISTILLATE)


def pressure_unsaid(_: Back, said: Said) -> bool:
    """Whether the pressure follows from the altitude."""
    return "pressure" not in said.text


def half_the_time(it: Back, _: Said) -> str:
    """What twice the power does."""
    return t(
        "a heater of {watts:g} W takes {minutes:.0f} minutes",
        watts=2 * POWER_W,
        minutes=it.found.minutes.value / 2,
    )


def time_it_may_take(it: Back, _: Said) -> str:
    """What a mantle that gives more, or less, does."""
    minutes = 0.55 * it.found.minutes.value
    return t("{least:.0f} to {most:.0f} minutes", least=minutes / 0.7, most=minutes / 0.4)


def lost_grams(it: Back, _: Said) -> str:
    """What a better condenser does, and a worse one."""
    escaped = it.found.escaped.value
    return t("0.5 to 2 %: {least:.0f} to {most:.0f} g are lost", least=0.5 * escaped, most=2 * escaped)


def as_warm(it: Back, _: Said) -> str:
    """How warm the distillate is taken to be."""
    return f"{it.distillate_at.value:g} °C"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run(Said):
    """A flask of spirit, and where its distillation is stopped."""

    spirit: AtHand = together(InFlask, in_flask)
    amount: Amount = needed(
        Own(amount_in), must=later("How much is in the flask is needed"),
        do=later("Weigh it, or measure it at its temperature"),
        label=later("How much"), short=later("Amount"), hint=later("Such as 5 L or 4.4 kg"), argument=True,
    )  # fmt: skip
    temperature: Answer = temperature_now()
    stop: Stop = together(StopSaid, stop_of)
    power: Answer = taken(
        assumed("power of the heater", POWER_W, "W", "a usual mantle, since nobody said"),
        Figure(of="power of the heater", symbol="W", unit="W"),
        label=later("Heater"), folded=True, help='Power of the heater: "500 W".',
        unsaid=Assumption(
            later("the heater"), f"{POWER_W:g} W", later("a usual mantle"), half_the_time, share=0.5
        ),
    )  # fmt: skip
    share: Answer | None = maybe(
        Own(arrives_in, "figure", "%"),
        label=later("How much of its power arrives"), short=later("Share that arrives"), folded=True,
        help='Part of its power that arrives: "55 %".',
        unsaid=Assumption(
            later("how much of the heater's power arrives"), "55 %", later("a mantle gives 40 to 70 %"),
            time_it_may_take, share=0.4,
        ),
    )  # fmt: skip
    altitude: Answer | None = altitude_said(
        later("altitude, or the pressure in the still"),
        later("each 300 m lowers the boiling point by about 1 °C; the strength hardly moves"),
        share=0.1,
        counts=pressure_unsaid,
    )
    pressure: Answer | None = maybe(
        Figure(of="pressure in the still", symbol="Pa", unit="hPa"),
        label=later("Or the pressure in the still"), short=later("Pressure in the still"), folded=True,
        hint=later(
            "Under a vacuum, such as 400 hPa, 400 mbar or 40 kPa: absolute pressure, zero is a full vacuum"
        ),
        help='Absolute pressure in the still: "400 mbar".',
    )  # fmt: skip
    escapes: Answer = taken(
        assumed(
            "share past the condenser", ESCAPES, "1", "common practice, no source: 0.5 to 2 % past a good condenser"
        ),
        Own(escapes_in, "figure", "%"),
        label=later("What gets past the condenser"), short=later("Past the condenser"), folded=True,
        help='Part of the vapour that gets past the condenser: "1 %".',
        unsaid=Assumption(
            later("what gets past the condenser"), "1 %", later("common practice, no source"), lost_grams, share=0.02
        ),
    )  # fmt: skip
    distillate_at: Answer | None = maybe(
        Own(distillate_in, "figure", "°C"),
        label=later("How warm the distillate is"), short=later("Distillate at"), folded=True,
        help='Temperature of the distillate when it is measured: "25 °C".',
        unsaid=Assumption(
            later("how warm the distillate is when it is measured"), as_warm,
            later("as warm as the liquid was at the start"),
            later("10 °C more makes it 1 % larger, and the alcoholometer shows 3 to 4 % more"), share=0.05,
        ),
    )  # fmt: skip
    holds: str = taken(
        "", OneOf(HOLDS, must=later('The flask holds "spirit only" or "extract"')),
        label=later("What else is in the flask"), short=later("It holds"), folded=True,
        help="What is in the flask.",
        unsaid=Assumption(
            later("what else is in the flask"), later("nothing"), later("nobody said"),
            later("extract raises the boiling point by less than half a kelvin below 200 g/L"), share=0.01,
        ),
    )  # fmt: skip
    thermometer: Answer | None = thermometer_said()


# ---- how it is worked out


def work(said: Run) -> Back:
    """Run the still up to its cut."""
    if said.holds == EXTRACT and said.spirit.is_read:
        raise BadEntry(
            "Neither density nor alcoholometer tells the strength of a liquid that holds extract",
            worded("known by {known_by}", known_by=said.spirit.known_by),
            "Take the strength it had before the plant, or read the distillate",
            where="known-by",
        )
    have = said.spirit.stated(said.temperature, said.thermometer or plain_thermometer())
    start, altitude = said.amount.of(have.answer, said.temperature), height(said.altitude, said)
    air = pressure_at(altitude)
    pressure = _open_to_the_air(said.pressure, air) if said.pressure else air
    distillate_at = said.distillate_at or assumed(
        DISTILLATE, said.temperature.value, "°C", "as warm as the liquid was at the start"
    )
    _refuse_never(said.stop, have.answer, pressure)
    try:
        cut = share_at_stop(said.stop.kind, said.stop.at, start, have.answer, pressure, distillate_at)
        found = recovered(
            have, start, cut, temperature=said.temperature, distillate_temperature=distillate_at, pressure=pressure,
            escapes=said.escapes, power=said.power, power_share=said.share or _usual_share(),
        )  # fmt: skip
    except StillroomError as error:
        raise error.at(error.where or "stop") from error
    hpa = f"{pressure.value / 100:.4g} hPa"
    return Back(
        found,
        strength=said.spirit.words(said.temperature),
        amount=said.amount.words,
        stop=said.stop.words,
        temperature=said.temperature,
        distillate_at=distillate_at,
        pressure=hpa if said.pressure else t("{hpa}, as at {metres:g} m", hpa=hpa, metres=altitude.value),
        extract=said.holds == EXTRACT,
        vacuum=pressure.value < VACUUM * air.value,
    )


def _open_to_the_air(pressure: Answer, air: Answer) -> Answer:
    """The pressure in the still: never above the air's, for a closed still bursts; nor where no boiling is known."""
    most, pascal = WEATHER * air.value, pressure.value
    got = worded("{pascal:g} hPa", pascal=pascal / 100)
    if pascal > most:
        raise NotAllowed(
            worded(
                "A still stays open to the air, so it never holds more than the air does: {most:.0f} hPa here at most",
                most=most / 100,
            ),
            got,
            "Never heat a closed apparatus: open the receiver to the air; for a gauge that counts from the air's, add "
            "the air pressure",
            where="pressure",
        )
    if not LEAST_PA <= pascal <= MOST_PA:
        raise OutsideModel(
            worded(
                "Boiling is known from {least_pa:g} to {most_pa:g} hPa, absolute pressure",
                least_pa=LEAST_PA / 100, most_pa=MOST_PA / 100,
            ),
            got,
            "Work at a pressure between the two; a gauge that shows what is missing is taken off the air's",
            where="pressure",
        )  # fmt: skip
    return pressure


def _usual_share() -> Answer:
    found = row("parameter_ranges", "eta_mantle")
    because = f"parameter_ranges, eta_mantle: {found.number('low'):g} to {found.number('high'):g}"
    return assumed("share of the heater that arrives", found.number("default"), "1", because)


def _refuse_never(stop: Stop, have: Answer, pressure: Answer) -> None:
    """Refuse a strength that no cut of a simple still has, and say the most it gives."""
    if stop.kind not in ("distillate", "drip"):
        return
    most = drip_percent(have.value, pressure.value, 0.0)
    if stop.at.value > most:
        raise OutsideModel(
            worded(
                "A simple still that starts at {have:.1f} % v/v never gives more than {most:.1f} % v/v, its first drop",
                have=have.value, most=most,
            ),
            worded("{stop:.4g} % v/v wanted", stop=stop.at.value),
            "Ask for less, distil what it gives a second time, or buy it",
            where="stop",
        )  # fmt: skip


QUESTION = Question(
    name="recover",
    title=later("Recover spirit"),
    lead=later("How strong it is in the flask, how much, how warm it is now, where you stop."),
    button=later("What comes over?"),
    help="""What comes over from AMOUNT ("5 L") of spirit up to a cut: how much, how strong, what drips, how hot, how
    long.

    More than a simple still can give is refused with the most it can.
    """,
    kind="spirit recovered",
    asks=Way(Run, work, tell, teach),
    sentences=(BOTTLE,),
)
