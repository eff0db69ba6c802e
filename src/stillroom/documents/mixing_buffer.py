"""A buffer weighed, as a page: two salts, the pH to expect, what a reading can tell; and the pH of a mixture.

Promises that a strip is never shown as if it were a meter. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import Block, Facts, Heading, Numbers, Page, PageFacts, Points, Prose
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.results.buffer_weighed import MODEL_LIMITS_PH, ReadBy, Weighed
from stillroom.substances.acids import BufferPair

CAUTIONS = ("preservation", "waste")


@dataclass(frozen=True, slots=True)
class BufferWords:
    """A buffer in the words it was asked in.

    Attributes
    ----------
    amount, ph, total, at : str
        ``at`` is "" where no temperature was said.
    read_by : ReadBy
    calibrated : str
        How the meter was calibrated, in words.
    """

    amount: str
    ph: str
    total: str
    at: str
    read_by: ReadBy
    calibrated: str


def buffer_page(
    pair: BufferPair,
    found: Weighed,
    words: BufferWords,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "what do I weigh for this pH", on one page.

    Parameters
    ----------
    pair : BufferPair
    found : Weighed
    words : BufferWords
    unsaid : sequence of Unsaid
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    expected = [show(found.expected.answer, label="At 25 °C", decimals=2, k=found.expected.k)]
    if found.at_room is not None:
        expected.append(show(found.at_room, label=f"At {words.at}", decimals=2))
    shift = (
        f"It moves by {pair.per_k.value:+.4g} for each kelvin warmer."
        if pair.per_k
        else "How it moves with warmth is not known here."
    )
    tenth = 100.0 * found.capacity.value
    blocks: list[Block] = [
        Heading("Weigh"),
        Numbers(
            (
                show(
                    found.acid_form,
                    label=pair.acid_form.capitalize(),
                    decimals=_decimals(found.acid_form.value),
                ),
                show(
                    found.base_form,
                    label=pair.base_form.capitalize(),
                    decimals=_decimals(found.base_form.value),
                ),
            )
        ),
        Points(
            (
                f"Dissolve both in nine tenths of the water, cool, check the pH, then fill up to {words.amount}.",
                "Read the water of crystallisation on the jar: another hydrate has another mass.",
                *((pair.where[:1].upper() + pair.where[1:] + ".",) if pair.where else ()),
            )
        ),
        Heading("The pH to expect"),
        Numbers(tuple(expected)),
        Prose(f"{shift} The reckoning meets standard buffers within {MODEL_LIMITS_PH:g}."),
        Heading("What a reading can tell"),
        Numbers(
            (
                show(
                    found.reading.answer,
                    label=_shows(words.read_by),
                    decimals=_fine(words.read_by),
                    k=found.reading.k,
                ),
            )
        ),
        Points(_advice(words, found)),
        Heading("How much it holds"),
        Numbers(
            (
                show(found.capacity, label="Strong base for one unit of pH"),
                show(found.ionic_strength, label="Ionic strength"),
            )
        ),
        Prose(
            f"A tenth of a unit takes {tenth:.2g} mmol of strong base or acid in a litre. From these two salts, "
            f"{pair.pair} at {words.total} reaches from pH {found.lowest:.2f} to {found.highest:.2f}; near either end "
            "it holds little."
        ),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=f"{words.amount} of {pair.pair} buffer, pH {words.ph}",
        kind="buffer",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"{words.total} in all, from {pair.acid_form} and {pair.base_form}. Nothing is written in a book.",
        href=href,
    )


def mixture_page(
    holds: str,
    ph: Answer,
    strength: Answer,
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The pH of a mixture somebody named.

    Parameters
    ----------
    holds : str
        As it was written.
    ph, strength : Answer
        [1, mol/L]
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    return Page(
        title=f"pH {number(ph.value, 2)}",
        kind="buffer",
        code="",
        blocks=(
            Numbers((show(ph, label="pH", decimals=2), show(strength, label="Ionic strength"))),
            Facts((("Holds", holds),)),
            Prose(
                f"By charge balance at 25 °C, within {MODEL_LIMITS_PH:g} of standard buffers. Spirit, protein, "
                "precipitates and carbon dioxide from the air are not seen: measure it."
            ),
            *(caution_block(key) for key in CAUTIONS),
        ),
        **page_facts,
        lead="Nothing is written in a book.",
        href=href,
    )


def _shows(read_by: ReadBy) -> str:
    return "The strip will show" if read_by == "strip" else "The meter will show"


def _fine(read_by: ReadBy) -> int:
    return 1 if read_by == "strip" else 2


def _advice(words: BufferWords, found: Weighed) -> tuple[str, ...]:
    if words.read_by == "strip":
        return (
            "A strip tells half a unit either way: it finds a swapped jar, it does not confirm a pH.",
            "Trust the weighing more than the strip. Do not correct a weighed buffer by strip.",
            "Where a limit is nearer than half a unit (a preservative, a skin product), measure with a meter.",
        )
    if words.read_by == "meter":
        off = found.reading.expanded_uncertainty
        return (
            f"The meter is {words.calibrated}. Further off than {off:.2f}: weigh again before correcting.",
            "Buffers fresh today, electrode rinsed, both at the temperature of the sample.",
        )
    return (
        f"The meter is not calibrated here: {words.calibrated}.",
        "Calibrate with two fresh buffers, one on either side (4.01 and 6.86, or 6.86 and 9.18), then read again.",
    )


def _decimals(amount: float) -> int:
    return 2 if amount >= 10.0 else 3
