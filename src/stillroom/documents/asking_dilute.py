"""Spirit diluted, as a page, as a label, as a lesson: masses first, the tempting wrong answer beside the right one.

Promises the same figures on all three. A label from here speaks of the maker's own spirit and carries lines for a
pen: it is no product label.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.alcoholometer_blocks import (
    NOTHING_BESIDES,
    SaidBesides,
    alcoholometer_blocks,
    few_drops,
    something_dissolved,
)
from stillroom.documents.blocks import (
    Block,
    Cell,
    Heading,
    LabelFace,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Shown,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.flammable import flash_point
from stillroom.results.spirit_diluted import Diluted

CAUTIONS = ("spirit-law", "flammable-vapour", "methanol")
LABEL_MM = (90.0, 50.0)
PEN = "__________"


@dataclass(frozen=True, slots=True)
class DilutionWords:
    """A dilution in the words it was asked in.

    Attributes
    ----------
    have, want, amount, temperature, vessel : str
    at_hand : bool
        Whether all of the spirit is to be diluted.
    to_mark : bool
        Whether a vessel is to be filled to its mark.
    called : str
        What that vessel is called; "" where nobody said.
    """

    have: str
    want: str
    amount: str
    temperature: str
    vessel: str
    at_hand: bool
    to_mark: bool = False
    called: str = ""

    @property
    def title(self) -> str:
        """One line that says what it is."""
        if self.at_hand:
            return f"{self.amount[:1].upper()}{self.amount[1:]} of spirit brought to {self.want}"
        if self.to_mark:
            return f"{self.flask[:1].upper()}{self.flask[1:]} filled to its mark with {self.want} spirit"
        return f"{self.amount} of {self.want} spirit"

    @property
    def flask(self) -> str:
        """The vessel that is filled to its mark, in words."""
        return f"{self.called} ({self.amount})" if self.called else f"a vessel of {self.amount}"


def dilution_page(
    found: Diluted,
    words: DilutionWords,
    unsaid: Sequence[Unsaid],
    more: SaidBesides = NOTHING_BESIDES,
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "how do I dilute this", on one page.

    Parameters
    ----------
    found : Diluted
    words : DilutionWords
    unsaid : sequence of Unsaid
        What nobody entered.
    more : SaidBesides
        A dropper, a reading in the mixture, something dissolved.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    at = words.temperature
    blocks: list[Block] = [
        *_warmer_than_its_flash(found),
        Heading("Weigh"),
        *_recipe(found),
        *few_drops(found, more.dropper),
        *something_dissolved(more),
        Points(
            (
                "Spirit first, then the water, slowly and stirring: it grows warm and shrinks.",
                "Weighed, it is right at any temperature. Let it cool before it is measured, filled or read.",
            )
        ),
        *_to_the_mark(found, words),
        Numbers(
            (
                _volume(found.stock_mark, f"Mark for the spirit ({_ml(found.stock_volume)} mL)"),
                _volume(found.product_mark, f"Mark for the mixture ({_ml(found.product_volume)} mL)"),
                _volume(found.product_volume_20c, "The same mixture at 20 °C"),
                _volume(found.water_volume, "Water, if it is measured by itself"),
                _volume(found.contraction, "Contraction: volumes in, less the mixture"),
            )
        ),
        Heading("What adding volumes would give"),
        *_naive(found, words),
        Heading("How sure it is"),
        Numbers((show(found.have.answer, label="The spirit at hand", k=found.have.k), _mixture(found))),
        *alcoholometer_blocks(found, words.temperature, more),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=words.title,
        kind="spirit diluted",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"From {words.have}, at {at}. Nothing is written in a book.",
        href=href,
    )


def dilution_label(
    found: Diluted,
    words: DilutionWords,
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """A label for the bottle of the mixture, to print or to copy by pen.

    Parameters
    ----------
    found : Diluted
    words : DilutionWords
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    flash = flash_point(found.want)
    burns = "Flammable liquid and vapour" if flash.answer else "Spirit: may burn"
    strength = f"Ethanol {found.want.value:.4g} % v/v at 20 °C, in water"
    mass = f"{number(found.product.value, _decimals(found.product.value))} g"
    face = LabelFace(
        *LABEL_MM,
        title="Diluted spirit",
        lines=(strength, f"{mass}, made on {PEN} by {PEN}", f"Use by {PEN}"),
        small=(
            f"Made from {words.have}, lot {PEN}, and water {PEN}",
            f"{burns}. No flame, no heat; closed, upright, out of reach of children. Not to be drunk.",
            f"Flash point near {flash.answer.value:.0f} °C, about 3 °C either way."
            if flash.answer
            else flash.says,
            "Local codes and licensed practice come first.",
        ),
        code="",
        copy_by_pen=(
            strength,
            f"{mass}   made ________   by ____   use by ________",
            f"{burns}. Not to be drunk.",
        ),
    )
    return Page(
        title=f"Label for {words.title}",
        kind="label",
        code="",
        blocks=(
            face,
            Points(("A label of the store room, not of a product: nothing here was released.",), "missing"),
        ),
        **page_facts,
        href=href,
    )


def dilution_lesson(found: Diluted, words: DilutionWords) -> Lesson:
    """The same dilution asked again on paper.

    Parameters
    ----------
    found : Diluted
    words : DilutionWords
    """
    spirit, at = f"{found.have.answer.value:.4g} % v/v", words.temperature
    if words.at_hand:
        asked = f"There is {words.amount.removeprefix('all of ')} of spirit of {spirit}."
        question = f"{asked} How much water brings all of it to {words.want}?"
    elif words.to_mark:
        question = f"How much spirit of {spirit} and how much water fill {words.flask} to its mark with {words.want}?"
    else:
        question = f"How much spirit of {spirit} and how much water make {words.amount} of {words.want}?"
    given: tuple[tuple[str, Cell], ...] = (
        ("Temperature of everything", at),
        *(
            (what, _density(mass, volume))
            for what, mass, volume in (
                ("Density of the spirit", found.stock, found.stock_volume),
                ("Density of water", found.water, found.water_volume),
                ("Density of the mixture", found.product, found.product_volume),
            )
            if volume.value > 0
        ),
        ("Ethanol in a gram of the spirit", f"{_ethanol_in_spirit(found):.4f} g"),
        ("Ethanol in a gram of the mixture", f"{_ethanol_in_mixture(found):.4f} g"),
    )
    return Lesson(
        question=question,
        given=given,
        blanks=("Mixture, g", "Ethanol in it, g", "Spirit, g", "Water, g", "Spirit by volume, mL"),
        tempting="Strength times volume is the same before and after; the rest of the volume is water.",
        tempting_answer=f"{_ml(found.naive_stock)} mL of spirit and {_ml(found.naive_water)} mL of water",
        how_far_off=_far_off(found, words),
        worked=(
            *_recipe(found),
            Numbers(
                (
                    _volume(found.stock_volume, "Spirit by volume"),
                    _volume(found.water_volume, "Water by volume"),
                    _volume(found.contraction, "Contraction"),
                )
            ),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )


def _warmer_than_its_flash(found: Diluted) -> tuple[Block, ...]:
    flash = flash_point(found.want).answer
    if flash is None or found.temperature.value < flash.value:
        return ()
    told = f"At {found.temperature.value:g} °C it is warmer than its flash point, near {flash.value:.0f} °C"
    return (Points((f"{told}: its vapour can light now. No flame, no open element, no spark.",), "missing"),)


def _to_the_mark(found: Diluted, words: DilutionWords) -> tuple[Block, ...]:
    at = words.temperature
    taken = f"{words.vessel}, marked at 20 °C"
    if not words.to_mark:
        vessel = f"{words.called}, taken as {taken}" if words.called else f"The vessel is taken as {taken}"
        return (
            Heading(f"Or fill to the mark, at {at}"),
            Prose(
                f"Spirit to its mark, water to the mark of the mixture; let it come back to {at}, then fill up to "
                f"the mark again. {vessel}."
            ),
        )
    return (
        Heading(f"Fill to the mark, at {at}"),
        Prose(
            f"Weigh the spirit into {words.flask}. Water to a finger below the mark, mix, let it come back to {at}; "
            f"then water up to the mark, and mix again. The water weighed above is what that takes."
        ),
        Prose(
            f"{words.flask[:1].upper()}{words.flask[1:]}, taken as {taken}, holds "
            f"{_exact_ml(found.product_volume)} mL at {at}.",
            quiet=True,
        ),
    )


def _recipe(found: Diluted) -> tuple[Block, ...]:
    return (
        Numbers(
            tuple(
                show(one, label=label, decimals=_decimals(found.product.value))
                for label, one in (
                    ("Spirit to weigh", found.stock),
                    ("Water to weigh", found.water),
                    ("Together", found.product),
                )
            )
        ),
    )


def _naive(found: Diluted, words: DilutionWords) -> tuple[Block, ...]:
    return (
        Numbers(
            (
                show(found.naive_strength, label="Adding volumes would give", decimals=2),
                _volume(found.naive_volume, "Adding volumes would fill"),
            )
        ),
        Prose(_far_off(found, words)),
    )


def _far_off(found: Diluted, words: DilutionWords) -> str:
    stronger = found.naive_strength.value - found.want.value
    meant = found.naive_stock.value + found.naive_water.value
    short = meant - found.naive_volume.value
    way = "strong" if stronger >= 0 else "weak"
    return (
        f"{_ml(found.naive_stock)} mL of spirit and {_ml(found.naive_water)} mL of water come out "
        f"{abs(stronger):.2f} % v/v too {way} for {words.want}, and fill {number(abs(short), 1)} mL "
        f"{'less' if short >= 0 else 'more'} than {number(meant, 1)} mL: volumes shrink when spirit meets water, "
        "masses do not."
    )


def _mixture(found: Diluted) -> Shown:
    return show(found.mixture.answer, label="The mixture", k=found.mixture.k)


def _volume(answer: Answer, label: str) -> Shown:
    return show(answer, label=label, decimals=_decimals(answer.value))


def _ml(answer: Answer) -> str:
    return number(answer.value, _decimals(answer.value))


def _exact_ml(answer: Answer) -> str:
    """To five figures: what warmth does to a vessel shows in the fourth or fifth."""
    return f"{answer.value:.5g}"


def _decimals(amount: float) -> int:
    """Decimals worth showing: a tenth of a gram of a kilogram, a hundredth of less than 100 g."""
    return 1 if abs(amount) >= 100.0 else 2


def _density(mass: Answer, volume: Answer) -> str:
    return f"{mass.value / volume.value:.4f} g/mL"


def _ethanol_in_spirit(found: Diluted) -> float:
    return _ethanol_in_mixture(found) * found.product.value / found.stock.value


def _ethanol_in_mixture(found: Diluted) -> float:
    from stillroom.substances.spirits import spirit_mass_fraction

    return float(spirit_mass_fraction(found.want.value / 100.0))
