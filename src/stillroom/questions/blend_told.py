"""What is told of spirits blended: masses first, what adding volumes would have said beside them; a lesson."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stillroom.answers.budget import Stated
from stillroom.answers.spirit_blended import PLANT, RECOVERED, WATER, Blended, Taken
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.flammable import flash_point
from stillroom.science.liquids.blending import LEAST_FRESH
from stillroom.texts.catalogue import t

if TYPE_CHECKING:
    from stillroom.records.procedures import Procedure

CAUTIONS = ("spirit-law", "flammable-vapour", "methanol")
NOTHING_G = 0.005
"""Less than this is not weighed. [g]"""


@dataclass(frozen=True, slots=True)
class Blending:
    """A blend worked out, with the words it was asked in.

    ``aim``, ``want``, ``amount``: strength and amount are "" where nobody said them.
    """

    found: Blended
    temperature: Answer
    """Of everything. [°C]"""
    aim: str
    want: str
    amount: str

    @property
    def mixture(self) -> Stated:
        """Its strength [% v/v at 20 °C]."""
        return self.found.mixture

    @property
    def reading(self) -> Stated | None:
        """What an alcoholometer should show [% v/v, as read]."""
        return self.found.reading

    @property
    def at(self) -> str:
        """The temperature in words."""
        return f"{self.temperature.value:g} °C"

    @property
    def has_plant(self) -> bool:
        """Whether wet plant goes in."""
        return any(one.what == PLANT for one in self.found.stocks)


def tell(it: Blending, _: Said) -> Told:
    """What to weigh of each, what comes of it, what adding volumes gives, the reading to expect."""
    found = it.found
    of_recovered = t(
        "Recovered spirit goes to the plant it came from, and to no other: it carries its odour over."
    )
    methanol = t(
        "Neither alcoholometer nor density can tell methanol from ethanol. Buy spirit with a certificate."
    )
    return Told(
        _title(it),
        t(
            "From {stocks} at hand, at {temperature}. Nothing is written in a book.",
            stocks=len(found.stocks), temperature=it.at,
        ),
        (
            *_warm(it),
            Heading(t("Weigh") if it.want else t("What goes in")),
            _table(found),
            Numbers((show(found.product, label=t("Together"), decimals=1),)),
            Points((
                t("The strongest spirit first, then the weaker, the water last, slowly and stirring."),
                t("Weighed, it is right at any temperature. Let it cool before it is measured, filled or read."),
                *((t("The plant goes in whole: its water dilutes the spirit."),) if it.has_plant else ()),
                *((of_recovered,) if any(one.what == RECOVERED for one in found.stocks) else ()),
            )),
            Heading(t("What comes of it")),
            Numbers((
                show(found.mixture, label=t("Strength")),
                show(found.product_volume, label=t("Volume at {temperature}", temperature=it.at), decimals=1),
                show(found.contraction, label=t("Contraction: volumes in, less the mixture"), decimals=1),
                *((show(found.cost, label=t("Cost"), decimals=2),) if found.cost else ()),
            )),
            _why_so(it),
            Heading(t("What adding volumes would give")),
            Numbers((show(found.added, label=t("Adding volumes says"), decimals=2),)),
            Prose(_far_off(found)),
            Heading(t("Check it with an alcoholometer")),
            *_reading(it),
            Prose(methanol, quiet=True),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _title(it: Blending) -> str:
    if not it.want:
        return t("All poured together")
    if not it.amount:
        return t("All that can be made of {want} spirit", want=it.want)
    return t("{amount} of {want} spirit, blended", amount=it.amount, want=it.want)


def teach(it: Blending, _: Said) -> Lesson:
    """The same blend asked again on paper; adding volumes tempts."""
    found = it.found
    given: tuple[tuple[str, Cell], ...] = (
        (t("Temperature of everything"), it.at),
        *(
            (t("Density of {called}", called=one.name), f"{one.mass.value / one.volume.value:.4f} g/mL")
            for one in found.taken
            if one.volume.value > 0
        ),
    )
    return Lesson(
        question=_question(it),
        given=given,
        blanks=(*(f"{one.name}, g" for one in found.taken), t("Together, g"), t("Strength, % v/v")),
        tempting=t("Volumes add, and so do strength times volume."),
        tempting_answer=f"{found.added.value:.2f} % v/v",
        how_far_off=_far_off(found),
        worked=(
            _table(found),
            Numbers((show(found.mixture, label=t("Strength")),)),
            *(caution_block(key) for key in CAUTIONS[:2]),
        ),
    )


def _question(it: Blending) -> str:
    there = "; ".join(one.words for one in it.found.stocks)
    if not it.want:
        return t("There is {there}. What strength and volume come of pouring it together?", there=there)
    if not it.amount:
        return t(
            "There is {there}. How much of {want} can be made of it, and of how much of each?",
            there=there, want=it.want,
        )  # fmt: skip
    return t(
        "There is {there}. How much of each, and of water, makes {amount} of {want}?",
        there=there, amount=it.amount, want=it.want,
    )  # fmt: skip


def _why_so(it: Blending) -> Prose:
    if not it.want:
        told = t(
            "The wet plant keeps part of the liquor back when it is strained; that is not calculated here."
        )
        return Prose(told if it.has_plant else t("Everything that was named is poured together."), quiet=True)
    first = t("recovered spirit before fresh") if it.aim == LEAST_FRESH else t("the cheapest ethanol first")
    return Prose(
        t("Chosen for {aim}: {first}, as far as strength and amount allow.", aim=it.aim, first=first),
        quiet=True,
    )


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
    return Table(("Of", t("At hand"), t("Weigh"), "mL", t("Left, g")), tuple(rows), (2, 3, 4))


def _weighed(one: Taken, *, plant: bool) -> Cell:
    """What is weighed of a stock; of a plant all, and the grams are the water in it."""
    shown = show(one.mass, decimals=_decimals(one.mass.value), label=one.name)
    return replace(shown, basis=t("water in it")) if plant else shown


def _reading(it: Blending) -> tuple[Block, ...]:
    found = it.found
    if it.has_plant:
        return (Prose(t("Not in a liquor: what the plant gives to it makes it read weaker than it is.")),)
    if found.reading is None:
        return (
            Prose(
                t(
                    "At {temperature} its scale ends before this mixture: cool it nearer to 20 °C.",
                    temperature=it.at,
                )
            ),
        )
    low, high = (
        found.reading.answer.value + sign * found.reading.expanded_uncertainty for sign in (-1.0, 1.0)
    )
    return (
        Numbers((show(found.reading, label=t("It should show, at {temperature}", temperature=it.at)),)),
        Prose(
            t(
                "Between {low:.1f} and {high:.1f} % leave it alone. Outside, ask to dilute what "
                "stands there: it tells what to add. The scale is marked at 20 °C, its glass "
                "soda-lime.",
                low=low,
                high=high,
            )
        ),
    )


def _far_off(found: Blended) -> str:
    off = found.added.value - found.mixture.answer.value
    return t(
        "Adding volumes says {added:.2f} % v/v where there are {mixture:.2f}: {off:.2f} too "
        "{which}, since volumes shrink when spirit meets water and masses do not.",
        added=found.added.value,
        mixture=found.mixture.answer.value,
        off=abs(off),
        which=t("high") if off > 0 else t("low"),
    )


def _warm(it: Blending) -> tuple[Block, ...]:
    flash = flash_point(it.mixture.answer).answer
    if flash is None or it.temperature.value < flash.value:
        return ()
    told = t(
        "At {temperature} it is warmer than its flash point, near {flash:.0f} °C",
        temperature=it.at,
        flash=flash.value,
    )
    return (
        Points(
            (t("{told}: its vapour can light now. No flame, no open element, no spark.", told=told),),
            "missing",
        ),
    )


def _decimals(mass_g: float) -> int:
    return 1 if mass_g >= 100.0 else 2


def _grams(mass_g: float) -> str:
    return number(mass_g, _decimals(mass_g))


# ---- what it is made by


def recipe(it: Blending, _: Said) -> "Procedure | None":
    """What it is made by; None with wet plant in it, which is an extraction."""
    from stillroom.records.mixtures import WATER as PURIFIED
    from stillroom.records.mixtures import spirit_mixed, spirit_of

    found = it.found
    if any(one.what == PLANT for one in found.stocks):
        return None
    of = {one.name: spirit_of(one.strength.value) for one in found.stocks} | {WATER: PURIFIED}
    parts = tuple((one.name, of[one.name], one.mass.value) for one in found.taken)
    return spirit_mixed(it.mixture.answer.value, parts)
