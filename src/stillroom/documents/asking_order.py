"""An order worked back with nothing set up: what to have, how long it takes, what it costs, what would narrow it."""

from collections.abc import Sequence
from typing import Unpack

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
from stillroom.documents.ordering import days_facts
from stillroom.documents.rivers import river
from stillroom.documents.showing import number, show
from stillroom.planning.outcome import Plan, PlanLine
from stillroom.planning.working_days import WhenToBegin

FIRST = ("plant_g", "extract_g", "bulk_g", "all_stock_spirit_g", "bottles", "cost")
IN_ALL = {"plant_g": "Plant to have", "all_stock_spirit_g": "Stock spirit to have", "cost": "What it costs"}


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
        days_facts(when),
        *([Points((narrowest(plan),))] if plan.doubts else []),
        Prose(plan.supply.sentence),
        Prose(plan.content.sentence),
        *unsaid_blocks(unsaid),
        Prose("An assumed figure may serve a plan, never a release, a certificate or a label.", quiet=True),
        Heading("To buy"),
        Table(
            ("Item", "Needed"),
            tuple((one.label, _needed(one.needed, one.unit)) for one in plan.buying),
            (1,),
        ),
        Heading("What it costs"),
        Table(
            ("Item", "EUR", "90 of 100"),
            tuple(
                (
                    one.item,
                    f"{one.amount:.2f}",
                    f"{one.low:.2f} to {one.high:.2f}" if one.low < one.high else "",
                )
                for one in plan.costs
                if one.amount >= 0.005
            ),
            (1,),
        ),
        Heading("The active, from plant to bottle"),
        river(plan.bends),
        *(caution_block(key) for key in _cautions(plan)),
    ]
    return Page(
        title=f"{order.units} × {order.nominal_ml:g} mL of {order.product}",
        kind="an order worked back",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"{_aim(plan)}, by {way.casefold()}, due {order.due}. Nothing is written in a book.",
        href=href,
    )


def narrowest(plan: Plan) -> str:
    """What would narrow the answer most, as a sentence."""
    first = plan.doubts[0]
    what = first.name.rpartition("/")[2]
    if "assay" in first.name:
        what = "an assay of the plant"
    elif "loss on drying" in first.name:
        what = "drying a sample of the plant"
    return (
        f"{what[:1].upper()}{what[1:]} would narrow it most: {100 * first.share:.0f} % of the doubt is there."
    )


def _shown(line: PlanLine) -> Shown:
    decimals = 0 if line.unit in ("EUR", "pieces") or line.value >= 100 else None
    span = f"{_short(line.low)} to {_short(line.high)}" if line.low < line.high else ""
    return show(line.answer, label=IN_ALL.get(line.key, line.label), decimals=decimals, span=span)


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
        question=f"How much plant is needed for {order.units} × {order.nominal_ml:g} mL of {order.product} with "
        f"{_aim(plan)}, so that {order.how_sure_percent:g} of 100 such batches are enough?",
        given=(
            ("Bulk to make", f"{number(lines['bulk_g'].value)} g"),
            ("Content of the plant, as is", f"{number(content.median)} %"),
            ("Recovery from plant to extract", f"{number(recovery.median)} %, give or take"),
        ),
        blanks=("Active in the bulk, g", "Plant if nothing were lost, g", "Plant with the losses, g"),
        tempting="Divide the active in the bulk by the content of the plant.",
        tempting_answer=f"{number(naive_g)} g",
        how_far_off=f"{number(naive_g)} g is {short:.0f} % short: it forgets what stays in the marc and on the way, "
        "and that the next lot and the next batch are weaker than the middle as often as not.",
        worked=(
            Numbers(tuple(_shown(lines[key]) for key in ("bulk_g", "active_g", "extract_g", "plant_g"))),
            Prose(plan.supply.sentence),
            river(plan.bends),
        ),
    )
