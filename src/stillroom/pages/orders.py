"""Orders: the list of them, and one with what was planned, made and delivered."""

from stillroom.actions.bench.next_of_order import delivered_on, next_of_order
from stillroom.actions.bench.next_without_bottles import given_on
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.documents.blocks import Block, Empty, Link, Page, Points, Table
from stillroom.documents.customers_order import order_page
from stillroom.documents.lot_accounts import amount_text
from stillroom.pages.offers import came_of
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.texts.catalogue import t


def show_orders(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Orders, the open ones and the next due first, a page at a time."""
    with lab.look() as look:
        found = look.standing("order", states=wanted.states, words=wanted.words, first=wanted.first)
        orders = {one.code: one for one in look.orders_of(found.codes)}
        planned = look.planned_of(found.codes)
        rows = tuple(
            (
                Link(one.code, f"/orders/{one.code}"),
                one.product,
                one.amount_words,
                one.due,
                t("none needed")
                if not one.is_worked_back
                else "planned"
                if one.code in planned
                else t("not planned"),
            )
            for one in (orders[code] for code in found.codes)
        )
        blocks: list[Block] = [
            *finder(
                wanted,
                "/orders",
                len(rows),
                found.count,
                states=("open", "closed"),
                spellings=found.spellings,
            )
        ]
        if rows:
            blocks.append(Table((t("Order"), t("Product"), t("Bottles"), t("Due"), t("Plan")), rows))
        elif not wanted.asks:
            blocks.append(
                Empty(
                    t("No order has been taken yet."),
                    t("Everything begins with an order of bottles: its plan says how much plant it takes."),
                )
            )
        return Page(
            t("Orders"), "orders", "", tuple(blocks), **facts_of(look), href=wanted.address("/orders")
        )


def show_order(lab: Laboratory, code: str) -> Page:
    """One order: what was asked, planned, made, delivered."""
    with lab.look() as look:
        order = look.order(code)
        batches = []
        for batch in look.batches(order=code):
            procedure = look.procedure(batch.procedure, batch.version)
            done = len({entry.body.step for entry in look.steps(batch.code)})
            stands = (
                t("given up")
                if look.given_up(batch.code)
                else t("step {done} of {steps}", done=done, steps=len(procedure.steps))
            )
            batches.append((batch.code, procedure.title, stands))
        coming = next_of_order(look, order)
        plans = tuple((entry.entry_no, entry.done_at[:10]) for entry in look.plans(code))
        return order_page(
            order,
            batches=tuple(batches),
            plans=plans,
            delivered=delivered_on(look, order) if order.is_of_bottles else (),
            given=tuple(
                (one.lot, amount_text(one.amount, one.counted_in), one.on[:10])
                for one in given_on(look, order)
            )
            if not order.is_of_bottles
            else (),
            promised=came_of(look, code),
            coming=Points((coming.says,), "done" if coming.is_done else "missing"),
            **facts_of(look),
        )
