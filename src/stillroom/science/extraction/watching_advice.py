"""What a watched Soxhlet is advised: stop, so many more, or not yet; and what else was noticed.

The best siphoning to stop after is the first whose successor brings less than the share that is worth a siphoning.
The advice is to stop where the chance of being within one of it is greatest, and wherever it is likelier past than to
come. None is given before the slow rest shows: while what comes is still mostly the fast share, a fit of it says
nothing of the rest.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from stillroom.errors import NotEnough
from stillroom.science.arrays import Floats
from stillroom.science.extraction.watching import BeforeTheRun, Pools, Seen, washed_at
from stillroom.science.extraction.watching_fit import fit, quantiles
from stillroom.science.extraction.watching_misfits import PALEST, drops_that_count

Verdict: TypeAlias = Literal["stop", "go on", "not yet"]
WORTH_SHARE = 0.01
"""Share of all within reach that the next siphoning must bring: common practice, no source [1]."""
AHEAD = 40
SHOWN_AHEAD = 3
SHOWS = 0.8
"""How sure it must be that the slow rest brings more than the fast share before there is a verdict [1]."""
MUCH_INSIDE = 0.05
"""Share still inside at the end from which a finer grind is advised [1]."""
CHANNELLED = 0.4
"""How likely more than a well-packed bed can leave behind must be before a channel is spoken of [1]."""
BYPASS = 0.15
COLOUR_FIRST = 0.7
WAITS = 0.05
"""Part of the chance still missing by which stopping now must be better: another siphoning tells more (chosen) [1]."""
TELLS = 2.0
"""Standard deviations that a signal must stand above nothing to tell something [1]."""


@dataclass(frozen=True, slots=True)
class Ranged:
    """A figure with the ends of its 90 % interval [its unit]."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Advice:
    """What is advised after a siphoning."""

    siphonings: int
    """So far. [1]"""
    verdict: Verdict
    """Also "not yet" where the slow rest does not show."""
    by_plan_alone: bool
    """Nothing but taps was seen."""
    more: Ranged
    """Siphonings to go. [1]"""
    inside: Ranged
    """Still in the plant and its liquid, of all within reach. [1]"""
    next_shares: tuple[Ranged, ...]
    """What the next siphonings bring, of all within reach. [1]"""
    ratio: Ranged
    """Fall of the fast share at each siphoning. [1]"""
    fastest_ratio: float
    """The fastest there can be. [1]"""
    slow_share: Ranged
    """Of all within reach, what does not wash out at once. [1]"""
    channelled: bool
    """More stays than a well-packed bed of this grind leaves."""
    colour_first: bool
    """The colour leaves a smaller rest than what dissolves."""
    colour_gone: bool
    """The last match was paler than the last vial but one."""
    grind_finer: bool
    """It may stop, and much is still inside."""
    blind: tuple[str, ...]
    """Signals that no longer tell: "refractometer", "sample", "vials"."""
    amount_g: Ranged
    """Extract within reach. [g]"""
    next_g: Ranged
    """What the next siphoning brings, share and amount as unsure as they are together. [g]"""
    sure_to: float = 0.0
    """Half the 90 % interval of the best siphoning to stop after, one that went by included. [1]"""
    stop_loses: Ranged = Ranged(0.0, 0.0, 0.0)
    """What stopping now loses against the best stop still to come, the worth of its siphonings taken off. [1]"""


def ranged(values: Floats, weights: Floats) -> Ranged:
    """The middle of weighed draws and the ends of their 90 % interval.

    Parameters
    ----------
    values : array
        One a draw [its unit].
    weights : array
        They add up to one [1].

    Returns
    -------
    Ranged
        [its unit].

    Examples
    --------
    >>> ranged(np.array([1.0, 2.0, 3.0]), np.array([0.25, 0.5, 0.25])).middle
    2.0

    References
    ----------
    extraction-practice
    """
    middle, low, high = quantiles(values, weights, 0.5, 0.05, 0.95)
    return Ranged(middle, low, high)


def advise(
    before: BeforeTheRun,
    seen: Seen,
    cycle_min: float,
    worth_share: float = WORTH_SHARE,
    pools: Pools | None = None,
) -> Advice:
    """What is advised after the last siphoning that was seen.

    Parameters
    ----------
    before : BeforeTheRun
        What was known before [record].
    seen : Seen
        What was seen [record].
    cycle_min : float
        Time of the next siphonings [min].
    worth_share : float
        Share of all within reach that a siphoning must bring to be worth it [1].
    pools : Pools or None
        The fit of what was seen, where it was made already [records].

    Returns
    -------
    Advice
        Verdict, intervals and what was noticed [record].

    Raises
    ------
    NotEnough
        Nothing siphoned yet.

    Notes
    -----
    Best: the first n with gain(n + 1) < worth_share, gain(n) = (1 - r) W_n. On hidden runs of three pools see
    ``tests/science/extraction/test_watching_hidden_runs.py``.

    Examples
    --------
    >>> advise(BeforeTheRun(80.0, 20.0), Seen.nothing(np.array([12.0])), 12.0).verdict
    'not yet'

    References
    ----------
    extraction-practice
    """
    count = seen.siphonings
    if count == 0:
        raise NotEnough("There must be a siphoning before there is advice", "none", "Tap the first one")
    found = fit(before, seen) if pools is None else pools
    times = np.concatenate([seen.minutes, seen.minutes[-1] + cycle_min * np.arange(1, AHEAD + 1)])
    bed = found.slow_min, found.thinning, found.bypassed, found.exchanged
    dissolved, inside = washed_at(times, found.ratio, found.washed_share, *bed)
    at_once, _ = washed_at(times[: count + 1], found.ratio, np.ones_like(found.washed_share), *bed)
    gains = (1.0 - found.ratio) * dissolved[count:]
    below = gains < worth_share
    more = np.where(below.any(axis=0), below.argmax(axis=0), AHEAD).astype(np.float64)
    weights = found.weights
    all_below = (1.0 - found.ratio) * dissolved[1:] < worth_share
    best = np.where(all_below.any(axis=0), all_below.argmax(axis=0), len(all_below)) + 1.0
    fast = found.washed_share * at_once[-1]
    shows = float(weights @ (dissolved[count] - fast > fast)) >= SHOWS
    still = ranged(inside[count - 1], weights)
    verdict: Verdict = "not yet" if not shows else "stop" if _now_is_best(best, weights, count) else "go on"
    told = (seen.vials, seen.sample_mg, seen.refractometer, drops_that_count(seen.drops))
    matched = np.flatnonzero(~np.isnan(seen.vials))
    best_told = ranged(best, weights)
    return Advice(
        count,
        verdict,
        all(np.isnan(one).all() for one in told),
        ranged(more, weights),
        still,
        tuple(ranged(gains[at], weights) for at in range(SHOWN_AHEAD)),
        ranged(found.ratio, weights),
        before.fastest_ratio,
        ranged(1.0 - found.washed_share, weights),
        _channelled(found, before),
        float(weights @ (1.0 - found.colour_washed_share < 0.6 * (1.0 - found.washed_share))) >= COLOUR_FIRST
        and matched.size > 0,
        bool(matched.size and seen.vials[matched[-1]] >= PALEST - 1.0),
        verdict == "stop" and still.middle >= MUCH_INSIDE,
        _blind(found, seen, dissolved[count - 1]),
        ranged(found.amount_g, weights),
        ranged(gains[0] * found.amount_g, weights),
        0.5 * (best_told.high - best_told.low),
        ranged(np.maximum(np.cumsum(gains - worth_share, axis=0).max(axis=0), 0.0), weights),
    )


def _now_is_best(best: Floats, weights: Floats, count: int) -> bool:
    """Whether stopping now is likelier within one siphoning of the best than at any later one, or the best is past."""
    chance = np.bincount(best.astype(np.int64), weights, AHEAD + count + 3)
    within_one = chance[:-2] + chance[1:-1] + chance[2:]
    later = float(within_one[count:].max())
    past = float(chance[: count + 1].sum()) >= 0.5
    return past or bool(within_one[count - 1] >= later + WAITS * (1.0 - later))


def _channelled(pools: Pools, before: BeforeTheRun) -> bool:
    """Whether more stays behind, or washes out more slowly, than the plan's own bed would let it."""
    reached = pools.washed_share * (1.0 - pools.bypassed)
    return (
        max(
            float(pools.weights @ (reached < before.least_washed_share)),
            float(pools.weights @ (pools.bypassed > BYPASS)),
        )
        >= CHANNELLED
    )


def _blind(pools: Pools, seen: Seen, dissolved: Floats) -> tuple[str, ...]:
    """Signals that were used and would tell no more at the last siphoning than that there is little."""
    in_100_ml = 100.0 * pools.amount_g * dissolved / pools.held_ml
    blind = list[str]()
    if np.isfinite(seen.refractometer).any():
        expected = quantiles(pools.refractometer_scale * in_100_ml, pools.weights, 0.5)[0]
        blind += ["refractometer"] if expected < TELLS * seen.refractometer_sd else []
    weighed = np.flatnonzero(np.isfinite(seen.sample_mg))
    if weighed.size:
        last = weighed[-1]
        expected = quantiles(10.0 * in_100_ml * seen.sample_ml[last], pools.weights, 0.5)[0]
        blind += ["sample"] if expected < TELLS * seen.scale_mg[last] else []
    matched = np.flatnonzero(~np.isnan(seen.vials))
    if matched.size and np.isinf(seen.vials[matched[-1]]):
        blind.append("vials")
    return tuple(blind)
