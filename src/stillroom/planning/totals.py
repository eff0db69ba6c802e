"""Packaging, hours, cooling water, electricity and money of the whole batch."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

import numpy as np

from stillroom.planning import amounts
from stillroom.planning.shelf_inputs import STOCK
from stillroom.planning.stages import Asked, Drawn, drawn, supply
from stillroom.quantities.draws import Draws
from stillroom.science.heat.distilling import cooling_water_l
from stillroom.stream.components import Array

MINUTES_PER_HOUR = 60.0
PRICE_OF = {"bottles": "bottle", "caps": "cap", "labels": "label", "hours": "hour"}
"""Items whose price is of one piece or hour."""
ITEMS = (
    "plant",
    "stock spirit",
    "acid",
    "ammonia",
    "ethyl acetate",
    "other reagents",
    "formula ingredients",
    "bottles",
    "caps",
    "labels",
    "water",
    "electricity",
    "hours",
)
"""In the order they are printed."""
MINUTES = ("hands", "watch", "free")


@dataclass(frozen=True)
class Totals:
    """What the house and the purse give; ``costs`` by item, in the currency of the prices."""

    draws: Draws
    hands_h: Array
    watch_h: Array
    free_h: Array
    heat_kwh: Array
    cooling_l: Array
    costs: Mapping[str, Array]

    @property
    def cost(self) -> Array:
        """Sum of the costs [the currency of the prices]."""
        return np.asarray(sum(self.costs.values()))


def packaging(asked: Asked) -> Array:
    """Bottles, caps or labels with spares, whole pieces [pieces]."""
    return amounts.constant(asked, float(pieces(asked)))


def pieces(asked: Asked) -> int:
    """Bottles ordered and kept back, with spares, rounded up [pieces]."""
    values = {role: value for role, value, _ in asked.inputs}
    filled = values["order/bottles"] + values["kept back"]
    return ceil(round(filled * (1.0 + values["spares"] / 100.0), 9))


@lru_cache(maxsize=2)
def totals(asked: Asked) -> Totals:
    """Hours, cooling, electricity and, where prices are among the inputs, money.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "house" or "money".
    """
    return _totals(asked, whole=True)


@lru_cache(maxsize=2)
def charge_totals(asked: Asked) -> Totals:
    """The same of the charge alone: nothing of the product, its filling and its packaging.

    Parameters
    ----------
    asked : Asked
        With a charge, and the inputs of the stage "house" or "money".
    """
    return _totals(asked, whole=False)


def _totals(asked: Asked, *, whole: bool) -> Totals:
    inputs = drawn(asked)
    supplied = supply(asked.only("supply"))
    steps = _minutes(inputs.medians, "" if whole else "extraction/")
    accounts = (*supplied.charge.steps, *(supplied.bulk.steps if whole else ()))
    zero = np.zeros(asked.draws)
    asked_of = {
        name: np.asarray(sum((getattr(one.work, f"{name}_min") for one in accounts), zero))
        for name in MINUTES
    }
    heat_kwh = np.asarray(sum((one.work.heat_kwh for one in accounts), zero))
    cooling_j = np.asarray(sum((one.work.cooling_j for one in accounts), zero))
    cooling_l = np.asarray(cooling_water_l(cooling_j, inputs.medians["tap water rise"]))
    hours = {name: (asked_of[name] + steps[name]) / MINUTES_PER_HOUR for name in asked_of}
    found = Totals(inputs.draws, hours["hands"], hours["watch"], hours["free"], heat_kwh, cooling_l, {})
    if not any(role.startswith("price of") for role in inputs.medians):
        return found
    return replace(found, costs=_costs(asked, inputs, found, whole=whole))


def _minutes(medians: Mapping[str, float], part: str) -> dict[str, float]:
    return {
        name: sum(
            value
            for role, value in medians.items()
            if role.startswith(part) and role.endswith(f"/{name}_min")
        )
        for name in MINUTES
    }


@lru_cache(maxsize=8)
def unpriced(asked: Asked) -> tuple[str, ...]:
    """What is taken and has no price among the inputs, as prices are noted, in the order of the items.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "money".
    """
    return _without_price(asked, _amounts(asked, totals(asked)))


def charge_unpriced(asked: Asked) -> tuple[str, ...]:
    """The same of the charge alone.

    Parameters
    ----------
    asked : Asked
        With a charge, and the inputs of the stage "money".
    """
    return _without_price(asked, _of_charge(asked, charge_totals(asked)))


def _without_price(asked: Asked, amount: Mapping[str, Array]) -> tuple[str, ...]:
    roles = {role for role, _, _ in asked.inputs}
    return tuple(
        PRICE_OF.get(item, item)
        for item in ITEMS
        if item in amount and f"price of {PRICE_OF.get(item, item)}" not in roles and np.any(amount[item] > 0)
    )


def _costs(asked: Asked, inputs: Drawn, found: Totals, *, whole: bool) -> dict[str, Array]:
    price = {role.removeprefix("price of "): one for role, one in inputs.values.items() if "price of" in role}
    amount = _amounts(asked, found) if whole else _of_charge(asked, found)
    return {
        item: np.asarray(amount[item] * price[PRICE_OF.get(item, item)])
        for item in ITEMS
        if item in amount and PRICE_OF.get(item, item) in price and np.any(amount[item] > 0)
    }


def _amounts(asked: Asked, found: Totals) -> dict[str, Array]:
    """What is taken of each item, in what its price is for."""
    only = asked.only("supply")
    pieces_each = np.full(asked.draws, float(pieces(asked)))
    return {
        **_of_charge(asked, found),
        "formula ingredients": amounts.formula_ingredients(only) / 1000.0,
        "bottles": pieces_each,
        "caps": pieces_each,
        "labels": pieces_each,
        "water": (amounts.water(only) / 1000.0 + found.cooling_l) / 1000.0,
        **_spirit(asked, amounts.all_spirit),
    }


def _of_charge(asked: Asked, found: Totals) -> dict[str, Array]:
    """The same of the charge alone."""
    only = asked.only("supply")
    return {
        "plant": np.full(asked.draws, supply(only).plant_limit.value / 1000.0),
        "acid": amounts.reagent_g(only, "acid") / 1000.0,
        "ammonia": amounts.reagent_g(only, "ammonia") / 1000.0,
        "ethyl acetate": amounts.solvent_ml(only) / 1000.0,
        "other reagents": amounts.other_reagents(only) / 1000.0,
        "water": (amounts.charge_water(only) / 1000.0 + found.cooling_l) / 1000.0,
        "electricity": found.heat_kwh,
        "hours": found.hands_h + found.watch_h,
        **_spirit(asked, amounts.stock_for_extraction),
    }


def _spirit(asked: Asked, of: Callable[[Asked], Array]) -> dict[str, Array]:
    if not any(role == STOCK for role, _, _ in asked.inputs):
        return {}
    only = asked.only("supply")
    return {"stock spirit": amounts.stock_ml(of(only), only) / 1000.0}
