"""Spirit got back, as a page and as a lesson: the cut first, the most this still can give, then heat and cautions.

Promises the same figures on both. Says what nobody entered. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Cell,
    Heading,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.showing import number, show
from stillroom.documents.still_drawing import still_drawing
from stillroom.results.spirit_percent import spirit_volume_ml
from stillroom.results.spirit_recovered import Cut, Recovered
from stillroom.results.still_sums import ethanol_g

FIRST = ("heat-without-cooling", "leaving-the-room", "bumping")
CAUTIONS = ("flammable-vapour", "water-or-power-off", "hot-liquid", "spirit-law", "methanol")
AS_SOLD = 96.0


@dataclass(frozen=True, slots=True)
class RecoveryWords:
    """A run of a still in the words it was asked in.

    Attributes
    ----------
    have, amount, stop, temperature, distillate_temperature, pressure : str
    extract : bool
        Whether the flask holds extract.
    """

    have: str
    amount: str
    stop: str
    temperature: str
    distillate_temperature: str
    pressure: str
    extract: bool


def recovery_page(
    found: Recovered,
    words: RecoveryWords,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "how much spirit do I get back", on one page.

    Parameters
    ----------
    found : Recovered
    words : RecoveryWords
    unsaid : sequence of Unsaid
        What nobody entered.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    stop = found.stop
    blocks: list[Block] = [
        Points((f"Stop when {words.stop}.",), "done"),
        *_dry(found),
        Numbers(
            (
                show(stop.strength, label="Strength of the distillate", decimals=1),
                show(stop.volume, label=f"Comes over, at {words.distillate_temperature}", decimals=0),
                show(found.mass, label="Comes over, by mass", decimals=0),
                show(found.caught_volume, label="Of it caught", decimals=0),
                show(found.ethanol_over, label="Ethanol in it", decimals=0),
            )
        ),
        Prose(
            "The doubt is that of the strength in the flask; published boiling data differ by 0.3 % v/v besides.",
            quiet=True,
        ),
        Prose(
            f"That is {100.0 * stop.share.value:.1f} % of the {number(found.ethanol.value, 0)} g of ethanol in the "
            f"flask; {number(found.left_ethanol.value, 0)} g stay."
        ),
        Heading("At that moment"),
        Numbers(
            (
                show(stop.drip, label="What drips", decimals=1),
                show(stop.boiling, label="The flask boils at", decimals=1),
                show(found.left, label="Left in the flask", decimals=0),
                show(found.left_strength, label="Its strength", decimals=1),
            )
        ),
        Heading("The most this still can give"),
        Numbers((show(found.most, label="Its first drop", decimals=1),)),
        Prose(
            "No cut of a simple still is stronger than that. For more: distil a second time, or put a column on it. "
            "Nothing passes the azeotrope, near 97 % v/v."
        ),
        Heading("Strength against cut"),
        _cuts(found),
        still_drawing(found),
        Heading("Check it with an alcoholometer"),
        *_reading(found, words),
        Heading("Heat and time"),
        Numbers(
            (
                show(found.first_boiling, label="It begins to boil at", decimals=1),
                show(found.heat, label="Heat into the liquid", decimals=0),
                show(found.minutes, label=f"Minutes on {number(found.power.value, 0)} W", decimals=0),
                show(found.escaped, label="Past the condenser", decimals=0),
            )
        ),
        Prose(
            f"Pressure in the still: {words.pressure}. Stopwatch and thermometer come first: heat is good to 5 %, "
            "how much of a heater's power arrives is known by nobody until it is timed.",
            quiet=True,
        ),
        Heading("Before the heat"),
        Points(
            (
                "Cooling water first, seen leaving the condenser.",
                "Fresh boiling chips in cold liquid.",
                "Somebody stays by it from the first drop to the last.",
                "Never to dryness: stop while the flask is still wet all over.",
                "Heat off and cooled before anything is opened.",
            )
        ),
        *(caution_block(key) for key in FIRST),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=f"{words.amount} of {found.have.answer.value:.4g} % v/v through a simple still",
        kind="spirit recovered",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"From {words.have}, {words.temperature} at the start. Nothing is written in a book.",
        href=href,
    )


def recovery_lesson(found: Recovered, words: RecoveryWords) -> Lesson:
    """The same run asked again on paper.

    Parameters
    ----------
    found : Recovered
    words : RecoveryWords
    """
    given: tuple[tuple[str, Cell], ...] = (
        ("Ethanol in the flask", f"{number(found.ethanol.value, 0)} g"),
        ("Where it is stopped", words.stop),
        ("Strength of the first drop", f"{found.most.value:.1f} % v/v"),
        ("Distillate at that cut, by mass", f"{number(found.mass.value, 0)} g"),
        ("Share of the ethanol over", f"{100.0 * found.stop.share.value:.1f} %"),
    )
    tempting_ml = spirit_volume_ml(found.ethanol_over.value / ethanol_g(1.0, AS_SOLD), AS_SOLD, 20.0)
    over = f"{found.stop.volume.value:.0f} mL at {found.stop.strength.value:.1f} % v/v"
    return Lesson(
        question=(
            f"{words.amount} of {found.have.answer.value:.4g} % v/v spirit is distilled in a simple still. "
            "How much comes over, and how strong is it?"
        ),
        given=given,
        blanks=("Ethanol over, g", "Its share of the distillate by mass", "Strength, % v/v", "Volume, mL"),
        tempting=f"Recovered spirit is as strong as it was bought: {AS_SOLD:g} % v/v.",
        tempting_answer=f"{tempting_ml:.0f} mL of {AS_SOLD:g} % v/v",
        how_far_off=(
            f"In truth {over}. The same ethanol, but with more water: whoever takes it for {AS_SOLD:g} % makes "
            f"everything {AS_SOLD - found.stop.strength.value:.1f} % v/v too weak."
        ),
        worked=(_cuts(found), *(caution_block(key) for key in (*FIRST, "spirit-law"))),
    )


def _dry(found: Recovered) -> tuple[Block, ...]:
    left = found.left.value / found.start.value
    if left >= 0.1:
        return ()
    return (
        Points(
            (
                f"Only {100.0 * left:.0f} % of the liquid would stay in the flask: stop earlier, never to dryness.",
            ),
            "missing",
        ),
    )


def _cuts(found: Recovered) -> Table:
    stop = found.stop
    cuts = sorted((*found.cuts, stop), key=lambda one: one.share.value)
    return Table(
        ("Ethanol over, %", "Distillate, L", "So far, % v/v", "Drips, % v/v", "Boils at, °C", ""),
        tuple(_cut_row(one, "here" if one is stop else "") for one in cuts),
        (0, 1, 2, 3, 4),
    )


def _cut_row(cut: Cut, word: str) -> tuple[Cell, ...]:
    return (
        f"{100.0 * cut.share.value:.1f}",
        f"{cut.volume.value / 1000.0:.3f}",
        f"{cut.strength.value:.1f}",
        f"{cut.drip.value:.1f}",
        f"{cut.boiling.value:.1f}",
        word,
    )


def _reading(found: Recovered, words: RecoveryWords) -> tuple[Block, ...]:
    if found.reads is None:
        return (
            Prose(
                f"The alcoholometer's table does not reach this distillate at {words.distillate_temperature}: weigh a "
                "full bottle instead."
            ),
        )
    told = (
        "The flask itself holds extract: no alcoholometer there."
        if words.extract
        else "Read it in the distillate, stirred and still, at that temperature."
    )
    return (
        Numbers((show(found.reads, label=f"It should show, at {words.distillate_temperature}", decimals=1),)),
        Prose(f"{told} Neither alcoholometer nor density can tell methanol from ethanol."),
    )
