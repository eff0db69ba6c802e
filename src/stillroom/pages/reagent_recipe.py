"""One reagent as a page: its recipe at an amount, or why it stays closed; what it shows and what deceives; its sheet.

Promises the order and the cautions at the step, and no recipe of a dangerous reagent before the responsible person's
tick. Reckons nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Caution,
    Cell,
    Facts,
    Heading,
    Link,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import BadEntry
from stillroom.pages.reagent_shelf import HREF, RANKS, no_mixture
from stillroom.products.reagent import ReagentLine, ScaledReagent
from stillroom.records.procedures import Procedure
from stillroom.substances.reagent_care import Care, signal_of, statements
from stillroom.substances.reagents import Reagent, reagent
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class RecipeFacts:
    """What the page of a recipe is made from."""

    name: str
    """Recipe, or a test that takes no mixture."""
    care: Care | None
    procedure: Procedure | None
    """None where the test takes no mixture."""
    scaled: ScaledReagent | None
    """None where it is closed, or takes no mixture."""
    hazards: str = ""
    container: str = ""
    comes_from: str = ""
    parts: tuple[tuple[str, str], ...] = ()
    """Other recipes of the same reagent: title and name."""
    cost: str = ""
    needs_tick: bool = False
    """Whether the tick is missing."""
    has_book: bool = False
    asked: Mapping[str, str] = field(default_factory=dict)
    """Amount and step as they were asked."""


def recipe_page(facts: RecipeFacts, href: str = "", **page_facts: Unpack[PageFacts]) -> Page:
    """One reagent: what it shows and what deceives; its recipe at the amount asked, or why it stays closed.

    Parameters
    ----------
    href : str
        Address with what was asked.
    **page_facts
        As on every page.
    """
    care = facts.care
    known = reagent(care.reagent) if care else None
    title = facts.procedure.title if facts.procedure else known.name if known else facts.name
    blocks: list[Block] = []
    lead = (
        t(
            "For {purpose}: {safety}.",
            purpose=care.purpose,
            safety=t(RANKS[int(care.rank)]),
        )
        if care
        else t("Written here.")
    )
    if facts.needs_tick and care:
        blocks += _closed(care, has_book=facts.has_book)
    elif facts.scaled:
        blocks += _recipe(facts, facts.scaled)
    elif care:
        blocks += _method(care)
    if facts.parts and not facts.needs_tick:
        blocks += [
            Heading(t("Its other recipes")),
            Table(
                (t("Recipe"),),
                tuple((Link(words, f"{HREF}/{name}"),) for words, name in facts.parts),
            ),
        ]
    if known and care:
        blocks += _what_it_shows(known, care, facts)
    return Page(
        title,
        "reagent",
        facts.name,
        tuple(blocks),
        lead=lead,
        href=href or f"{HREF}/{facts.name}",
        **page_facts,
    )


def making_sheet(facts: RecipeFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """The sheet to make it by: what to take, room for what the scale showed, ticks, cautions.

    Parameters
    ----------
    facts : RecipeFacts
        Of a recipe that is open.
    **page_facts
        As on every page.
    """
    scaled, procedure = facts.scaled, facts.procedure
    if scaled is None or procedure is None:
        raise BadEntry("A making sheet is of a recipe", facts.name)
    step = procedure.steps[0]
    rows = tuple((one.line.name, _mass(one), _volume(one), "", "") for one in scaled.lines)
    blocks: list[Block] = [
        *(caution_block(key) for key in step.cautions),
        Table(
            (t("Take"), "g", "mL", t("Weighed"), t("Lot")),
            rows,
            (1, 2),
            pen=(3, 4),
        ),
        Prose(step.says),
        *([Points(step.ticks, "missing")] if step.ticks else []),
        *_coarse(scaled),
        Facts(
            (
                (t("Bottle"), facts.container or t("not stated")),
                (t("Keeps"), _keeps(procedure)),
                (
                    t("Waste"),
                    facts.care.waste if facts.care else t("not stated"),
                ),
            )
        ),
        PenLines(
            (
                t("Lot"),
                t("Made on"),
                "By",
                t("Blank"),
                t("Positive control"),
                t("Checked by"),
            )
        ),
    ]
    amount = f"{scaled.amount.value:g} {scaled.amount.unit}"
    return Page(
        f"{procedure.title}: {amount}",
        "making sheet",
        facts.name,
        tuple(blocks),
        lead=t(
            "Recipe {procedure_code}, version {version}.",
            procedure_code=procedure.code,
            version=procedure.version,
        ),
        **page_facts,
    )


def _recipe(facts: RecipeFacts, scaled: ScaledReagent) -> list[Block]:
    procedure = scaled.procedure
    step = procedure.steps[0]
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (one.line.name, one.line.substance, _shown_mass(one), _shown_volume(one)) for one in scaled.lines
    )
    amount = f"{scaled.amount.value:g} {scaled.amount.unit}"
    blocks: list[Block] = [
        *(caution_block(key) for key in step.cautions),
        Heading(t("For {amount}", amount=amount)),
        Table((t("Take"), t("What"), "g", "mL"), rows, (2, 3)),
        *_coarse(scaled),
        Heading(t("How")),
        Prose(step.says),
        *([Points(step.ticks, "missing")] if step.ticks else []),
    ]
    if procedure.notes:
        blocks.append(Prose(procedure.notes))
    found = statements(facts.hazards)
    signal = signal_of(found)
    if found:
        wording = " ".join(f"{one.statement} {one.wording}" for one in found)
        blocks.append(
            Caution(
                t("{signal}: hazards of what goes in", signal=signal),
                t("making, spilling, pouring away"),
                t(
                    "{wording} The mixture itself was not classified; the wordings are from memory.",
                    wording=wording,
                ),
            )
        )
    pairs: list[tuple[str, Cell]] = [
        (t("Bottle"), facts.container or t("not stated")),
        (t("Keeps"), _keeps(procedure)),
        (t("Waste"), facts.care.waste if facts.care else t("not stated")),
        (t("Cost"), facts.cost),
        (t("Recipe from"), facts.comes_from or t("written here")),
    ]
    if facts.care and facts.care.permit:
        pairs.append(
            (
                t("May need a permit here"),
                t("{permit} (common practice): ask the authority", permit=facts.care.permit),
            )
        )
    return [*blocks, Heading(t("The bottle")), Facts(tuple(pairs))]


def _closed(care: Care, *, has_book: bool) -> list[Block]:
    where = (
        t("The responsible person can tick it, with the reason.")
        if has_book
        else t("It must be ticked in a book by the responsible person, and no laboratory is open.")
    )
    blocks: list[Block] = [
        Caution(
            care.tick.partition(":")[0].capitalize(),
            t("choosing a test"),
            t(
                "{tick}{rest}. Is there a test of lower hazard?",
                tick=care.tick[:1].title(),
                rest=care.tick[1:],
            ),
        ),
        Heading(t("The recipe stays closed")),
        Prose(where),
    ]
    pairs: list[tuple[str, Cell]] = [(t("Waste"), care.waste)]
    if care.safer:
        pairs.insert(0, (t("A test of lower hazard"), Link(reagent(care.safer).name, f"{HREF}/{care.safer}")))
    if care.permit:
        pairs.append(
            (
                t("May need a permit here"),
                t("{permit} (common practice): ask the authority", permit=care.permit),
            )
        )
    return [*blocks, Facts(tuple(pairs))]


def _method(care: Care) -> list[Block]:
    if not no_mixture(care):
        return []
    return [
        *(caution_block(key) for key in care.cautions),
        Heading(t("Nothing is mixed beforehand")),
        Prose(t("It is a test, not a reagent in a bottle. It needs:")),
        Points(care.needs),
        Facts(((t("Waste"), care.waste),)),
    ]


def _what_it_shows(known: Reagent, care: Care, facts: RecipeFacts) -> list[Block]:
    pairs: list[tuple[str, Cell]] = [
        (t("Detects"), known.detects),
        (t("A positive is"), known.positive),
        (t("False positives"), known.false_positive),
        (t("False negatives"), known.false_negative),
        (t("Controls"), known.controls),
        (t("Storage"), known.storage or t("not stated")),
        (t("Keeps"), known.life or t("not stated")),
    ]
    if not facts.needs_tick:
        pairs += [
            (t("Composition as printed"), known.composition),
            (t("Printed in"), known.printed_in),
        ]
    if care.needs and facts.procedure:
        pairs.append((t("The test also needs"), "; ".join(care.needs)))
    if known.cautions:
        pairs.append((t("Mind"), "; ".join(known.cautions)))
    if facts.procedure is None or facts.needs_tick:
        pairs.append((t("Hazards"), known.hazards))
    if care.safer and not facts.needs_tick:
        pairs.append((t("A test of lower hazard"), Link(reagent(care.safer).name, f"{HREF}/{care.safer}")))
    told = facts.procedure.steps[0].cautions if facts.procedure else _method(care) and care.cautions
    besides = [caution_block(key) for key in care.cautions if key not in told]
    return [Heading(t("What it shows, and what deceives it")), *besides, Facts(tuple(pairs))]


def _coarse(scaled: ScaledReagent) -> list[Block]:
    said = [f"{one.line.name}: {one.too_few_steps}." for one in scaled.lines if one.too_few_steps]
    return [Points(tuple(said), "missing")] if said else []


def _keeps(procedure: Procedure) -> str:
    days = procedure.keeps_days
    if not days:
        return t("not stated")
    return (
        t("for the day it is made")
        if days == 1
        else t("{days} days, closed (common practice); a control on the day counts more", days=days)
    )


def _shown_mass(one: ReagentLine) -> Cell:
    return replace(show(one.mass, decimals=_decimals(one)), unit="") if one.mass is not None else ""


def _shown_volume(one: ReagentLine) -> Cell:
    if one.volume is None:
        return ""
    shown = replace(show(one.volume, decimals=1 if one.volume.value >= 1 else 2), unit="")
    return t("fill up to {shown}", shown=shown.value) if one.fills else shown


def _mass(one: ReagentLine) -> str:
    return number(one.mass.value, _decimals(one)) if one.mass is not None else ""


def _volume(one: ReagentLine) -> str:
    if one.volume is None:
        return ""
    text = number(one.volume.value, 1 if one.volume.value >= 1 else 2)
    return t("up to {text}", text=text) if one.fills else text


def _decimals(one: ReagentLine) -> int:
    grams = one.mass.value if one.mass is not None else 0.0
    exponent = Decimal(repr(round(grams, 6))).normalize().as_tuple().exponent
    return min(max(-int(exponent), 2), 4)
