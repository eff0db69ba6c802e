"""Spirits blended, as a page and as a lesson: masses first, what adding volumes would have said beside them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Unpack

from stillroom.documents.alcoholometer_blocks import NO_METHANOL
from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Page, PageFacts, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.showing import number, show
from stillroom.products.flammable import flash_point
from stillroom.results.spirit_blended import PLANT, RECOVERED, WATER, Blended, Taken
from stillroom.science.liquids.blending import LEAST_FRESH

CAUTIONS = ("spirit-law", "flammable-vapour", "methanol")
CROSSING = "Recovered spirit goes to the plant it came from, and to no other: it carries its odour over."
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
            return "All poured together"
        return (
            f"{self.amount} of {self.want} spirit, blended"
            if self.amount[0].isdigit()
            else (f"{self.amount} of {self.want} spirit")
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
        Heading("Weigh" if words.want else "What goes in"),
        _table(found),
        Numbers((show(found.product, label="Together", decimals=1),)),
        Points(
            (
                "The strongest spirit first, then the weaker, the water last, slowly and stirring.",
                "Weighed, it is right at any temperature. Let it cool before it is measured, filled or read.",
                *(("The plant goes in whole: its water thins the spirit.",) if plant else ()),
                *((CROSSING,) if any(one.what == RECOVERED for one in found.stocks) else ()),
            )
        ),
        Heading("What comes of it"),
        Numbers(
            (
                show(found.mixture.answer, label="Strength", k=found.mixture.k),
                show(found.product_volume, label=f"Volume at {words.temperature}", decimals=1),
                show(found.contraction, label="Contraction: volumes in, less the mixture", decimals=1),
                *((show(found.cost, label="Cost", decimals=2),) if found.cost else ()),
            )
        ),
        _why_so(words, plant=plant),
        Heading("What adding volumes would give"),
        Numbers((show(found.added, label="Adding volumes says", decimals=2),)),
        Prose(_far_off(found)),
        Heading("Check it with an alcoholometer"),
        *_reading(found, words, plant=plant),
        Prose(NO_METHANOL, quiet=True),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=words.title,
        kind="spirit blended",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"From {len(found.stocks)} at hand, at {words.temperature}. Nothing is written in a book.",
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
        f"There is {there}. How much of each, and of water, makes {words.amount} of {words.want}?"
        if words.want and words.amount[0].isdigit()
        else f"There is {there}. What strength and volume come of pouring it together?"
        if not words.want
        else f"There is {there}. How much of {words.want} can be made of it, and of how much of each?"
    )
    given: tuple[tuple[str, Cell], ...] = (
        ("Temperature of everything", words.temperature),
        *(
            (f"Density of {one.name}", f"{one.mass.value / one.volume.value:.4f} g/mL")
            for one in found.taken
            if one.volume.value > 0
        ),
    )
    return Lesson(
        question=question,
        given=given,
        blanks=(*(f"{one.name}, g" for one in found.taken), "Together, g", "Strength, % v/v"),
        tempting="Volumes add, and so do strength times volume.",
        tempting_answer=f"{found.added.value:.2f} % v/v",
        how_far_off=_far_off(found),
        worked=(
            _table(found),
            Numbers((show(found.mixture.answer, label="Strength", k=found.mixture.k),)),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )


def _why_so(words: BlendWords, *, plant: bool) -> Prose:
    if not words.want:
        told = "The wet plant keeps part of the liquor back when it is strained; that is not reckoned here."
        return Prose(told if plant else "Everything that was named is poured together.", quiet=True)
    first = "recovered spirit before fresh" if words.aim == LEAST_FRESH else "the cheapest ethanol first"
    return Prose(f"Chosen for {words.aim}: {first}, as far as strength and amount allow.", quiet=True)


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
    return Table(("Of", "At hand", "Weigh", "mL", "Left, g"), tuple(rows), (2, 3, 4))


def _weighed(one: Taken, *, plant: bool) -> Cell:
    """What is weighed of a stock; of a plant all, and the grams are the water in it."""
    shown = show(one.mass, decimals=_decimals(one.mass.value), label=one.name)
    return replace(shown, basis="water in it") if plant else shown


def _reading(found: Blended, words: BlendWords, *, plant: bool) -> tuple[Block, ...]:
    if plant:
        return (Prose("Not in a liquor: what the plant gives to it makes it read weaker than it is."),)
    if found.reading is None:
        return (
            Prose(f"At {words.temperature} its scale ends before this mixture: cool it nearer to 20 °C."),
        )
    low, high = (
        found.reading.answer.value + sign * found.reading.expanded_uncertainty for sign in (-1.0, 1.0)
    )
    return (
        Numbers(
            (show(found.reading.answer, label=f"It should show, at {words.temperature}", k=found.reading.k),)
        ),
        Prose(
            f"Between {low:.1f} and {high:.1f} % leave it alone. Outside, ask to dilute what stands there: it tells "
            "what to add. The scale is marked at 20 °C, its glass soda-lime."
        ),
    )


def _far_off(found: Blended) -> str:
    off = found.added.value - found.mixture.answer.value
    return (
        f"Adding volumes says {found.added.value:.2f} % v/v where there are {found.mixture.answer.value:.2f}: "
        f"{abs(off):.2f} too {'high' if off > 0 else 'low'}, since volumes shrink when spirit meets water and masses "
        "do not."
    )


def _warm(found: Blended, words: BlendWords) -> tuple[Block, ...]:
    flash = flash_point(found.mixture.answer).answer
    temperature = float(words.temperature.partition(" ")[0])
    if flash is None or temperature < flash.value:
        return ()
    told = f"At {words.temperature} it is warmer than its flash point, near {flash.value:.0f} °C"
    return (Points((f"{told}: its vapour can light now. No flame, no open element, no spark.",), "missing"),)


def _decimals(mass_g: float) -> int:
    return 1 if mass_g >= 100.0 else 2


def _grams(mass_g: float) -> str:
    return number(mass_g, _decimals(mass_g))
