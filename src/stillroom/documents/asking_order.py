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
from stillroom.documents.rivers import river
from stillroom.documents.showing import number, show
from stillroom.planning.outcome import Plan, PlanLine
from stillroom.planning.working_days import WhenToBegin
from stillroom.texts.catalogue import t

FIRST = ("plant_g", "extract_g", "bulk_g", "all_stock_spirit_g", "bottles", "cost")
IN_ALL = ("plant_g", "all_stock_spirit_g", "cost")
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
        Prose(t("asking_order.assumed_figure_may_serve"), quiet=True),
        Heading(t("asking_order.to_buy")),
        Table(
            (t("asking_order.item"), t("asking_order.needed")),
            tuple((one.label, _needed(one.needed, one.unit)) for one in plan.buying),
            (1,),
        ),
        Heading(t("asking_order.what_it_costs")),
        Table(
            (t("asking_order.item"), plan.request.currency, "5–95 %"),
            tuple(
                (
                    one.item,
                    f"{one.amount:.2f}",
                    t("asking_order.low_high", low=one.low, high=one.high) if one.low < one.high else "",
                )
                for one in plan.costs
                if one.amount >= 0.005
            ),
            (1,),
        ),
        Heading(t("asking_order.active_plant_bottle")),
        river(plan.bends),
        *(caution_block(key) for key in _cautions(plan)),
    ]
    return Page(
        title=t(
            "asking_order.units_nominal_ml_product",
            units=order.units,
            nominal_ml=order.nominal_ml,
            product=order.product,
        ),
        kind="an order worked back",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "asking_order.due_nothing_written_book", plan=_aim(plan), casefold=way.casefold(), due=order.due
        ),
        href=href,
    )


def narrowest(plan: Plan) -> str:
    """What would narrow the answer most, as a sentence."""
    first = plan.doubts[0]
    what = first.name.rpartition("/")[2]
    if "assay" in first.name:
        what = t("asking_order.assay_plant")
    elif "loss on drying" in first.name:
        what = t("asking_order.drying_sample_plant")
    return t(
        "asking_order.would_narrow_most_doubt",
        first=what[:1].title(),
        rest=what[1:],
        share=100 * first.share,
    )


def _shown(line: PlanLine) -> Shown:
    decimals = 0 if line.key == "cost" or line.unit == "pieces" or line.value >= 100 else None
    span = (
        t("asking_order.low_high_with_low_high", low=_short(line.low), high=_short(line.high))
        if line.low < line.high
        else ""
    )
    return show(
        line.answer,
        label=t(f"asking_order.{line.key}") if line.key in IN_ALL else line.label,
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
            "asking_order.how_much_plant_needed",
            units=order.units,
            nominal_ml=order.nominal_ml,
            product=order.product,
            plan=_aim(plan),
            how_sure_percent=order.how_sure_percent,
        ),
        given=(
            (t("asking_order.bulk_to_make"), f"{number(lines['bulk_g'].value)} g"),
            (t("asking_order.content_plant"), f"{number(content.median)} %"),
            (
                t("asking_order.recovery_plant_extract"),
                t("asking_order.give_or_take", median=number(recovery.median)),
            ),
        ),
        blanks=(
            t("asking_order.active_in_the_bulk"),
            t("asking_order.plant_nothing_lost"),
            t("asking_order.plant_with_the_losses"),
        ),
        tempting=t("asking_order.divide_active_bulk_content"),
        tempting_answer=f"{number(naive_g)} g",
        how_far_off=t("asking_order.short_forgets_stays_marc", naive_g=number(naive_g), short=short),
        worked=(
            Numbers(tuple(_shown(lines[key]) for key in ("bulk_g", "active_g", "extract_g", "plant_g"))),
            Prose(plan.supply.sentence),
            river(plan.bends),
        ),
    )
