"""What a book knows for an enquiry that asks for no bottles, and the order it becomes."""

from dataclasses import replace
from datetime import datetime

from stillroom.actions.day.free_bench import free_for
from stillroom.actions.house.describing import tax_of
from stillroom.actions.house.house_facts import hours_a_day
from stillroom.actions.house.pricing import currency_of, suppliers_of
from stillroom.actions.lots.spirit_lots import NOT_DENATURED
from stillroom.actions.offers.shelf_serves import work_in_hand_h
from stillroom.actions.orders.requesting import items_of, request_of_theirs
from stillroom.actions.shelf.goods_under_way import coming_of
from stillroom.actions.shelf.lot_strength import strength_of_spirit
from stillroom.actions.testing.reagents import is_allowed, procedure_in_book
from stillroom.planning.offering.terms import OfferTerms
from stillroom.planning.request import PlanRequest
from stillroom.questions.offer_diluted import recipe_of_dilution
from stillroom.questions.offer_otherwise import Diluted, Made, Otherwise, OwnPlant, Tested
from stillroom.questions.offer_shelf import OfferedOtherwise, Shelf, StockSpirit, of_one
from stillroom.questions.offer_worked import answered, request_of_own, terms_of
from stillroom.records.entries import OrderTaken, ProcedureWritten
from stillroom.records.lots import OURS, Status, grams
from stillroom.records.orders import NO_STRENGTH, Order
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_recipes import taken_of
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def offer_without_bottles(
    look: Reader, said: Otherwise, now: datetime
) -> tuple[OfferedOtherwise, OfferTerms]:
    """The offer of such an enquiry with everything the book knows, and its terms."""
    shelf = shelf_of(look)
    tax, percent = tax_of(look.house().tax)
    request = _request(look, said) if isinstance(said, OwnPlant) else None
    kinds = {one.kind for one in request.extraction.steps} if request else {"mix"}
    bench = free_for(look, now, sorted(kinds))
    terms = replace(
        terms_of(said),
        tax=tax,
        tax_percent=percent,
        hours_per_day=hours_a_day(look)[0],
        work_in_hand_h=0.0 if bench else work_in_hand_h(look),
        bench=bench,
    )
    for one in suppliers_of(look, items_of(request.extraction, request.formula)) if request else ():
        terms = terms.with_supplier(one)
    return answered(said, terms, shelf, request), terms


def shelf_of(look: Reader) -> Shelf:
    """What things cost here for a gram or an hour, what stands released, and which reagents may be made."""
    prices: dict[str, tuple[float, str]] = {}
    for entry in look.prices():
        one = entry.body
        if one.currency != currency_of(look):
            continue
        per = of_one(one.per, one.of)
        if per is None:
            continue
        of = "hour of work" if one.of == "hour" else one.of
        prices[of] = (float(one.amount) / per, f"{one.as_written}, entry {entry.entry_no}")
    held: dict[str, float] = {}
    spirits: dict[str, StockSpirit] = {}
    for lot in look.lots(status=Status.RELEASED, on_shelf=True):
        if lot.owner == OURS and lot.kind.traits.counted_in == "ug":
            held[lot.substance] = held.get(lot.substance, 0.0) + grams(look.balance_ug(lot.code))
            if lot.kind.traits.spirit == "stock" and lot.denatured_with.strip().casefold() in NOT_DENATURED:
                strength = strength_of_spirit(look, lot).answer
                if strength is not None:
                    spirits[lot.code] = StockSpirit(
                        lot.substance, strength.value, grams(look.balance_ug(lot.code))
                    )
    return Shelf(
        currency_of(look),
        prices,
        held,
        coming_of(look),
        lambda name: procedure_in_book(look, name),
        lambda care: is_allowed(look, care),
        tuple(spirits.values()),
    )


def begin_other_order(
    pen: BookWriter, said: Otherwise, request: PlanRequest | None, code: str, due: str
) -> list[int]:
    """Write an order without bottles, and its procedure where the book has it not.

    Parameters
    ----------
    request : PlanRequest or None
        Of a customer's plant.

    Returns
    -------
    list of int
        Numbers of the entries.
    """
    written: list[Procedure] = []
    order = Order(code, said.customer, "", "", "", "", "", 1, 0.0, NO_STRENGTH, NO_STRENGTH, due)
    if isinstance(said, OwnPlant) and request is not None:
        extraction = replace(
            request.extraction, code=_free(pen.look, request_of_own(said).order.product.replace(" ", "-"))
        )
        written.append(extraction)
        kg = said.own_plant / 1000.0
        order = replace(
            order,
            product=extraction.makes,
            extraction=extraction.code,
            what="own plant",
            asks=t("{kg:g} kg of {plant}", kg=kg, plant=said.plant),
        )
    elif isinstance(said, Tested):
        asks = t("{samples} × {sample}", samples=said.samples, sample=said.sample)
        order = replace(
            order, product=said.sample, units=said.samples, what="tests", asks=asks, tests=said.tests
        )
    elif isinstance(said, Made):
        procedure = procedure_in_book(pen.look, said.reagent)
        if procedure.code not in {one.code for one in pen.look.procedures()}:
            written.append(procedure)
        amount = said.reagent_amount
        order = replace(
            order,
            product=procedure.title,
            formula=procedure.code,
            what="reagent",
            asks=f"{amount.value:g} {amount.unit}",
        )
    elif isinstance(said, Diluted):
        procedure = recipe_of_dilution(said, shelf_of(pen.look))
        if procedure.code not in {one.code for one in pen.look.procedures()}:
            written.append(procedure)
        grams_of = sum(taken_of(one).value for one in procedure.lines)
        order = replace(
            order,
            product=procedure.title,
            formula=procedure.code,
            what="dilution",
            asks=f"{grams_of:.0f} g",
        )
    return [
        *(pen.enter(ProcedureWritten(one)) for one in written),
        pen.enter(OrderTaken(order)),
    ]


def _request(look: Reader, said: OwnPlant) -> PlanRequest:
    """What a charge of the customer's plant is worked out from: what is known of ours is not known of theirs."""
    return request_of_theirs(look, request_of_own(said))


def _free(look: Reader, code: str) -> str:
    """A code for a procedure that the book has not."""
    taken = {one.code for one in look.procedures()}
    found, number = f"{code[:20]}-ext", 2
    while found in taken:
        found, number = f"{code[:18]}-ext-{number}", number + 1
    return found
