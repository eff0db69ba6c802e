"""What an order without bottles is about: what the customer sent, what was tested of it, what went back to them."""

from dataclasses import dataclass

from stillroom.actions.shelf.lots_of_substance import on_shelf_as
from stillroom.actions.shelf.plant_at_hand import may_go_on
from stillroom.records.entries import Moved
from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import Lot, Status
from stillroom.records.orders import Order
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance


@dataclass(frozen=True, slots=True)
class Given:
    """What went to the customer on an order: a lot, how much in the unit of its kind, and when."""

    lot: str
    amount: int
    counted_in: CountedIn
    on: str


def given_on(look: Reader, order: Order) -> tuple[Given, ...]:
    """What went to the customer on an order, the first first."""
    return tuple(
        Given(one.lot, one.amount, one.counted_in, entry.done_at)
        for entry in look.entries(kind="moved")
        if isinstance(entry.body, Moved) and entry.body.order == order.code
        for one in entry.body.movements
        if one.into == f"customer/{order.code}"
    )


def samples_of(look: Reader, order: Order) -> tuple[Lot, ...]:
    """Lots of the customer that an order of tests or their own plant is about: as many as it asks for, the newest."""
    of = order.product
    if order.what == "own plant":
        procedure = look.procedure(order.extraction)
        of = next(one.substance for one in procedure.lines if one.name == procedure.scaled_by)
    found = [
        one
        for one in look.lots(of_customers=True)
        if one.owner.casefold() == order.customer.casefold() and same_substance(one.substance, of)
    ]
    return tuple(found[-order.units :])


def tests_missing(look: Reader, order: Order, lot: str) -> tuple[str, ...]:
    """Tests of an order that a sample has no result of yet."""
    measured = {one.body.what for one in look.results(lot) if one.body.counts}
    done = {
        "identity": bool(look.identities(lot)),
        "loss on drying": "loss on drying" in measured,
        "titration": bool(measured - {"loss on drying"}),
        "controls": bool(look.tests(lot)),
    }
    return tuple(one for one in order.tests if not done[one])


def tested_on(look: Reader, order: Order) -> str:
    """When the last test of an order was done, as an ISO time; "" while one is missing."""
    samples = samples_of(look, order)
    if len(samples) < order.units or any(tests_missing(look, order, one.code) for one in samples):
        return ""
    found: list[str] = []
    for one in samples:
        found += [entry.done_at for entry in look.results(one.code)]
        found += [entry.done_at for entry in look.identities(one.code)]
        found += [entry.done_at for entry in look.tests(one.code)]
    return max(found, default="")


def released_of(look: Reader, order: Order, substance: str) -> tuple[list[Lot], list[Lot]]:
    """Lots of a substance on the shelf that an order may be delivered from: released, and not decided about."""
    there = [
        one
        for one in on_shelf_as(look, substance)
        if may_go_on(look, one, order) and look.balance_ug(one.code) > 0
    ]
    return (
        [one for one in there if look.status(one.code) is Status.RELEASED],
        [one for one in there if look.status(one.code) in (Status.WAITING, Status.SUSPENDED)],
    )
