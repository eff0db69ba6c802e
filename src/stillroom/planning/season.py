"""A plant bought or harvested once, against the orders of a season: how much, what it loses, what it ties up.

The one-period stock problem: what is short is bought dear or lost, what is left over is worth little. Months are taken
to be independent and their sum normal; what waits longer has lost more, so that a late need counts for more.
"""

from dataclasses import dataclass
from math import exp, log, sqrt

from scipy.stats import norm

from stillroom.errors import BadEntry, worded
from stillroom.evidence.formulas import formula

MONTHS_A_YEAR = 12.0


@dataclass(frozen=True, slots=True)
class Season:
    """What to have of a plant for a season.

    Attributes
    ----------
    needed_kg, needed_sd_kg : float
        Plant as it is when it is bought, that the orders would take. [kg]
    critical_percent : float
        In how many of 100 seasons it is to be enough. [%]
    buy_kg : float
        [kg]
    short_kg, left_kg : float
        To expect, in fresh plant. [kg]
    lost_percent : float
        Of the active, in what is used last. [%]
    cost : float
        To expect, of plant, shortage and interest, less what is left. [currency]
    tied_up : float
        Money that stands in the store, over the season. [currency]
    test_again_days : float
        Until it has lost as much as a new assay could tell. [d]
    """

    needed_kg: float
    needed_sd_kg: float
    critical_percent: float
    buy_kg: float
    short_kg: float
    left_kg: float
    lost_percent: float
    cost: float
    tied_up: float
    test_again_days: float


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

    Returns
    -------
    Season

    Raises
    ------
    BadEntry
        What is short costs no more than what is bought now, or what is left is worth as much.

    Notes
    -----
    A need in the middle of month m takes exp(k (m - 1/2)) of plant. The sum is normal with mean mu and s; buy
    Q = mu + z s with Phi(z) = cu / (cu + co), cu = short price - price, co = price (1 + interest) - price of a rest.
    Shortage to expect s (phi(z) - z (1 - Phi(z))).
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
    ratio = under / (under + over)
    z = float(norm.ppf(ratio))
    buy = max(mean + z * spread, 0.0)
    at = (buy - mean) / spread if spread else 0.0
    short = spread * float(norm.pdf(at) - at * norm.sf(at)) if spread else max(mean - buy, 0.0)
    left = buy - mean + short
    stock = [buy - month_kg * (sum(grows[:month]) + grows[month] / 2.0) for month in range(len(grows))]
    tied_up = price_kg * sum(max(one, 0.0) for one in stock) / len(stock)
    interest = tied_up * interest_year_percent / 100.0 * months / MONTHS_A_YEAR
    return Season(
        mean,
        spread,
        100.0 * ratio,
        buy,
        short,
        left,
        100.0 * (1.0 - exp(-rate * months)),
        price_kg * buy + short_price_kg * short - left_price_kg * left + interest,
        tied_up,
        -log(1.0 - 2.0 * assay_percent / 100.0) / rate * 365.25 / MONTHS_A_YEAR if rate else 0.0,
    )
