"""Goods under way: what was ordered and is not here, with its day; one of them beside what came of it."""

from collections.abc import Container, Sequence
from datetime import date
from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.shelf.goods_under_way import CALLED_OFF, HERE, UNDER_WAY, day_in_words, how_it_stands
from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Mark, Page, Table
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.pages.stock import entries_table
from stillroom.records.entries import Entry, GoodsOrdered
from stillroom.texts.catalogue import t

MOST_HERE = 30
"""Entries about goods that their page shows. [1]"""


def goods_blocks(goods: Sequence[Entry[GoodsOrdered]], today: date, here: Container[str] = ()) -> list[Block]:
    """A table of goods; nothing where there are none.

    Parameters
    ----------
    here : container of str
        Codes of what came.
    """
    rows: list[tuple[Cell, ...]] = []
    for one in goods:
        body = one.body
        stands = how_it_stands(body, body.code in here, today)
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


def show_goods_under_way(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """What was ordered and is not here yet, the next day first; below it what came last; a page at a time."""
    with lab.look() as look:
        found = look.standing("goods", states=wanted.states, words=wanted.words, first=wanted.first)
        goods = dict(zip(found.codes, look.goods_of(found.codes), strict=True))
        here = {one.code for one in found.rows if one.state == HERE}
        coming, others = (
            [goods[one.code] for one in found.rows if one.ahead is ahead] for ahead in (True, False)
        )
        blocks: list[Block] = [
            *finder(
                wanted, "/goods", len(found.rows), found.count, states=(UNDER_WAY, HERE, CALLED_OFF),
                spellings=found.spellings,
            )
        ]  # fmt: skip
        blocks += goods_blocks(coming, lab.today())
        if not coming and not wanted.asks:
            blocks += [
                Empty(
                    t("Nothing is under way."),
                    t("What was ordered stands on the bench on the day it comes, and an offer counts it."),
                    Link(t("Something was ordered"), "/goods/new"),
                )
            ]
        if others:
            gone = goods_blocks(others, lab.today(), here)
            blocks += [Heading(t("Came, or was called off"), folded=not wanted.asks), *gone]
        href = wanted.address("/goods")
        return Page(t("Goods under way"), "goods", "", tuple(blocks), **facts_of(look), href=href)


def show_goods(lab: Laboratory, code: str) -> Page:
    """What was ordered under one number, beside what came of it."""
    with lab.look() as look:
        entry = look.goods(code)
        goods, came = entry.body, look.receipts_of(code)
        stands = how_it_stands(goods, bool(came), lab.today())
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
