"""An order worked back with nothing set up: what to have, how long it takes, what it costs, what would narrow it."""

from collections.abc import Sequence
from typing import Unpack

from stillroom.documents.begin_by import days_facts
from stillroom.documents.blocks import (
    Block,
    Heading,
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
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.stream_diagram import river
from stillroom.planning.outcome import Plan, PlanLine
from stillroom.planning.working_days import WhenToBegin
from stillroom.texts.catalogue import between, later, t

FIRST = ("plant_g", "extract_g", "bulk_g", "all_stock_spirit_g", "bottles", "cost")
IN_ALL = {
    "plant_g": later("Plant to have"),
    "all_stock_spirit_g": later("Stock spirit to have"),
    "cost": later("What it costs"),
}
"""Lines that are called otherwise for a whole order."""


def asked_order_page(
    plan: Plan,
    when: WhenToBegin,
    unsaid: Sequence[Unsaid],
    *,
    way: str,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "what does this order take", on one page.

    Parameters
    ----------
    plan : Plan
    when : WhenToBegin
        How many days it takes, and when to begin.
    unsaid : sequence of Unsaid
        What nobody entered.
    way : str
        Title of the way of extracting.
    href : str
        Address of the question, with all that was entered.
    **page_facts
        As on every page.
    """
    order = plan.request.order
    lines = {line.key: line for line in plan.lines}
    blocks: list[Block] = [
        Numbers(tuple(_shown(lines[key]) for key in FIRST if key in lines)),
        days_facts(when, order.due),
        *([Points((narrowest(plan),))] if plan.doubts else []),
        Prose(plan.supply.sentence),
        Prose(plan.content.sentence),
        *unsaid_blocks(unsaid),
        Prose(
            t("An assumed figure may serve a plan, never a release, a certificate or a label."), quiet=True
        ),
        Heading(t("To buy")),
        Table(
            (t("Item"), t("Needed")),
            tuple((one.label, _needed(one.needed, one.unit)) for one in plan.buying),
            (1,),
        ),
        Heading(t("What it costs")),
        Table(
            (t("Item"), plan.request.currency, "5–95 %"),
            tuple(
                (
                    one.item,
                    f"{one.amount:.2f}",
                    between(f"{one.low:.2f}", f"{one.high:.2f}") if one.low < one.high else "",
                )
                for one in plan.costs
                if one.amount >= 0.005
            ),
            (1,),
        ),
        Heading(t("The active, from plant to bottle")),
        river(plan.bends),
        *(caution_block(key) for key in _cautions(plan)),
    ]
    return Page(
        title=t(
            "{units} × {nominal_ml:g} mL of {product}",
            units=order.units,
            nominal_ml=order.nominal_ml,
            product=order.product,
        ),
        kind="an order worked back",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "{plan}, by {casefold}, due {due}. Nothing is written in a book.",
            plan=_aim(plan),
            casefold=way.casefold(),
            due=order.due,
        ),
        href=href,
    )


def narrowest(plan: Plan) -> str:
    """What would narrow the answer most, as a sentence."""
    first = plan.doubts[0]
    what = first.name.rpartition("/")[2]
    if "assay" in first.name:
        what = t("an assay of the plant")
    elif "loss on drying" in first.name:
        what = t("drying a sample of the plant")
    return t(
        "{first}{rest} would narrow it most: {share:.0f} % of the doubt comes from it.",
        first=what[:1].title(),
        rest=what[1:],
        share=100 * first.share,
    )


def _shown(line: PlanLine) -> Shown:
    decimals = 0 if line.key == "cost" or line.unit == "pieces" or line.value >= 100 else None
    span = between(_short(line.low), _short(line.high)) if line.low < line.high else ""
    return show(
        line.answer,
        label=t(IN_ALL[line.key]) if line.key in IN_ALL else line.label,
        decimals=decimals,
        span=span,
    )


def _aim(plan: Plan) -> str:
    aim = plan.request.order.aim
    return f"{aim.percent:g} % w/w {aim.counted}"


def _short(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def _needed(value: float, unit: str) -> str:
    return f"{value:.0f}" if unit == "pieces" else f"{_short(value)} {unit}"


def _cautions(plan: Plan) -> tuple[str, ...]:
    named = [key for step in plan.request.extraction.steps for key in step.cautions]
    return tuple(dict.fromkeys(named))[:4]


def order_lesson(plan: Plan) -> Lesson:
    """The same answer as a lesson: dividing by the content of the plant is the tempting way.

    Parameters
    ----------
    plan : Plan
    """
    order = plan.request.order
    lines = {line.key: line for line in plan.lines}
    active, content, recovery = (
        lines[key] for key in ("active_g", "plant_content_percent", "recovery_percent")
    )
    naive_g = active.value / (content.median / 100.0)
    short = 100.0 * (1.0 - naive_g / plan.supply.plant_g)
    return Lesson(
        question=t(
            "How much plant is needed for {units} × {nominal_ml:g} mL of {product} with {plan}, "
            "so that {how_sure_percent:g} of 100 such batches are enough?",
            units=order.units,
            nominal_ml=order.nominal_ml,
            product=order.product,
            plan=_aim(plan),
            how_sure_percent=order.how_sure_percent,
        ),
        given=(
            (t("Bulk to make"), f"{number(lines['bulk_g'].value)} g"),
            (t("Content of the plant, as is"), f"{number(content.median)} %"),
            (
                t("Recovery from plant to extract"),
                t("{median} %, give or take", median=number(recovery.median)),
            ),
        ),
        blanks=(
            t("Active in the bulk, g"),
            t("Plant if nothing were lost, g"),
            t("Plant with the losses, g"),
        ),
        tempting=t("Divide the active in the bulk by the content of the plant."),
        tempting_answer=f"{number(naive_g)} g",
        how_far_off=t(
            "{naive_g} g is {short:.0f} % short: it forgets what stays in the marc and on the way, "
            "and that half of all lots and batches are weaker than the median.",
            naive_g=number(naive_g),
            short=short,
        ),
        worked=(
            Numbers(tuple(_shown(lines[key]) for key in ("bulk_g", "active_g", "extract_g", "plant_g"))),
            Prose(plan.supply.sentence),
            river(plan.bends),
        ),
    )
