"""What is told of spirit diluted: masses first, the tempting wrong answer beside the right one; a lesson, a label.

Promises the same figures on all of them. The label speaks of the maker's own spirit and carries lines for a pen: it is
no product label.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stillroom.answers.budget import Stated
from stillroom.answers.drops import Dropper
from stillroom.answers.spirit_diluted import Diluted
from stillroom.answers.spirit_seen import Seen
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.alcoholometer_blocks import alcoholometer_blocks, few_drops, something_dissolved
from stillroom.documents.blocks import Block, Cell, Heading, LabelFace, Numbers, Points, Prose, Shown
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.flammable import flash_point
from stillroom.substances.spirits import spirit_mass_fraction
from stillroom.texts.catalogue import capital, t

if TYPE_CHECKING:
    from stillroom.records.procedures import Procedure

CAUTIONS = ("spirit-law", "flammable-vapour", "methanol")
LABEL_MM = (90.0, 50.0)
PEN = "__________"


@dataclass(frozen=True, slots=True)
class Words:
    """A dilution in the words it was asked in."""

    have: str
    want: str
    amount: str
    how: str
    """One of "wanted", "at hand", "to the mark": what it is an amount of."""
    temperature: str
    vessel: str
    called: str = ""
    """What a vessel that is filled is called; "" where nobody said."""

    @property
    def flask(self) -> str:
        """The vessel that is filled to its mark, in words."""
        if self.called:
            return f"{self.called} ({self.amount})"
        return t("a vessel of {amount}", amount=self.amount)


@dataclass(frozen=True, slots=True)
class Dilution:
    """A dilution worked out, and what was said besides."""

    found: Diluted
    words: Words
    dropper: Dropper | None
    seen: Seen | None
    """What the alcoholometer shows now, and what puts it right."""
    dissolved: bool
    """Whether the spirit holds extract, sugar or glycerol."""

    @property
    def mixture(self) -> Stated:
        """What the masses give [% v/v at 20 °C]."""
        return self.found.mixture

    @property
    def reading(self) -> Stated | None:
        """What an alcoholometer should show [% v/v, as read]."""
        return self.found.reading


def tell(it: Dilution, _: Said) -> Told:
    """The recipe, the marks, what adding volumes gives, the reading to expect."""
    found, words, at = it.found, it.words, it.words.temperature
    return Told(
        _title(words),
        t("From {have}, at {at}. Nothing is written in a book.", have=words.have, at=at),
        (
            *_warmer_than_its_flash(found),
            Heading(t("Weigh")),
            *_recipe(found),
            *few_drops(found, it.dropper),
            *something_dissolved(dissolved=it.dissolved),
            Points((
                t("Spirit first, then the water, slowly and stirring: it grows warm and shrinks."),
                t("Weighed, it is right at any temperature. Let it cool before it is measured, filled or read."),
            )),
            *_to_the_mark(found, words),
            Numbers((
                _volume(
                    found.stock_mark, t("Mark for the spirit ({stock_volume} mL)", stock_volume=_ml(found.stock_volume))
                ),
                _volume(
                    found.product_mark,
                    t("Mark for the mixture ({product_volume} mL)", product_volume=_ml(found.product_volume)),
                ),
                _volume(found.product_volume_20c, t("The same mixture at 20 °C")),
                _volume(found.water_volume, t("Water, if it is measured by itself")),
                _volume(found.contraction, t("Contraction: volumes in, less the mixture")),
            )),
            Heading(t("What adding volumes would give")),
            Numbers((
                show(found.naive_strength, label=t("Adding volumes would give"), decimals=2),
                _volume(found.naive_volume, t("Adding volumes would fill")),
            )),
            Prose(_far_off(found, words)),
            Heading(t("How sure it is")),
            Numbers((
                show(found.have, label=t("The spirit at hand")), show(found.mixture, label=t("The mixture")),
            )),
            *alcoholometer_blocks(found, at, dropper=it.dropper, seen=it.seen, dissolved=it.dissolved),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _title(words: Words) -> str:
    if words.how == "at hand":
        return t("All of {amount} of spirit brought to {want}", amount=words.amount, want=words.want)
    if words.how == "to the mark":
        return t("{flask} filled to its mark with {want} spirit", flask=capital(words.flask), want=words.want)
    return t("{amount} of {want} spirit", amount=words.amount, want=words.want)


def teach(it: Dilution, _: Said) -> Lesson:
    """The same dilution asked again on paper; adding volumes tempts."""
    found, words = it.found, it.words
    densities = (
        (t("Density of the spirit"), found.stock, found.stock_volume),
        (t("Density of water"), found.water, found.water_volume),
        (t("Density of the mixture"), found.product, found.product_volume),
    )
    in_mixture = float(spirit_mass_fraction(found.want.value / 100.0))
    given: tuple[tuple[str, Cell], ...] = (
        (t("Temperature of everything"), words.temperature),
        *((what, _density(mass, volume)) for what, mass, volume in densities if volume.value > 0),
        (
            t("Ethanol in a gram of the spirit"),
            f"{in_mixture * found.product.value / found.stock.value:.4f} g",
        ),
        (t("Ethanol in a gram of the mixture"), f"{in_mixture:.4f} g"),
    )
    return Lesson(
        question=_question(words, f"{found.have.answer.value:.4g} % v/v"),
        given=given,
        blanks=(
            t("Mixture, g"), t("Ethanol in it, g"), t("Spirit, g"), t("Water, g"), t("Spirit by volume, mL"),
        ),
        tempting=t("Strength times volume is the same before and after; the rest of the volume is water."),
        tempting_answer=t(
            "{naive_stock} mL of spirit and {naive_water} mL of water",
            naive_stock=_ml(found.naive_stock), naive_water=_ml(found.naive_water),
        ),
        how_far_off=_far_off(found, words),
        worked=(
            *_recipe(found),
            Numbers((
                _volume(found.stock_volume, t("Spirit by volume")),
                _volume(found.water_volume, t("Water by volume")),
                _volume(found.contraction, t("Contraction")),
            )),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )  # fmt: skip


def _question(words: Words, spirit: str) -> str:
    if words.how == "at hand":
        return t(
            "There is {amount} of spirit of {spirit}. How much water brings all of it to {want}?",
            amount=words.amount, spirit=spirit, want=words.want,
        )  # fmt: skip
    if words.how == "to the mark":
        return t(
            "How much spirit of {spirit} and how much water fill {flask} to its mark with {want}?",
            spirit=spirit, flask=words.flask, want=words.want,
        )  # fmt: skip
    return t(
        "How much spirit of {spirit} and how much water make {amount} of {want}?",
        spirit=spirit, amount=words.amount, want=words.want,
    )  # fmt: skip


def recipe(it: Dilution, _: Said) -> "Procedure | None":
    """What it is made by; None for spirit with something dissolved, and where no water goes in."""
    from stillroom.records.mixtures import WATER, spirit_mixed, spirit_of

    found = it.found
    if it.dissolved:
        return None
    stock = (t("spirit"), spirit_of(found.have.answer.value), found.stock.value)
    return spirit_mixed(found.want.value, (stock, (t("water"), WATER, found.water.value)))


def label(it: Dilution, _: Said) -> LabelFace:
    """What stands on the bottle of the mixture, to print or to copy by pen."""
    found = it.found
    flash = flash_point(found.want)
    burns = t("Flammable liquid and vapour") if flash.answer else t("Spirit: may burn")
    strength = t("Ethanol {want:.4g} % v/v at 20 °C, in water", want=found.want.value)
    mass = f"{number(found.product.value, decimals_of(found.product.value))} g"
    return LabelFace(
        *LABEL_MM,
        title=t("Diluted spirit"),
        lines=(strength, t("{mass}, made on {pen} by {pen}", mass=mass, pen=PEN), t("Use by {pen}", pen=PEN)),
        small=(
            t("Made from {have}, lot {pen}, and water {pen}", have=it.words.have, pen=PEN),
            t("{burns}. No flame, no heat; closed, upright, out of reach of children. Not to be drunk.", burns=burns),
            t("Flash point near {flash:.0f} °C, about 3 °C either way.", flash=flash.answer.value)
            if flash.answer
            else flash.says,
        ),
        code="",
        copy_by_pen=(
            strength,
            t("{mass}   made ________   by ____   use by ________", mass=mass),
            t("{burns}. Not to be drunk.", burns=burns),
        ),
    )  # fmt: skip


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


def _to_the_mark(found: Diluted, words: Words) -> tuple[Block, ...]:
    at = words.temperature
    taken = t("{vessel}, marked at 20 °C", vessel=words.vessel)
    if words.how != "to the mark":
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
                "{flask}, taken as {taken}, holds {product_volume} mL at {at}.",
                flask=capital(words.flask),
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


def _far_off(found: Diluted, words: Words) -> str:
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
