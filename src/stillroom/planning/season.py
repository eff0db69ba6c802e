"""A plant bought or harvested once, against the orders of a season: how much, what it loses, what it ties up.

The one-period stock problem: what is short is bought dear or lost, what is left over is worth little. Months are taken
to be independent and their sum normal; what waits longer has lost more, so that a late need counts for more. What is
short is short at the end, and is bought fresh: the last kilogram of the store stands for less than one.
"""

from dataclasses import dataclass
from math import exp, log, pi, sqrt
from typing import NamedTuple

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import Floats

MONTHS_A_YEAR = 12.0
SEASONS = 4_001
"""Seasons that are compared, evenly through all there may be. [1]"""


@dataclass(frozen=True, slots=True)
class Season:
    """What to have of a plant for a season.

    ``needed_kg``, ``needed_sd_kg``: plant as it is when it is bought, that the orders would take. [kg]
    ``short_kg``, ``left_kg``: to expect: plant bought fresh when it is short, and plant left in the store.
    [kg]
    """

    needed_kg: float
    needed_sd_kg: float
    critical_percent: float
    """In how many of 100 seasons it is to be enough. [%]"""
    buy_kg: float
    """[kg]"""
    short_kg: float
    left_kg: float
    lost_percent: float
    """Of the active, in what is used last. [%]"""
    cost: float
    """To expect, of plant, shortage and interest, less what is left. [currency]"""
    tied_up: float
    """Money that stands in the store, over the season. [currency]"""
    test_again_days: float
    """Until it has lost as much as a new assay could tell; 0 where that never comes. [d]"""


@formula("season-of-a-plant")
def season(
    month_kg: float,
    month_spread_percent: float,
    months: float,
    price_kg: float,
    short_price_kg: float,
    left_price_kg: float,
    loss_month_percent: float,
    interest_year_percent: float,
    assay_percent: float = 3.0,
    bought_fresh: float = 0.0,
) -> Season:
    """How much of a plant to have for a season of orders.

    Parameters
    ----------
    month_kg : float
        Plant that the orders of a month take, were it fresh. [kg]
    month_spread_percent : float
        Standard deviation of a month. [%]
    months : float
        How many the store has to last. [month]
    price_kg, short_price_kg, left_price_kg : float
        Of a kilogram now; of one bought when it is short, or the margin lost with it; of one left over. [currency/kg]
    loss_month_percent : float
        Of the active that is there, in a month of store. [%]
    interest_year_percent : float
        On the money laid out. [%]
    assay_percent : float
        Standard uncertainty of an assay, as a share of it. [%]
    bought_fresh : float
        1 where what is short is bought fresh when it is short; 0 counts it as if it had been stored too, as books of
        before 2026-12 have it. [1]

    Raises
    ------
    BadEntry
        What is short costs no more than what is bought now, or what is left is worth as much.

    Notes
    -----
    A need in the middle of month m takes exp(k (m - 1/2)) of plant. The sum is normal with mean mu and s. Counted as
    stored, Q = mu + z s with Phi(z) = cu / (cu + co), cu = short price - price, co = price (1 + interest) - price of a
    rest, and the shortage to expect is s (phi(z) - z (1 - Phi(z))). Bought fresh, a season of need X runs out where
    Q / X of it is used, and needs the rest month by month as it would be fresh; Q is where cost to expect is least.
    """
    over = price_kg * (1.0 + interest_year_percent / 100.0 * months / MONTHS_A_YEAR) - left_price_kg
    under = short_price_kg - price_kg
    if under <= 0 or over <= 0:
        raise BadEntry(
            "What is short costs more than what is bought in time, and what is left over is worth less",
            worded(
                "{price:g} now, {short:g} when it is short, {left:g} left over",
                price=price_kg,
                short=short_price_kg,
                left=left_price_kg,
            ),
            "Otherwise buy each month, or as much as there is",
            where="short",
        )
    rate = -log(1.0 - loss_month_percent / 100.0)
    grows = [exp(rate * (at + 0.5)) for at in range(round(months))]
    mean = month_kg * sum(grows)
    spread = month_kg * month_spread_percent / 100.0 * sqrt(sum(one**2 for one in grows))
    if bought_fresh:
        had = _bought_fresh(
            mean, spread, grows, price_kg, short_price_kg, left_price_kg, interest_year_percent
        )
    else:
        had = _as_stored(mean, spread, under / (under + over))
    tied_up = price_kg * had.buy_kg * _stands(had.buy_kg, mean, grows)
    interest = tied_up * interest_year_percent / 100.0 * months / MONTHS_A_YEAR
    return Season(
        mean,
        spread,
        had.enough_percent,
        had.buy_kg,
        had.short_kg,
        had.left_kg,
        100.0 * (1.0 - exp(-rate * months)),
        price_kg * had.buy_kg + short_price_kg * had.short_kg - left_price_kg * had.left_kg + interest,
        tied_up,
        -log(1.0 - 2.0 * assay_percent / 100.0) / rate * 365.25 / MONTHS_A_YEAR if rate else 0.0,
    )


class _Had(NamedTuple):
    buy_kg: float
    enough_percent: float
    short_kg: float
    left_kg: float


def _as_stored(mean: float, spread: float, ratio: float) -> _Had:
    from scipy.special import ndtr, ndtri

    buy = max(mean + float(ndtri(ratio)) * spread, 0.0)
    at = (buy - mean) / spread if spread else 0.0
    dense = exp(-0.5 * at**2) / sqrt(2.0 * pi)
    short = spread * float(dense - at * ndtr(-at)) if spread else max(mean - buy, 0.0)
    return _Had(buy, 100.0 * ratio, short, buy - mean + short)


def _bought_fresh(
    mean: float,
    spread: float,
    grows: list[float],
    price_kg: float,
    short_price_kg: float,
    left_price_kg: float,
    interest_year_percent: float,
) -> _Had:
    from scipy.optimize import bisect
    from scipy.special import ndtr, ndtri

    needs = np.maximum(mean + spread * ndtri((np.arange(SEASONS) + 0.5) / SEASONS), 1e-12 * mean)
    used = np.concatenate(([0.0], np.cumsum(grows))) / sum(grows)
    month = np.arange(len(grows) + 1.0)
    a_year = interest_year_percent / 100.0 * len(grows) / MONTHS_A_YEAR

    def came(buy: float) -> tuple[Floats, Floats]:
        months_short = len(grows) - np.interp(buy / needs, used, month)
        return needs / sum(grows) * months_short, np.maximum(buy - needs, 0.0)

    gone, saves = _gone(mean, grows), 1.0 / np.asarray(grows)

    def one_more(buy: float) -> float:
        """What a kilogram more costs to expect, less what it spares."""
        runs_out = np.minimum(np.searchsorted(used, buy / needs, side="right"), len(grows)) - 1
        spared = np.where(buy < needs, saves[runs_out], 0.0).mean()
        waits = a_year * float(np.mean(buy > gone))
        return float(
            price_kg * (1.0 + waits) - short_price_kg * spared - left_price_kg * np.mean(buy > needs)
        )

    # The cost has a kink at each season: where it turns is told to the last figure, where it is least only to half.
    most = mean + 6.0 * spread
    buy = float(bisect(one_more, 0.0, most, xtol=1e-13 * most)) if one_more(0.0) < 0.0 else 0.0
    short, left = came(buy)
    at = (buy - mean) / spread if spread else 0.0
    return _Had(buy, 100.0 * float(ndtr(at)) if spread else 100.0, float(short.mean()), float(left.mean()))


def _stands(buy: float, mean: float, grows: list[float]) -> float:
    """Of what was bought, what stands in the store on average over the season, where all goes as usual [1]."""
    if buy <= 0.0:
        return 0.0
    return float(np.maximum(buy - _gone(mean, grows), 0.0).mean()) / buy


def _gone(mean: float, grows: list[float]) -> Floats:
    """What is used up by the middle of each month, where all goes as usual [kg]."""
    taken = mean / sum(grows) * np.asarray(grows)
    return np.asarray(np.cumsum(taken) - taken / 2.0)
