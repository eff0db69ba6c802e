"""What is told and taught of spirit got back: the cut first, the most this still can give, then heat and cautions.

Promises the same figures on both. Calculates nothing but what the tempting way gives.
"""

from dataclasses import dataclass

from stillroom.answers.spirit_percent import spirit_volume_ml
from stillroom.answers.spirit_recovered import Cut, Recovered
from stillroom.answers.still_sums import ethanol_g
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.still_drawing import still_drawing
from stillroom.evidence.answer import Answer
from stillroom.texts.catalogue import t

FIRST = ("heat-without-cooling", "leaving-the-room", "bumping")
CAUTIONS = (
    "closed-apparatus",
    "flammable-vapour",
    "water-or-power-off",
    "hot-liquid",
    "spirit-law",
    "methanol",
)
AS_SOLD = 96.0
DRY = 0.1
"""Share of the liquid; with less in the flask the page warns."""


@dataclass(frozen=True, slots=True)
class Back:
    """A run of a still, worked out, with the words it was asked in.

    ``temperature``, ``distillate_at``: of the flask at the start; of the distillate when it is measured. [°C]
    """

    found: Recovered
    strength: str
    amount: str
    stop: str
    temperature: Answer
    distillate_at: Answer
    pressure: str
    extract: bool
    """Whether the flask holds extract."""
    vacuum: bool
    """Whether it boils under less than the air's pressure."""


def tell(it: Back, _: Said) -> Told:
    """How much comes over at the cut and how strong, the most this still can give, heat, time and cautions."""
    found, sure, at = it.found, it.found.sure, f"{it.distillate_at.value:g} °C"
    return Told(
        t("{amount} of {have:.4g} % v/v through a simple still", amount=it.amount, have=found.have.answer.value),
        t(
            "From {have}, {temperature} at the start. Nothing is written in a book.",
            have=it.strength, temperature=f"{it.temperature.value:g} °C",
        ),
        (
            Points((t("Stop when {stop}.", stop=it.stop),), "done"),
            *_dry(found),
            Numbers((
                show(sure.strength, label=t("Strength of the distillate"), decimals=1),
                show(sure.volume, label=t("Comes over, at {distillate_temperature}", distillate_temperature=at),
                     decimals=0),
                show(sure.mass, label=t("Comes over, by mass"), decimals=0),
                show(found.caught_volume, label=t("Of it caught"), decimals=0),
                show(found.ethanol_over, label=t("Ethanol in it"), decimals=0),
            )),
            Prose(
                t("The ± holds the doubt of the strength in the flask and how far published boiling data differ."),
                quiet=True,
            ),
            Prose(t(
                "That is {share:.1f} % of the {ethanol} g of ethanol in the flask; {left_ethanol} g stay.",
                share=100.0 * found.stop.share.value,
                ethanol=number(found.ethanol.value, 0),
                left_ethanol=number(found.left_ethanol.value, 0),
            )),
            Heading(t("At that moment")),
            Numbers((
                show(sure.drip, label=t("What drips"), decimals=1),
                show(sure.boiling, label=t("The flask boils at"), decimals=1),
                show(sure.left, label=t("Left in the flask"), decimals=0),
                show(sure.left_strength, label=t("Its strength"), decimals=1),
            )),
            Heading(t("The most this still can give")),
            Numbers((show(sure.most, label=t("Its first drop"), decimals=1),)),
            Prose(t(
                "No cut of a simple still is stronger than that. For more: distil a second time, or put a column on "
                "it. Nothing passes the azeotrope, near 97 % v/v."
            )),
            Heading(t("Strength against cut")),
            _cuts(found),
            still_drawing(found),
            Heading(t("Check it with an alcoholometer")),
            *_reading(it, at),
            Heading(t("Heat and time")),
            Numbers((
                show(found.first_boiling, label=t("It begins to boil at"), decimals=1),
                show(found.heat, label=t("Heat into the liquid"), decimals=0),
                show(found.minutes, label=t("Minutes on {power} W", power=number(found.power.value, 0)), decimals=0),
                show(found.escaped, label=t("Past the condenser"), decimals=0),
            )),
            Prose(
                t(
                    "Pressure in the still: {pressure}. Stopwatch and thermometer come first: heat is good to 5 %, "
                    "and nobody knows how much of a heater's power arrives until it is timed.",
                    pressure=it.pressure,
                ),
                quiet=True,
            ),
            Heading(t("Before the heat")),
            Points((
                t("Cooling water first, seen leaving the condenser."),
                t("Fresh boiling chips in cold liquid."),
                t("Somebody stays by it from the first drop to the last."),
                t("Never to dryness: stop while the flask is still wet all over."),
                t("Heat off and cooled before anything is opened."),
            )),
            *(caution_block(key) for key in FIRST),
        ),
        tuple(caution_block(key) for key in (*(("vacuum",) if it.vacuum else ()), *CAUTIONS)),
    )  # fmt: skip


def teach(it: Back, _: Said) -> Lesson:
    """The same run asked again on paper; spirit as strong as it was bought tempts."""
    found, stop = it.found, it.found.stop
    given: tuple[tuple[str, Cell], ...] = (
        (t("Ethanol in the flask"), f"{number(found.ethanol.value, 0)} g"),
        (t("Where it is stopped"), it.stop),
        (t("Strength of the first drop"), f"{found.most.value:.1f} % v/v"),
        (t("Distillate at that cut, by mass"), f"{number(found.mass.value, 0)} g"),
        (t("Share of the ethanol over"), f"{100.0 * stop.share.value:.1f} %"),
    )
    tempting_ml = spirit_volume_ml(found.ethanol_over.value / ethanol_g(1.0, AS_SOLD), AS_SOLD, 20.0)
    over = t(
        "{volume:.0f} mL at {strength:.1f} % v/v", volume=stop.volume.value, strength=stop.strength.value
    )
    return Lesson(
        question=t(
            "{amount} of {have:.4g} % v/v spirit is distilled in a simple still. How much comes over, and how strong "
            "is it?",
            amount=it.amount, have=found.have.answer.value,
        ),
        given=given,
        blanks=(
            t("Ethanol over, g"), t("Its share of the distillate by mass"), t("Strength, % v/v"), t("Volume, mL"),
        ),
        tempting=t("Recovered spirit is as strong as it was bought: {as_sold:g} % v/v.", as_sold=AS_SOLD),
        tempting_answer=t(
            "{tempting_ml:.0f} mL of {as_sold:g} % v/v", tempting_ml=tempting_ml, as_sold=AS_SOLD
        ),
        how_far_off=t(
            "In truth {over}. The same ethanol, but with more water: whoever takes it for {as_sold:g} % makes "
            "everything {strength:.1f} % v/v too weak.",
            over=over, as_sold=AS_SOLD, strength=AS_SOLD - stop.strength.value,
        ),
        worked=(_cuts(found), *(caution_block(key) for key in (*FIRST, "spirit-law"))),
    )  # fmt: skip


def _dry(found: Recovered) -> tuple[Block, ...]:
    left = found.left.value / found.start.value
    if left >= DRY:
        return ()
    told = t(
        "Only {left:.0f} % of the liquid would stay in the flask: stop earlier, never to dryness.",
        left=100.0 * left,
    )
    return (Points((told,), "missing"),)


def _cuts(found: Recovered) -> Table:
    cuts = sorted((*found.cuts, found.stop), key=lambda one: one.share.value)
    return Table(
        (
            t("Ethanol over, %"), t("Distillate, L"), t("So far, % v/v"), t("Drips, % v/v"), t("Boils at, °C"), "",
        ),
        tuple(_cut_row(one, "here" if one is found.stop else "") for one in cuts),
        (0, 1, 2, 3, 4),
    )  # fmt: skip


def _cut_row(cut: Cut, word: str) -> tuple[Cell, ...]:
    return (
        f"{100.0 * cut.share.value:.1f}",
        f"{cut.volume.value / 1000.0:.3f}",
        f"{cut.strength.value:.1f}",
        f"{cut.drip.value:.1f}",
        f"{cut.boiling.value:.1f}",
        word,
    )


def _reading(it: Back, at: str) -> tuple[Block, ...]:
    if it.found.reads is None:
        told = t(
            "The alcoholometer's table does not reach this distillate at {distillate_temperature}: weigh a full "
            "bottle instead.",
            distillate_temperature=at,
        )
        return (Prose(told),)
    where = (
        t("The flask itself holds extract: no alcoholometer there.")
        if it.extract
        else t("Read it in the distillate, stirred and still, at that temperature.")
    )
    label = t("It should show, at {distillate_temperature}", distillate_temperature=at)
    return (
        Numbers((show(it.found.reads, label=label, decimals=1),)),
        Prose(t("{where} Neither alcoholometer nor density can tell methanol from ethanol.", where=where)),
    )
