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
        expected.append(show(found.at_room, label=t("mixing_buffer.at", at=words.at), decimals=2))
    shift = (
        t("mixing_buffer.moves_each_kelvin_warmer", per_k=pair.per_k.value)
        if pair.per_k
        else t("mixing_buffer.how_moves_warmth_not")
    )
    tenth = 100.0 * found.capacity.value
    blocks: list[Block] = [
        Heading(t("mixing_buffer.weigh")),
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
                t("mixing_buffer.dissolve_both_nine_tenths", amount=words.amount),
                t("mixing_buffer.read_water_crystallisation_jar"),
                *((pair.where[:1].title() + pair.where[1:] + ".",) if pair.where else ()),
            )
        ),
        Heading(t("mixing_buffer.the_ph_to_expect")),
        Numbers(tuple(expected)),
        Prose(
            t("mixing_buffer.reckoning_meets_standard_buffers", shift=shift, model_limits_ph=MODEL_LIMITS_PH)
        ),
        Heading(t("mixing_buffer.reading_can_tell")),
        Numbers((show(found.reading, label=_shows(words.read_by), decimals=_fine(words.read_by)),)),
        Points(_advice(words, found)),
        Heading(t("mixing_buffer.how_much_it_holds")),
        Numbers(
            (
                show(found.capacity, label=t("mixing_buffer.strong_base_unit_ph")),
                show(found.ionic_strength, label=t("mixing_buffer.ionic_strength")),
            )
        ),
        Prose(
            t(
                "mixing_buffer.tenth_unit_takes_mmol",
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
        title=t("mixing_buffer.of_buffer_ph", amount=words.amount, pair=pair.pair, ph=words.ph),
        kind="buffer",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "mixing_buffer.all_nothing_written_book",
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
            Numbers(
                (show(ph, label="pH", decimals=2), show(strength, label=t("mixing_buffer.ionic_strength")))
            ),
            Facts(((t("mixing_buffer.holds"), holds),)),
            Prose(t("mixing_buffer.charge_balance_within_standard", model_limits_ph=MODEL_LIMITS_PH)),
            *(caution_block(key) for key in CAUTIONS),
        ),
        **page_facts,
        lead=t("mixing_buffer.nothing_written_book"),
        href=href,
    )


def _shows(read_by: ReadBy) -> str:
    return (
        t("mixing_buffer.the_strip_will_show")
        if read_by == "strip"
        else t("mixing_buffer.the_meter_will_show")
    )


def _fine(read_by: ReadBy) -> int:
    return 1 if read_by == "strip" else 2


def _advice(words: BufferWords, found: Weighed) -> tuple[str, ...]:
    if words.read_by == "strip":
        return (
            t("mixing_buffer.strip_tells_half_unit"),
            t("mixing_buffer.trust_weighing_more_strip"),
            t("mixing_buffer.limit_nearer_half_unit"),
        )
    if words.read_by == "meter":
        off = found.reading.expanded_uncertainty
        return (
            t("mixing_buffer.meter_further_off_weigh", calibrated=words.calibrated, off=off),
            t("mixing_buffer.buffers_fresh_today_electrode"),
        )
    return (
        t("mixing_buffer.meter_not_calibrated", calibrated=words.calibrated),
        t("mixing_buffer.calibrate_two_fresh_buffers"),
    )


def _decimals(amount: float) -> int:
    return 2 if amount >= 10.0 else 3
