"""An acid or alkali thinned, as a page: every meaning side by side, or the one that was said with its recipe.

Promises masses first, the order that does not spit, and the cautions at that moment. Reckons nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.answers.acid_meanings import SAYS, Bottle, Meaning, Mixed
from stillroom.answers.budget import stated
from stillroom.documents.blocks import (
    Block,
    Cell,
    Facts,
    Heading,
    Link,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Shown,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer
from stillroom.texts.catalogue import t

Found = tuple[tuple[Meaning, Mixed | StillroomError], ...]
HOT_K = 20.0
"""A warming from which the bath and the waiting are told: common practice, no source."""


@dataclass(frozen=True, slots=True)
class AcidWords:
    """A thinning in the words it was asked in.

    Attributes
    ----------
    bottle, want, amount : str
    at_hand : bool
    answers : mapping of str to str
        Meaning and the address that answers with it.
    """

    bottle: str
    want: str
    amount: str
    at_hand: bool
    answers: Mapping[str, str]


def acid_page(
    bottle: Bottle,
    found: Found,
    words: AcidWords,
    unsaid: Sequence[Unsaid],
    *,
    others: Found = (),
    poured: Answer | None = None,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "how do I thin this acid", on one page.

    Parameters
    ----------
    bottle : Bottle
    found : tuple of (Meaning, Mixed or StillroomError)
        One where the basis was said.
    words : AcidWords
    unsaid : sequence of Unsaid
    others : tuple of (Meaning, Mixed or StillroomError)
        What the same figure would give otherwise.
    poured : Answer or None
        What pouring without filling up gives, for a share by volume. [mol/L]
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    one = found[0][1]
    if len(found) == 1 and isinstance(one, Mixed):
        blocks = _one(bottle, one, words, others, poured)
        lead = t(
            "Meant as {says}. From {bottle}. Nothing is written in a book.",
            says=one.says,
            bottle=words.bottle,
        )
    else:
        blocks = _several(bottle, found, words, poured)
        lead = t(
            "{found} meanings, and nobody said which. From {bottle}.",
            found=_count(len(found)),
            bottle=words.bottle,
        )
    first = t("Brought to") if words.at_hand else "of"
    title = (
        t(
            "{first}{rest} of {bottle} brought to {want}",
            first=words.amount[:1].title(),
            rest=words.amount[1:],
            bottle=words.bottle,
            want=words.want,
        )
        if words.at_hand
        else f"{words.amount} {first} {words.want} {bottle.of.solute}"
    )
    blocks += [*unsaid_blocks(unsaid), caution_block("waste")]
    return Page(
        title=title,
        kind="acid thinned",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=lead,
        href=href,
    )


def _several(bottle: Bottle, found: Found, words: AcidWords, poured: Answer | None) -> list[Block]:
    return [
        Prose(
            t(
                "“{want}” is said in {found} ways. Choose the one the method means; ask who wrote "
                "it; and write mol/L from now on.",
                want=words.want,
                found=_count(len(found)).lower(),
            )
        ),
        _side_by_side(bottle, found, words),
        *_refused(found),
        Prose(t("Volumes are at 20 °C. What is weighed is right at any temperature."), quiet=True),
        *_of_pouring(words, poured),
        *(caution_block(key) for key in bottle.of.cautions),
    ]


def _one(bottle: Bottle, one: Mixed, words: AcidWords, others: Found, poured: Answer | None) -> list[Block]:
    kind = bottle.of.kind
    order = (
        t("Most of the water first, then the salt into it, stirring until it is clear.")
        if kind == "salt"
        else t(
            "Most of the water first, then the {kind} into it, slowly, stirring. Never the other way.",
            kind=kind,
        )
    )
    solid = t("Salt") if kind == "salt" else t("Pellets")
    taken = (
        solid
        if bottle.density is None
        else t("{solute} from the bottle", solute=bottle.of.solute.capitalize())
    )
    weighed = [show(one.stock, label=taken, decimals=_decimals(one.stock.value))]
    if one.water is not None and one.product is not None:
        weighed += [
            show(one.water, label=t("Water"), decimals=_decimals(one.water.value)),
            show(one.product, label=t("Together"), decimals=_decimals(one.product.value)),
        ]
    blocks: list[Block] = [
        *([] if one.warming is None or one.warming.value < HOT_K else [_hot(one)]),
        *(caution_block(key) for key in bottle.of.cautions),
        Heading(t("Weigh")),
        Numbers(tuple(weighed)),
        Points(
            (
                order,
                t("Let it come back to room temperature, then the rest of the water."),
                *(
                    ()
                    if one.water is not None
                    else (
                        t(
                            "Fill up to {product_volume} mL in a flask or cylinder.",
                            product_volume=_ml(one.product_volume),
                        ),
                    )
                ),
            )
        ),
    ]
    if one.stock_volume is not None:
        blocks += [
            Heading(t("Or measure, at 20 °C")),
            Numbers(
                (
                    show(
                        one.stock_volume,
                        label=t("From the bottle"),
                        decimals=_decimals(one.stock_volume.value),
                    ),
                    show(
                        one.product_volume,
                        label=t("Fill up to"),
                        decimals=_decimals(one.product_volume.value),
                    ),
                )
            ),
        ]
    strengths = [
        show(one.strength, label=t("In moles")),
        show(one.by_volume, label=t("By volume")),
    ]
    if one.by_mass is not None:
        strengths.append(show(one.by_mass, label=t("By mass")))
    blocks += [
        Heading(t("What it then is")),
        Numbers(tuple(strengths)),
        *_of_pouring(words, poured),
    ]
    sure = [
        show(stated(bottle.strength), label=t("The bottle")),
        show(one.made, label=t("The solution, weighed")),
    ]
    if one.measured is not None:
        sure.append(show(one.measured, label=t("The solution, measured")))
    blocks += [
        Heading(t("How sure it is")),
        Numbers(tuple(sure)),
        Prose(
            t("The doubt of the bottle goes into the solution in full, however well it is weighed. ")
            + (
                t("Salt that draws water is weaker than its label.")
                if kind == "salt"
                else t(
                    "A bottle that was opened often is weaker than its label. Where the strength "
                    "matters, titrate the solution."
                )
            )
        ),
    ]
    if one.heat is not None:
        heat = [show(one.heat, label=t("Heat given off"), decimals=1)]
        if one.warming is not None:
            heat.append(show(one.warming, label=t("Warmer, if it kept all of it"), decimals=0))
        blocks += [Heading(t("Heat")), Numbers(tuple(heat))]
    if others:
        blocks += [
            Heading(t("Had the figure meant something else")),
            _side_by_side(bottle, others, words),
        ]
    blocks.append(
        Facts(
            (
                (
                    t("Hazards of the bottle"),
                    bottle.of.hazard or t("none known here"),
                ),
                (t("Label"), t("the bottle's own comes first")),
            )
        )
    )
    return blocks


def _side_by_side(bottle: Bottle, found: Found, words: AcidWords) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for meaning, one in found:
        if isinstance(one, StillroomError):
            continue
        rows.append(
            (
                Link(meaning.removeprefix("bottle "), words.answers[meaning]),
                SAYS[meaning].format(of=bottle.of.solute),
                _plain(one.stock),
                _plain(one.stock_volume),
                _plain(one.water),
                f"{one.strength.value:.3f}",
                f"{one.by_mass.value:.2f}" if one.by_mass else "",
            )
        )
    return Table(
        (
            t("Basis"),
            t("Meaning"),
            t("Bottle, g"),
            t("Bottle, mL"),
            t("Water, g"),
            "mol/L",
            "% w/w",
        ),
        tuple(rows),
        (2, 3, 4, 5, 6),
    )


def _refused(found: Found) -> tuple[Block, ...]:
    told = tuple(f"{meaning}: {one.sentence}" for meaning, one in found if isinstance(one, StillroomError))
    return (Points(told, "missing"),) if told else ()


def _of_pouring(words: AcidWords, poured: Answer | None) -> tuple[Block, ...]:
    if poured is None:
        return ()
    shown: Shown = show(poured, label=f"{poured.name[:1].title()}{poured.name[1:]}", decimals=3)
    return (
        Numbers((shown,)),
        Prose(
            t(
                "At many benches that is called {split} %: common practice, no source. It holds "
                "{poured} mol/L, not {split} g of the substance itself.",
                split=words.want.split(" ")[0],
                poured=number(poured.value, 2),
            )
        ),
    )


def _hot(one: Mixed) -> Block:
    kelvin = one.warming.value if one.warming else 0.0
    boils = t(" That is enough to boil it.") if kelvin > 70.0 else ""
    told = t(
        "It grows up to {kelvin:.0f} °C warmer.{boils} A heat-proof beaker in a cold bath, a "
        "thin stream, and wait whenever a thermometer in it shows 40 °C.",
        kelvin=kelvin,
        boils=boils,
    )
    return Points((told,), "missing")


def _plain(answer: Answer | None) -> str:
    return "" if answer is None else number(answer.value, _decimals(answer.value))


def _ml(answer: Answer) -> str:
    return number(answer.value, _decimals(answer.value))


def _decimals(amount: float) -> int:
    return 1 if abs(amount) >= 20.0 else 2


def _count(many: int) -> str:
    return {2: t("Two"), 3: t("Three"), 4: t("Four")}.get(many, str(many))
