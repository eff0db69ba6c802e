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
from stillroom.texts.catalogue import t

HREF = "/reagents"


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
        blocks += [Heading(t("reagents.to_make")), Points(tuple(to_make), "missing")]
    if shelf:
        rows = tuple(
            (
                Link(one.lot, f"/stock/{one.lot}"),
                one.name,
                one.amount,
                f"{one.use_by.last_day}: {one.use_by.says}"
                if one.use_by
                else t("reagents.no_date_no_result"),
                Mark(t("reagents.past_its_date") if one.is_over else one.status),
            )
            for one in shelf
        )
        blocks += [
            Heading(t("reagents.on_the_shelf")),
            Table(
                (
                    t("reagents.lot"),
                    t("reagents.reagent"),
                    t("reagents.left"),
                    t("reagents.use_by_and_why"),
                    t("reagents.stands"),
                ),
                rows,
            ),
        ]
    elif has_book:
        blocks.append(Empty(t("reagents.no_reagent_shelf"), t("reagents.make_recipe_below_receive")))
    for purpose, tests in safest_first():
        tests_rows = tuple(
            (
                Link(reagent(one.reagent).name, f"{HREF}/{one.reagent}"),
                "; ".join(
                    said for said in (t(f"reagent_safety.rank_{int(one.rank)}"), _to_mind(one)) if said
                ),
                reagent(one.reagent).positive,
            )
            for one in tests
        )
        blocks += [
            Heading(t("reagents.i_want_to_detect", purpose=purpose)),
            Table(
                (t("reagents.test_safest_first"), t("reagents.safety"), t("reagents.a_positive_is")),
                tests_rows,
            ),
        ]
    if own:
        blocks += [
            Heading(t("reagents.recipes_written_here")),
            Table((t("reagents.recipe"),), tuple((Link(title, f"{HREF}/{code}"),) for title, code in own)),
        ]
    blocks.append(
        Prose(
            t("reagents.test_screening_counts_only"),
            quiet=True,
        )
    )
    lead = t("reagents.begin_safest_test_answers")
    return Page(t("reagents.reagents"), "reagents", "", tuple(blocks), lead=lead, href=HREF, **page_facts)


def _to_mind(care: Care) -> str:
    return "needs a tick" if care.tick else t("reagents.nothing_to_mix") if no_mixture(care) else ""


def no_mixture(care: Care) -> bool:
    """Whether a test takes nothing that is mixed beforehand."""
    return not recipes_of(care.reagent)
