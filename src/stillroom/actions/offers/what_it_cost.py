"""What an order came to: the days it took, and what it cost as far as the book tells, beside what was promised.

Materials as they were weighed in, at the prices of the offer; hours of the steps that were done, as their procedures
say them; the usual hours of tests once anything was tested. What is in it is told with it.
"""

from dataclasses import dataclass
from datetime import date

from stillroom.actions.bench.next_without_bottles import given_on, samples_of, tested_on, tests_missing
from stillroom.actions.day.step_times import minutes_of, usual_work
from stillroom.actions.house.pricing import role_of
from stillroom.planning.offering.offer import Offer
from stillroom.planning.offering.terms import TESTS
from stillroom.planning.request import PRICE_OF, PlanRequest
from stillroom.planning.route import WATERS
from stillroom.records.entries import Entry, Moved
from stillroom.records.lots import OURS
from stillroom.records.orders import Order
from stillroom.store.reader import Reader
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from stillroom.texts.catalogue import t

ETHYL_ACETATE_G_L = 900.0
PACKAGING = ("bottle", "cap", "label")


@dataclass(frozen=True, slots=True)
class Came:
    """What an order came to."""

    days: int | None
    """From the day it was taken to its last bottle; None while bottles are missing. [d]"""
    cost: float | None
    """None where nothing was made yet. [currency of the request]"""
    says: str
    """What is in the cost."""


def what_came(look: Reader, order: str, offer: Offer, request: PlanRequest | None) -> Came:
    """The days and the cost of an order so far.

    Parameters
    ----------
    offer : Offer
        It came from.
    request : PlanRequest or None
        With the prices its offer was worked out with; None for tests and reagents, whose offer tells them.
    """
    found = look.order(order)
    if found.is_of_bottles and request is not None:
        return Came(_days(look, order), *_cost(look, order, request))
    given = given_on(look, found)
    ended = tested_on(look, found) if found.what == "tests" else max((one.on for one in given), default="")
    days = _days_until(look, order, ended)
    if request is not None:
        return Came(days, *_cost(look, order, request))
    return Came(days, *_cost_of_small(look, found, offer, tuple(one.lot for one in given)))


def _days_until(look: Reader, order: str, ended: str) -> int | None:
    """Days from the day an order was taken to an ISO time; None where there is none [d]."""
    taken = look.latest("order taken", order)
    if taken is None or not ended:
        return None
    return (date.fromisoformat(ended[:10]) - date.fromisoformat(taken.done_at[:10])).days


def _cost_of_small(
    look: Reader, order: Order, offer: Offer, lots: tuple[str, ...]
) -> tuple[float | None, str]:
    """What tests or a reagent came to: work done at usual minutes, materials as weighed, at the prices of the offer."""
    price_per_g = {
        one.item: line.cost.middle / one.needed
        for one in offer.buying
        for line in offer.lines
        if line.item == one.label and one.needed
    }
    of_hours = next((one.cost.middle for one in offer.lines if one.item == "hours"), 0.0)
    price_per_h = of_hours / offer.hours.middle if offer.hours.middle else 0.0
    minutes, total = 0.0, 0.0
    for lot in samples_of(look, order) if order.what == "tests" else ():
        done = [one for one in order.tests if one not in tests_missing(look, order, lot.code)]
        minutes += sum(minutes_of(usual_work(one), "hands_min") for one in done)
        total += sum(minutes_of(usual_work(one), "reagent_ml") for one in done) * price_per_g.get(
            "other reagents", 0.0
        )
    for code in lots if order.is_by_recipe else ():
        batch = look.lot(code).made_by
        if not batch:
            continue
        procedure = look.procedure_of(batch)
        minutes += sum(one.hands_min for one in procedure.steps) + minutes_of(
            usual_work("controls"), "hands_min"
        )
        for entry in look.steps(batch):
            for one in entry.body.weighings:
                if one.direction == "in" and one.lot:
                    total += one.actual_g * price_per_g.get(look.lot(one.lot).substance, 0.0)
    if not minutes:
        return None, ""
    said = t(
        "What was taken, at the prices of the offer, and {hours:.1f} h at the usual minutes of what was done.",
        hours=minutes / 60.0,
    )
    return total + minutes / 60.0 * price_per_h, said


def _days(look: Reader, order: str) -> int | None:
    found = look.order(order)
    if sum(units for _, units in look.bottles_in(f"customer/{found.code}")) < found.units:
        return None
    lots = [lot for lot, _ in look.bottles_in(f"customer/{found.code}")]
    left = [one for lot in lots for one in look.entries(subject=lot) if _left(one, order)]
    return _days_until(look, order, max((one.done_at for one in left), default=""))


def _left(entry: Entry, order: str) -> bool:
    return isinstance(entry.body, Moved) and entry.body.order == order


def _cost(look: Reader, order: str, request: PlanRequest) -> tuple[float | None, str]:
    prices = {one.role.removeprefix(PRICE_OF): one for one in request.used if one.role.startswith(PRICE_OF)}
    total, minutes, tested, made = 0.0, 0.0, False, False
    for batch in look.batches(order=order):
        procedure = look.procedure(batch.procedure, batch.version)
        steps = {one.name: one for one in procedure.steps}
        for entry in look.steps(batch.code):
            made = True
            step = steps.get(entry.body.step)
            minutes += step.hands_min + step.watch_min if step and not entry.body.not_done else 0.0
            for one in entry.body.weighings:
                if one.direction == "in" and one.lot:
                    lot = look.lot(one.lot)
                    total += _priced(lot.substance, one.actual_g, request, theirs=lot.owner != OURS)
        for filled in look.fillings(batch.code):
            each = sum(prices[one].value for one in PACKAGING if one in prices)
            total += filled.body.units * each
        tested = tested or bool(look.results(batch.code))
    if not made:
        return None, ""
    hours = minutes / 60.0 + (TESTS.middle if tested else 0.0)
    total += hours * (prices["hour"].value if "hour" in prices else 0.0)
    said = t(
        "Materials as weighed, at the prices of the offer, and {hours:.1f} h: the steps done as their "
        "procedures say, {tests}.",
        hours=hours,
        tests=t("and the usual hours of tests") if tested else t("no test counted"),
    )
    return total, said


def _priced(substance: str, mass_g: float, request: PlanRequest, *, theirs: bool = False) -> float:
    if theirs:
        return 0.0
    role = "plant" if substance == request.plant else role_of(substance)
    if substance in WATERS or substance == request.extraction.makes:
        return 0.0
    if not role:
        in_formula = any(one.substance == substance for one in request.formula.lines)
        role = "formula ingredients" if in_formula else "other reagents"
    price = next((one for one in request.used if one.role == PRICE_OF + role), None)
    if price is None:
        return 0.0
    if price.unit.endswith("/L"):
        return mass_g / _grams_per_litre(role, request) * price.value
    return mass_g / 1000.0 * price.value if price.unit.endswith("/kg") else 0.0


def _grams_per_litre(role: str, request: PlanRequest) -> float:
    if role != "stock spirit":
        return ETHYL_ACETATE_G_L
    strength = next((one.value for one in request.used if one.role == "strength of the stock spirit"), 96.0)
    return float(spirit_density_kg_m3(spirit_mass_fraction(strength / 100.0), 20.0))
