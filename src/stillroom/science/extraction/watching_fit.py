"""The fit of a watched Soxhlet: all that was seen, and what was known before, in one weighted set of draws.

Promises the same figures for the same run: its draws are seeded by name. It is general: what it fits is said by the
misfits of ``watching``.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np

from stillroom.quantities.draws import even_draws, standard_normals
from stillroom.science.arrays import Floats
from stillroom.science.extraction.watching import UNKNOWNS, BeforeTheRun, Pools, Seen, pools_of
from stillroom.science.extraction.watching_misfits import misfits

DRAWS = 2048
SEED = 13
TAIL_FREEDOM = 6.0
"""Degrees of freedom of the draws about the likeliest run, so that no corner of what is possible is left out [1]."""
KEEP = 0.35
"""Share of the draws that should still count when they are weighed [1]."""
MOST_MOVES = 4
STARTS = 256


def fit(before: BeforeTheRun, seen: Seen, draws: int = DRAWS) -> Pools:
    """What is known of a run after what was seen of it.

    Parameters
    ----------
    before : BeforeTheRun
        What was known before [record].
    seen : Seen
        What was seen [record].
    draws : int
        How many [1].

    Returns
    -------
    Pools
        Weighted draws [records].

    Notes
    -----
    The most likely run is found by damped least squares of misfits and prior together; draws of Student's t about
    it are weighed exactly by likelihood and prior, and moved to where the weight lies where too few of them count.

    Examples
    --------
    >>> nothing = fit(BeforeTheRun(80.0, 20.0, washed_share=0.6), Seen.nothing(np.array([12.0])))
    >>> round(quantiles(nothing.washed_share, nothing.weights, 0.5)[0], 1)
    0.6

    References
    ----------
    extraction-practice
    """

    def off(z: Floats) -> Floats:
        return misfits(pools_of(z, before, seen.drop_limit), seen)

    kept, weights, alive = weighed_draws(UNKNOWNS, off, draws)
    return replace(pools_of(kept, before, seen.drop_limit), weights=weights, effective_draws=alive)


def weighed_draws(
    unknowns: tuple[str, ...], misfits_of: Callable[[Floats], Floats], draws: int = DRAWS
) -> tuple[Floats, Floats, float]:
    """Draws of what is not known, weighed by what was seen and by what was known before.

    Parameters
    ----------
    unknowns : tuple of str
        A standard normal stands for each; the draws are seeded by these names [text].
    misfits_of : callable
        Standard normals, a row for each unknown, to the misfits of everything seen, a column for each draw [1].
    draws : int
        How many [1].

    Returns
    -------
    (array, array, float)
        Standard normals, weights that add up to one, and how many draws that is worth [1].

    Notes
    -----
    As in ``fit``. In the example a prior of 0 ± 1 and a reading of 1 ± 0.5 meet at 0.8.

    Examples
    --------
    >>> kept, weights, _ = weighed_draws(("washed share",), lambda z: 2.0 * (z - 1.0))
    >>> round(float(weights @ kept[0]), 1)
    0.8

    References
    ----------
    extraction-practice
    """

    def log_posterior(z: Floats) -> Floats:
        off = misfits_of(z)
        return np.asarray(-0.5 * ((off * off).sum(axis=0) + (z * z).sum(axis=0)))

    def residuals(z: Floats) -> Floats:
        return np.concatenate([misfits_of(z), z])

    normals = _normals(unknowns, draws)
    start = normals[:, :STARTS]
    centre, factor = _likeliest(residuals, start[:, int(np.argmax(log_posterior(start)))])
    heavy = _heavy(unknowns, draws)
    log_proposal = _log_heavy(heavy, len(unknowns))
    best = -1.0
    for _ in range(MOST_MOVES):
        moved = centre[:, None] + factor @ heavy
        log_weights = log_posterior(moved) - log_proposal
        weights = _weights(log_weights)
        alive = 1.0 / float((weights * weights).sum())
        if alive > best:
            best, kept, kept_weights = alive, moved, weights
        if alive >= KEEP * draws:
            break
        if alive < KEEP * draws:
            weights = _weights(_tempered(log_weights) * log_weights)
        centre = moved @ weights
        off = moved - centre[:, None]
        factor = np.asarray(
            np.linalg.cholesky((off * weights) @ off.T + 1e-9 * np.eye(len(unknowns))), dtype=np.float64
        )
    return kept, kept_weights, best


def _likeliest(residuals: Callable[[Floats], Floats], z: Floats) -> tuple[Floats, Floats]:
    """The least squares of residuals, and a root of the covariance about it: Levenberg and Marquardt's way."""
    damping, step = 1.0, 1e-4
    nudges = step * np.eye(z.size)
    now = residuals(z[:, None])[:, 0]
    for _ in range(60):
        slope = (residuals(z[:, None] + nudges) - now[:, None]) / step
        bend, pull = slope.T @ slope, slope.T @ now
        tries = [damping * one for one in (0.1, 1.0, 10.0, 100.0)]
        moves = np.stack([np.linalg.solve(bend + one * np.eye(z.size), -pull) for one in tries], axis=1)
        there = residuals(z[:, None] + moves)
        cost = (there * there).sum(axis=0)
        at = int(np.argmin(cost))
        gained = float(now @ now) - float(cost[at])
        if gained <= 0.0:
            damping *= 100.0
            if damping > 1e8:
                break
            continue
        z, now, damping = z + moves[:, at], there[:, at], max(tries[at], 1e-4)
        if gained < 1e-3:
            break
    slope = (residuals(z[:, None] + nudges) - now[:, None]) / step
    return z, np.linalg.cholesky(np.linalg.inv(slope.T @ slope))


def _tempered(log_weights: Floats) -> float:
    """The power of the weights that leaves enough draws alive."""
    low, high = 0.0, 1.0
    for _ in range(20):
        middle = 0.5 * (low + high)
        weights = _weights(middle * log_weights)
        enough = 1.0 / float((weights * weights).sum()) >= 0.2 * weights.size
        low, high = (middle, high) if enough else (low, middle)
    return low


def _weights(log_weights: Floats) -> Floats:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())


@cache
def _normals(unknowns: tuple[str, ...], draws: int) -> Floats:
    return np.stack([standard_normals(f"watch/{one}", draws, SEED) for one in unknowns])


@cache
def _heavy(unknowns: tuple[str, ...], draws: int) -> Floats:
    """Draws of Student's t."""
    from scipy.special import chdtri

    chi = chdtri(TAIL_FREEDOM, even_draws("watch/tail", draws, SEED))
    return np.asarray(_normals(unknowns, draws) * np.sqrt(TAIL_FREEDOM / chi))


def _log_heavy(heavy: Floats, inputs: int) -> Floats:
    return np.asarray(-0.5 * (TAIL_FREEDOM + inputs) * np.log1p((heavy * heavy).sum(axis=0) / TAIL_FREEDOM))


def quantiles(values: Floats, weights: Floats, *shares: float) -> tuple[float, ...]:
    """Quantiles of weighted draws.

    Parameters
    ----------
    values : array
        One a draw [its unit].
    weights : array
        They add up to one [1].
    shares : float
        Which quantiles, 0 to 1 [1].

    Returns
    -------
    tuple of float
        One for each share [its unit].

    Examples
    --------
    >>> quantiles(np.array([1.0, 2.0, 3.0]), np.array([0.25, 0.5, 0.25]), 0.5)
    (2.0,)

    References
    ----------
    extraction-practice
    """
    order = np.argsort(values, kind="stable")
    along = np.cumsum(weights[order]) - 0.5 * weights[order]
    return tuple(float(np.interp(one, along, values[order])) for one in shares)
