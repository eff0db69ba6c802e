"""The customer's order as a page: what was asked for, what was made and given of it, what comes next."""

from collections.abc import Sequence
from typing import Unpack

from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, PageFacts, Prose, Table
from stillroom.records.orders import Order
from stillroom.texts.catalogue import later, t, word

WANTED = {
    "own plant": later("their own plant, extracted"),
    "tests": later("tests of their sample"),
    "reagent": later("a reagent"),
    "dilution": later("spirit, diluted"),
}
"""What an order without bottles asks for."""


def order_blocks(order: Order) -> list[Block]:
    """What the customer asked for."""
    if not order.is_of_bottles:
        made_by = order.extraction or order.formula
        return [
            Facts(
                (
                    (t("Customer"), order.customer),
                    (t("Wanted"), t(WANTED[order.what])),
                    (t("How much"), order.asks),
                    *(((t("Tests"), ", ".join(word(one) for one in order.tests)),) if order.tests else ()),
                    (t("Due"), order.due),
                    *(((t("Made by"), made_by),) if made_by else ()),
                )
            ),
            *([Prose(order.notes)] if order.notes else []),
        ]
    return [
        Facts(
            (
                (t("Customer"), order.customer),
                (t("Product"), f"{order.product} ({order.product_type}, {order.market})"),
                (
                    t("Ordered") if order.content.by_mass else t("Bottles"),
                    t("{units} × {each}", units=order.units, each=order.content.words)
                    if order.content.by_mass
                    else t("{units} × {each} at 20 °C", units=order.units, each=order.content.words),
                ),
                *_dosed_facts(order),
            )
        ),
        *([Prose(order.notes)] if order.notes else []),
    ]


def _dosed_facts(order: Order) -> tuple[tuple[str, str], ...]:
    """How strong, when, how surely and by which procedures."""
    due = (t("Due"), order.due)
    if order.is_plain:
        return (t("Aim"), t("no active is dosed")), due, (t("Made by"), order.formula)
    return (
        (t("Aim"), order.aim.printed),
        (t("Declared at least"), order.at_least.printed),
        due,
        (
            t("How sure"),
            t("{how_sure_percent:g} of 100 such batches", how_sure_percent=order.how_sure_percent),
        ),
        (
            t("Made by"),
            t("{extraction}, then {formula}", extraction=order.extraction, formula=order.formula)
            if order.extraction
            else t("an extract that is bought, then {formula}", formula=order.formula),
        ),
    )


def order_page(
    order: Order,
    *,
    batches: tuple[tuple[str, str, str], ...],
    plans: tuple[tuple[int, str], ...],
    delivered: tuple[tuple[str, int], ...],
    coming: Block,
    promised: Sequence[Block] = (),
    given: Sequence[tuple[str, str, str]] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The order as a page.

    Parameters
    ----------
    given : sequence of (lot, amount, when)
        What went to the customer on an order without bottles.
    **page_facts
        As on every page.
    """
    blocks = order_blocks(order)
    blocks += [Heading(t("What comes next")), coming]
    for entry_no, when in plans[-1:]:
        blocks.append(Prose(t("Plan kept on {when}, entry {entry_no}.", when=when, entry_no=entry_no)))
    if plans[1:]:
        blocks.append(Prose(t("Plans before it: {count}.", count=len(plans) - 1), quiet=True))
    if batches:
        rows = tuple((Link(code, f"/make/{code}"), title, stands) for code, title, stands in batches)
        blocks.append(Table((t("Batch"), "Of", t("Stands at")), rows))
    gone = sum(units for _, units in delivered)
    if delivered:
        gone_rows = tuple((Link(lot, f"/stock/{lot}"), str(units)) for lot, units in delivered)
        blocks += [
            Heading(t("Delivered")),
            Table((t("Lot"), t("How many") if order.content.by_mass else t("Bottles")), gone_rows, (1,)),
        ]
    if given:
        rows = tuple((Link(lot, f"/stock/{lot}"), amount, when) for lot, amount, when in given)
        blocks += [Heading(t("Delivered")), Table((t("Lot"), t("How much"), t("When")), rows)]
    blocks += promised
    return Page(
        title=t("{amount} of {product}", amount=order.content.counted(order.units), product=order.product)
        if order.is_of_bottles
        else f"{order.product}, {order.asks}",
        kind="customer's order",
        code=order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("{gone} of {units} delivered, due {due}.", gone=gone, units=order.units, due=order.due)
        if gone
        else t("Due {due}.", due=order.due),
        href=f"/orders/{order.code}",
    )
