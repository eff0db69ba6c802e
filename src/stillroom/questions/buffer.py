"""Weigh a buffer: grams of two salts for a wanted pH; or the pH of what somebody has mixed.

Promises the pH to expect, and that a strip is never shown as if it were a meter. The chemistry is
``answers.buffer_weighed`` and ``answers.ph_of_mixture``. Writes nothing.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stillroom.answers import ph_of_mixture
from stillroom.answers.buffer_weighed import (
    LIMITS_PH,
    MODEL_LIMITS_PH,
    MODEL_TEMPERATURE_C,
    ReadBy,
    Weighed,
    instrument_error,
    weighed,
)
from stillroom.answers.ph_words import READ_BY, buffers_in, mixture_in, ph_apart, ph_in, read_with
from stillroom.answers.tempting import by_constant_alone
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Said
from stillroom.documents.blocks import Facts, Heading, Numbers, Points, Prose, Shown
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.quantities.entry import with_unit
from stillroom.substances.acids import BufferPair, buffer_pair, buffer_pairs
from stillroom.texts.catalogue import capital, later, t

if TYPE_CHECKING:
    from stillroom.records.procedures import Procedure

STRONGEST_MOL_L = 0.5
SCALE_STEP_G = 0.01
CAUTIONS = ("preservation", "waste")


@dataclass(frozen=True, slots=True)
class Buffer:
    """A buffer worked out, and what its pH is read with."""

    pair: BufferPair
    found: Weighed
    read_by: ReadBy
    calibrated: str


@dataclass(frozen=True, slots=True)
class Mixed:
    """What somebody has mixed: its pH, and its ionic strength [mol/L]."""

    ph: Answer
    strength: Answer


# ---- what is asked


def ph_wanted(text: str, where: str) -> Answer:
    """A pH at 25 °C."""
    return reading("pH wanted", ph_in(text, where), "", ASKED, basis="at 25 °C")


def not_calibrated(found: Buffer, _: Said) -> bool:
    """Whether it is read with a meter that nobody calibrated around it."""
    return found.read_by == "meter, not calibrated here"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted(Said):
    """A buffer that is wanted."""

    pair: str = needed(
        OneOf(buffer_pairs, later("a pair of buffer salts")),
        label=later("Pair of salts"),
        help="Pair of salts: acetate, citrate, lactate, phosphate, tromethamine …",
    )
    ph: Answer = needed(
        Own(ph_wanted, "figure"), label=later("pH wanted, at 25 °C"), help='Wanted, at 25 °C: "7.0".'
    )
    total: Answer = needed(
        Figure(
            of="both salts together", symbol="mol/L", high=STRONGEST_MOL_L, kind="text",
            must=worded("A buffer is calculated up to {strongest_mol_l:g} mol/L", strongest_mol_l=STRONGEST_MOL_L),
            do=later("Make it weaker, then measure it"),
        ),
        must=later("An amount is needed"), do=worded("Write {example}", example='"0.05 mol/L"'),
        label=later("Both salts together"), hint=later("Such as 0.05 mol/L"),
        help='Both salts together: "0.05 mol/L".',
    )  # fmt: skip
    amount: Answer = needed(
        Figure(of="volume", symbol="mL", kind="text"),
        must=later("An amount is needed"), do=worded("Write {example}", example='"1 L"'),
        label=later("How much"), hint=later("Such as 1 L"), argument=True,
    )  # fmt: skip
    read_by: str = taken(
        "strip",
        OneOf(READ_BY, must=later("A pH is read by strip or meter")),
        label=later("Read with"), help="What the pH is read with: strip or meter.",
        unsaid=Assumption(
            what=later("what the pH is read with"), taken=READ_BY["strip"], because=later("every bench has one"),
            effect=worded(
                "a reading tells ± {strip:g}; a calibrated meter ± {meter:g}",
                strip=LIMITS_PH["strip"], meter=LIMITS_PH["meter"],
            ),
            share=0.5,
        ),
    )  # fmt: skip
    meter_buffers: tuple[float, ...] = taken(
        (),
        Own(buffers_in),
        label=later("The meter was calibrated with"), hint=later("Such as 4.01, 6.86"), folded=True,
        help='What the meter was calibrated with: "4.01, 6.86".',
        unsaid=Assumption(
            what=later("what the meter was calibrated with"), taken=later("nothing"), because=later("nobody said"),
            effect=worded("a reading tells ± {limits:g}", limits=LIMITS_PH["meter, not calibrated here"]),
            share=0.2, counts=not_calibrated,
        ),
    )  # fmt: skip
    plus_minus: float | None = maybe(
        Own(ph_apart, "figure"), label=later("How far the reading may be off"), folded=True,
        help='How far strip or meter may be off: "0.5".',
    )  # fmt: skip
    at: Answer | None = maybe(
        Figure(
            of="temperature", symbol="°C", unit="°C", low=0.0, high=50.0,
            must=later("A buffer is calculated from 0 to 50 °C"), do=later("Let it come to the room"),
        ),
        label=later("Temperature of the room"), folded=True, house="room temperature",
        help='Temperature of the room: "31 °C".',
        unsaid=Assumption(
            what=later("how warm the room is"), taken="25 °C", because=later("the constants are those of 25 °C"),
            effect=later("moves the pH by the shift told below for each kelvin"), share=0.1,
        ),
    )  # fmt: skip
    scale: Answer = taken(
        assumed("readability of the scale", SCALE_STEP_G, "g", "a scale of a hundredth of a gram, since nobody said"),
        Figure(
            of="readability of the scale", symbol="g", unit="g", high=10.0,
            must=later("The readability of a scale is at most 10 g here"),
        ),
        label=later("The scale the salts are weighed on"), folded=True,
        help='Readability of the scale the salts are weighed on: "0.01 g".',
        unsaid=Assumption(
            what=later("what the salts are weighed on"), because=later("nobody said"),
            taken=worded("a scale of {step_g:g} g", step_g=SCALE_STEP_G),
            effect=later("moves the pH to expect; make more of it, or take a finer scale"), share=0.15,
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Holds(Said):
    """What was mixed, in place of all that is wanted."""

    holds: dict[str, Answer] = needed(
        Own(mixture_in),
        label=later("Or the pH of a mixture"), folded=True,
        hint=later("In place of all above: citric acid 10 mmol/L; sodium 12 mmol/L"),
        help='In place of all that: "citric acid 10 mmol/L; sodium 12 mmol/L".',
    )  # fmt: skip
    at: Answer | None = maybe(
        Figure(
            of="temperature", symbol="°C", unit="°C", low=MODEL_TEMPERATURE_C - 0.5, high=MODEL_TEMPERATURE_C + 0.5,
            must=later("The pH of a mixture is calculated at 25 °C"),
            do=later("Leave the temperature out, and measure it there"),
        ),
        label=later("Temperature of the room"),
    )  # fmt: skip


# ---- how it is worked out


def work(said: Wanted) -> Buffer:
    """Weigh the two salts."""
    read_by, calibrated = read_with(said.read_by, said.meter_buffers, said.ph.value)
    pair, error = buffer_pair(said.pair), instrument_error(read_by, said.plus_minus)
    try:
        found = weighed(pair, said.ph, said.total, said.amount, error, said.at, said.scale)
    except StillroomError as slip:
        raise (slip if slip.where else slip.at("total")) from slip
    return Buffer(pair, found, read_by, calibrated)


def mix(said: Holds) -> Mixed:
    """Balance the charges of a mixture."""
    try:
        return Mixed(
            reckoned(
                "pH", ph_of_mixture.ph_of, unit="", inputs=said.holds, basis="at 25 °C",
                says="charge balance with Davies activities", sources=("martell-smith", "davies-1962"),
            ),
            reckoned(
                "ionic strength", ph_of_mixture.ionic_strength_of, unit="mol/L", inputs=said.holds,
                says="half the sum of ions times charge squared",
            ),
        )  # fmt: skip
    except StillroomError as slip:
        raise slip.at("holds") from slip


# ---- what is told


def tell(it: Buffer, said: Wanted) -> Told:
    """What to weigh, the pH to expect, what a reading can tell, how much it holds."""
    pair, found, amount, total = it.pair, it.found, said.text["amount"], said.text["total"]
    expected = [show(found.expected, label=t("At 25 °C"), decimals=2)]
    if found.at_room is not None:
        at = with_unit(said.text["at"], "°C")
        expected.append(show(found.at_room, label=t("At {at}", at=at), decimals=2))
    shift = (
        t("It moves by {per_k:+.4g} for each kelvin warmer.", per_k=pair.per_k.value)
        if pair.per_k
        else t("How it moves with warmth is not known here.")
    )
    shows, decimals = (
        (t("The strip will show"), 1) if it.read_by == "strip" else (t("The meter will show"), 2)
    )
    return Told(
        t("{amount} of {pair} buffer, pH {ph}", amount=amount, pair=pair.pair, ph=said.text["ph"]),
        t(
            "{total} in all, from {acid_form} and {base_form}. Nothing is written in a book.",
            total=total, acid_form=pair.acid_form, base_form=pair.base_form,
        ),
        (
            Heading(t("Weigh")),
            Numbers((_salt(pair.acid_form, found.acid_form), _salt(pair.base_form, found.base_form))),
            Points((
                t(
                    "Dissolve both in nine tenths of the water, cool, check the pH, then fill up to {amount}.",
                    amount=amount,
                ),
                t("Read the water of crystallisation on the jar: another hydrate has another mass."),
                *((capital(pair.where) + ".",) if pair.where else ()),
            )),
            Heading(t("The pH to expect")),
            Numbers(tuple(expected)),
            Prose(t(
                "{shift} The calculation meets standard buffers within {model_limits_ph:g}.",
                shift=shift, model_limits_ph=MODEL_LIMITS_PH,
            )),
            Heading(t("What a reading can tell")),
            Numbers((show(found.reading, label=shows, decimals=decimals),)),
            Points(_advice(it)),
            Heading(t("How much it holds")),
            Numbers((
                show(found.capacity, label=t("Strong base for one unit of pH")),
                show(found.ionic_strength, label=t("Ionic strength")),
            )),
            Prose(t(
                "A tenth of a unit takes {tenth:.2g} mmol of strong base or acid in a litre. From these two salts, "
                "{pair} at {total} reaches from pH {lowest:.2f} to {highest:.2f}; near either end it holds little.",
                tenth=100.0 * found.capacity.value, pair=pair.pair, total=total,
                lowest=found.lowest, highest=found.highest,
            )),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def tell_mixed(it: Mixed, said: Holds) -> Told:
    """The pH of a mixture, and what the calculation cannot see."""
    return Told(
        f"pH {number(it.ph.value, 2)}",
        t("Nothing is written in a book."),
        (
            Numbers((show(it.ph, label="pH", decimals=2), show(it.strength, label=t("Ionic strength")))),
            Facts(((t("Holds"), said.text["holds"]),)),
            Prose(t(
                "By charge balance at 25 °C, within {model_limits_ph:g} of standard buffers. Spirit, protein, "
                "precipitates and carbon dioxide from the air are not seen: measure it.",
                model_limits_ph=MODEL_LIMITS_PH,
            )),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _salt(name: str, grams: Answer) -> Shown:
    return show(grams, label=name.capitalize(), decimals=2 if grams.value >= 10.0 else 3)


def _advice(it: Buffer) -> tuple[str, ...]:
    if it.read_by == "strip":
        return (
            t("A strip tells half a unit either way: it finds a swapped jar, it does not confirm a pH."),
            t("Trust the weighing more than the strip. Do not correct a weighed buffer by strip."),
            t("Where a limit is nearer than half a unit (a preservative, a skin product), measure with a meter."),
        )  # fmt: skip
    if it.read_by == "meter":
        return (
            t(
                "The meter is {calibrated}. Further off than {off:.2f}: weigh again before correcting.",
                calibrated=it.calibrated,
                off=it.found.reading.expanded_uncertainty,
            ),
            t("Buffers fresh today, electrode rinsed, both at the temperature of the sample."),
        )
    return (
        t("The meter is not calibrated here: {calibrated}.", calibrated=it.calibrated),
        t(
            "Calibrate with two fresh buffers, one on either side (4.01 and 6.86, or 6.86 and 9.18), then read "
            "again."
        ),
    )


# ---- what it is made by


def recipe(it: Buffer, said: Wanted) -> "Procedure":
    """What it is made by: the salts weighed, filled up to the volume."""
    from stillroom.records.mixtures import LEAST_G, WATER, mixture, to_the_volume, weighed

    salts = ((it.pair.acid_form, it.found.acid_form), (it.pair.base_form, it.found.base_form))
    name = t(
        "{pair} buffer pH {ph}, {total}", pair=it.pair.pair, ph=said.text["ph"], total=said.text["total"]
    )
    return mixture(
        name,
        capital(name),
        (
            *((salt, salt, weighed(grams.value)) for salt, grams in salts if grams.value >= LEAST_G),
            (t("water"), WATER, to_the_volume(said.amount.value)),
        ),
        t("Dissolve both in nine tenths of the water, cool, check the pH, then fill up to the volume."),
        cautions=CAUTIONS,
    )


# ---- what is taught


def teach(it: Buffer, said: Wanted) -> Lesson:
    """The same buffer asked again on paper; the constant of the table tempts."""
    pair, found = it.pair, it.found
    acid, base, really = by_constant_alone(pair, said.ph, said.total, said.amount)
    off = really.value - found.expected.answer.value
    return Lesson(
        question=t(
            "How much {acid_form} and how much {base_form} make {amount} of a buffer of {total} in all, pH {ph}?",
            acid_form=pair.acid_form, base_form=pair.base_form,
            amount=said.text["amount"], total=said.text["total"], ph=said.text["ph"],
        ),
        given=(
            (t("Constants (pKa) at 25 °C, without salt"), ", ".join(f"{one:.3f}" for one in pair.protolyte.pka)),
            (t("Molar mass of {acid_form}", acid_form=pair.acid_form), f"{pair.acid_mass.value:.3f} g/mol"),
            (t("Molar mass of {base_form}", base_form=pair.base_form), f"{pair.base_mass.value:.3f} g/mol"),
            (t("Ionic strength of the buffer"), f"{number(found.ionic_strength.value, 3)} mol/L"),
        ),
        blanks=(f"{pair.acid_form.capitalize()}, g", f"{pair.base_form.capitalize()}, g", t("pH to expect")),
        tempting=t("pH is pKa plus the logarithm of base over acid, with the constant of the table."),
        tempting_answer=t(
            "{acid_form} g of {acid_form_two} and {base_form} g of {base_form_two}",
            acid_form=number(acid.value, 2), acid_form_two=pair.acid_form,
            base_form=number(base.value, 2), base_form_two=pair.base_form,
        ),
        how_far_off=t(
            "It would be pH {really}, {off:.2f} too {which}: ions in salt water shield one another, so the constant "
            "of the table does not hold at this strength. A strip would not show it.",
            really=number(really.value, 2), off=abs(off), which=t("high") if off > 0 else t("low"),
        ),
        worked=(
            Numbers((
                show(found.acid_form, label=pair.acid_form.capitalize(), decimals=2),
                show(found.base_form, label=pair.base_form.capitalize(), decimals=2),
                show(found.expected, label=t("pH to expect"), decimals=2),
            )),
            Prose(t("Charge balance with activities by Davies, at 25 °C.")),
        ),
    )  # fmt: skip


QUESTION = Question(
    name="buffer",
    title=later("Weigh a buffer"),
    lead=later("Which pair of salts, the pH you want, how strong, how much."),
    button=later("Calculate"),
    help='Grams of two salts for AMOUNT ("1 L") of a buffer, and the pH to expect; or the pH of a mixture.',
    kind="buffer",
    asks=Way(Wanted, work, tell, teach, makes=recipe),
    instead={"holds": Way(Holds, mix, tell_mixed)},
)
