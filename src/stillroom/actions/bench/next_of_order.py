"""What an order asks for next: a plan, something to buy, a batch, a step, a release, a delivery, or nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.actions.bench.form_choices import NextUp, next_of
from stillroom.actions.bench.next_without_bottles import (
    given_on,
    released_of,
    samples_of,
    tested_on,
    tests_missing,
)
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.product_made import product_in
from stillroom.actions.orders.made_here import maker_of
from stillroom.actions.orders.size_planned import SizePlanned, size_planned
from stillroom.actions.shelf.goods_under_way import in_words
from stillroom.actions.shelf.lots_of_substance import on_shelf_as
from stillroom.actions.shelf.plant_at_hand import may_serve
from stillroom.records.lot_kinds import MADE_AS
from stillroom.records.lots import Lot, Status
from stillroom.records.orders import Order
from stillroom.records.procedures import Line, Procedure
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance
from stillroom.texts.catalogue import t, word


@dataclass(frozen=True, slots=True)
class NextOfOrder:
    """The next thing to do for an order.

    ``does``, ``href``: what a button that leads there says, and its address; both "" when nothing is left.
    """

    says: str
    """In a sentence."""
    does: str = ""
    href: str = ""

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to do."""
        return not self.href


def delivered_on(look: Reader, order: Order) -> tuple[tuple[str, int], ...]:
    """Lots and bottles that went to the customer on an order [pieces]."""
    return look.bottles_in(f"customer/{order.code}")


def orders_ahead(look: Reader, orders: Sequence[str]) -> None:
    """What ``next_of_order`` rests on, known before it is asked for one order after another."""
    look.orders_ahead(orders)
    look.bottles_ahead([f"customer/{one}" for one in orders])


def open_orders(look: Reader) -> tuple[Order, ...]:
    """Orders of which something is left to deliver, in the order in which they were taken; known ahead."""
    codes = look.standing("order", states=("open",), most=None).codes
    orders_ahead(look, codes)
    return look.orders_of(codes)


def next_of_order(look: Reader, order: Order) -> NextOfOrder:
    """What comes next for an order, by what stands in the book."""
    if not order.is_of_bottles:
        return _without_bottles(look, order)
    delivered = delivered_on(look, order)
    gone = sum(units for _, units in delivered)
    if gone >= order.units:
        held = next((coming for lot, _ in delivered if (coming := _gone_and_held(look, order, lot))), None)
        if held is not None:
            return held
        return NextOfOrder(
            t(
                "All {amount} are delivered: nothing is left to do, the order is closed.",
                amount=order.content.counted(gone),
            )
        )
    if order.is_worked_back and not look.is_planned(order.code):
        return NextOfOrder(
            t("Plan it: nothing is bought before the plan is kept."),
            t("Plan this order"),
            f"/orders/{order.code}/plan",
        )
    batches = [next_of(look, one.code) for one in look.batches(order=order.code)]
    in_hand = _in_hand(batches)
    if in_hand is not None:
        return in_hand
    codes = {one.batch for one in batches if not one.given_up}
    made = (lot for code in sorted(codes) for lot in look.lots((MADE_AS["formula"],), made_by=code))
    bottles = [
        lot for lot in made if look.balance_pieces(lot.code) > 0 and _may_be_delivered(look, order, lot)
    ]
    return _of_bottles(look, order, bottles) or _of_making(look, order)


def _gone_and_held(look: Reader, order: Order, lot: str) -> NextOfOrder | None:
    """What was delivered and may not be used any more: the customer is told, after its last decision."""
    stands = look.status(lot)
    since = max((one.entry_no for one in look.decisions(lot)), default=0)
    told = any(one.entry_no > since and one.body.order in ("", order.code) for one in look.people_told(lot))
    if stands is Status.RELEASED or told:
        return None
    says = t("{lot} went out and is {status}: tell the customer.", lot=lot, status=t(stands.value))
    return NextOfOrder(says, t("Note who was told"), f"/trace/{lot}/told")


def _in_hand(batches: Sequence[NextUp]) -> NextOfOrder | None:
    """The batch of an order that is under way; None where none is."""
    for one in batches:
        if one.does != "done":
            return NextOfOrder(
                t("{batch} is in hand: {words}.", batch=one.batch, words=one.words),
                t("Next: {coming_words}", coming_words=one.words),
                one.href,
            )
    return None


def _without_bottles(look: Reader, order: Order) -> NextOfOrder:
    """What comes next for the customer's own plant, for tests, for a reagent."""
    samples = () if order.is_by_recipe else samples_of(look, order)
    if order.what == "tests":
        for lot in samples:
            missing = tests_missing(look, order, lot.code)
            if missing:
                says = t(
                    "{lot} waits for {tests}.", lot=lot.code, tests=", ".join(word(one) for one in missing)
                )
                return NextOfOrder(says, t("Test {lot}", lot=lot.code), f"/test/{lot.code}")
        if tested_on(look, order):
            return NextOfOrder(t("Every test is done: nothing is left but to hand over the report."))
    elif given_on(look, order):
        return NextOfOrder(t("It is delivered: nothing is left to do, the order is closed."))
    in_hand = _in_hand([next_of(look, one.code) for one in look.batches(order=order.code)])
    if in_hand is not None:
        return in_hand
    if order.what != "tests":
        made = order.product if order.what == "own plant" else look.procedure(order.formula).makes
        released, undecided = released_of(look, order, made)
        if released:
            says = t("{lot} is released: deliver.", lot=released[0].code)
            return NextOfOrder(says, t("Deliver"), f"/orders/{order.code}/deliver")
        if undecided:
            return _decide(look, undecided[0])
    if order.is_by_recipe:
        says = t("Make {amount} of {what}.", amount=order.asks, what=order.product)
        return NextOfOrder(says, t("Open its recipe"), f"/reagents/{order.formula}")
    if len(samples) < order.units:
        says = t(
            "Receive what {customer} sends: {what}, as theirs.", customer=order.customer, what=order.asks
        )
        return NextOfOrder(says, t("Receive a lot"), "/stock/new")
    waiting = next((one for one in samples if look.status(one.code) is not Status.RELEASED), None)
    if waiting is not None:
        return _decide(look, waiting)
    procedure = look.procedure(order.extraction)
    return NextOfOrder(
        t("Begin a batch of {procedure}.", procedure=procedure.title),
        t("Begin a batch"),
        f"/make/new?order={order.code}&procedure={procedure.code}",
    )


def procedures_of_order(lab: Laboratory, order: str, first: str = "") -> tuple[Procedure, ...]:
    """The procedures an order is made by: the one named, or the one that comes next, before the other.

    Parameters
    ----------
    order, first : str
        Codes; "" for none, and then there are none.
    """
    with lab.look() as look:
        found = next(iter(look.orders_of((order,))), None)
        if found is None:
            return ()
        codes = [one for one in (found.extraction, found.formula) if one]
        made = {one.procedure for one in look.batches(order=order) if not look.given_up(one.code)}
        wanted = first or next((one for one in codes if one not in made), (codes or [""])[-1])
        return (
            tuple(look.procedure(one) for one in sorted(codes, key=lambda code: code != wanted))
            if wanted in codes
            else ()
        )


def planned_size(lab: Laboratory, order: str, procedure: str) -> SizePlanned | None:
    """The size a kept plan of an order gives a batch of a procedure; None where none does."""
    with lab.look() as look:
        return size_planned(look, order, procedure)


def _may_be_delivered(look: Reader, order: Order, lot: Lot) -> bool:
    """Whether bottles are what was ordered, or the first of their batch, whatever their size."""
    return lot.code == lot.made_by or product_in(look, lot.code).each == order.content


def _of_bottles(look: Reader, order: Order, bottles: list[Lot]) -> NextOfOrder | None:
    """Bottles on the shelf are delivered, or decided about first."""
    for lot in bottles:
        if look.status(lot.code) is Status.RELEASED:
            left = look.balance_pieces(lot.code)
            says = t("{lot} is released, on the shelf {left}: deliver.", lot=lot.code, left=left)
            return NextOfOrder(says, t("Deliver"), f"/orders/{order.code}/deliver")
    for lot in bottles:
        if look.status(lot.code) is not Status.REJECTED:
            return _decide(look, lot)
    return None


def _decide(look: Reader, lot: Lot) -> NextOfOrder:
    of_house = lot.kind.traits.made_as in ("formula", "extraction")
    stands = look.status(lot.code)
    if stands is Status.SUSPENDED:
        says = t(
            "{lot} is suspended: look at what changed, then release it again, stop it or reject it.",
            lot=lot.code,
        )
    elif stands is Status.STOPPED:
        says = t(
            "{lot} is stopped: release it again once the cause is removed, or reject it and make another.",
            lot=lot.code,
        )
    else:
        says = t("{lot} is not released: test it and decide.", lot=lot.code)
    return NextOfOrder(
        says,
        t("Review and release") if of_house else t("Open {lot}", lot=lot.code),
        f"/products/{lot.code}/release" if of_house else f"/stock/{lot.code}",
    )


def _of_making(look: Reader, order: Order) -> NextOfOrder:
    """The extract is made before the product; what either takes is received and released before."""
    code = order.formula
    if order.is_worked_back:
        extraction = look.procedure(order.extraction)
        extracts = _standing(look, order, extraction.makes)
        if not any(look.status(one.code) is Status.RELEASED for one in extracts):
            if extracts:
                return _decide(look, extracts[0])
            code = order.extraction
    procedure = look.procedure(code)
    shelf = {line.substance: _standing(look, order, line.substance) for line in _bought(procedure, order)}
    missing = [substance for substance, lots in shelf.items() if not lots]
    makers = {one: found[0] for one in missing if (found := maker_of(look, one))}
    if makers and len(makers) == len(missing):
        return _made_first(look, order, *next(iter(makers.items())))
    if missing:
        return _to_buy(look, procedure, [one for one in missing if one not in makers])
    for lots in shelf.values():
        if not any(look.status(one.code) is Status.RELEASED for one in lots):
            return _decide(look, lots[0])
    return NextOfOrder(
        t("Begin a batch of {procedure}.", procedure=procedure.title),
        t("Begin a batch"),
        f"/make/new?order={order.code}&procedure={procedure.code}",
    )


def _made_first(look: Reader, order: Order, substance: str, procedure: Procedure) -> NextOfOrder:
    """What a formula takes and an extraction of the house gives is made before, from what is on the shelf."""
    missing = [line.substance for line in procedure.lines if not _standing(look, order, line.substance)]
    if missing:
        return _to_buy(look, procedure, missing)
    says = t("Make {what}: begin a batch of {procedure}.", what=substance, procedure=procedure.title)
    return NextOfOrder(says, t("Make {what}", what=substance), f"/make/new?procedure={procedure.code}")


def _to_buy(look: Reader, procedure: Procedure, missing: Sequence[str]) -> NextOfOrder:
    """What is not on the shelf is bought, where it is not under way already, and received."""
    coming = {
        one: in_words(goods.body)
        for one in missing
        for goods in look.goods_under_way()
        if same_substance(goods.body.substance, one)
    }
    awaited = ", ".join(t("{what} ({goods})", what=one, goods=words) for one, words in coming.items())
    to_buy = ", ".join(one for one in missing if one not in coming)
    if not to_buy:
        says = t(
            "Under way for {procedure}: {what}. Receive what comes.", procedure=procedure.title, what=awaited
        )
        return NextOfOrder(says, t("Goods under way"), "/goods")
    says = t("Buy, then receive for {procedure}: {what}.", procedure=procedure.title, what=to_buy)
    if awaited:
        says = t("{says} Under way: {what}.", says=says, what=awaited)
    return NextOfOrder(says, t("Receive a lot"), "/stock/new")


def _bought(procedure: Procedure, order: Order) -> list[Line]:
    return [one for one in procedure.lines if one.role != "dosed" or not order.is_worked_back]


def _standing(look: Reader, order: Order, substance: str) -> list[Lot]:
    """Lots of a substance on the shelf that may serve the order."""
    return [
        one
        for one in on_shelf_as(look, substance)
        if may_serve(one.owner, order.customer)
        and look.status(one.code) in (Status.RELEASED, Status.WAITING, Status.SUSPENDED)
        and look.balance_ug(one.code) > 0
    ]
