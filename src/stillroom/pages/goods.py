"""Goods under way: what was ordered and is not here, with its day; one of them beside what came of it."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.shelf.goods_under_way import day_in_words, how_it_stands
from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Mark, Page, Table
from stillroom.pages.stock import entries_table
from stillroom.records.entries import Entry, GoodsOrdered
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

MOST_HERE = 30
"""Goods that came, or were called off, shown below those under way. [1]"""


def under_way_blocks(look: Reader, goods: Sequence[Entry[GoodsOrdered]], today: date) -> list[Block]:
    """A table of goods, the first day first; nothing where there are none."""
    rows: list[tuple[Cell, ...]] = []
    for one in sorted(goods, key=lambda each: (each.body.comes, each.entry_no)):
        body = one.body
        stands = how_it_stands(body, look.receipts_of(body.code), today)
        rows.append(
            (
                Link(body.code, f"/goods/{body.code}"),
                f"{body.as_written} · {body.substance}",
                body.supplier,
                day_in_words(body, stands, today),
                Mark(stands),
            )
        )
    head = (t("Ordered"), t("What"), t("From"), t("Comes on"), t("Stands"))
    return [Table(head, tuple(rows))] if rows else []


def show_goods_under_way(lab: Laboratory) -> Page:
    """What was ordered and is not here yet; below it what came last."""
    with lab.look() as look:
        under_way = look.goods_under_way()
        coming = {one.entry_no for one in under_way}
        others = [one for one in look.goods_ordered() if one.entry_no not in coming]
        blocks = under_way_blocks(look, under_way, lab.today())
        if not blocks:
            blocks = [
                Empty(
                    t("Nothing is under way."),
                    t("What was ordered stands on the bench on the day it comes, and an offer counts it."),
                    Link(t("Something was ordered"), "/goods/new"),
                )
            ]
        if others:
            here = under_way_blocks(look, others[-MOST_HERE:], lab.today())
            blocks += [Heading(t("Came, or was called off"), folded=True), *here]
        return Page(t("Goods under way"), "goods", "", tuple(blocks), **facts_of(look), href="/goods")


def show_goods(lab: Laboratory, code: str) -> Page:
    """What was ordered under one number, beside what came of it."""
    with lab.look() as look:
        entry = look.goods(code)
        goods, came = entry.body, look.receipts_of(code)
        stands = how_it_stands(goods, came, lab.today())
        pairs: list[tuple[str, Any]] = [
            (t("What"), goods.substance),
            (t("Ordered"), goods.as_written),
            (t("From"), goods.supplier or t("not stated")),
            (t("Comes on"), day_in_words(goods, stands, lab.today())),
        ]
        if goods.price:
            pairs.append((t("Price"), goods.price))
        if goods.order:
            pairs.append((t("For the order"), Link(goods.order, f"/orders/{goods.order}")))
        for one in came:
            lot = one.body.lot.code
            pairs.append((t("Came"), Link(f"{lot}: {one.body.as_written}", f"/stock/{lot}")))
        newest, _ = look.entries_page(about=code, most=MOST_HERE)
        return Page(
            t("{code}, {what}", code=code, what=goods.substance),
            "goods",
            code,
            (
                Facts(tuple(pairs)),
                Heading(t("Everything written about it"), folded=True),
                entries_table(newest[::-1]),
            ),
            **facts_of(look),
            status=stands,
            href=f"/goods/{code}",
        )
