"""An acid or alkali thinned, as a page: every meaning side by side, or the one that was said with its recipe.

Promises masses first, the order that does not spit, and the cautions at that moment. Reckons nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Unpack

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
from stillroom.documents.showing import number, show
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer
from stillroom.results.acid_meanings import SAYS, Bottle, Meaning, Mixed

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
        lead = f"Meant as {one.says}. From {words.bottle}. Nothing is written in a book."
    else:
        blocks = _several(bottle, found, words, poured)
        lead = f"{_count(len(found))} meanings, and nobody said which. From {words.bottle}."
    first = "Brought to" if words.at_hand else "of"
    title = (
        f"{words.amount[:1].upper()}{words.amount[1:]} of {words.bottle} brought to {words.want}"
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
            f"“{words.want}” is said in {_count(len(found)).lower()} ways. Choose the one the method means; "
            "ask who wrote it; and write mol/L from now on."
        ),
        _side_by_side(bottle, found, words),
        *_refused(found),
        Prose("Volumes are at 20 °C. What is weighed is right at any temperature.", quiet=True),
        *_of_pouring(words, poured),
        *(caution_block(key) for key in bottle.of.cautions),
    ]


def _one(bottle: Bottle, one: Mixed, words: AcidWords, others: Found, poured: Answer | None) -> list[Block]:
    kind = bottle.of.kind
    order = (
        "Most of the water first, then the salt into it, stirring until it is clear."
        if kind == "salt"
        else f"Most of the water first, then the {kind} into it, slowly, stirring. Never the other way."
    )
    solid = "Salt" if kind == "salt" else "Pellets"
    taken = solid if bottle.density is None else f"{bottle.of.solute.capitalize()} from the bottle"
    weighed = [show(one.stock, label=taken, decimals=_decimals(one.stock.value))]
    if one.water is not None and one.product is not None:
        weighed += [
            show(one.water, label="Water", decimals=_decimals(one.water.value)),
            show(one.product, label="Together", decimals=_decimals(one.product.value)),
        ]
    blocks: list[Block] = [
        *([] if one.warming is None or one.warming.value < HOT_K else [_hot(one)]),
        *(caution_block(key) for key in bottle.of.cautions),
        Heading("Weigh"),
        Numbers(tuple(weighed)),
        Points(
            (
                order,
                "Let it come back to room temperature, then the rest of the water.",
                *(
                    ()
                    if one.water is not None
                    else (f"Fill up to {_ml(one.product_volume)} mL in a flask or cylinder.",)
                ),
            )
        ),
    ]
    if one.stock_volume is not None:
        blocks += [
            Heading("Or measure, at 20 °C"),
            Numbers(
                (
                    show(
                        one.stock_volume, label="From the bottle", decimals=_decimals(one.stock_volume.value)
                    ),
                    show(
                        one.product_volume, label="Fill up to", decimals=_decimals(one.product_volume.value)
                    ),
                )
            ),
        ]
    strengths = [show(one.strength, label="In moles"), show(one.by_volume, label="By volume")]
    if one.by_mass is not None:
        strengths.append(show(one.by_mass, label="By mass"))
    blocks += [Heading("What it then is"), Numbers(tuple(strengths)), *_of_pouring(words, poured)]
    sure = [
        show(bottle.strength, label="The bottle"),
        show(one.made.answer, label="The solution, weighed", k=one.made.k),
    ]
    if one.measured is not None:
        sure.append(show(one.measured.answer, label="The solution, measured", k=one.measured.k))
    blocks += [
        Heading("How sure it is"),
        Numbers(tuple(sure)),
        Prose(
            "The doubt of the bottle goes into the solution in full, however well it is weighed. "
            + (
                "Salt that draws water is weaker than its label."
                if kind == "salt"
                else "A bottle that was opened often is weaker than its label. Where the strength matters, titrate the "
                "solution."
            )
        ),
    ]
    if one.heat is not None:
        heat = [show(one.heat, label="Heat given off", decimals=1)]
        if one.warming is not None:
            heat.append(show(one.warming, label="Warmer, if it kept all of it", decimals=0))
        blocks += [Heading("Heat"), Numbers(tuple(heat))]
    if others:
        blocks += [Heading("Had the figure meant something else"), _side_by_side(bottle, others, words)]
    blocks.append(
        Facts(
            (
                ("Hazards of the bottle", bottle.of.hazard or "none known here"),
                ("Label", "the bottle's own comes first"),
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
        ("Basis", "Meaning", "Bottle, g", "Bottle, mL", "Water, g", "mol/L", "% w/w"),
        tuple(rows),
        (2, 3, 4, 5, 6),
    )


def _refused(found: Found) -> tuple[Block, ...]:
    told = tuple(f"{meaning}: {one.sentence}" for meaning, one in found if isinstance(one, StillroomError))
    return (Points(told, "missing"),) if told else ()


def _of_pouring(words: AcidWords, poured: Answer | None) -> tuple[Block, ...]:
    if poured is None:
        return ()
    shown: Shown = show(poured, label=f"{poured.name[:1].upper()}{poured.name[1:]}", decimals=3)
    return (
        Numbers((shown,)),
        Prose(
            f"At many benches that is called {words.want.split(' ')[0]} %: common practice, no source. It holds "
            f"{number(poured.value, 2)} mol/L, not {words.want.split(' ')[0]} g of the substance itself."
        ),
    )


def _hot(one: Mixed) -> Block:
    kelvin = one.warming.value if one.warming else 0.0
    boils = " That is enough to boil it." if kelvin > 70.0 else ""
    told = (
        f"It grows up to {kelvin:.0f} °C warmer.{boils} A heat-proof beaker in a cold bath, a thin stream, "
        "and wait whenever it is hot to the hand."
    )
    return Points((told,), "missing")


def _plain(answer: Answer | None) -> str:
    return "" if answer is None else number(answer.value, _decimals(answer.value))


def _ml(answer: Answer) -> str:
    return number(answer.value, _decimals(answer.value))


def _decimals(amount: float) -> int:
    return 1 if abs(amount) >= 20.0 else 2


def _count(many: int) -> str:
    return {2: "Two", 3: "Three", 4: "Four"}.get(many, str(many))
