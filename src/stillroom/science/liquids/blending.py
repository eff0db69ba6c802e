"""How much of each spirit at hand, and of water, makes a wanted strength: a linear programme in masses.

Mass and ethanol are held, so masses add where volumes do not. What is at hand limits each spirit; what must all be
taken (wet plant, for its water) is taken. Says nothing of volumes: see ``mixing``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import BadEntry, NotEnough, OutsideModel, worded

LEAST_FRESH, LEAST_COST = "least fresh spirit", "least cost"
AIMS = (LEAST_FRESH, LEAST_COST)
FEWEST, FIRST_NAMED = "fewest bottles", "first named"
"""What decides among blends that serve the aim alike. The second is how it was before, for answers that were kept."""
MOST_TRIED = 10
"""Stocks among which every choice of bottles is tried [1]."""
NEARLY = 1e-6
"""A limit is taken as reached within this share of the whole."""
TIGHT = 1e-10
"""How far a programme may miss a balance; the solver takes nothing smaller."""
CLOSES = 1e-13
"""Of the whole; what closes better is as good as exact."""
APART = 1e-9
"""Strengths nearer than this are one strength."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One liquid at hand."""

    mass_g: float
    """At hand. [g]"""
    ethanol_mass_fraction: float
    """[1]"""
    fresh: bool = True
    """Bought, not recovered."""
    price_per_g: float = 0.0
    """[any money]"""
    all_of_it: bool = False
    """Whether all of it is taken, as the water of wet plant."""


@dataclass(frozen=True, slots=True)
class Blend:
    """What to weigh."""

    taken_g: tuple[float, ...]
    """Of each stock, in the order given. [g]"""
    water_g: float
    """[g]"""


def blend(
    stocks: Sequence[Stock],
    want_mass_fraction: float,
    product_mass_g: float,
    aim: str = LEAST_FRESH,
    tie: str = FIRST_NAMED,
) -> Blend:
    """Masses of stocks and water for a wanted strength and amount.

    Parameters
    ----------
    stocks : sequence of Stock
        What is at hand [-].
    want_mass_fraction : float
        Ethanol by mass in the mixture [1].
    product_mass_g : float
        Mixture wanted [g].
    aim : str
        "least fresh spirit" or "least cost" [-].
    tie : str
        What decides among equals: "fewest bottles", then what weighs least; or "first named" [-].

    Returns
    -------
    Blend
        Masses that close: what is taken is the product, and its ethanol the product's.

    Raises
    ------
    BadEntry
        There are no stocks, or a figure is not above zero, or there is no such aim.
    OutsideModel
        More strength is wanted than the strongest stock has.
    NotEnough
        There is too little ethanol at hand, or what must all be taken is too much.

    Notes
    -----
    Minimise the ethanol taken fresh, or the cost, with sum(x) + w = m, sum(p x) = p_want m, 0 <= x <= at hand, w >= 0;
    among equals the other aim, then the fewest stocks, then the least mass of them; the order they are named in decides
    nothing then. Solved by HiGHS; the two masses that lie between their
    limits are then solved from the two balances, so that these close to the last digits.

    Examples
    --------
    >>> blend([Stock(100.0, 0.9), Stock(100.0, 0.5, fresh=False)], 0.6, 100.0)
    Blend(taken_g=(25.0, 75.0), water_g=0.0)
    """
    _refuse_what_cannot_be(stocks, want_mass_fraction, product_mass_g, aim)
    share = np.array([*(one.ethanol_mass_fraction for one in stocks), 0.0])
    most = np.array([*(one.mass_g for one in stocks), product_mass_g]) / product_mass_g
    least = np.array([*(one.mass_g if one.all_of_it else 0.0 for one in stocks), 0.0]) / product_mass_g
    fresh = np.array([*(one.ethanol_mass_fraction if one.fresh else 0.0 for one in stocks), 0.0])
    price = np.array([*(one.price_per_g for one in stocks), 0.0])
    order = np.arange(len(share), dtype=float)
    wishes = (fresh, price) if aim == LEAST_FRESH else (price, fresh)
    if tie == FIRST_NAMED:
        found = _solved((*wishes, order), share, least, most, want_mass_fraction)
    else:
        found = _fewest(wishes, share, least, most, want_mass_fraction)
    if found is None and not least.any():
        found = _all_that_can_be(stocks, want_mass_fraction, product_mass_g)
    if found is None:
        raise _why_not(stocks, want_mass_fraction, product_mass_g)
    exact = _closed(found, share, least, most, want_mass_fraction) * product_mass_g
    taken = (min(float(mass), one.mass_g) for mass, one in zip(exact[:-1], stocks, strict=True))
    return Blend(tuple(taken), float(exact[-1]))


def most_that_can_be_made_g(stocks: Sequence[Stock], want_mass_fraction: float) -> float:
    """The most of a strength that the stocks and water can make.

    Parameters
    ----------
    stocks : sequence of Stock
        What is at hand [-].
    want_mass_fraction : float
        Ethanol by mass in the mixture [1].

    Returns
    -------
    float
        Mass of the mixture; 0 where no stock is as strong [g].

    Notes
    -----
    Stocks at or above the strength are taken whole, then the weaker ones, the strongest of them first, as far as the
    ethanol above the strength reaches; what is left of it is thinned with water.

    Examples
    --------
    >>> most_that_can_be_made_g([Stock(100.0, 0.9), Stock(50.0, 0.3)], 0.6)
    175.0
    """
    taken_g, water_g = _most(stocks, want_mass_fraction)
    return sum(taken_g) + water_g


def _most(stocks: Sequence[Stock], want: float) -> tuple[list[float], float]:
    """What is taken of each stock, and the water, where the most is made."""
    taken_g = [one.mass_g if one.ethanol_mass_fraction >= want else 0.0 for one in stocks]
    spare_g = sum(
        mass * (one.ethanol_mass_fraction - want) for mass, one in zip(taken_g, stocks, strict=True)
    )
    if not any(taken_g):
        return taken_g, 0.0
    weaker = [at for at, one in enumerate(stocks) if one.ethanol_mass_fraction < want]
    for at in sorted(weaker, key=lambda each: -stocks[each].ethanol_mass_fraction):
        lacks = want - stocks[at].ethanol_mass_fraction
        taken_g[at] = min(stocks[at].mass_g, spare_g / lacks)
        spare_g -= taken_g[at] * lacks
    return taken_g, spare_g / want


def _all_that_can_be(
    stocks: Sequence[Stock], want: float, product_mass_g: float
) -> NDArray[np.float64] | None:
    """The one blend of all that can be made, which a programme may miss by a rounding; None where more is wanted."""
    taken_g, water_g = _most(stocks, want)
    whole_g = sum(taken_g) + water_g
    if not product_mass_g <= whole_g * (1.0 + TIGHT) or product_mass_g < whole_g * (1.0 - TIGHT):
        return None
    return np.array([*taken_g, water_g]) / whole_g


def _fewest(
    wishes: tuple[NDArray[np.float64], ...],
    share: NDArray[np.float64],
    least: NDArray[np.float64],
    most: NDArray[np.float64],
    want: float,
) -> NDArray[np.float64] | None:
    """Among what meets the wishes alike: the fewest stocks, then the least mass of them, then the strongest."""
    weighed = np.append(np.ones(len(share) - 1), 0.0)
    best = _solved((*wishes, weighed), share, least, most, want)
    if best is None or len(share) - 1 > MOST_TRIED:
        return best
    forced = [at for at in range(len(share) - 1) if least[at] > 0.0]
    free = [at for at in range(len(share) - 1) if least[at] == 0.0]
    meets = [float(wish @ best) + 1e-8 * (float(np.max(np.abs(wish))) or 1.0) for wish in wishes]
    for many in range(len(free) + 1):
        found = []
        for chosen in combinations(free, many):
            open_to = np.zeros_like(most)
            open_to[[*forced, *chosen, len(share) - 1]] = most[[*forced, *chosen, len(share) - 1]]
            one = _solved((*wishes, weighed), share, least, open_to, want)
            if one is not None and all(
                float(wish @ one) <= met for wish, met in zip(wishes, meets, strict=True)
            ):
                strongest = tuple(sorted(-float(share[at]) for at in chosen))
                found.append((round(float(weighed @ one), 9), strongest, tuple(-most[list(chosen)]), one))
        if found:
            return min(found, key=lambda each: each[:3])[3]
    return best


def _solved(
    wishes: tuple[NDArray[np.float64], ...],
    share: NDArray[np.float64],
    least: NDArray[np.float64],
    most: NDArray[np.float64],
    want: float,
) -> NDArray[np.float64] | None:
    """The shares of the whole that meet the wishes one after the other; None where nothing meets the balances."""
    from scipy.optimize import linprog

    balances, sums = np.array([np.ones_like(share), share / want]), np.array([1.0, 1.0])
    limits = list(zip(least, most, strict=True))
    kept: list[NDArray[np.float64]] = []
    bounds: list[float] = []
    found: NDArray[np.float64] | None = None
    for wish in wishes:
        scale = float(np.max(np.abs(wish))) or 1.0
        told = linprog(
            wish / scale,
            A_ub=np.array(kept) if kept else None,
            b_ub=np.array(bounds) if bounds else None,
            A_eq=balances,
            b_eq=sums,
            bounds=limits,
            method="highs",
            options={"primal_feasibility_tolerance": TIGHT, "dual_feasibility_tolerance": TIGHT},
        )
        if not told.success:
            return found
        found = np.asarray(told.x)
        kept.append(wish / scale)
        bounds.append(float(told.fun) + 1e-9)
    return found


def _closed(
    found: NDArray[np.float64],
    share: NDArray[np.float64],
    least: NDArray[np.float64],
    most: NDArray[np.float64],
    want: float,
) -> NDArray[np.float64]:
    """The solution with its balances closed: what stands at a limit is put there, two masses follow from the rest.

    A programme is solved to some 1e-10 only. Which two follow matters where almost everything is at a limit, so every
    pair is tried, and the one that closes best within the limits is kept.
    """
    at_limits = np.where(found - least < NEARLY, least, np.where(most - found < NEARLY, most, found))
    room = np.minimum(found - least, most - found)
    movable = [int(at) for at in np.argsort(-room, kind="stable") if most[at] > least[at]]
    pairs = [
        (one, other) for one, other in combinations(movable, 2) if abs(share[one] - share[other]) > APART
    ]

    def off(masses: NDArray[np.float64]) -> float:
        return max(abs(float(masses.sum()) - 1.0), abs(float(masses @ share) / want - 1.0))

    tried: list[NDArray[np.float64]] = []
    for begun in (at_limits, found):
        for one, other in pairs:
            exact = begun.copy()
            exact[[one, other]] = 0.0
            mass, ethanol = 1.0 - float(exact.sum()), want - float(exact @ share)
            exact[one] = (ethanol - share[other] * mass) / (share[one] - share[other])
            exact[other] = mass - exact[one]
            tried.append(np.clip(exact, least, most))
    tried += [at_limits, np.clip(found, least, most)]
    return next((one for one in tried if off(one) <= CLOSES), min(tried, key=off))


def _refuse_what_cannot_be(stocks: Sequence[Stock], want: float, product_mass_g: float, aim: str) -> None:
    if aim not in AIMS:
        raise BadEntry(worded("A blend aims at {aims}", aims=" or ".join(AIMS)), repr(aim), "Choose one")
    if not stocks:
        raise BadEntry("A blend is made of something", "no stock", "Name what is at hand")
    for one in stocks:
        if not one.mass_g > 0 or not 0.0 <= one.ethanol_mass_fraction <= 1.0:
            raise BadEntry(
                "A stock has a mass above zero and a strength from 0 to 1",
                worded(
                    "{mass_g:g} g of {ethanol_mass_fraction:g}",
                    mass_g=one.mass_g,
                    ethanol_mass_fraction=one.ethanol_mass_fraction,
                ),
                "Weigh it, and read its strength",
            )
    if not product_mass_g > 0 or not 0.0 < want <= 1.0:
        raise BadEntry(
            "A mixture has a mass above zero and a strength above zero",
            worded("{product_mass_g:g} g of {want:g}", product_mass_g=product_mass_g, want=want),
            "Say how much of what is wanted",
        )
    strongest = max(one.ethanol_mass_fraction for one in stocks)
    if want > strongest:
        raise OutsideModel(
            worded(
                "No blend is stronger than its strongest stock, {strongest:.1f} % by mass",
                strongest=100 * strongest,
            ),
            worded("{want:.1f} % by mass wanted", want=100 * want),
            "Want less, or add stronger spirit",
        )


def _why_not(stocks: Sequence[Stock], want: float, product_mass_g: float) -> NotEnough:
    forced_g = sum(one.mass_g for one in stocks if one.all_of_it)
    forced_water_g = sum(one.mass_g * (1.0 - one.ethanol_mass_fraction) for one in stocks if one.all_of_it)
    if forced_g > product_mass_g or forced_water_g > product_mass_g * (1.0 - want):
        return NotEnough(
            worded(
                "What is all taken must fit in {product_mass_g:.4g} g of that strength",
                product_mass_g=product_mass_g,
            ),
            worded(
                "{forced_g:.4g} g, which bring {forced_water_g:.4g} g of water",
                forced_g=forced_g,
                forced_water_g=forced_water_g,
            ),
            "Make more, want a weaker spirit, or take less plant",
        )
    return NotEnough(
        worded(
            "There must be enough ethanol at hand for {product_mass_g:.4g} g of that strength",
            product_mass_g=product_mass_g,
        ),
        worded("enough for {stocks:.4g} g", stocks=most_that_can_be_made_g(stocks, want)),
        "Make less, want it weaker, or add a stock",
    )
