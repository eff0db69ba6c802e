"""The list of reagents: what I want to detect, safest first; what stands on the shelf; what to make."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

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
from stillroom.results.reagent_life import LifeRule
from stillroom.substances.reagent_care import Care, safest_first
from stillroom.substances.reagents import reagent

HREF = "/reagents"
SAFETY = {
    1: "safest",
    2: "with ordinary care",
    3: "with care, in the hood",
    4: "dangerous",
    5: "poison that stays",
}


@dataclass(frozen=True, slots=True)
class Shelved:
    """A bottle of reagent as it stands.

    Attributes
    ----------
    lot, name : str
    amount : str
    status : str
    use_by : LifeRule or None
        The rule that ends first.
    is_over : bool
        Whether that day has passed.
    """

    lot: str
    name: str
    amount: str
    status: str
    use_by: LifeRule | None
    is_over: bool


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
    shelf : sequence of Shelved
    to_make : sequence of str
        Sentences.
    own : sequence of (str, str)
        Titles and codes of reagent procedures written here.
    has_book : bool
    **page_facts
        As on every page.
    """
    blocks: list[Block] = []
    if to_make:
        blocks += [Heading("To make"), Points(tuple(to_make), "missing")]
    if shelf:
        rows = tuple(
            (
                Link(one.lot, f"/stock/{one.lot}"),
                one.name,
                one.amount,
                f"{one.use_by.last_day}: {one.use_by.says}" if one.use_by else "no date: no result",
                Mark("past its date" if one.is_over else one.status),
            )
            for one in shelf
        )
        blocks += [
            Heading("On the shelf"),
            Table(("Lot", "Reagent", "Left", "Use by, and why", "Stands"), rows),
        ]
    elif has_book:
        blocks.append(
            Empty("No reagent is on the shelf.", "Make one from a recipe below, or receive a bought one.")
        )
    for purpose, tests in safest_first():
        tests_rows = tuple(
            (
                Link(reagent(one.reagent).name, f"{HREF}/{one.reagent}"),
                "; ".join(said for said in (SAFETY[int(one.rank)], _to_mind(one)) if said),
                reagent(one.reagent).positive,
            )
            for one in tests
        )
        blocks += [
            Heading(f"I want to detect {purpose}"),
            Table(("Test, safest first", "Safety", "A positive is"), tests_rows),
        ]
    if own:
        blocks += [
            Heading("Recipes written here"),
            Table(("Recipe",), tuple((Link(title, f"{HREF}/{code}"),) for title, code in own)),
        ]
    blocks.append(
        Prose(
            "One test is a screening. It counts only with a blank, a positive control and a reagent in date.",
            quiet=True,
        )
    )
    lead = "Begin with the safest test that answers the question."
    return Page("Reagents", "reagents", "", tuple(blocks), lead=lead, href=HREF, **page_facts)


def _to_mind(care: Care) -> str:
    return "needs a tick" if care.tick else "nothing to mix" if no_mixture(care) else ""


def no_mixture(care: Care) -> bool:
    """Whether a test takes nothing that is mixed beforehand."""
    return not recipes_of(care.reagent)
