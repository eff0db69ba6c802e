"""What an order came to: the days it took, and what it cost as far as the book tells, beside what was promised.

Materials as they were weighed in, at the prices of the offer; hours of the steps that were done, as their procedures
say them; the usual hours of tests once anything was tested. What is in it is told with it.
"""

from dataclasses import dataclass
from datetime import date

from stillroom.actions.house.pricing import role_of
from stillroom.planning.offering.terms import TESTS
from stillroom.planning.request import PRICE_OF, PlanRequest
from stillroom.planning.route import WATERS
from stillroom.records.entries import Entry, Moved
from stillroom.store.reader import Reader
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from stillroom.texts.catalogue import t

ETHYL_ACETATE_G_L = 900.0
PACKAGING = ("bottle", "cap", "label")


@dataclass(frozen=True, slots=True)
class Came:
    """What an order came to.

    Attributes
    ----------
    days : int or None
        From the day it was taken to its last bottle; None while bottles are missing. [d]
    cost : float or None
        None where nothing was made yet. [currency of the request]
    says : str
        What is in the cost.
    """

    days: int | None
    cost: float | None
    says: str


def what_came(look: Reader, order: str, request: PlanRequest) -> Came:
    """The days and the cost of an order so far.

    Parameters
    ----------
    look : Reader
    order : str
    request : PlanRequest
        With the prices its offer was worked out with.
    """
    return Came(_days(look, order), *_cost(look, order, request))


def _days(look: Reader, order: str) -> int | None:
    found = look.order(order)
    if sum(units for _, units in look.bottles_in(f"customer/{found.code}")) < found.units:
        return None
    taken = look.latest("order taken", order)
    lots = [lot for lot, _ in look.bottles_in(f"customer/{found.code}")]
    left = [one for lot in lots for one in look.entries(subject=lot) if _left(one, order)]
    if taken is None or not left:
        return None
    last = max(date.fromisoformat(one.done_at[:10]) for one in left)
    return (last - date.fromisoformat(taken.done_at[:10])).days


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
                    total += _priced(look.lot(one.lot).substance, one.actual_g, request)
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


def _priced(substance: str, mass_g: float, request: PlanRequest) -> float:
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
