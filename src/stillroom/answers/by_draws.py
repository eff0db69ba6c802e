"""The interval of an answer by draws, where first order does not hold or one pair of limits decides.

Promises the same interval each time: every source of doubt has its own named, seeded stream. A draw in which the answer
does not exist lies beyond every end: where more than the allowed share are such, that end has no bound.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from stillroom.quantities.draws import even_draws
from stillroom.quantities.spread import Array
from stillroom.science.measuring.uncertainty import LEAST_K, Budget, Expanded

SEED = 7
FULL_DRAWS = 1024
LINEAR_DRAWS = 20_000
DECIDES = 0.5
"""Share of the variance from which one pair of limits decides the interval [1]."""
STRAIGHT = 0.05
"""Bend up to which limits that decide are told by first order: they have no tails, so that from a bend of 0.08 an end
lies where nothing is, and less than 93 in 100 are held [1]."""
EVEN = 1.15
"""Longer side of an interval over the shorter, up to which it is told as one ± [1]."""


@dataclass(frozen=True, slots=True)
class Source:
    """One independent source of doubt.

    ``value``, ``standard_uncertainty``: [its unit]
    """

    name: str
    value: float
    standard_uncertainty: float
    dof: float | None
    """[1]"""
    shape: str
    """Either "rectangular" or "" for normal (Student's t where the degrees of freedom are known)."""
    scatter: str = ""
    """The estimate of scatter its uncertainty comes from, where another source's does too: one t for both."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What draws say."""

    standard_uncertainty: float
    """Standard deviation of the draws; half the half width at most, where a tail has no end. [unit of the answer]"""
    expanded: Expanded
    """Half the width of the interval."""
    interval: tuple[float, float] | None
    """None where it is even about the value."""


def deviations(sources: Sequence[Source], draws: int, seed: int = SEED) -> dict[str, Array]:
    """Deviations of sources from their values, by name.

    Parameters
    ----------
    sources : sequence of Source
        [records]
    draws, seed : int
        [1]

    Returns
    -------
    dict of str to array
        Rectangular where every value is as likely (6.4.2); Student's t, scaled to u, with known degrees of freedom
        (6.4.9); normal otherwise (6.4.7). [unit of each source]

    Notes
    -----
    Few draws stand by Sobol's sequence, which keeps the tails of two sources together as full as they should be; many
    by a stream of each name. Either way each source's draws stand evenly over its own distribution. Sources of one
    estimate of scatter share its chi-square: their t is the t of both together.

    References
    ----------
    jcgm-101
    """
    names = sorted({one.name for one in sources} | {one.scatter for one in sources if one.scatter})
    share = _shares(names, draws, seed)
    made: dict[str, Array] = {}
    for one in sources:
        at = share[one.name]
        if one.shape == "rectangular":
            made[one.name] = one.standard_uncertainty * math.sqrt(3.0) * (2.0 * at - 1.0)
            continue
        from scipy.special import chdtri, ndtri, stdtrit

        if one.dof is not None and one.scatter:
            unit = ndtri(at) * np.sqrt(one.dof / chdtri(one.dof, share[one.scatter]))
        elif one.dof is not None and one.dof < 1e3:
            unit = stdtrit(one.dof, at)
        else:
            unit = ndtri(at)
        made[one.name] = np.asarray(one.standard_uncertainty * unit, dtype=np.float64)
    return made


def _shares(names: Sequence[str], draws: int, seed: int) -> Mapping[str, Array]:
    if draws <= FULL_DRAWS:
        return dict(zip(names, _few(len(names), draws, seed), strict=True))
    return {name: _many(name, draws, seed) for name in names}


@lru_cache(maxsize=32)
def _few(columns: int, draws: int, seed: int) -> tuple[Array, ...]:
    from scipy.stats import qmc

    return tuple(_ranked(one) for one in qmc.Sobol(columns, scramble=True, seed=seed).random(draws).T)


@lru_cache(maxsize=64)
def _many(name: str, draws: int, seed: int) -> Array:
    return _ranked(even_draws(name, draws, seed))


def _ranked(column: Array) -> Array:
    """The middle of each draw's share of its own distribution, the same for whoever asks again."""
    order = np.argsort(column, kind="stable")
    share = np.empty(column.size)
    share[order] = (np.arange(column.size) + 0.5) / column.size
    share.flags.writeable = False
    return share


def drawn(
    function: Callable[[Mapping[str, Array]], Array], sources: Sequence[Source], coverage: float, value: float
) -> Drawn:
    """The interval of a function of independent sources.

    Parameters
    ----------
    function : callable
        Takes all draws of the sources by name, and gives the answer in each: not a number where there is none. [unit
        of the answer]
    sources : sequence of Source
        [records]
    coverage : float
        [fraction]
    value : float
        The answer at the best values. [unit of the answer]

    Returns
    -------
    Drawn
        Probabilistically symmetric. [unit of the answer]

    References
    ----------
    jcgm-101
    """
    off = deviations(sources, FULL_DRAWS)
    columns = {one.name: one.value + off[one.name] for one in sources}
    made = function(columns)
    found = np.sort(made[np.isfinite(made)])
    tail = 0.5 * (1.0 - coverage)
    # Draws without an answer lie beyond the end that is farther from the middle already.
    up = found.size < 2 or found[-1] - np.median(found) >= np.median(found) - found[0]
    whole = np.full(FULL_DRAWS - found.size, math.inf if up else -math.inf)
    ordered = np.sort(np.concatenate([found, whole]))
    beyond = int(tail * FULL_DRAWS)
    low, high = float(ordered[beyond]), float(ordered[-1 - beyond])
    half = 0.5 * (high - low)
    spread = float(found.std(ddof=1)) if found.size > 1 else 0.0
    u = half / LEAST_K if math.isfinite(half) and spread > half else spread
    sides = sorted((high - value, value - low))
    even = sides[0] > 0.0 and sides[1] <= EVEN * sides[0]
    told = Expanded(value, half / u if u else LEAST_K, half, coverage, math.inf, "by draws (JCGM 101)")
    return Drawn(u, told, None if even else (low, high))


def limits_decide(budget: Budget, sources: Sequence[Source]) -> bool:
    """Whether one pair of limits decides an interval.

    Parameters
    ----------
    budget : Budget
        First order. [unit of the answer]
    sources : sequence of Source
        [records]
    """
    limits = {one.name for one in sources if one.shape == "rectangular"}
    return any(line.share >= DECIDES and line.name in limits for line in budget.contributions)


def drawn_factor(budget: Budget, sources: Sequence[Source], coverage: float) -> Expanded | None:
    """The coverage factor where one pair of limits decides; None where none does.

    Parameters
    ----------
    budget : Budget
        First order. [unit of the answer]
    sources : sequence of Source
        [records]
    coverage : float
        [fraction]

    Returns
    -------
    Expanded or None
        k below 2: limits have no tails. [unit of the answer]

    References
    ----------
    jcgm-101
    """
    if not limits_decide(budget, sources):
        return None
    u = budget.standard_uncertainty
    if len(sources) == 1:
        half = coverage * math.sqrt(3.0) * u
    else:
        each = deviations(sources, LINEAR_DRAWS)
        off = sum(line.sensitivity * each[line.name] for line in budget.contributions)
        half = _quantile(np.abs(off), coverage)
    rule = "by draws: one pair of limits decides (JCGM 101)"
    return Expanded(budget.value, half / u, half, coverage, budget.effective_dof, rule)


def _quantile(values: Array, share: float) -> float:
    """On the straight line between two of the values in order; NumPy's own loads masked arrays for it."""
    place = (values.size - 1) * share
    before = math.floor(place)
    low, high = (float(one) for one in np.partition(values, (before, before + 1))[before : before + 2])
    along = place - before
    return high - (high - low) * (1.0 - along) if along >= 0.5 else low + (high - low) * along
