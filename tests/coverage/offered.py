"""A virtual laboratory that takes enquiries, promises, and then lives through the order, day by day.

The truth is drawn by another generator than the offer's own draws, and lived through in plain loops: deliveries come
on their day, work passes an hour at a time in working hours, a charge that is short is followed by another. Shared with
the offer are the declared spreads and the stream that says how much plant an order needs; nothing else.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil, exp, log, sqrt

import numpy as np

from stillroom.planning.inputs import all_inputs
from stillroom.planning.lines import asked_of
from stillroom.planning.offering.draws import draw
from stillroom.planning.offering.offer import promised_days
from stillroom.planning.offering.product import begun, listed_for, missing
from stillroom.planning.offering.terms import OfferTerms, Supplied
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import Asked, content, supply
from stillroom.planning.totals import totals
from stillroom.records.procedures import Setting
from tests.planning.any_plant import WAYS, asked

MONDAY = date(2026, 11, 30)
DRAWS = 512
PLANTS = {"infusion": ("green tea leaf",), "maceration": ("rosemary leaf",)}
SUPPLIES = ("plant_g", "all_stock_spirit_g", "bottles", "caps", "labels")


@dataclass(frozen=True)
class Enquiry:
    request: PlanRequest
    terms: OfferTerms
    to_buy: tuple[str, ...]


@dataclass(frozen=True)
class Promise:
    days: int
    stated_percent: float
    low: float
    high: float


@dataclass(frozen=True)
class Came:
    days: int
    cost: float


def enquiry(seed: int) -> Enquiry:
    """One enquiry, invented: way, bottles, strength, hours a day, suppliers, day of the week."""
    chance = np.random.default_rng(seed)
    way = list(PLANTS)[int(chance.integers(len(PLANTS)))]
    request = asked(way, PLANTS[way][0], draws=DRAWS)
    aim = request.order.aim
    percent = float(f"{aim.percent * chance.uniform(0.5, 2.0):.3g}")
    order = replace(
        request.order,
        units=int(chance.integers(12, 120)),
        nominal_ml=float(chance.choice((30.0, 50.0, 100.0))),
        aim=replace(aim, percent=percent),
        at_least=replace(aim, percent=0.97 * percent),
        how_sure_percent=float(chance.choice((50.0, 80.0, 95.0))),
    )
    supplied = tuple(
        Supplied(
            item, float(chance.choice((0.0, 0.25, 1.0))) if item.endswith("_g") else 0.0, low, low * wide
        )
        for item, low, wide in (
            (one, float(chance.uniform(1, 5)), float(chance.uniform(1.5, 4))) for one in SUPPLIES
        )
    )
    terms = OfferTerms(
        (MONDAY + timedelta(days=int(chance.integers(7)))).isoformat(),
        hours_per_day=float(chance.choice((4.0, 6.0, 8.0))),
        work_in_hand_h=float(chance.choice((0.0, 0.0, 6.0, 20.0))),
        supplied=supplied,
    )
    wanted = replace(request, order=order)
    return Enquiry(wanted, terms, missing(listed_for(wanted)))


def promise(one: Enquiry) -> Promise:
    drawn = draw(*begun(one.request)[:1], one.terms, one.to_buy)
    days = promised_days(drawn.days, one.terms.kept_percent)
    low, high = np.percentile(drawn.cost, (5.0, 95.0))
    return Promise(days, 100.0 * float(np.mean(drawn.days <= days)), float(low), float(high))


def lived(one: Enquiry, seed: int) -> Came:
    """What came of it."""
    chance = np.random.default_rng((seed, 2))
    true = _true(one.request, chance)
    fixed = asked_of(true, all_inputs(true))
    planned = asked_of(one.request, all_inputs(one.request))
    plant_g = supply(planned.only("supply")).plant_limit.value
    found = supply(fixed.only("supply"))
    needed_g = float(found.plant_each_g[0])
    costs = {item: float(np.median(each)) for item, each in totals(fixed.only("money")).costs.items()}
    scale = plant_g / found.plant_limit.value
    pace, tests_h = _lognormal(chance, 1.0, 0.15), _lognormal(chance, 4.0, 0.25)
    decisions = _lognormal(chance, 2.0, 0.4)
    wrong = not bool(content(fixed.only("content")).inside[0])
    comes = {item: _delivery(chance, one.terms, item) for item in (*one.to_buy, "again")}
    day_h, today = one.terms.hours_per_day, date.fromisoformat(one.terms.today)
    extraction = tuple(_steps(true, fixed, "extraction", scale))
    formula = tuple(_steps(true, fixed, "formula", 1.0))
    short_g = max(needed_g - plant_g, 0.0)

    clock = _work(0.0, one.terms.work_in_hand_h, day_h, today)
    first = [
        item for item in one.to_buy if item not in ("bottles", "caps", "labels") and "formula" not in item
    ]
    clock = max([clock, *(24.0 * ceil(comes[item]) for item in first)])
    for work_h, free_h in extraction:
        clock = _work(clock, work_h * pace, day_h, today) + free_h
    runs = 1
    if short_g:
        runs = 2
        pack_g = 1000.0 * one.terms.supplier_of("plant_g").pack
        left_g = ceil(plant_g / pack_g) * pack_g - plant_g if pack_g else 0.0
        if short_g > left_g:
            clock = 24.0 * ceil(clock / 24.0 + comes["again"])
        for work_h, free_h in extraction:
            clock = _work(clock, work_h * pace, day_h, today) + free_h
    clock = _work(clock, tests_h / 2, day_h, today)
    clock = max([clock, *(24.0 * ceil(comes[item]) for item in one.to_buy if item not in first)])
    for work_h, free_h in formula:
        clock = _work(clock, work_h * pace, day_h, today) + free_h
    clock = _work(clock, tests_h / 2 + 2.0 * wrong, day_h, today)
    clock = _work(clock, decisions * day_h, day_h, today)

    hours = pace * (runs * sum(one for one, _ in extraction) + sum(one for one, _ in formula))
    hours += tests_h + 2.0 * wrong
    part = scale * (1.0 + short_g / plant_g)
    for item in ("plant", "acid", "ammonia", "ethyl acetate", "other reagents", "stock spirit"):
        costs[item] = costs.get(item, 0.0) * part
    costs["hours"] = hours * next(each.value for each in true.used if each.role == "price of hour")
    return Came(int(clock // 24.0), sum(costs.values()))


def _true(request: PlanRequest, chance: np.random.Generator) -> PlanRequest:
    """The request with every uncertain input at one value that it happened to have."""

    def happened(one: Known) -> Known:
        z = float(chance.standard_normal())
        if one.spread == "normal":
            value = one.value + one.standard_uncertainty * z
        elif one.spread == "lognormal":
            value = _lognormal(chance, one.value, one.standard_uncertainty)
        elif one.spread == "logit":
            odds = (
                log(one.value / (1 - one.value))
                + one.standard_uncertainty / (one.value * (1 - one.value)) * z
            )
            value = 1 / (1 + exp(-odds))
        else:
            return one
        return replace(one, value=value, standard_uncertainty=0.0, spread="fixed")

    known = tuple(happened(one) for one in request.used)
    extraction, formula = (
        replace(
            procedure,
            steps=tuple(
                replace(step, settings=tuple(_setting(each, chance) for each in step.settings))
                for step in procedure.steps
            ),
        )
        for procedure in (request.extraction, request.formula)
    )
    return replace(request, known=known, extraction=extraction, formula=formula, draws=64)


def _setting(one: Setting, chance: np.random.Generator) -> Setting:
    z = float(chance.standard_normal())
    if one.spread == "fixed" or not one.standard_uncertainty:
        return one
    if one.spread == "normal":
        value = one.value + one.standard_uncertainty * z
    elif one.spread == "lognormal":
        value = one.value * exp(sqrt(log(1 + one.standard_uncertainty**2)) * z)
    else:
        odds = log(one.value / (1 - one.value)) + one.standard_uncertainty / (one.value * (1 - one.value)) * z
        value = 1 / (1 + exp(-odds))
    return replace(one, value=value, standard_uncertainty=0.0, spread="fixed")


def _lognormal(chance: np.random.Generator, middle: float, share: float) -> float:
    return middle * exp(sqrt(log(1.0 + share**2)) * float(chance.standard_normal()))


def _delivery(chance: np.random.Generator, terms: OfferTerms, item: str) -> float:
    one = terms.supplier_of("plant_g" if item == "again" else item)
    wide = log(one.high_days / one.low_days) / 3.29
    return sqrt(one.low_days * one.high_days) * exp(wide * float(chance.standard_normal()))


def _steps(request: PlanRequest, fixed: Asked, part: str, scale: float) -> Iterator[tuple[float, float]]:
    """Working and free hours of each step; what follows the plant grows with the charge."""
    found = supply(fixed.only("supply"))
    procedure = getattr(request, part)
    accounts = {one.name: one for one in (found.charge if part == "extraction" else found.bulk).steps}
    for step in procedure.steps:
        work = accounts[step.name].work
        moving = float(np.median(work.hands_min)) + float(np.median(work.watch_min))
        yield_h = (moving * scale + step.hands_min + step.watch_min) / 60.0
        yield yield_h, (float(np.median(work.free_min)) + step.free_min) / 60.0


def _work(clock: float, work_h: float, day_h: float, today: date) -> float:
    """The clock after so many hours of work, a stretch of a working day at a time."""
    while work_h > 1e-12:
        day, at = divmod(clock, 24.0)
        if (today + timedelta(days=int(day))).weekday() >= 5 or at >= day_h:
            clock = 24.0 * (day + 1.0)
            continue
        done = min(work_h, day_h - at)
        clock, work_h = clock + done, work_h - done
    return clock


__all__ = ["WAYS", "enquiry", "lived", "promise"]
