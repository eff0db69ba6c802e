"""The list of reagents: what I want to detect, safest first; what stands on the shelf; what to make."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.answers.reagent_life import LifeRule
from stillroom.documents.blocks import (
    Block,
    Empty,
    Heading,
    Link,
    Mark,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.records.reagent_recipes import recipes_of
from stillroom.substances.reagent_care import Care, safest_first
from stillroom.substances.reagents import reagent
from stillroom.texts.catalogue import later, t

HREF = "/reagents"
MOST_SHOWN = 40
"""Bottles on the shelf that the list shows; of those past their date it leaves out the oldest. [1]"""


@dataclass(frozen=True, slots=True)
class Shelved:
    """A bottle of reagent as it stands."""

    lot: str
    name: str
    amount: str
    status: str
    use_by: LifeRule | None
    """The rule that ends first."""
    is_over: bool
    """Whether that day has passed."""


RANKS = {
    1: later("lowest hazard of this list"),
    2: later("with goggles and gloves"),
    3: later("with care, in the hood"),
    4: later("dangerous"),
    5: later("toxic, accumulates"),
}
"""What the safety of a reagent ranks, 1 the least to fear."""


def reagents_page(
    shelf: Sequence[Shelved],
    to_make: Sequence[str],
    own: Sequence[tuple[str, str]],
    *,
    has_book: bool,
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The list: what is wanted, safest first; what stands on the shelf; what to make.

    Parameters
    ----------
    to_make : sequence of str
        Sentences.
    own : sequence of (str, str)
        Titles and codes of reagent procedures written here.
    **page_facts
        As on every page.
    """
    blocks: list[Block] = []
    if to_make:
        blocks += [Heading(t("To make")), Points(tuple(to_make), "missing")]
    if shelf:
        rows = tuple(
            (
                Link(one.lot, f"/stock/{one.lot}"),
                one.name,
                one.amount,
                f"{one.use_by.last_day}: {one.use_by.says}" if one.use_by else t("no date: no result"),
                Mark(t("past its date") if one.is_over else one.status),
            )
            for one in _shown(shelf)
        )
        blocks += [
            Heading(t("On the shelf")),
            Table(
                (
                    t("Lot"),
                    t("Reagent"),
                    t("Left"),
                    t("Use by, and why"),
                    t("Stands"),
                ),
                rows,
            ),
        ]
        if len(rows) < len(shelf):
            says = t(
                "Left out: {count} bottles past their date. They stand under Stock.",
                count=len(shelf) - len(rows),
            )
            blocks.append(Prose(says, quiet=True))
    elif has_book:
        blocks.append(
            Empty(
                t("No reagent is on the shelf."), t("Make one from a recipe below, or receive a bought one.")
            )
        )
    for purpose, tests in safest_first():
        tests_rows = tuple(
            (
                Link(reagent(one.reagent).name, f"{HREF}/{one.reagent}"),
                "; ".join(said for said in (t(RANKS[int(one.rank)]), _to_mind(one)) if said),
                reagent(one.reagent).positive,
            )
            for one in tests
        )
        blocks += [
            Heading(t("I want to detect {purpose}", purpose=purpose)),
            Table(
                (t("Test, lowest hazard first"), t("Safety"), t("A positive is")),
                tests_rows,
            ),
        ]
    if own:
        blocks += [
            Heading(t("Recipes written here")),
            Table((t("Recipe"),), tuple((Link(title, f"{HREF}/{code}"),) for title, code in own)),
        ]
    blocks.append(
        Prose(
            t(
                "One test is a screening. It counts only with a blank, a positive control and a "
                "reagent in date."
            ),
            quiet=True,
        )
    )
    lead = t("Begin with the lowest hazard test that answers the question.")
    return Page(t("Reagents"), "reagents", "", tuple(blocks), lead=lead, href=HREF, **page_facts)


def _shown(shelf: Sequence[Shelved]) -> list[Shelved]:
    """All bottles in date, and of the others the last that ended, as far as there is room."""
    over = [one for one in shelf if one.is_over]
    left_out = {one.lot for one in over[: max(0, len(shelf) - MOST_SHOWN)]}
    return [one for one in shelf if one.lot not in left_out]


def _to_mind(care: Care) -> str:
    return "needs a tick" if care.tick else t("nothing to mix") if no_mixture(care) else ""


def no_mixture(care: Care) -> bool:
    """Whether a test takes nothing that is mixed beforehand."""
    return not recipes_of(care.reagent)
