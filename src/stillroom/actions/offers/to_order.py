"""What of a buying list is still to be ordered from suppliers: of an offer as it was told, or of an order's plan."""

from dataclasses import dataclass
from datetime import timedelta
from math import ceil, floor, log10

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.pricing import role_of, suppliers_of
from stillroom.actions.orders.requesting import items_of, request_for
from stillroom.planning.offering.offer import Bought, Offer
from stillroom.planning.offering.product import bought, listed_for
from stillroom.planning.offering.terms import OfferTerms, Supplied
from stillroom.planning.request import PlanRequest
from stillroom.records.lot_kinds import kinds_that
from stillroom.store.reader import Reader

PACKED = ("bottles", "caps", "labels")
WATER = "process_water_g"
FIGURES = 3
"""To so many figures an amount is written, never less than is needed. [1]"""


@dataclass(frozen=True, slots=True)
class LineToOrder:
    """A line that nobody has ordered: its substance, how much at least, its price as noted, what it is called."""

    substance: str
    amount: str
    price: str
    says: str


@dataclass(frozen=True, slots=True)
class ToOrder:
    """What is still to be ordered, the order it is for, and the day it usually is here."""

    lines: tuple[LineToOrder, ...] = ()
    order: str = ""
    comes: str = ""


def to_order(lab: Laboratory, code: str) -> ToOrder:
    """What is still to be ordered for an offer, or for an order that came without one.

    Parameters
    ----------
    code : str
        Of the offer or the order.

    Raises
    ------
    UnknownName
        There is none of that code.
    """
    with lab.look() as look:
        is_offer = any(one.body.code == code for one in look.offers())
        if is_offer or not look.orders_of([code]):
            listed, request, since, order = _of_offer(look, code)
        else:
            listed, request, since, order = *_of_order(look, code, lab.today().isoformat()), code
        ordered = {one.body.substance for one in look.goods_ordered() if one.entry_no > since}
        named = _substances(look, request)
        lines, days = list[LineToOrder](), 1.0
        for one in listed:
            substance = named.get(one.item, one.label if "_" in one.item else one.item)
            if one.to_buy <= 0 or one.item == WATER or substance in ordered:
                continue
            lines.append(LineToOrder(substance, _amount(one), _price(look, substance), one.label))
            days = max(days, Supplied(one.item, 0.0, one.low_days, one.high_days).usual_days)
        comes = (lab.today() + timedelta(days=ceil(days))).isoformat()
        return ToOrder(tuple(lines), order, comes)


def _of_offer(look: Reader, code: str) -> tuple[tuple[Bought, ...], PlanRequest | None, int, str]:
    made = look.offer(code)
    ended = next((one.body for one in look.offers_ended() if one.body.code == code), None)
    request = PlanRequest.from_json(made.body.request) if made.body.request else None
    return Offer.from_json(made.body.offer).buying, request, made.entry_no, ended.order if ended else ""


def _of_order(look: Reader, order: str, today: str) -> tuple[tuple[Bought, ...], PlanRequest | None, int]:
    """By its plan as it is worked out now, which counts what is under way already; nothing where none can be."""
    if not look.order(order).is_worked_back:
        return (), None, 0
    request = request_for(look, order)
    items = items_of(request.extraction, request.formula)
    terms = OfferTerms(today, supplied=suppliers_of(look, items))
    listed = tuple(bought(one, request, terms, ()) for one in listed_for(request))
    return listed, request, look.head.entry_no


def _substances(look: Reader, request: PlanRequest | None) -> dict[str, str]:
    """What each line of a buying list is called on the shelf."""
    if request is None:
        return {}
    found = {item: of for of, item in items_of(request.extraction, request.formula).items()}
    found |= {one: one.removesuffix("s") for one in PACKED}
    found["bottles"] = f"bottle {request.order.content.words}"
    for lot in look.lots(kinds_that(lambda one: one.used_to == "pack")):
        if lot.substance.split()[0] != "bottle":
            found[f"{lot.substance.split()[0]}s"] = lot.substance
    return found


def _amount(one: Bought) -> str:
    """Whole packs, or what is needed at least, written to three figures."""
    number, _, unit = one.pack.partition(" ")
    if one.packs and unit:
        return f"{one.packs * float(number):.10g} {unit}"
    step = 10.0 ** (floor(log10(one.to_buy)) - FIGURES + 1)
    least = ceil(one.to_buy) if one.unit == "pieces" else ceil(one.to_buy / step - 1e-9) * step
    return f"{least:.10g} {one.unit}"


def _price(look: Reader, substance: str) -> str:
    """Its price as noted, without packs and days; by the substance itself, or what a plan calls it."""
    prices = {one.body.of: one.body.as_written for one in look.prices()}
    return prices.get(substance, prices.get(role_of(substance), "")).partition(";")[0].strip()
