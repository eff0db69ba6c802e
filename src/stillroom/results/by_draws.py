"""The interval of an answer by draws, where first order does not hold or one pair of limits decides.

Promises the same interval each time: every source of doubt has its own named, seeded stream. A draw in which the answer
does not exist lies beyond every end: where more than the allowed share are such, that end has no bound.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from stillroom.errors import StillroomError
from stillroom.quantities.draws import even_draws
from stillroom.quantities.spread import Array
from stillroom.science.measuring.uncertainty import LEAST_K, Budget, Expanded

SEED = 7
FULL_DRAWS = 1024
LINEAR_DRAWS = 20_000
DECIDES = 0.5
"""Share of the variance from which one pair of limits decides the interval [1]."""
EVEN = 1.15
"""Longer side of an interval over the shorter, up to which it is told as one ± [1]."""


@dataclass(frozen=True, slots=True)
class Source:
    """One independent source of doubt.

    Attributes
    ----------
    name : str
    value, standard_uncertainty : float
        [its unit]
    dof : float or None
        [1]
    shape : str
        "rectangular", or "" for normal (Student's t where the degrees of freedom are known).
    """

    name: str
    value: float
    standard_uncertainty: float
    dof: float | None
    shape: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """What draws say.

    Attributes
    ----------
    standard_uncertainty : float
        Standard deviation of the draws; half the half width at most, where a tail has no end. [unit of the answer]
    expanded : Expanded
        Half the width of the interval.
    interval : (float, float) or None
        None where it is even about the value.
    """

    standard_uncertainty: float
    expanded: Expanded
    interval: tuple[float, float] | None


def deviations(source: Source, draws: int, seed: int = SEED) -> Array:
    """Deviations of a source from its value.

    Parameters
    ----------
    source : Source
        [record]
    draws, seed : int
        [1]

    Returns
    -------
    array
        [its unit]

    Notes
    -----
    Rectangular between the limits u sqrt 3 (JCGM 101, 6.4.2); Student's t scaled by u with known degrees of freedom
    (6.4.9); normal otherwise (6.4.7). Each source's own stream only orders its draws, which stand evenly over its
    distribution.

    References
    ----------
    jcgm-101
    """
    share = np.empty(draws)
    share[np.argsort(even_draws(source.name, draws, seed), kind="stable")] = (np.arange(draws) + 0.5) / draws
    if source.shape == "rectangular":
        unit = math.sqrt(3.0) * (2.0 * share - 1.0)
    else:
        from scipy.special import ndtri, stdtrit

        known = source.dof is not None and source.dof < 1e3
        unit = stdtrit(source.dof, share) if known else ndtri(share)
    return np.asarray(source.standard_uncertainty * unit, dtype=np.float64)


def drawn(
    function: Callable[[Mapping[str, float]], float], sources: Sequence[Source], coverage: float, value: float
) -> Drawn:
    """The interval of a function of independent sources.

    Parameters
    ----------
    function : callable
        Takes the sources by name. [unit of the answer]
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
    columns = {one.name: one.value + deviations(one, FULL_DRAWS) for one in sources}
    made, missing = [], 0
    for at in range(FULL_DRAWS):
        try:
            made.append(float(function({name: float(column[at]) for name, column in columns.items()})))
        except StillroomError:
            missing += 1
    found = np.sort(np.asarray([one for one in made if math.isfinite(one)], dtype=np.float64))
    tail = 0.5 * (1.0 - coverage)
    # Draws without an answer lie beyond the end that is farther from the middle already.
    up = found.size < 2 or found[-1] - np.median(found) >= np.median(found) - found[0]
    whole = np.full(FULL_DRAWS - found.size, math.inf if up else -math.inf)
    ordered = np.sort(np.concatenate([found, whole]))
    low = float(ordered[round(tail * (FULL_DRAWS - 1))])
    high = float(ordered[round((1.0 - tail) * (FULL_DRAWS - 1))])
    half = 0.5 * (high - low)
    spread = float(found.std(ddof=1)) if found.size > 1 else 0.0
    u = half / LEAST_K if math.isfinite(half) and spread > half else spread
    sides = sorted((high - value, value - low))
    even = sides[0] > 0.0 and sides[1] <= EVEN * sides[0]
    told = Expanded(value, half / u if u else LEAST_K, half, coverage, math.inf, "by draws (JCGM 101)")
    return Drawn(u, told, None if even else (low, high))


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
    by_name = {one.name: one for one in sources}
    if not any(
        line.share >= DECIDES and by_name[line.name].shape == "rectangular" for line in budget.contributions
    ):
        return None
    u = budget.standard_uncertainty
    if len(sources) == 1:
        half = coverage * math.sqrt(3.0) * u
    else:
        off = sum(
            line.sensitivity * deviations(by_name[line.name], LINEAR_DRAWS) for line in budget.contributions
        )
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
