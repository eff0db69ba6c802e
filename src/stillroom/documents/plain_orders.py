"""The page in place of a plan where an order doses nothing."""

from collections.abc import Sequence
from typing import Unpack

from stillroom.documents.blocks import Block, Heading, Page, PageFacts, Points, Prose, Table
from stillroom.documents.ordering import order_blocks
from stillroom.documents.showing import number
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure
from stillroom.texts.catalogue import t


def plain_plan_page(
    order: Order, formula: Procedure, remarks: Sequence[str], **page_facts: Unpack[PageFacts]
) -> Page:
    """Where the plan of an order would stand that doses nothing: what cannot be worked back, and what it takes.

    Parameters
    ----------
    order : Order
    formula : Procedure
        As its next batch takes it.
    remarks : sequence of str
        What the release will repeat.
    **page_facts
        As on every page.
    """
    litres = order.units * order.nominal_ml / 1000.0
    rows = tuple((one.name, number(one.percent) if one.percent else one.role) for one in formula.lines)
    blocks: list[Block] = [
        Prose(t("ordering.plain_says" if order.is_plain else "ordering.bought_says")),
        Table((t("ordering.plain_line"), t("ordering.plain_share")), rows, (1,)),
        Prose(t("ordering.plain_bulk", units=order.units, nominal_ml=order.nominal_ml, litres=litres)),
    ]
    if remarks:
        blocks += [Heading(t("ordering.plain_repeats"), folded=True), Points(tuple(remarks))]
    blocks += [Heading(t("ordering.the_order")), *order_blocks(order)]
    return Page(
        title=t("ordering.plan_for_bottles_of", units=order.units, product=order.product),
        kind="plan",
        code=order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("ordering.plain_lead" if order.is_plain else "ordering.bought_lead"),
        href=f"/orders/{order.code}/plan",
    )
