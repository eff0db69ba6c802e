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
from stillroom.texts.catalogue import t

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
    expected = [show(found.expected, label="At 25 °C", decimals=2)]
    if found.at_room is not None:
        expected.append(show(found.at_room, label=t("At {at}", at=words.at), decimals=2))
    shift = (
        t("It moves by {per_k:+.4g} for each kelvin warmer.", per_k=pair.per_k.value)
        if pair.per_k
        else t("How it moves with warmth is not known here.")
    )
    tenth = 100.0 * found.capacity.value
    blocks: list[Block] = [
        Heading(t("Weigh")),
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
                t(
                    "Dissolve both in nine tenths of the water, cool, check the pH, then fill up to "
                    "{amount}.",
                    amount=words.amount,
                ),
                t("Read the water of crystallisation on the jar: another hydrate has another mass."),
                *((pair.where[:1].title() + pair.where[1:] + ".",) if pair.where else ()),
            )
        ),
        Heading(t("The pH to expect")),
        Numbers(tuple(expected)),
        Prose(
            t(
                "{shift} The calculation meets standard buffers within {model_limits_ph:g}.",
                shift=shift,
                model_limits_ph=MODEL_LIMITS_PH,
            )
        ),
        Heading(t("What a reading can tell")),
        Numbers((show(found.reading, label=_shows(words.read_by), decimals=_fine(words.read_by)),)),
        Points(_advice(words, found)),
        Heading(t("How much it holds")),
        Numbers(
            (
                show(found.capacity, label=t("Strong base for one unit of pH")),
                show(found.ionic_strength, label=t("Ionic strength")),
            )
        ),
        Prose(
            t(
                "A tenth of a unit takes {tenth:.2g} mmol of strong base or acid in a litre. From "
                "these two salts, {pair} at {total} reaches from pH {lowest:.2f} to {highest:.2f}; "
                "near either end it holds little.",
                tenth=tenth,
                pair=pair.pair,
                total=words.total,
                lowest=found.lowest,
                highest=found.highest,
            )
        ),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=t("{amount} of {pair} buffer, pH {ph}", amount=words.amount, pair=pair.pair, ph=words.ph),
        kind="buffer",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "{total} in all, from {acid_form} and {base_form}. Nothing is written in a book.",
            total=words.total,
            acid_form=pair.acid_form,
            base_form=pair.base_form,
        ),
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
            Numbers((show(ph, label="pH", decimals=2), show(strength, label=t("Ionic strength")))),
            Facts(((t("Holds"), holds),)),
            Prose(
                t(
                    "By charge balance at 25 °C, within {model_limits_ph:g} of standard buffers. Spirit, "
                    "protein, precipitates and carbon dioxide from the air are not seen: measure it.",
                    model_limits_ph=MODEL_LIMITS_PH,
                )
            ),
            *(caution_block(key) for key in CAUTIONS),
        ),
        **page_facts,
        lead=t("Nothing is written in a book."),
        href=href,
    )


def _shows(read_by: ReadBy) -> str:
    return t("The strip will show") if read_by == "strip" else t("The meter will show")


def _fine(read_by: ReadBy) -> int:
    return 1 if read_by == "strip" else 2


def _advice(words: BufferWords, found: Weighed) -> tuple[str, ...]:
    if words.read_by == "strip":
        return (
            t("A strip tells half a unit either way: it finds a swapped jar, it does not confirm a pH."),
            t("Trust the weighing more than the strip. Do not correct a weighed buffer by strip."),
            t(
                "Where a limit is nearer than half a unit (a preservative, a skin product), measure "
                "with a meter."
            ),
        )
    if words.read_by == "meter":
        off = found.reading.expanded_uncertainty
        return (
            t(
                "The meter is {calibrated}. Further off than {off:.2f}: weigh again before correcting.",
                calibrated=words.calibrated,
                off=off,
            ),
            t("Buffers fresh today, electrode rinsed, both at the temperature of the sample."),
        )
    return (
        t("The meter is not calibrated here: {calibrated}.", calibrated=words.calibrated),
        t(
            "Calibrate with two fresh buffers, one on either side (4.01 and 6.86, or 6.86 and "
            "9.18), then read again."
        ),
    )


def _decimals(amount: float) -> int:
    return 2 if amount >= 10.0 else 3
