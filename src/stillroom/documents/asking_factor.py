"""The factor of a titrant as a page: whether it may be used, factor and strength, each replicate, how long it serves.

Promises the verdict first and a factor that is not released told as such. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.answers.titrant_factor import Factored, Replicate
from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Page, PageFacts, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.numbers_shown import show
from stillroom.evidence.answer import Answer
from stillroom.substances.titrants import TitrantLife
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class FactorTold:
    """A factor worked out, with the words it was asked in.

    Attributes
    ----------
    titrant, standard, nominal : str
    replicates : tuple of Replicate
    found : Factored
    drift : str
        Against the last factor; "" where none was told.
    life, factor_life : Answer
        [d]
    again : str
        Day by which the factor is set again.
    room : str
        As it was said; "" where it was not.
    rule_of : TitrantLife
    drying : str
        Of the standard.
    weak : bool
        Whether it is weaker than solutions that keep.
    """

    titrant: str
    standard: str
    nominal: str
    replicates: tuple[Replicate, ...]
    found: Factored
    drift: str
    life: Answer
    factor_life: Answer
    again: str
    room: str
    rule_of: TitrantLife
    drying: str
    weak: bool


def factor_page(
    told: FactorTold, unsaid: Sequence[Unsaid], *, href: str = "", **page_facts: Unpack[PageFacts]
) -> Page:
    """The answer to "what is the factor of this titrant", on one page.

    Parameters
    ----------
    told : FactorTold
    unsaid : sequence of Unsaid
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    found = told.found
    blocks: list[Block] = [
        Points((found.because,), "done" if found.released else "missing"),
        *(
            ()
            if found.released
            else (
                Prose(
                    t("A factor that is not released is used for no result: find the cause, titrate again.")
                ),
            )
        ),
        Numbers(
            (
                show(found.factor, label=t("Factor")),
                show(found.strength, label=t("Strength")),
            )
        ),
        Heading(t("Each replicate")),
        _table(told),
        *((Heading(t("Since the last factor")), Prose(told.drift)) if told.drift else ()),
        Heading(t("How long it serves")),
        Numbers(
            (
                show(
                    told.factor_life,
                    label=t("Set again by {again}, within", again=told.again),
                    decimals=0,
                ),
                show(told.life, label=t("Keeps, from the day it was made"), decimals=0),
            )
        ),
        Points(_keeping(told)),
        *unsaid_blocks(unsaid),
        caution_block("own-numbers"),
    ]
    return Page(
        title=t("Factor of {titrant} {nominal}", titrant=told.titrant, nominal=told.nominal),
        kind="titrant factor",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t("Against {standard}. Nothing is written in a book.", standard=told.standard),
        href=href,
    )


def _table(told: FactorTold) -> Table:
    titre, strength = told.replicates[0].titre.unit, told.found.strength.answer.unit
    rows: list[tuple[Cell, ...]] = [
        (str(at), f"{one.mass.value:.4f}", f"{one.titre.value:.2f}", f"{each.value:.5f}")
        for at, (one, each) in enumerate(zip(told.replicates, told.found.each, strict=True), 1)
    ]
    return Table(
        (
            "",
            t("Standard, g"),
            t("Titrant, {titre}", titre=titre),
            t("Strength, {strength}", strength=strength),
        ),
        tuple(rows),
        (1, 2, 3),
    )


def _keeping(told: FactorTold) -> tuple[str, ...]:
    where = t("At {room} in the room", room=told.room) if told.room else "At 25 °C"
    said = [
        t(
            "{where}, by the rule for {titrant}: {said_by}.",
            where=where,
            titrant=told.rule_of.titrant,
            said_by=told.rule_of.said_by,
        ),
        t("Your own log of factors replaces the rule."),
        t("The standard: {drying}.", drying=told.drying),
    ]
    if told.weak:
        said.insert(
            1,
            t(
                "Below 0.1 mol/L it does not keep: make it fresh by dilution, with water free of "
                "carbon dioxide (BP)."
            ),
        )
    return tuple(said)
