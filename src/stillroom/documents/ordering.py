"""The plan worked back from a customer's order, as a page."""

import re
from collections.abc import Mapping, Sequence
from typing import Unpack

from stillroom.documents.begin_by import days_facts
from stillroom.documents.blocks import (
    Block,
    Heading,
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
from stillroom.documents.customers_order import order_blocks
from stillroom.documents.how_it_runs import runs_blocks
from stillroom.documents.numbers_shown import number
from stillroom.documents.setting_words import said_of_setting
from stillroom.documents.stream_diagram import river
from stillroom.planning import outcome as planned
from stillroom.planning.outcome import Plan, PlanLine
from stillroom.planning.working_days import WhenToBegin
from stillroom.quantities.money import amount_text
from stillroom.stream.cautions import cautions_of
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import between, later, t

UNIT_AT_THE_END = re.compile(
    r"_(share|g|w|g_per_g|ml_per_g|ml_per_min_kg|min_per_kg|mg_per_kg|mass_fraction|volume_fraction_20c)$"
)

GRAVEST = ("spirit-law", "flammable-vapour", "heat-without-cooling", "ammonia-and-solvent")
GROUPS = {
    ("bottles", "bulk"): later("Bottles and bulk"),
    ("active",): later("The active"),
    ("extraction",): later("The extraction"),
    ("plant",): later("The plant"),
    ("spirit",): later("The spirit"),
    ("reagents",): later("Acids, bases, solvents"),
    ("formula",): later("The rest of the formula"),
    ("packaging",): later("Packaging"),
    ("water",): later("Water"),
    ("hours",): later("Hours and electricity"),
    ("money",): later("Money"),
    ("content",): later("The content"),
}


def plan_page(
    plan: Plan,
    when: WhenToBegin,
    *,
    kept_as: int | None = None,
    changed: Sequence[Block] = (),
    stale: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The plan: two answers kept apart, when to begin and what to buy, then every line with its spread.

    Parameters
    ----------
    kept_as : int or None
        Entry it was kept under.
    changed : sequence of Block
        What changed against the plan before, and since this one was kept.
    stale : str
        What it says no longer: stands first.
    **page_facts
        As on every page.
    """
    order = plan.request.order
    blocks: list[Block] = [
        *([Points((stale,), "missing")] if stale else []),
        Heading(t("How much plant")),
        Prose(plan.supply.sentence),
        *(
            [Prose(t("Planned with lot {lot}.", lot=plan.request.plant_lot))]
            if plan.request.plant_lot
            else []
        ),
        *changed,
        Heading(t("How strong it will be")),
        Prose(plan.content.sentence),
        *([Points(plan.not_known, "missing")] if plan.not_known else []),
        Heading(t("When to begin")),
        days_facts(when, order.due),
        *_worked_out(plan),
    ]
    return Page(
        title=t(
            "Plan for {amount} of {product}", amount=order.content.counted(order.units), product=order.product
        ),
        kind="plan",
        code=order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("Kept as entry {kept_as}.", kept_as=kept_as)
        if kept_as
        else t("Not kept yet: nothing is written in the book."),
        href=f"/orders/{order.code}/plan",
    )


@remember(8)
def _worked_out(plan: Plan) -> tuple[Block, ...]:
    """What follows from the plan alone, whatever the day and whatever was entered since: told once."""
    order = plan.request.order
    blocks: list[Block] = [
        Heading(t("Buying list"), folded=True),
        Table(
            (
                t("Item"),
                t("Needed"),
                t("On the shelf"),
                t("To buy"),
                t("Because"),
            ),
            tuple(
                (
                    one.label,
                    _amount(one.needed, one.unit),
                    _had(one),
                    _amount(one.to_buy, one.unit),
                    one.because,
                )
                for one in plan.buying
            ),
            (1, 2, 3),
        ),
        Heading(t("Money"), folded=True),
        Table(
            (t("Item"), plan.request.currency, "5–95 %", "At"),
            tuple(
                (
                    one.item,
                    amount_text(one.amount, plan.request.currency),
                    _from_to(*(amount_text(at, plan.request.currency) for at in (one.low, one.high))),
                    f"{one.price:g} {one.price_unit}",
                )
                for one in plan.costs
            ),
            (1,),
        ),
        PenLines((t("Agreed with the customer on"), t("Bought on"))),
        Heading(t("Before anything is heated"), folded=True),
        *(caution_block(key) for key in _cautions(plan)),
        *runs_blocks(plan.steps, folded=True),
        river(plan.bends),
        Heading(t("The order"), folded=True),
        *order_blocks(order),
        Heading(t("Line by line")),
        Prose(
            t(
                "Each line: what to have for the whole order, the median, the range from 5 to 95 %, "
                "and the main cause of the spread."
            ),
            quiet=True,
        ),
    ]
    for groups, called in GROUPS.items():
        lines = [line for line in plan.lines if line.group in groups]
        if lines:
            blocks += [Heading(t(called), 3, folded=True), _lines_table(order.code, lines)]
    rest = [line for line in plan.lines if not any(line.group in groups for groups in GROUPS)]
    if rest:
        blocks += [Heading(t("Further lines"), 3, folded=True), _lines_table(order.code, rest)]
    blocks += _step_by_step(plan.steps)
    blocks += [
        Heading(t("What to measure first"), folded=True),
        Prose(
            t(
                "The inputs by their share of the doubt about the plant. An assumed figure may serve "
                "a plan, never a release, a certificate or a label."
            )
        ),
        Table(
            (
                t("Input"),
                t("Share of the doubt"),
                t("It is"),
                t("Because"),
            ),
            tuple(
                (in_short(one.name), f"{100 * one.share:.0f} %", Mark(one.origin), one.because)
                for one in plan.doubts
            ),
            (1,),
        ),
    ]
    return tuple(blocks)


def charge_page(found: planned.Forecast, *, charge: str, **page_facts: Unpack[PageFacts]) -> Page:
    """What a charge of a given mass of plant would give, line by line and step by step."""
    blocks: list[Block] = [river(found.bends, ends=t("in the extract")), Heading(t("Line by line"))]
    blocks.append(_lines_table(found.request.order.code, list(found.lines)))
    blocks += [*runs_blocks(found.steps), *_step_by_step(found.steps)]
    return Page(
        title=t("What {charge} of plant would give", charge=charge),
        kind="forecast",
        code=found.request.order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("A forecast: nothing is written in the book."),
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
        Heading(t("Step by step"), folded=True),
        Table(
            (
                t("Step"),
                t("Takes"),
                t("Gives"),
                t("Loses"),
                t("Hands / watch / free, min"),
            ),
            rows,
            caption=t("Medians."),
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
                u=line.answer.standard_uncertainty,
                name=line.key,
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
            t("Line"),
            t("To have"),
            t("Median"),
            "5–95 %",
            t("Main cause of spread"),
        ),
        rows,
        (1, 2),
    )


def _figure(line: PlanLine, value: float) -> str:
    return f"{value:.0f}" if line.unit == "pieces" else number(value)


def _range(line: PlanLine) -> str:
    return _from_to(_figure(line, line.low), _figure(line, line.high))


def _from_to(low: str, high: str) -> str:
    return "fixed" if low == high else between(low, high)


def _moved_by(line: PlanLine) -> str:
    if not line.largest_input or _range(line) == "fixed":
        return ""
    note = f" ({line.note})" if line.note else ""
    return f"{in_short(line.largest_input)}, {100 * line.largest_share:.0f} %{note}"


def _had(one: planned.Purchase) -> str:
    had = _amount(one.have, one.unit)
    return t("{amount}, the last of it comes {day}", amount=had, day=one.comes) if one.comes else had


def _amount(value: float, unit: str) -> str:
    return f"{value:.0f} {unit}" if unit == "pieces" else f"{number(value)} {unit}".strip()


def _cautions(plan: Plan) -> tuple[str, ...]:
    """What the steps of the extraction warn of, the gravest first; at most four."""
    takes = [line.substance for line in plan.request.extraction.lines]
    named = dict.fromkeys(key for step in plan.request.extraction.steps for key in cautions_of(step, takes))
    return tuple(dict.fromkeys((*(key for key in GRAVEST if key in named), *named)))[:4]
