"""What left the shelf put right: how much was delivered, kept back, thrown away or taken back, and on which order."""

import re
from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.lots.receiving import amount_of
from stillroom.actions.lots.shelf_gaps import settle
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.records.entries import Entry, Moved
from stillroom.records.lots import BEYOND_THE_BOOK, Movement, grams
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

CUSTOMER = "customer/"
NOTHING = re.compile(r"0([.,]0*)?(\s*[a-z]+)?")


def _says(move: Movement) -> str:
    return f"{move.amount} pieces" if move.counted_in == "piece" else f"{grams(move.amount):.10g} g"


def _fields(look: Reader, entry: Entry[Moved]) -> tuple[Field, ...]:
    body = entry.body
    if any(BEYOND_THE_BOOK in (one.out_of, one.into) for one in body.movements):
        raise NotAllowed(
            "A gap of the shelf follows the entry that left it",
            worded("entry {entry_no}", entry_no=entry.entry_no),
            "Count the shelf, or correct that entry",
        )
    found = [
        Field(
            f"amount {one.lot}",
            t("amount of {lot}", lot=one.lot),
            _says(one),
            "pieces" if one.counted_in == "piece" else "g",
        )
        for one in body.movements
    ]
    if body.order:
        orders = tuple((one.code, one.code) for one in look.orders())
        return (*found, Field("order", t("order"), body.order, choices=orders))
    return (*found, Field("reason", t("why"), body.why, kind="long"))


def _moved(move: Movement, text: str, order: str) -> Movement | None:
    """The movement as it really was; None where nothing of it left."""
    number, counted_in = move.amount, move.counted_in
    if NOTHING.fullmatch(text):
        return None
    if text:
        number, counted_in = amount_of(text, where=f"amount {move.lot}")
    if counted_in != move.counted_in:
        raise BadEntry(
            "What left is counted as it was", repr(text[:40]), "Write pieces for pieces, grams for grams",
            where=f"amount {move.lot}",
        )  # fmt: skip
    out_of, into = (
        f"{CUSTOMER}{order}" if order and one.startswith(CUSTOMER) else one
        for one in (move.out_of, move.into)
    )
    return Movement(move.lot, out_of, into, number, counted_in)


def _applies(pen: BookWriter, entry: Entry[Moved], changed: Mapping[str, str], why: str) -> Done:
    old = entry.body
    order = changed.get("order", old.order)
    if order:
        pen.look.order(order)
    moved = (_moved(one, changed.get(f"amount {one.lot}", ""), order) for one in old.movements)
    says = changed.get("reason", old.why.replace(old.order, order) if order else old.why)
    body = replace(old, movements=tuple(one for one in moved if one), why=says, order=order)
    number = enter_again(pen, entry, body, why)
    lots = ", ".join(dict.fromkeys(one.lot for one in old.movements))
    gaps = settle(pen, [one.lot for one in old.movements])
    told = t("{batch}: {what} corrected.", batch=lots, what=", ".join(changed))
    return Done((number, *gaps.entries), told + gaps.says)


MOVED = Way(_fields, _applies, later("What the shelf holds follows it."))
