"""Spirits blended, as a page and as a lesson: masses first, what adding volumes would have said beside them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Unpack

from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Page, PageFacts, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.showing import number, show
from stillroom.products.flammable import flash_point
from stillroom.results.spirit_blended import PLANT, RECOVERED, WATER, Blended, Taken
from stillroom.science.liquids.blending import LEAST_FRESH
from stillroom.texts.catalogue import t

CAUTIONS = ("spirit-law", "flammable-vapour", "methanol")
NOTHING_G = 0.005
"""Less than this is not weighed. [g]"""


@dataclass(frozen=True, slots=True)
class BlendWords:
    """A blend in the words it was asked in.

    Attributes
    ----------
    amount, want, temperature, aim : str
        Amount and strength are "" where all is poured together.
    """

    amount: str
    want: str
    temperature: str
    aim: str

    @property
    def title(self) -> str:
        """One line that says what it is."""
        if not self.want:
            return t("blending.all_poured_together")
        return (
            t("blending.of_spirit_blended", amount=self.amount, want=self.want)
            if self.amount[0].isdigit()
            else (t("blending.of_spirit", amount=self.amount, want=self.want))
        )


def blend_page(
    found: Blended,
    words: BlendWords,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "what do I weigh of each", on one page.

    Parameters
    ----------
    found : Blended
    words : BlendWords
    unsaid : sequence of Unsaid
        What nobody entered.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    plant = any(one.what == PLANT for one in found.stocks)
    blocks: list[Block] = [
        *_warm(found, words),
        Heading(t("blending.weigh") if words.want else t("blending.what_goes_in")),
        _table(found),
        Numbers((show(found.product, label=t("blending.together"), decimals=1),)),
        Points(
            (
                t("blending.strongest_spirit_first_weaker"),
                t("blending.weighed_right_any_temperature"),
                *((t("blending.plant_goes_whole_water"),) if plant else ()),
                *(
                    (t("blending.recovered_spirit_crosses_not"),)
                    if any(one.what == RECOVERED for one in found.stocks)
                    else ()
                ),
            )
        ),
        Heading(t("blending.what_comes_of_it")),
        Numbers(
            (
                show(found.mixture, label=t("blending.strength")),
                show(
                    found.product_volume,
                    label=t("blending.volume_at", temperature=words.temperature),
                    decimals=1,
                ),
                show(found.contraction, label=t("blending.contraction_volumes_less_mixture"), decimals=1),
                *((show(found.cost, label=t("blending.cost"), decimals=2),) if found.cost else ()),
            )
        ),
        _why_so(words, plant=plant),
        Heading(t("blending.adding_volumes_would_give")),
        Numbers((show(found.added, label=t("blending.adding_volumes_says"), decimals=2),)),
        Prose(_far_off(found)),
        Heading(t("blending.check_alcoholometer")),
        *_reading(found, words, plant=plant),
        Prose(t("alcoholometer_blocks.no_methanol"), quiet=True),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=words.title,
        kind="spirit blended",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t("blending.hand_nothing_written_book", stocks=len(found.stocks), temperature=words.temperature),
        href=href,
    )


def blend_lesson(found: Blended, words: BlendWords) -> Lesson:
    """The same blend asked again on paper.

    Parameters
    ----------
    found : Blended
    words : BlendWords
    """
    there = "; ".join(one.words for one in found.stocks)
    question = (
        t("blending.how_much_each_water", there=there, amount=words.amount, want=words.want)
        if words.want and words.amount[0].isdigit()
        else t("blending.strength_volume_come_pouring", there=there)
        if not words.want
        else t("blending.how_much_can_made", there=there, want=words.want)
    )
    given: tuple[tuple[str, Cell], ...] = (
        (t("blending.temperature_of_everything"), words.temperature),
        *(
            (t("blending.density_of", called=one.name), f"{one.mass.value / one.volume.value:.4f} g/mL")
            for one in found.taken
            if one.volume.value > 0
        ),
    )
    return Lesson(
        question=question,
        given=given,
        blanks=(
            *(f"{one.name}, g" for one in found.taken),
            t("blending.together_g"),
            t("blending.strength_by_volume"),
        ),
        tempting=t("blending.volumes_add_do_strength"),
        tempting_answer=f"{found.added.value:.2f} % v/v",
        how_far_off=_far_off(found),
        worked=(
            _table(found),
            Numbers((show(found.mixture, label=t("blending.strength")),)),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )


def _why_so(words: BlendWords, *, plant: bool) -> Prose:
    if not words.want:
        told = t("blending.wet_plant_keeps_part")
        return Prose(told if plant else t("blending.everything_named_poured_together"), quiet=True)
    first = (
        t("blending.recovered_spirit_before_fresh")
        if words.aim == LEAST_FRESH
        else t("blending.the_cheapest_ethanol_first")
    )
    return Prose(t("blending.chosen_far_strength_amount", aim=words.aim, first=first), quiet=True)


def _table(found: Blended) -> Table:
    said = {one.name: one for one in found.stocks}
    rows: list[tuple[Cell, ...]] = []
    for one in found.taken:
        if one.name == WATER and one.mass.value < NOTHING_G:
            continue
        stock = said.get(one.name)
        left = "" if stock is None else _grams(max(stock.mass.value - one.mass.value, 0.0))
        nothing = one.mass.value < NOTHING_G
        rows.append(
            (
                one.name,
                stock.words if stock else "purified",
                "none" if nothing else _weighed(one, plant=stock is not None and stock.what == PLANT),
                "–" if nothing else number(one.volume.value, 1),
                left,
            )
        )
    return Table(
        ("Of", t("blending.at_hand"), t("blending.weigh"), "mL", t("blending.left")), tuple(rows), (2, 3, 4)
    )


def _weighed(one: Taken, *, plant: bool) -> Cell:
    """What is weighed of a stock; of a plant all, and the grams are the water in it."""
    shown = show(one.mass, decimals=_decimals(one.mass.value), label=one.name)
    return replace(shown, basis=t("blending.water_in_it")) if plant else shown


def _reading(found: Blended, words: BlendWords, *, plant: bool) -> tuple[Block, ...]:
    if plant:
        return (Prose(t("blending.not_liquor_plant_gives")),)
    if found.reading is None:
        return (Prose(t("blending.scale_ends_before_mixture", temperature=words.temperature)),)
    low, high = (
        found.reading.answer.value + sign * found.reading.expanded_uncertainty for sign in (-1.0, 1.0)
    )
    return (
        Numbers((show(found.reading, label=t("blending.it_should_show_at", temperature=words.temperature)),)),
        Prose(t("blending.between_leave_alone_outside", low=low, high=high)),
    )


def _far_off(found: Blended) -> str:
    off = found.added.value - found.mixture.answer.value
    return t(
        "blending.adding_volumes_says_too_much_or_little",
        added=found.added.value,
        mixture=found.mixture.answer.value,
        off=abs(off),
        which=t("blending.high") if off > 0 else t("blending.low"),
    )


def _warm(found: Blended, words: BlendWords) -> tuple[Block, ...]:
    flash = flash_point(found.mixture.answer).answer
    temperature = float(words.temperature.partition(" ")[0])
    if flash is None or temperature < flash.value:
        return ()
    told = t("blending.warmer_flash_point_near", temperature=words.temperature, flash=flash.value)
    return (Points((t("blending.vapour_can_light_now", told=told),), "missing"),)


def _decimals(mass_g: float) -> int:
    return 1 if mass_g >= 100.0 else 2


def _grams(mass_g: float) -> str:
    return number(mass_g, _decimals(mass_g))
