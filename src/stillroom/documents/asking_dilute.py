"""Spirit diluted, as a page and as a lesson: masses first, the tempting wrong answer beside the right one.

Promises the same figures on both; the label of the bottle is worded in ``dilution_label``.
"""

import math
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
                "asking_dilute.of_spirit_brought_to",
                first=self.amount[:1].title(),
                rest=self.amount[1:],
                want=self.want,
            )
        if self.to_mark:
            return t(
                "asking_dilute.filled_mark_spirit",
                first=self.flask[:1].title(),
                rest=self.flask[1:],
                want=self.want,
            )
        return t("asking_dilute.of_spirit", amount=self.amount, want=self.want)

    @property
    def flask(self) -> str:
        """The vessel that is filled to its mark, in words."""
        return (
            f"{self.called} ({self.amount})"
            if self.called
            else t("asking_dilute.a_vessel_of", amount=self.amount)
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
        Heading(t("asking_dilute.weigh")),
        *_recipe(found),
        *few_drops(found, more.dropper),
        *something_dissolved(more),
        Points(
            (
                t("asking_dilute.spirit_first_water_slowly"),
                t("asking_dilute.weighed_right_any_temperature"),
            )
        ),
        *_to_the_mark(found, words),
        Numbers(
            (
                _volume(
                    found.stock_mark,
                    t("asking_dilute.mark_for_the_spirit", stock_volume=_ml(found.stock_volume)),
                ),
                _volume(
                    found.product_mark,
                    t("asking_dilute.mark_for_the_mixture", product_volume=_ml(found.product_volume)),
                ),
                _volume(found.product_volume_20c, t("asking_dilute.the_same_mixture_at")),
                _volume(found.water_volume, t("asking_dilute.water_measured_itself")),
                _volume(found.contraction, t("asking_dilute.contraction_volumes_less_mixture")),
            )
        ),
        Heading(t("asking_dilute.what_adding_volumes_would_give")),
        *_naive(found, words),
        Heading(t("asking_dilute.how_sure_it_is")),
        Numbers(
            (
                show(found.have, label=t("asking_dilute.the_spirit_at_hand")),
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
        lead=t("asking_dilute.nothing_written_book", have=words.have, at=at),
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
            "asking_dilute.there_is_of_spirit",
            amount=words.amount.removeprefix("all of "),
            spirit=spirit,
        )
        question = t("asking_dilute.how_much_water_brings", asked=asked, want=words.want)
    elif words.to_mark:
        question = t("asking_dilute.how_much_spirit_how", spirit=spirit, flask=words.flask, want=words.want)
    else:
        question = t(
            "asking_dilute.how_much_spirit_how_much", spirit=spirit, amount=words.amount, want=words.want
        )
    given: tuple[tuple[str, Cell], ...] = (
        (t("asking_dilute.temperature_of_everything"), at),
        *(
            (what, _density(mass, volume))
            for what, mass, volume in (
                (t("asking_dilute.density_of_the_spirit"), found.stock, found.stock_volume),
                (t("asking_dilute.density_of_water"), found.water, found.water_volume),
                (t("asking_dilute.density_of_the_mixture"), found.product, found.product_volume),
            )
            if volume.value > 0
        ),
        (t("asking_dilute.ethanol_gram_spirit"), f"{_ethanol_in_spirit(found):.4f} g"),
        (t("asking_dilute.ethanol_gram_mixture"), f"{_ethanol_in_mixture(found):.4f} g"),
    )
    return Lesson(
        question=question,
        given=given,
        blanks=(
            t("asking_dilute.mixture"),
            t("asking_dilute.ethanol_in_it"),
            t("asking_dilute.spirit"),
            t("asking_dilute.water"),
            t("asking_dilute.spirit_by_volume_ml"),
        ),
        tempting=t("asking_dilute.strength_times_volume_same"),
        tempting_answer=t(
            "asking_dilute.spirit_water",
            naive_stock=_ml(found.naive_stock),
            naive_water=_ml(found.naive_water),
        ),
        how_far_off=_far_off(found, words),
        worked=(
            *_recipe(found),
            Numbers(
                (
                    _volume(found.stock_volume, t("asking_dilute.spirit_by_volume")),
                    _volume(found.water_volume, t("asking_dilute.water_by_volume")),
                    _volume(found.contraction, t("asking_dilute.contraction")),
                )
            ),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )


def _warmer_than_its_flash(found: Diluted) -> tuple[Block, ...]:
    flash = flash_point(found.want).answer
    if flash is None or found.temperature.value < flash.value:
        return ()
    told = t("asking_dilute.warmer_flash_point_near", temperature=found.temperature.value, flash=flash.value)
    return (Points((t("asking_dilute.vapour_can_light_now", told=told),), "missing"),)


def _to_the_mark(found: Diluted, words: DilutionWords) -> tuple[Block, ...]:
    at = words.temperature
    taken = t("asking_dilute.marked_at", vessel=words.vessel)
    if not words.to_mark:
        vessel = (
            t("asking_dilute.taken_as", called=words.called, taken=taken)
            if words.called
            else t("asking_dilute.vessel_taken", taken=taken)
        )
        return (
            Heading(t("asking_dilute.fill_mark", at=at)),
            Prose(t("asking_dilute.spirit_mark_water_mark", at=at, vessel=vessel)),
        )
    return (
        Heading(t("asking_dilute.fill_mark_with_at", at=at)),
        Prose(t("asking_dilute.weigh_spirit_into_water", flask=words.flask, at=at)),
        Prose(
            t(
                "asking_dilute.taken_as_holds_at",
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
                    (t("asking_dilute.spirit_to_weigh"), found.stock),
                    (t("asking_dilute.water_to_weigh"), found.water),
                    (t("asking_dilute.together"), found.product),
                )
            )
        ),
    )


def _naive(found: Diluted, words: DilutionWords) -> tuple[Block, ...]:
    return (
        Numbers(
            (
                show(found.naive_strength, label=t("asking_dilute.adding_volumes_would_give"), decimals=2),
                _volume(found.naive_volume, t("asking_dilute.adding_volumes_would_fill")),
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
        "asking_dilute.spirit_water_come_out",
        naive_stock=_ml(found.naive_stock),
        naive_water=_ml(found.naive_water),
        stronger=abs(stronger),
        way=way,
        want=words.want,
        short=number(abs(short), 1),
        which=t("asking_dilute.less") if short >= 0 else t("asking_dilute.more"),
        meant=number(meant, 1),
    )


def _mixture(found: Diluted) -> Shown:
    return show(found.mixture, label=t("asking_dilute.the_mixture"))


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
