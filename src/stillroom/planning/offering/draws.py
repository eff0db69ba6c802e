"""An order in every draw: what it costs and the day it is ready, with the second charge where the first is short.

Built on the plan's own draws: the same named inputs, the same seed; suppliers, the pace of work, tests and decisions
are draws of their own. Promises that an order that is short of extract, or too weak once dosed, is put right and paid
for in its draw. Says nothing about other orders but for the hours they still ask for.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import ceil

import numpy as np

from stillroom.planning import amounts
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lines import asked_of
from stillroom.planning.offering.calendar import DESK, Flags, Hours, days_of
from stillroom.planning.offering.terms import (
    DECISIONS,
    PUT_RIGHT_H,
    TESTS,
    USUAL,
    WORK,
    OfferTerms,
    days_spread,
)
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import Asked, Supply, content, supply
from stillroom.planning.totals import MINUTES_PER_HOUR, totals, unpriced
from stillroom.planning.working_days import MINUTES_PER_DAY
from stillroom.quantities.draws import Draws
from stillroom.stream.account import StepAccount
from stillroom.stream.components import Array, Number

OF_EXTRACTION = ("plant", "acid", "ammonia", "ethyl acetate", "other reagents")
"""Items of the cost that a second charge takes again, the spirit apart."""
FOR_FILLING = ("bottles", "caps", "labels")
PLANT = "plant_g"
SUPPLIER_DAYS = "offer/supplier of {item}/days"


@dataclass(frozen=True, slots=True)
class Otherwise:
    """An order made otherwise than its plan says."""

    plant_factor: float = 1.0
    """Plant of a charge, of what the plan says. [1]"""
    charges: int = 1
    """Charges begun from the start; none where the extract stands on the shelf. [1]"""
    more_tests_h: float = 0.0
    """Hours of tests beside the usual. [h]"""


AS_PLANNED = Otherwise()


@dataclass(frozen=True)
class Drawn:
    """An order in every draw.

    ``enough``, ``strong``: whether the first charges give extract enough, and whether the strength lies
    within its limits.
    """

    days: Array
    """Whole days from the order to the bottles. [d]"""
    costs: Mapping[str, Array]
    """By item. [currency]"""
    hours: Array
    """Hands and eyes. [h]"""
    enough: Flags
    strong: Flags
    draws: Draws
    """Those of the offer beside the plan's."""
    unpriced: tuple[str, ...] = ()
    """What it takes that has no price; it is not in the costs."""

    @property
    def cost(self) -> Array:
        """Sum of the costs [currency]."""
        return np.asarray(sum(self.costs.values(), np.zeros(self.days.shape)))


def draw(
    request: PlanRequest, terms: OfferTerms, to_buy: tuple[str, ...], otherwise: Otherwise = AS_PLANNED
) -> Drawn:
    """Reckon the order of a request in every draw.

    Parameters
    ----------
    to_buy : tuple of str
        Keys of the lines that are not on the shelf.
    """
    asked = asked_of(request, all_inputs(request))
    return draw_asked(asked, terms, to_buy, plant_held_g(request), otherwise)


def plant_held_g(request: PlanRequest) -> float:
    """Plant on the shelf [g]."""
    return sum(one.amount for one in request.stock if one.item == PLANT)


@lru_cache(maxsize=16)
def draw_asked(
    asked: Asked, terms: OfferTerms, to_buy: tuple[str, ...], held_g: float, otherwise: Otherwise
) -> Drawn:
    """The same from the frozen inputs of its plan.

    Parameters
    ----------
    asked : Asked
        With every input.
    to_buy : tuple of str
        Keys of the lines that are not on the shelf.
    held_g : float
        Plant on the shelf. [g]
    """
    found = supply(asked.only("supply"))
    plant_g = found.plant_limit.value * otherwise.plant_factor
    needed_g = found.plant_each_g
    enough = np.full(asked.draws, True)
    if otherwise.charges:
        enough = np.asarray(needed_g <= plant_g * otherwise.charges, dtype=np.bool_)
    made = content(asked.only("content"))
    draws = offer_draws(terms, to_buy, asked.draws, asked.seed)
    again = np.where(enough, 0.0, np.maximum(needed_g / plant_g - otherwise.charges, 0.0))
    strong = np.asarray(made.inside, dtype=np.bool_)
    wrong = ~strong
    left_g = left_over_g(terms, plant_g * otherwise.charges, held_g)
    extraction_h = hours_of_steps(asked, found.charge.steps, "extraction")
    formula_h = hours_of_steps(asked, found.bulk.steps, "formula")
    pace = draws.value(WORK.name)
    tests_h = draws.value(TESTS.name) + otherwise.more_tests_h + PUT_RIGHT_H * wrong
    runs = otherwise.charges + (again > 0)
    hours = pace * (extraction_h * runs + formula_h) + tests_h
    parts = otherwise.plant_factor * otherwise.charges + again
    return Drawn(
        _days(terms, draws, asked, found, again > 0, again * plant_g > left_g, wrong, to_buy, otherwise),
        _costs(asked, parts, hours),
        np.asarray(hours),
        enough,
        strong,
        draws,
        _unpriced(asked, parts),
    )


def offer_draws(terms: OfferTerms, to_buy: tuple[str, ...], draws: int, seed: int) -> Draws:
    """What is uncertain of an offer beside its plan: pace, tests, decisions, and the days of each supplier.

    Parameters
    ----------
    to_buy : tuple of str
        Keys of the lines that are not on the shelf.
    """
    spreads = {one.name: one.spread for one in USUAL}
    spreads |= {SUPPLIER_DAYS.format(item=one): days_spread(terms.supplier_of(one)) for one in to_buy}
    spreads[SUPPLIER_DAYS.format(item="more plant")] = days_spread(terms.supplier_of(PLANT))
    return Draws.of(spreads, draws, seed, decorrelated=False)


def left_over_g(terms: OfferTerms, plant_g: float, held_g: float) -> float:
    """Plant that is left once the charges are begun: on the shelf, or in the packs bought for them [g].

    Parameters
    ----------
    plant_g, held_g : float
        Plant the charges take, and on the shelf. [g]
    """
    to_buy_g, pack_g = max(plant_g - held_g, 0.0), terms.supplier_of(PLANT).pack * 1000.0
    bought_g = ceil(to_buy_g / pack_g - 1e-9) * pack_g if pack_g else to_buy_g
    return held_g + bought_g - plant_g


def _costs(asked: Asked, parts: Array, hours: Array) -> dict[str, Array]:
    """What the plan's costs become with more plant, a second charge and the hours as drawn."""
    supplied = asked.only("supply")
    costs = dict(totals(asked.only("money")).costs)
    price_per_hour = next((value for role, value, _ in asked.inputs if role == "price of hour"), None)
    for item in OF_EXTRACTION:
        if item in costs:
            costs[item] = costs[item] * parts
    if "stock spirit" in costs:
        every = np.maximum(amounts.all_spirit(supplied), 1e-30)
        share = amounts.stock_for_extraction(supplied) / every
        costs["stock spirit"] = costs["stock spirit"] * (1.0 + share * (parts - 1.0))
    if not np.any(parts):  # no charge: what the product itself boils and pours is cents
        costs = {item: one for item, one in costs.items() if item not in ("water", "electricity")}
    if price_per_hour is not None:
        costs["hours"] = np.asarray(hours * price_per_hour)
    return costs


def _unpriced(asked: Asked, parts: Array) -> tuple[str, ...]:
    """What is taken and has no price; without a charge nothing of the extraction is."""
    found = unpriced(asked.only("money"))
    if np.any(parts):
        return found
    supplied = asked.only("supply")
    of_product = np.any(amounts.all_spirit(supplied) > amounts.stock_for_extraction(supplied))
    not_taken = (*OF_EXTRACTION, "water", "electricity", *(() if of_product else ("stock spirit",)))
    return tuple(one for one in found if one not in not_taken)


def hours_of_steps(asked: Asked, steps: tuple[StepAccount, ...], part: str) -> Array:
    """Hands and eyes of the steps of a procedure, at the pace it says [h].

    Parameters
    ----------
    part : str
        "extraction" or "formula".
    """
    zero = np.zeros(asked.draws)
    return np.asarray(
        sum((work for work, _ in minutes_of_steps(asked, steps, part)), zero) / MINUTES_PER_HOUR
    )


def minutes_of_steps(
    asked: Asked, steps: tuple[StepAccount, ...], part: str
) -> Iterator[tuple[Array, Array]]:
    """Working and free minutes of each step, in every draw.

    Parameters
    ----------
    part : str
        "extraction" or "formula".
    """
    stated = {role: value for role, value, _ in asked.inputs}
    for one in steps:
        said = {name: stated.get(f"{part}/{one.name}/{name}_min", 0.0) for name in ("hands", "watch", "free")}
        work = one.work.hands_min + one.work.watch_min + said["hands"] + said["watch"]
        yield (
            np.broadcast_to(np.asarray(work, dtype=np.float64), asked.draws),
            np.broadcast_to(np.asarray(one.work.free_min + said["free"], dtype=np.float64), asked.draws),
        )


def _days(
    terms: OfferTerms,
    draws: Draws,
    asked: Asked,
    found: Supply,
    second: Flags,
    waits: Flags,
    wrong: Flags,
    to_buy: tuple[str, ...],
    otherwise: Otherwise,
) -> Array:
    """Days from the order to the bottles: bought, extracted, tested, made, decided."""
    hours, pace = hours_of(terms), draws.value(WORK.name)
    tests_min = draws.value(TESTS.name) * MINUTES_PER_HOUR
    busy = hours.after(np.zeros(draws.count), terms.work_in_hand_h * MINUTES_PER_HOUR)
    clock = np.maximum(busy, arrived(draws, [one for one in to_buy if not _for_product(one)]))
    for _ in range(otherwise.charges):
        clock = through(clock, asked, found.charge.steps, "extraction", pace, hours)
    more_plant = draws.value(SUPPLIER_DAYS.format(item="more plant")) * MINUTES_PER_DAY
    waited = np.where(waits, np.ceil((clock + more_plant) / MINUTES_PER_DAY) * MINUTES_PER_DAY, clock)
    once_more = through(waited, asked, found.charge.steps, "extraction", pace, hours)
    clock = np.where(second, once_more, clock)
    more_min = otherwise.more_tests_h * MINUTES_PER_HOUR
    clock = hours.after(clock, tests_min / 2 + more_min)
    clock = np.maximum(clock, arrived(draws, [one for one in to_buy if _for_product(one)]))
    clock = through(clock, asked, found.bulk.steps, "formula", pace, hours)
    clock = hours.after(clock, tests_min / 2 + wrong * PUT_RIGHT_H * MINUTES_PER_HOUR)
    return days_of(decided(clock, draws, terms))


def hours_of(terms: OfferTerms) -> Hours:
    """When work passes under some terms."""
    day_min = terms.hours_per_day * MINUTES_PER_HOUR
    return Hours(day_min, date.fromisoformat(terms.today).weekday(), dict(terms.bench))


def decided(clock: Array, draws: Draws, terms: OfferTerms) -> Array:
    """The clock when everything was read and looked at again, in every draw [min].

    Parameters
    ----------
    clock : array
        [min]
    """
    return decided_after(clock, terms, draws.value(DECISIONS.name))


def decided_after(clock: Number, terms: OfferTerms, days: Number = DECISIONS.middle) -> Array:
    """The clock after days at a desk, that take nothing of the bench [min].

    Parameters
    ----------
    clock : float or array
        [min]
    days : float or array
        The usual, where none is said. [d]
    """
    hours = hours_of(terms)
    return hours.after(clock, np.asarray(days) * hours.day_min, DESK)


def through(
    clock: Array, asked: Asked, steps: tuple[StepAccount, ...], part: str, pace: Array, hours: Hours
) -> Array:
    """The clock after the steps of a procedure, one after the other [min].

    Parameters
    ----------
    clock : array
        [min]
    part : str
        "extraction" or "formula".
    pace : array
        How long work takes, of what the procedure says. [1]
    """
    for one, (work, free) in zip(steps, minutes_of_steps(asked, steps, part), strict=True):
        clock = hours.after(clock, work * pace, one.kind) + free
    return clock


def arrived(draws: Draws, items: Sequence[str]) -> Array:
    """The clock when the last of some things is there: at the opening of the day after it came [min].

    Parameters
    ----------
    items : sequence of str
        Keys of lines that are bought.
    """
    clock = np.zeros(draws.count)
    for item in items:
        clock = np.maximum(clock, np.ceil(draws.value(SUPPLIER_DAYS.format(item=item))) * MINUTES_PER_DAY)
    return clock


def _for_product(item: str) -> bool:
    """Whether a line is first needed when the product is made."""
    return item in FOR_FILLING or item.startswith("formula/")
