"""What is told and taught of an acid thinned: every meaning side by side, or the one that was said with its recipe.

Promises masses first, the order that does not spit, the cautions at that moment, and in the lesson a tempting way that
people really take. Calculates nothing but what that way gives.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from stillroom.answers.acid_meanings import SAYS, Bottle, Meaning, Mixed
from stillroom.answers.budget import stated
from stillroom.answers.tempting import bottle_in_millilitres
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.blocks import Block, Cell, Facts, Heading, Link, Numbers, Points, Prose, Shown, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import question_address
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer
from stillroom.quantities.entry import with_unit
from stillroom.texts.catalogue import capital, t

if TYPE_CHECKING:
    from stillroom.records.procedures import Procedure

Meanings: TypeAlias = Mapping[Meaning, Mixed | StillroomError]
HOT_K = 20.0
"""A warming from which the bath and the waiting are told: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Thinned:
    """A thinning, worked out."""

    bottle: Bottle
    want: Answer
    """[% or mol/L]"""
    amount: str
    """As it was read."""
    at_hand: bool
    """Whether the amount is what is taken from the bottle."""
    found: Mixed | None
    """The meaning that was said; None where there are several."""
    others: Meanings
    """What else the figure may mean: all of its meanings where nobody said which."""
    poured: Answer | None
    """What pouring without filling up gives, for a share by volume. [mol/L]"""


def want_words(said: Said) -> str:
    """The strength wanted as it was said, with the unit of the field."""
    return with_unit(said.text["want"], "%")


def tell(it: Thinned, said: Said) -> Told:
    """Every meaning with its own link, or the recipe of the one that was said."""
    amount, bottle, want, solute = it.amount, said.text["of"], want_words(said), it.bottle.of.solute
    if it.found is not None:
        blocks = _one(it, it.found, said)
        lead = t(
            "Meant as {says}. From {bottle}. Nothing is written in a book.", says=it.found.says, bottle=bottle
        )
    else:
        blocks = _several(it, said)
        lead = t(
            "{found} meanings, and nobody said which. From {bottle}.",
            found=_count(len(it.others)),
            bottle=bottle,
        )
    return Told(
        t("All of {amount} of {bottle} brought to {want}", amount=amount, bottle=bottle, want=want)
        if it.at_hand
        else t("{amount} of {want} {solute}", amount=amount, want=want, solute=solute),
        lead,
        tuple(blocks),
        (caution_block("waste"),),
    )


def _several(it: Thinned, said: Said) -> tuple[Block, ...]:
    refused = tuple(
        f"{meaning}: {one.sentence}" for meaning, one in it.others.items() if isinstance(one, StillroomError)
    )
    return (
        Prose(
            t(
                "“{want}” is said in {found} ways. Choose the one the method means; ask who wrote it; and write mol/L "
                "from now on.",
                want=want_words(said),
                found=_count(len(it.others)).lower(),
            )
        ),
        _side_by_side(it, said.text),
        *((Points(refused, "missing"),) if refused else ()),
        Prose(t("Volumes are at 20 °C. What is weighed is right at any temperature."), quiet=True),
        *_of_pouring(it),
        *(caution_block(key) for key in it.bottle.of.cautions),
    )


def _one(it: Thinned, one: Mixed, said: Said) -> tuple[Block, ...]:
    bottle, kind = it.bottle, it.bottle.of.kind
    if bottle.density is not None:
        taken = t("{solute} from the bottle", solute=bottle.of.solute.capitalize())
    else:
        taken = t("Salt") if kind == "salt" else t("Pellets")
    filled_up = t(
        "Fill up to {product_volume} mL in a flask or cylinder.", product_volume=_plain(one.product_volume)
    )
    measure = (
        Heading(t("Or measure, at 20 °C")),
        Numbers(
            (*_figure(t("From the bottle"), one.stock_volume), *_figure(t("Fill up to"), one.product_volume))
        ),
    )
    strengths = ((t("In moles"), one.strength), (t("By volume"), one.by_volume), (t("By mass"), one.by_mass))
    sure = (
        (t("The bottle"), stated(bottle.strength)),
        (t("The solution, weighed"), one.made),
        (t("The solution, measured"), one.measured),
    )
    heat = ((t("Heat given off"), one.heat, 1), (t("Warmer, if it kept all of it"), one.warming, 0))
    return (
        *_hot(one),
        *(caution_block(key) for key in bottle.of.cautions),
        Heading(t("Weigh")),
        Numbers((
            *_figure(taken, one.stock),
            *(_figure(t("Water"), one.water) + _figure(t("Together"), one.product) if one.water else ()),
        )),
        Points((
            t("Most of the water first, then the salt into it, stirring until it is clear.")
            if kind == "salt"
            else t(
                "Most of the water first, then the {kind} into it, slowly, stirring. Never the other way.", kind=kind
            ),
            t("Let it come back to room temperature, then the rest of the water."),
            *(() if one.water else (filled_up,)),
        )),
        *(measure if one.stock_volume and one.product_volume else ()),
        Heading(t("What it then is")),
        Numbers(tuple(show(each, label=label) for label, each in strengths if each is not None)),
        *_of_pouring(it),
        Heading(t("How sure it is")),
        Numbers(tuple(show(each, label=label) for label, each in sure if each is not None)),
        Prose(
            t("The doubt of the bottle goes into the solution in full, however well it is weighed. ")
            + (
                t("Salt that draws water is weaker than its label.")
                if kind == "salt"
                else t(
                    "A bottle that was opened often is weaker than its label. Where the strength matters, titrate the "
                    "solution."
                )
            )
        ),
        *(
            (
                Heading(t("Heat")),
                Numbers(tuple(show(each, label=label, decimals=many) for label, each, many in heat if each)),
            )
            if one.heat
            else ()
        ),
        *(
            (
                Heading(t("Had the figure meant something else")),
                _side_by_side(it, said.text),
            )
            if any(isinstance(other, Mixed) for other in it.others.values())
            else ()
        ),
        Facts((
            (t("Hazards of the bottle"), bottle.of.hazard or t("none known here")),
            (t("Label"), t("the bottle's own comes first")),
        )),
    )  # fmt: skip


def _side_by_side(it: Thinned, text: Mapping[str, str]) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (
            Link(basis := meaning.removeprefix("bottle "), question_address("acid", text, basis=basis)),
            SAYS[meaning].format(of=it.bottle.of.solute),
            _plain(one.stock),
            _plain(one.stock_volume),
            _plain(one.water),
            f"{one.strength.value:.3f}" if one.strength else "",
            f"{one.by_mass.value:.2f}" if one.by_mass else "",
        )
        for meaning, one in it.others.items()
        if isinstance(one, Mixed)
    ]
    heads = (t("Basis"), t("Meaning"), t("Bottle, g"), t("Bottle, mL"), t("Water, g"), "mol/L", "% w/w")
    return Table(heads, tuple(rows), (2, 3, 4, 5, 6))


def _of_pouring(it: Thinned) -> tuple[Block, ...]:
    if it.poured is None:
        return ()
    return (
        Numbers((show(it.poured, label=capital(it.poured.name), decimals=3),)),
        Prose(
            t(
                "At many benches that is called {split} %: common practice, no source. It holds {poured} mol/L, not "
                "{split} g of the substance itself.",
                split=f"{it.want.value:g}",
                poured=number(it.poured.value, 2),
            )
        ),
    )


def _hot(one: Mixed) -> tuple[Block, ...]:
    if one.warming is None or one.warming.value < HOT_K:
        return ()
    told = t(
        "It grows up to {kelvin:.0f} °C warmer.{boils} A heat-proof beaker in a cold bath, a thin stream, and wait "
        "whenever a thermometer in it shows 40 °C.",
        kelvin=one.warming.value,
        boils=t(" That is enough to boil it.") if one.warming.value > 70.0 else "",
    )
    return (Points((told,), "missing"),)


def _figure(label: str, answer: Answer | None) -> tuple[Shown, ...]:
    return () if answer is None else (show(answer, label=label, decimals=_decimals(answer)),)


def _plain(answer: Answer | None) -> str:
    return "" if answer is None else number(answer.value, _decimals(answer))


def _decimals(answer: Answer) -> int:
    return 1 if abs(answer.value) >= 20.0 else 2


def _count(many: int) -> str:
    return {2: t("Two"), 3: t("Three"), 4: t("Four")}.get(many, str(many))


# ---- what it is made by


def recipe(it: Thinned, said: Said) -> "Procedure | None":
    """What it is made by, the water first; None while nobody said what a percentage means."""
    from stillroom.records.mixtures import WATER, mixture, to_the_volume, weighed

    one, bottle = it.found, it.bottle
    if one is None:
        return None
    if one.water is not None:
        water = weighed(one.water.value)
    elif one.product_volume is not None:
        water = to_the_volume(one.product_volume.value)
    else:
        return None
    solute, strength = bottle.of.solute, want_words(said)
    return mixture(
        f"{solute} {strength}",
        f"{solute.capitalize()} {strength}",
        ((solute, said.text["of"].strip(), weighed(one.stock.value)), (t("water"), WATER, water)),
        t(
            "Most of the water first, then the {kind} into it, slowly, stirring; cool; then the rest of the water.",
            kind=bottle.of.kind,
        ),
        ticks=() if bottle.of.kind == "salt" else (t("Goggles and gloves on"),),
        cautions=bottle.of.cautions,
    )


# ---- what is taught


def teach(it: Thinned, said: Said) -> Lesson | None:
    """The same thinning asked again on paper; None for several meanings, and for a solid in moles: no way tempts."""
    one, bottle = it.found, it.bottle
    if one is None or one.strength is None or one.product_volume is None:
        return None
    tempted = _tempted(one, one.strength, it)
    if tempted is None:
        return None
    tempting, tempting_answer, strength, why = tempted
    solute, want, amount = bottle.of.solute, want_words(said), it.amount
    vessel = t("From the jar") if bottle.density is None else t("From the bottle")
    given: list[tuple[str, Cell]] = [
        (t("The bottle"), f"{bottle.strength.value:.4g} % w/w {solute}"),
        (t("Meant as"), one.says),
        (t("Molar mass"), f"{bottle.of.molar_mass.value:.3f} g/mol"),
    ]
    if bottle.density is not None:
        given.append((t("Density of the bottle at 20 °C"), f"{bottle.density.value:.4g} g/mL"))
    if one.product is not None and one.product_volume.value > 0.0:
        density = one.product.value / one.product_volume.value
        given.append((t("Density of the solution at 20 °C"), f"{density:.4f} g/mL"))
    worked = (
        (vessel, one.stock, 1),
        (t("By volume"), one.stock_volume, 1),
        (t("Water"), one.water, 1),
        (t("Strength"), one.strength, 3),
    )
    return Lesson(
        question=t(
            "At hand: {amount} of {bottle}. How much water brings it to {wanted}, and how strong is that in mol/L?",
            amount=amount, bottle=said.text["of"], wanted=want,
        )
        if it.at_hand
        else t(
            "At hand: {asked}. How much of it, and how much water, make {wanted}?", asked=said.text["of"],
            wanted=t("{amount} of {want} {solute}", amount=amount, want=want, solute=solute),
        ),
        given=tuple(given),
        blanks=(
            f"{vessel}, g",
            *(() if bottle.density is None else (f"{vessel}, mL",)),
            t("Water, g"),
            t("Strength, mol/L"),
        ),
        tempting=tempting,
        tempting_answer=tempting_answer,
        how_far_off=t(
            "It comes out at {strength} mol/L in place of {wanted}, {percent:.0f} % too {which}: {why}",
            strength=number(strength, 3),
            wanted=number(one.strength.value, 3),
            percent=abs(100.0 * (strength / one.strength.value - 1.0)),
            which=t("strong") if strength > one.strength.value else t("weak"),
            why=why,
        ),
        worked=(
            Numbers(tuple(show(each, label=label, decimals=many) for label, each, many in worked if each is not None)),
            *(caution_block(key) for key in bottle.of.cautions),
        ),
    )  # fmt: skip


def _tempted(one: Mixed, wanted: Answer, it: Thinned) -> tuple[str, str, float, str] | None:
    """The way that tempts, what it gives in words and as a strength [mol/L], and why it is wrong."""
    label, by_volume = it.others.get("label"), it.others.get("w/v")
    if isinstance(label, Mixed) and label.stock_volume and label.strength:
        return (
            t("The strength wanted over that of the label is the share of the volume to take."),
            t(
                "{stock_volume} mL from the bottle, made up to the volume",
                stock_volume=number(label.stock_volume.value, 1),
            ),
            label.strength.value,
            t("the label counts grams in 100 g, and the bottle is heavier than water."),
        )
    if it.bottle.density is not None:
        return (
            t("A gram is a millilitre: what should be weighed is measured."),
            t("{stock} mL from the bottle", stock=number(one.stock.value, 1)),
            bottle_in_millilitres(wanted, it.bottle.density).value,
            t("a millilitre of the bottle weighs more than a gram, by its density."),
        )
    if isinstance(by_volume, Mixed) and by_volume.strength:
        return (
            t("Per cent is grams in 100 mL."),
            t("{stock} g from the jar, made up to the volume", stock=number(by_volume.stock.value, 1)),
            by_volume.strength.value,
            t("100 mL of the solution weigh more than 100 g."),
        )
    return None
