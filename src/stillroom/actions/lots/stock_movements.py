"""Lots leave the shelf: to a customer, to the retained samples, to waste; and the shelf is counted."""

from collections.abc import Mapping
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.product_made import product_in
from stillroom.actions.lots.receiving import amount_of_lot
from stillroom.actions.shelf.lots_in_use import must_be_released
from stillroom.actions.shelf.plant_at_hand import refuse_not_theirs
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import Moved, StockCounted
from stillroom.records.entry_json import body_to_json
from stillroom.records.lots import RETAINED, SHELF, Lot, Movement, grams
from stillroom.records.orders import Order
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def deliver(
    lab: Laboratory,
    order: str,
    amounts: Mapping[str, str],
    *,
    note: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Hand released product to the customer of an order.

    Parameters
    ----------
    order : str
        Code of the customer's order.
    amounts : mapping of str to str
        Lot and how many: {"T1": "31 bottles"}.
    note : str
        Why another product than the one ordered went out.

    Raises
    ------
    BadEntry
        A lot is another product than the order asks for, or declares less, and nobody said why.
    NotAllowed
        A lot is not released, belongs to another, or is not of the customer's own plant where that was asked for.
    NotEnough
        The shelf does not hold that many.
    """
    why = f"delivered on {order}" + (f": {note.strip()}" if note.strip() else "")
    return _move(lab, "deliver", f"customer/{order}", amounts, why, order, by, at, request_key)


def keep_back(
    lab: Laboratory,
    amounts: Mapping[str, str],
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Put retained samples away: they are kept to answer for the lot."""
    return _move(lab, "keep back", RETAINED, amounts, "retained samples", "", by, at, request_key)


def throw_away(
    lab: Laboratory,
    amounts: Mapping[str, str],
    *,
    why: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Throw some of a lot away, saying why and into which waste."""
    if not why.strip():
        raise BadEntry("What is thrown away has a reason", "none", "Say why, and which waste it went to")
    return _move(lab, "throw away", "waste", amounts, why.strip(), "", by, at, request_key)


def count_stock(
    lab: Laboratory, lot: str, found: str, *, apparatus: str = "", **sign: Unpack[Signed]
) -> Done:
    """Write what really stands on the shelf, beside what the book says. It moves nothing.

    Parameters
    ----------
    found : str
        What the scale showed without its jar, or the count: "5.84 g", "18 bottles".
    """
    amount, counted_in = amount_of_lot(lab, lot, found, where="found")
    body = StockCounted(lot, amount, counted_in, found, apparatus)
    with lab.act("count stock", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        says = t("{lot}: {found} found on the shelf.", lot=lot, found=found)
        if apparatus and counted_in == "ug":
            says = f"{says} {pen.look.apparatus(apparatus).told_of((grams(amount), found))}".rstrip()
        return Done((pen.enter(body),), says)


def _move(
    lab: Laboratory,
    action: str,
    into: str,
    amounts: Mapping[str, str],
    why: str,
    order: str,
    by: str,
    at: datetime | None,
    request_key: str | None,
) -> Done:
    if not amounts:
        raise BadEntry("Something must be moved", "nothing", "Name a lot and an amount")
    movements = []
    for lot, text in amounts.items():
        amount, counted_in = amount_of_lot(lab, lot, text, where=lot)
        movements.append(Movement(lot, SHELF, into, amount, counted_in))
    body = Moved(tuple(movements), why, order)
    with lab.act(action, body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if order:
            wanted, on = pen.look.order(order), (at or lab.clock()).isoformat(timespec="seconds")
            for movement in movements:
                leaves = pen.look.lot(movement.lot)
                must_be_released(pen.look, leaves, on=on)
                refuse_not_theirs(pen.look, leaves, wanted)
                if why == f"delivered on {order}":
                    _must_be_what_was_ordered(pen.look, leaves, wanted)
        return Done(
            (pen.enter(body),), f"{', '.join(f'{text} of {lot}' for lot, text in amounts.items())}: {why}."
        )


def _must_be_what_was_ordered(look: Reader, lot: Lot, order: Order) -> None:
    """Ask about bottles of another formula or size, or of a weaker declaration, than an order names."""
    if not order.is_of_bottles or lot.made_by is None or lot.kind.traits.made_as != "formula":
        return
    made = product_in(look, lot.code)
    weaker = made.order is not None and made.order.at_least.percent < order.at_least.percent
    if (made.formula, made.nominal_ml) == (order.formula, order.nominal_ml) and not weaker:
        return
    raise BadEntry(
        worded(
            "{order} asks for {product} of {size} mL, at least {declared}",
            order=order.code, product=order.product, size=order.nominal_ml, declared=order.at_least.printed or "-",
        ),
        worded("{lot}, {name} of {size} mL", lot=lot.code, name=made.name, size=made.nominal_ml)
        if made.order is None
        else worded(
            "{lot}, {name} of {size} mL for {order}, at least {declared}",
            lot=lot.code, name=made.name, size=made.nominal_ml, order=made.order.code,
            declared=made.order.at_least.printed or "-",
        ),
        "Choose its own lot; or say in the note why this one went out",
        where="note",
    )  # fmt: skip
