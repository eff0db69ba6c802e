"""Lots leave the shelf: to a customer, to the retained samples, to waste; and the shelf is counted."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Unpack

from stillroom.actions.book.acts import Act, Acts
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.product_made import product_in
from stillroom.actions.lots.receiving import amount_of_lot
from stillroom.actions.shelf.lots_in_use import must_be_released
from stillroom.actions.shelf.plant_at_hand import refuse_not_theirs
from stillroom.asking.entries import needed, taken
from stillroom.asking.readers import Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import Moved, StockCounted
from stillroom.records.lots import RETAINED, SHELF, Lot, Movement, grams
from stillroom.records.orders import Order
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

SHELF_ACTS = Acts({
    "count": "lots.stock_movements:count_stock",
    "keep-back": "lots.stock_movements:keep_back",
    "waste": "lots.stock_movements:throw_away",
})  # fmt: skip
"""What is done with any lot on the shelf, by its verb."""


def deliver(
    lab: Laboratory, order: str, amounts: Mapping[str, str], *, note: str = "", **sign: Unpack[Signed]
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
    if not amounts:
        raise BadEntry("Something must be moved", "nothing", "Name a lot and an amount")
    said_why = note.strip()
    with lab.act("deliver", {"order": order, "amounts": dict(amounts), "note": said_why}, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look, wanted = pen.look, pen.look.order(order)
        for lot in amounts:
            leaves = look.lot(lot)
            must_be_released(look, leaves, on=pen.at)
            refuse_not_theirs(look, leaves, wanted)
            if not said_why:
                _must_be_what_was_ordered(look, leaves, wanted)
        why = f"delivered on {order}" + (f": {said_why}" if said_why else "")
        return _move(pen, f"customer/{order}", amounts, why, order)


def _move(pen: BookWriter, into: str, amounts: Mapping[str, str], why: str, order: str = "") -> Done:
    movements = []
    for lot, text in amounts.items():
        amount, counted_in = amount_of_lot(pen.look, lot, text, where=lot if order else "amount")
        movements.append(Movement(lot, SHELF, into, amount, counted_in))
    says = f"{', '.join(f'{text} of {lot}' for lot, text in amounts.items())}: {why}."
    return Done((pen.enter(Moved(tuple(movements), why, order)),), says)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBack(Said):
    """How many are kept to answer for the lot."""

    amount: str = needed(Words(), label=later("How many"), hint="2 bottles", argument=True)


keep_back = Act(
    name="keep-back",
    action="keep back",
    said=KeptBack,
    writes=lambda pen, lot, said: _move(pen, RETAINED, {lot: said.amount}, "retained samples"),
    help='AMOUNT of LOT, "2 bottles", is put aside as retained samples.',
    title=later("Keep samples of {lot}"),
    lead=later("Retained samples answer for the lot when somebody asks later."),
    button=later("Put them away"),
    address="/stock/{code}/keep-back",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThrownAway(Said):
    """How much was thrown away, why, and into which waste."""

    amount: str = needed(Words(), label=later("How much"), hint="12.5 g, 3 bottles", argument=True)
    why: str = needed(
        Words(long=True), label=later("Why, and into which waste"), must=later("What is thrown away has a reason"),
        do=later("Say why, and which waste it went to"), help="Why, and which waste it went to.",
    )  # fmt: skip


throw_away = Act(
    name="waste",
    action="throw away",
    said=ThrownAway,
    writes=lambda pen, lot, said: _move(pen, "waste", {lot: said.amount}, said.why),
    help="AMOUNT of LOT was thrown away.",
    title=later("Throw away some of {lot}"),
    button=later("Write it off"),
    address="/stock/{code}/waste",
    cautions=("waste",),
    stops=True,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted(Said):
    """What the scale showed without its jar, or the count."""

    found: str = needed(
        Words(), label=later("What really stands on the shelf"),
        hint=later("Without its jar: 5.84 g, 18 bottles"), argument=True,
    )  # fmt: skip
    scale: str = taken(
        "", Words(), label=later("Scale"), offers="scale, or counted", help="Scale it was weighed on."
    )


def _count(pen: BookWriter, lot: str, said: Counted) -> Done:
    """What really stands on the shelf, beside what the book says. It moves nothing."""
    look = pen.look
    look.lot(lot)
    amount, counted_in = amount_of_lot(look, lot, said.found, where="found")
    says = t("{lot}: {found} found on the shelf.", lot=lot, found=said.found)
    if said.scale and counted_in == "ug":
        says = f"{says} {look.apparatus(said.scale).told_of((grams(amount), said.found))}".rstrip()
    return Done((pen.enter(StockCounted(lot, amount, counted_in, said.found, said.scale)),), says)


count_stock = Act(
    name="count",
    action="count stock",
    said=Counted,
    writes=_count,
    help='FOUND of LOT is on the shelf, "5.84 g" without its jar or "18 bottles"; the book keeps both figures.',
    title=later("Count {lot}"),
    lead=later("It moves nothing: it stands beside what the book says."),
    button=later("Save the count"),
    address="/stock/{code}/count",
)


def _must_be_what_was_ordered(look: Reader, lot: Lot, order: Order) -> None:
    """Ask about bottles of another formula or size, or of a weaker declaration, than an order names."""
    if not order.is_of_bottles or lot.made_by is None or lot.kind.traits.made_as != "formula":
        return
    made = product_in(look, lot.code)
    weaker = made.order is not None and made.order.at_least.percent < order.at_least.percent
    if (made.formula, made.each) == (order.formula, order.content) and not weaker:
        return
    raise BadEntry(
        worded(
            "{order} asks for {product} of {size}, at least {declared}",
            order=order.code, product=order.product, size=order.content.words, declared=order.at_least.printed or "-",
        ),
        worded("{lot}, {name} of {size}", lot=lot.code, name=made.name, size=made.each.words)
        if made.order is None
        else worded(
            "{lot}, {name} of {size} for {order}, at least {declared}",
            lot=lot.code, name=made.name, size=made.each.words, order=made.order.code,
            declared=made.order.at_least.printed or "-",
        ),
        "Choose its own lot; or say in the note why this one went out",
        where="note",
    )  # fmt: skip
