"""The customer's order and the plan worked back from it."""

import re
from collections.abc import Mapping, Sequence
from typing import Unpack

from stillroom.documents.begin_by import days_facts
from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    Link,
    Mark,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Shown,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.rivers import river
from stillroom.documents.setting_words import said_of_setting
from stillroom.documents.showing import number, show
from stillroom.planning import outcome as planned
from stillroom.planning.outcome import Plan, PlanLine
from stillroom.planning.working_days import WhenToBegin
from stillroom.records.orders import Order
from stillroom.texts.catalogue import t

UNIT_AT_THE_END = re.compile(
    r"_(share|g|w|g_per_g|ml_per_g|ml_per_min_kg|min_per_kg|mg_per_kg|mass_fraction|volume_fraction_20c)$"
)

GRAVEST = ("spirit-law", "flammable-vapour", "heat-without-cooling", "ammonia-and-solvent")
GROUPS = (
    ("bottles", "bulk"),
    ("active",),
    ("extraction",),
    ("plant",),
    ("spirit",),
    ("reagents",),
    ("formula",),
    ("packaging",),
    ("water",),
    ("hours",),
    ("money",),
    ("content",),
)


def order_blocks(order: Order) -> list[Block]:
    """What the customer asked for."""
    return [
        Facts(
            (
                (t("ordering.customer"), order.customer),
                (t("ordering.product"), f"{order.product} ({order.product_type}, {order.market})"),
                (
                    t("ordering.bottles"),
                    t("ordering.units_nominal_ml", units=order.units, nominal_ml=order.nominal_ml),
                ),
                *_dosed_facts(order),
            )
        ),
        *([Prose(order.notes)] if order.notes else []),
    ]


def _dosed_facts(order: Order) -> tuple[tuple[str, str], ...]:
    """How strong, when, how surely and by which procedures."""
    due = (t("ordering.due"), order.due)
    if order.is_plain:
        return (t("ordering.aim"), t("ordering.nothing_dosed")), due, (t("ordering.made_by"), order.formula)
    return (
        (t("ordering.aim"), order.aim.as_written),
        (t("ordering.declared_at_least"), order.at_least.as_written),
        due,
        (t("ordering.how_sure"), t("ordering.of_such_batches", how_sure_percent=order.how_sure_percent)),
        (
            t("ordering.made_by"),
            t("ordering.extraction_then_formula", extraction=order.extraction, formula=order.formula)
            if order.extraction
            else t("ordering.bought_then_formula", formula=order.formula),
        ),
    )


def order_page(
    order: Order,
    *,
    batches: tuple[tuple[str, str, str], ...],
    plans: tuple[tuple[int, str], ...],
    delivered: tuple[tuple[str, int], ...],
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The order as a page.

    Parameters
    ----------
    order : Order
    batches : tuple of (code, title, where it stands)
    plans : tuple of (entry number, when)
        Plans kept for it.
    delivered : tuple of (lot, bottles)
    **page_facts
        As on every page.
    """
    blocks = order_blocks(order)
    blocks.append(Heading(t("ordering.what_comes_next")))
    if not plans and order.is_worked_back:
        blocks.append(Points((t("ordering.work_back_plant_nothing"),), "missing"))
    for entry_no, when in plans:
        blocks.append(Prose(t("ordering.plan_kept_on_entry", when=when, entry_no=entry_no)))
    if batches:
        rows = tuple((Link(code, f"/make/{code}"), title, stands) for code, title, stands in batches)
        blocks.append(Table((t("ordering.batch"), "Of", t("ordering.stands_at")), rows))
    gone = sum(units for _, units in delivered)
    if delivered:
        gone_rows = tuple((Link(lot, f"/stock/{lot}"), str(units)) for lot, units in delivered)
        blocks += [
            Heading(t("ordering.delivered")),
            Table((t("ordering.lot"), t("ordering.bottles")), gone_rows, (1,)),
        ]
    return Page(
        title=t("ordering.bottles_of", units=order.units, product=order.product),
        kind="customer's order",
        code=order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("ordering.of_delivered_due", gone=gone, units=order.units, due=order.due)
        if gone
        else t("ordering.due_due", due=order.due),
        href=f"/orders/{order.code}",
    )


def plan_page(
    plan: Plan,
    when: WhenToBegin,
    *,
    kept_as: int | None = None,
    changed: Sequence[Block] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The plan: two answers kept apart, every line with its spread, the buying list at the end.

    Parameters
    ----------
    plan : Plan
    when : WhenToBegin
        How many days it takes, and when to begin.
    kept_as : int or None
        Entry it was kept under.
    changed : sequence of Block
        What changed against the plan before, and since this one was kept.
    **page_facts
        As on every page.
    """
    order = plan.request.order
    blocks: list[Block] = [
        Heading(t("ordering.how_much_plant")),
        Prose(plan.supply.sentence),
        *(
            [Prose(t("ordering.planned_with_lot", lot=plan.request.plant_lot))]
            if plan.request.plant_lot
            else []
        ),
        *changed,
        Heading(t("ordering.how_strong_will")),
        Prose(plan.content.sentence),
        *([Points(plan.not_known, "missing")] if plan.not_known else []),
        Heading(t("ordering.when_to_begin")),
        days_facts(when, order.due),
        river(plan.bends),
        Heading(t("ordering.the_order"), folded=True),
        *order_blocks(order),
        Heading(t("ordering.line_by_line")),
        Prose(
            t("ordering.each_line_whole_order"),
            quiet=True,
        ),
    ]
    for groups in GROUPS:
        lines = [line for line in plan.lines if line.group in groups]
        if lines:
            blocks += [Heading(t(f"plan_group.{groups[0]}"), 3, folded=True), _lines_table(order.code, lines)]
    rest = [line for line in plan.lines if not any(line.group in groups for groups in GROUPS)]
    if rest:
        blocks += [Heading(t("ordering.further_lines"), 3, folded=True), _lines_table(order.code, rest)]
    blocks += _step_by_step(plan.steps)
    blocks += [
        Heading(t("ordering.what_to_measure_first"), folded=True),
        Prose(t("ordering.inputs_share_doubt_about")),
        Table(
            (
                t("ordering.input"),
                t("ordering.share_of_the_doubt"),
                t("ordering.it_is"),
                t("ordering.because"),
            ),
            tuple(
                (in_short(one.name), f"{100 * one.share:.0f} %", Mark(one.origin), one.because)
                for one in plan.doubts
            ),
            (1,),
        ),
        Heading(t("ordering.buying_list"), folded=True),
        Table(
            (
                t("ordering.item"),
                t("ordering.needed"),
                t("ordering.on_the_shelf"),
                t("ordering.to_buy"),
                t("ordering.because"),
            ),
            tuple(
                (
                    one.label,
                    _amount(one.needed, one.unit),
                    _amount(one.have, one.unit),
                    _amount(one.to_buy, one.unit),
                    one.because,
                )
                for one in plan.buying
            ),
            (1, 2, 3),
        ),
        Heading(t("ordering.money"), folded=True),
        Table(
            (t("ordering.item"), plan.request.currency, "5–95 %", "At"),
            tuple(
                (
                    one.item,
                    f"{one.amount:.2f}",
                    _from_to(f"{one.low:.2f}", f"{one.high:.2f}"),
                    f"{one.price:g} {one.price_unit}",
                )
                for one in plan.costs
            ),
            (1,),
        ),
        PenLines((t("ordering.agreed_customer"), t("ordering.bought_on"))),
        Heading(t("ordering.before_anything_is_heated"), folded=True),
        *(caution_block(key) for key in _cautions(plan)),
    ]
    return Page(
        title=t("ordering.plan_for_bottles_of", units=order.units, product=order.product),
        kind="plan",
        code=order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("ordering.kept_as_entry", kept_as=kept_as) if kept_as else t("ordering.not_kept_yet_nothing"),
        href=f"/orders/{order.code}/plan",
    )


def charge_page(found: planned.Forecast, *, charge: str, **page_facts: Unpack[PageFacts]) -> Page:
    """What a charge of a given mass of plant would give, line by line and step by step."""
    blocks: list[Block] = [
        river(found.bends, ends=t("ordering.in_the_extract")),
        Heading(t("ordering.line_by_line")),
    ]
    blocks.append(_lines_table(found.request.order.code, list(found.lines)))
    blocks += _step_by_step(found.steps)
    return Page(
        title=t("ordering.plant_would_give", charge=charge),
        kind="forecast",
        code=found.request.order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("ordering.forecast_nothing_written_book"),
    )


def _step_by_step(steps: Sequence[planned.StepForecast]) -> list[Block]:
    def amounts(masses: Mapping[str, float]) -> str:
        return ", ".join(f"{name} {number(mass_g)} g" for name, mass_g in masses.items()) or "nothing"

    rows = tuple(
        (
            one.step,
            amounts(one.into_g),
            amounts(one.out_g),
            amounts(one.losses_g),
            f"{one.hands_min:.0f} / {one.watch_min:.0f} / {one.free_min:.0f}",
        )
        for one in steps
    )
    return [
        Heading(t("rivers.step_by_step"), folded=True),
        Table(
            (
                t("ordering.step"),
                t("ordering.takes"),
                t("ordering.gives"),
                t("ordering.loses"),
                t("ordering.hands_watch_free_min"),
            ),
            rows,
            caption=t("ordering.medians"),
        ),
    ]


def _part_in_words(part: str) -> str:
    """A setting in the trade's words, an amount of a line without its unit, anything else as it stands."""
    return said_of_setting(part) or (UNIT_AT_THE_END.sub("", part) or part).replace("_", " ")


def in_short(name: str) -> str:
    """The global name of an input as a person says it: "shake out: partition ratio", "CIN-01: assay"."""
    parts = [_part_in_words(part).removeprefix("lot ") for part in name.split("/")]
    if parts[0] == "assumed":
        return parts[-1]
    return ": ".join(parts[-2:])


def line_shown(line: PlanLine) -> Shown:
    """One line of the plan as a number with its reason."""
    return show(
        line.answer,
        label=line.label,
        span=t("ordering.low_high", low=number(line.low), high=number(line.high)),
    )


def _lines_table(order: str, lines: list[PlanLine]) -> Table:
    rows = tuple(
        (
            line.label,
            Shown(
                label=line.label,
                value=_figure(line, line.value),
                unit=line.unit,
                how=line.says,
                exact=line.value,
                answer=line.answer.key,
                href=f"/why/plan/{order}/{line.key}",
            ),
            _figure(line, line.median),
            _range(line),
            _moved_by(line),
        )
        for line in lines
    )
    return Table(
        (
            t("ordering.line"),
            t("ordering.have"),
            t("ordering.middle"),
            "5–95 %",
            t("ordering.moved_most_by"),
        ),
        rows,
        (1, 2),
    )


def _figure(line: PlanLine, value: float) -> str:
    return f"{value:.0f}" if line.unit == "pieces" else number(value)


def _range(line: PlanLine) -> str:
    return _from_to(_figure(line, line.low), _figure(line, line.high))


def _from_to(low: str, high: str) -> str:
    return "fixed" if low == high else t("ordering.low_high", low=low, high=high)


def _moved_by(line: PlanLine) -> str:
    if not line.largest_input or _range(line) == "fixed":
        return ""
    note = f" ({line.note})" if line.note else ""
    return f"{in_short(line.largest_input)}, {100 * line.largest_share:.0f} %{note}"


def _amount(value: float, unit: str) -> str:
    return f"{value:.0f} {unit}" if unit == "pieces" else f"{number(value)} {unit}".strip()


def _cautions(plan: Plan) -> tuple[str, ...]:
    """What the steps of the extraction warn of, the gravest first; at most four."""
    named = dict.fromkeys(key for step in plan.request.extraction.steps for key in step.cautions)
    return tuple(dict.fromkeys((*(key for key in GRAVEST if key in named), *named)))[:4]
