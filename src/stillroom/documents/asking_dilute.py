"""Spirit diluted, as a page and as a lesson: masses first, the tempting wrong answer beside the right one.

Promises the same figures on both; the label of the bottle is worded in ``dilution_label``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.answers.spirit_diluted import Diluted
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
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.flammable import flash_point
from stillroom.texts.catalogue import t

CAUTIONS = ("spirit-law", "flammable-vapour", "methanol")


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
            return t(
                "{first}{rest} of spirit brought to {want}",
                first=self.amount[:1].title(),
                rest=self.amount[1:],
                want=self.want,
            )
        if self.to_mark:
            return t(
                "{first}{rest} filled to its mark with {want} spirit",
                first=self.flask[:1].title(),
                rest=self.flask[1:],
                want=self.want,
            )
        return t("{amount} of {want} spirit", amount=self.amount, want=self.want)

    @property
    def flask(self) -> str:
        """The vessel that is filled to its mark, in words."""
        return (
            f"{self.called} ({self.amount})" if self.called else t("a vessel of {amount}", amount=self.amount)
        )


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
        Heading(t("Weigh")),
        *_recipe(found),
        *few_drops(found, more.dropper),
        *something_dissolved(more),
        Points(
            (
                t("Spirit first, then the water, slowly and stirring: it grows warm and shrinks."),
                t(
                    "Weighed, it is right at any temperature. Let it cool before it is measured, filled "
                    "or read."
                ),
            )
        ),
        *_to_the_mark(found, words),
        Numbers(
            (
                _volume(
                    found.stock_mark,
                    t("Mark for the spirit ({stock_volume} mL)", stock_volume=_ml(found.stock_volume)),
                ),
                _volume(
                    found.product_mark,
                    t("Mark for the mixture ({product_volume} mL)", product_volume=_ml(found.product_volume)),
                ),
                _volume(found.product_volume_20c, t("The same mixture at 20 °C")),
                _volume(found.water_volume, t("Water, if it is measured by itself")),
                _volume(found.contraction, t("Contraction: volumes in, less the mixture")),
            )
        ),
        Heading(t("What adding volumes would give")),
        *_naive(found, words),
        Heading(t("How sure it is")),
        Numbers(
            (
                show(found.have, label=t("The spirit at hand")),
                _mixture(found),
            )
        ),
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
        lead=t("From {have}, at {at}. Nothing is written in a book.", have=words.have, at=at),
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
        asked = t(
            "There is {amount} of spirit of {spirit}.",
            amount=words.amount.removeprefix("all of "),
            spirit=spirit,
        )
        question = t("{asked} How much water brings all of it to {want}?", asked=asked, want=words.want)
    elif words.to_mark:
        question = t(
            "How much spirit of {spirit} and how much water fill {flask} to its mark with {want}?",
            spirit=spirit,
            flask=words.flask,
            want=words.want,
        )
    else:
        question = t(
            "How much spirit of {spirit} and how much water make {amount} of {want}?",
            spirit=spirit,
            amount=words.amount,
            want=words.want,
        )
    given: tuple[tuple[str, Cell], ...] = (
        (t("Temperature of everything"), at),
        *(
            (what, _density(mass, volume))
            for what, mass, volume in (
                (t("Density of the spirit"), found.stock, found.stock_volume),
                (t("Density of water"), found.water, found.water_volume),
                (t("Density of the mixture"), found.product, found.product_volume),
            )
            if volume.value > 0
        ),
        (t("Ethanol in a gram of the spirit"), f"{_ethanol_in_spirit(found):.4f} g"),
        (t("Ethanol in a gram of the mixture"), f"{_ethanol_in_mixture(found):.4f} g"),
    )
    return Lesson(
        question=question,
        given=given,
        blanks=(
            t("Mixture, g"),
            t("Ethanol in it, g"),
            t("Spirit, g"),
            t("Water, g"),
            t("Spirit by volume, mL"),
        ),
        tempting=t("Strength times volume is the same before and after; the rest of the volume is water."),
        tempting_answer=t(
            "{naive_stock} mL of spirit and {naive_water} mL of water",
            naive_stock=_ml(found.naive_stock),
            naive_water=_ml(found.naive_water),
        ),
        how_far_off=_far_off(found, words),
        worked=(
            *_recipe(found),
            Numbers(
                (
                    _volume(found.stock_volume, t("Spirit by volume")),
                    _volume(found.water_volume, t("Water by volume")),
                    _volume(found.contraction, t("Contraction")),
                )
            ),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )


def _warmer_than_its_flash(found: Diluted) -> tuple[Block, ...]:
    flash = flash_point(found.want).answer
    if flash is None or found.temperature.value < flash.value:
        return ()
    told = t(
        "At {temperature:g} °C it is warmer than its flash point, near {flash:.0f} °C",
        temperature=found.temperature.value,
        flash=flash.value,
    )
    return (
        Points(
            (t("{told}: its vapour can light now. No flame, no open element, no spark.", told=told),),
            "missing",
        ),
    )


def _to_the_mark(found: Diluted, words: DilutionWords) -> tuple[Block, ...]:
    at = words.temperature
    taken = t("{vessel}, marked at 20 °C", vessel=words.vessel)
    if not words.to_mark:
        vessel = (
            t("{called}, taken as {taken}", called=words.called, taken=taken)
            if words.called
            else t("The vessel is taken as {taken}", taken=taken)
        )
        return (
            Heading(t("Or fill to the mark, at {at}", at=at)),
            Prose(
                t(
                    "Spirit to its mark, water to the mark of the mixture; let it come back to {at}, "
                    "then fill up to the mark again. {vessel}.",
                    at=at,
                    vessel=vessel,
                )
            ),
        )
    return (
        Heading(t("Fill to the mark, at {at}", at=at)),
        Prose(
            t(
                "Weigh the spirit into {flask}. Water to a finger below the mark, mix, let it come "
                "back to {at}; then water up to the mark, and mix again. The water weighed above is "
                "what that takes.",
                flask=words.flask,
                at=at,
            )
        ),
        Prose(
            t(
                "{first}{rest}, taken as {taken}, holds {product_volume} mL at {at}.",
                first=words.flask[:1].title(),
                rest=words.flask[1:],
                taken=taken,
                product_volume=_exact_ml(found.product_volume),
                at=at,
            ),
            quiet=True,
        ),
    )


def _recipe(found: Diluted) -> tuple[Block, ...]:
    return (
        Numbers(
            tuple(
                show(one, label=label, decimals=decimals_of(found.product.value))
                for label, one in (
                    (t("Spirit to weigh"), found.stock),
                    (t("Water to weigh"), found.water),
                    (t("Together"), found.product),
                )
            )
        ),
    )


def _naive(found: Diluted, words: DilutionWords) -> tuple[Block, ...]:
    return (
        Numbers(
            (
                show(found.naive_strength, label=t("Adding volumes would give"), decimals=2),
                _volume(found.naive_volume, t("Adding volumes would fill")),
            )
        ),
        Prose(_far_off(found, words)),
    )


def _far_off(found: Diluted, words: DilutionWords) -> str:
    stronger = found.naive_strength.value - found.want.value
    meant = found.naive_stock.value + found.naive_water.value
    short = meant - found.naive_volume.value
    way = "strong" if stronger >= 0 else "weak"
    return t(
        "{naive_stock} mL of spirit and {naive_water} mL of water come out {stronger:.2f} % "
        "v/v too {way} for {want}, and fill {short} mL {which} than {meant} mL: volumes "
        "shrink when spirit meets water, masses do not.",
        naive_stock=_ml(found.naive_stock),
        naive_water=_ml(found.naive_water),
        stronger=abs(stronger),
        way=way,
        want=words.want,
        short=number(abs(short), 1),
        which=t("less") if short >= 0 else t("more"),
        meant=number(meant, 1),
    )


def _mixture(found: Diluted) -> Shown:
    return show(found.mixture, label=t("The mixture"))


def _volume(answer: Answer, label: str) -> Shown:
    return show(answer, label=label, decimals=decimals_of(answer.value))


def _ml(answer: Answer) -> str:
    return number(answer.value, decimals_of(answer.value))


def _exact_ml(answer: Answer) -> str:
    """To five figures: what warmth does to a vessel shows in the fourth or fifth."""
    return f"{answer.value:.5g}"


def decimals_of(amount: float) -> int:
    """Decimals worth showing: a tenth of a gram of a kilogram, a hundredth below 100 g, three figures below 1."""
    if 0.0 < abs(amount) < 1.0:
        return min(2 - math.floor(math.log10(abs(amount))), 7)
    return 1 if abs(amount) >= 100.0 else 2


def _density(mass: Answer, volume: Answer) -> str:
    return f"{mass.value / volume.value:.4f} g/mL"


def _ethanol_in_spirit(found: Diluted) -> float:
    return _ethanol_in_mixture(found) * found.product.value / found.stock.value


def _ethanol_in_mixture(found: Diluted) -> float:
    from stillroom.substances.spirits import spirit_mass_fraction

    return float(spirit_mass_fraction(found.want.value / 100.0))
