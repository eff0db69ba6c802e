"""What runs that resemble each other tell about the next one: a small hierarchical model, robust to one bad run.

Every run has the same unknowns, each on a scale where it is standard normal before anything was seen. What two runs
share of an unknown (the plant, the place it came from, the way and its apparatus) is a variance they have in common;
the rest is from run to run. With readings that are linear in the unknowns and known weights the result is exact; the
weights of the runs (a Student t as a mixture of scales) are found by repeating it. Says nothing about what resembles
what.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.science.arrays import Floats, array

DEGREES_OF_FREEDOM = 4.0
"""Of the Student t that run-to-run deviations follow: one run in some twenty lies far off (chosen)."""
NORMAL_TO_T = 1.4316
"""Squared ratio of the 90 % points of Student's t with 4 degrees of freedom (1.5332) and of the normal (1.2816)."""
REPEATS = 20
SETTLED = 1e-4


@dataclass(frozen=True, slots=True)
class Seen:
    """What was read of one run, as a straight line of its unknowns."""

    slopes: Floats
    """Change of each reading for one standard deviation of each unknown, readings by unknowns. [unit of the
    reading]"""
    shown: Floats
    """Each reading less what the unknowns at their middle would show. [unit of the reading]"""
    scatter: Floats
    """Covariance of the readings themselves. [its square]"""


@dataclass(frozen=True, slots=True)
class Fit:
    """The unknowns after the runs, in their prior standard deviations.

    ``mean``, ``covariance``: of what the next run shares with those that were seen. [1]
    """

    mean: Floats
    covariance: Floats
    run_means: Floats
    """Of each run's own unknowns, runs by unknowns. [1]"""
    log_evidence: float
    """Logarithm of how likely the readings were. [1]"""
    weights: Floats
    """Of each run: far below 1 where it lies off. [1]"""


def shared_fit(runs: Sequence[Seen], alike: Floats, run_variances: Floats, weights: Floats) -> Fit:
    """The unknowns of the next run from runs whose weights are known: exact.

    Parameters
    ----------
    runs : sequence of Seen
        What was read of each run. [its unit]
    alike : array
        Variance that two runs have in common of each unknown, unknowns by runs by runs; the next run is the last. [1]
    run_variances : array
        Variance of each unknown from run to run. [1]
    weights : array
        Of each run; the variance of a run and of its readings is divided by it. [1]

    Returns
    -------
    Fit
        Conditional means and covariances. [1]

    Raises
    ------
    BadEntry
        The shapes do not fit each other.

    Notes
    -----
    Readings y = J z + e with z = u + r, cov(u_b, u_c) = alike, var r = run_variances / weight. Then
    cov(y_b, y_c) = J_b alike_bc J_c' + [b = c] (J_b run J_b' + R_b) / weight_b, and the rest is the conditional of a
    normal distribution.

    Examples
    --------
    >>> one = Seen(np.array([[1.0]]), np.array([0.9]), np.array([[0.2]]))
    >>> found = shared_fit([one], np.full((1, 2, 2), 0.6), np.array([0.2]), np.ones(1))
    >>> found.mean, found.covariance
    (array([0.54]), array([[0.24]]))
    """
    count = len(runs)
    if alike.shape != (len(run_variances), count + 1, count + 1) or len(weights) != count:
        raise BadEntry(
            "What runs have in common is stated for every pair of runs",
            worded("{shape} for {count} runs", shape=alike.shape, count=count),
        )
    if not count:
        return Fit(np.zeros(len(alike)), np.diag(alike[:, 0, 0]), np.zeros((0, len(alike))), 0.0, array([]))
    at, slopes, shown = _stacked(runs)
    covariance = _between(slopes, at, alike) + _within(runs, run_variances, weights)
    lower = np.linalg.cholesky(covariance)
    white = np.linalg.solve(lower, np.column_stack((shown, _cross(slopes, at, alike, count).T)))
    seen, cross = white[:, 0], white[:, 1:]
    means = _run_means(slopes, at, alike, run_variances, weights, np.linalg.solve(lower.T, seen))
    evidence = -0.5 * float(seen @ seen) - float(np.log(np.diag(lower)).sum())
    return Fit(
        cross.T @ seen,
        np.diag(alike[:, count, count]) - cross.T @ cross,
        means,
        evidence - 0.5 * len(shown) * float(np.log(2.0 * np.pi)),
        weights,
    )


def robust_fit(
    runs: Sequence[Seen],
    alike: Floats,
    run_variances: Floats,
    weights: Floats | None = None,
    repeats: int = REPEATS,
) -> Fit:
    """The same where a run may lie far off: each run gets the weight a Student t gives it.

    Parameters
    ----------
    runs : sequence of Seen
        As for ``shared_fit``. [its unit]
    alike : array
        As for ``shared_fit``. [1]
    run_variances : array
        As for ``shared_fit``, of the scale of the t. [1]
    weights : array, optional
        Where the search for the weights begins; ones when left out. [1]
    repeats : int
        Steps of the search at most. [1]

    Returns
    -------
    Fit
        With the weights that were found. [1]

    Notes
    -----
    Deviation of a run as a mixture of scales: weight w with w ~ gamma(n/2, n/2), n = 4. E step: w = (n + d) / (n +
    E[r' S^-1 r]) for d readings with r = y - J u and S = J run J' + R; M step: ``shared_fit``. Stops when no weight
    moves by more than a ten-thousandth, or after so many steps.

    Examples
    --------
    >>> ones = [Seen(np.array([[1.0]]), np.array([shown]), np.array([[0.01]])) for shown in (0.5, 0.52, 0.48, 6.0)]
    >>> found = robust_fit(ones, np.full((1, 5, 5), 0.9), np.array([0.05]))
    >>> bool(found.weights[3] < 0.05), bool(0.4 < found.mean[0] < 0.7)
    (True, True)
    """
    weights = np.ones(len(runs)) if weights is None else weights
    if not runs:
        return shared_fit(runs, alike, run_variances, weights)
    at, slopes, shown = _stacked(runs)
    own = _within(runs, run_variances, np.ones(len(runs)))
    inverses = [np.linalg.inv(own[np.ix_(at == one, at == one)]) for one in range(len(runs))]
    between = _between(slopes, at, alike)
    for _ in range(repeats):
        both = np.linalg.inv(between + _within(runs, run_variances, weights))
        apart = shown - between @ (both @ shown)
        found = np.ones(len(runs))
        for one, inverse in enumerate(inverses):
            mine = at == one
            common = between[mine]
            doubt = common[:, mine] - common @ both @ common.T
            squares = np.outer(apart[mine], apart[mine]) + doubt
            found[one] = (DEGREES_OF_FREEDOM + mine.sum()) / (
                DEGREES_OF_FREEDOM + float(np.sum(inverse * squares))
            )
        moved = float(np.max(np.abs(found - weights)))
        weights = found
        if moved < SETTLED:
            break
    fit = shared_fit(runs, alike, run_variances, weights)
    half = 0.5 * DEGREES_OF_FREEDOM
    prior = float(np.sum(half * (np.log(weights) - weights + 1.0)))
    return Fit(fit.mean, fit.covariance, fit.run_means, fit.log_evidence + prior, weights)


def mixed(means: Floats, covariances: Floats, log_evidences: Floats) -> tuple[Floats, Floats, Floats]:
    """One normal distribution for several, each as likely as its evidence says.

    Parameters
    ----------
    means : array
        One row for each. [1]
    covariances : array
        One matrix for each. [1]
    log_evidences : array
        Logarithm of how likely each is. [1]

    Returns
    -------
    (array, array, array)
        Mean, covariance, and the share of each. [1]

    Examples
    --------
    >>> mean, covariance, shares = mixed(np.array([[0.0], [2.0]]), np.ones((2, 1, 1)), np.zeros(2))
    >>> mean.tolist(), covariance.tolist(), shares.tolist()
    ([1.0], [[2.0]], [0.5, 0.5])
    """
    shares = np.exp(log_evidences - log_evidences.max())
    shares = shares / shares.sum()
    mean = shares @ means
    apart = means - mean
    covariance = np.einsum("g,gij->ij", shares, covariances + apart[:, :, None] * apart[:, None, :])
    return mean, covariance, shares


def _stacked(runs: Sequence[Seen]) -> tuple[np.ndarray, Floats, Floats]:
    """Run of each reading, slopes and what was shown, one under the other."""
    at = np.repeat(np.arange(len(runs)), [len(one.shown) for one in runs])
    return at, np.vstack([one.slopes for one in runs]), np.concatenate([one.shown for one in runs])


def _between(slopes: Floats, at: np.ndarray, alike: Floats) -> Floats:
    """Covariance of all readings by what their runs have in common."""
    found = np.zeros((len(at), len(at)))
    for unknown, common in enumerate(alike):
        column = slopes[:, unknown]
        if column.any():
            found += np.outer(column, column) * common[np.ix_(at, at)]
    return found


def _within(runs: Sequence[Seen], run_variances: Floats, weights: Floats) -> Floats:
    """Covariance of the readings of each run by itself."""
    sizes = [len(one.shown) for one in runs]
    found, begin = np.zeros((sum(sizes), sum(sizes))), 0
    for one, weight, size in zip(runs, weights, sizes, strict=True):
        block = (one.slopes * run_variances) @ one.slopes.T + one.scatter
        found[begin : begin + size, begin : begin + size] = block / weight
        begin += size
    return found


def _cross(slopes: Floats, at: np.ndarray, alike: Floats, run: int) -> Floats:
    """Covariance of what a run shares with all readings, unknowns by readings."""
    return np.asarray(slopes.T * alike[:, run, :][:, at])


def _run_means(
    slopes: Floats,
    at: np.ndarray,
    alike: Floats,
    run_variances: Floats,
    weights: Floats,
    solved: Floats,
) -> Floats:
    """Middle of each run's own unknowns, what it shares and what is its own."""
    found = []
    for run, weight in enumerate(weights):
        own = slopes.T * (at == run) * (run_variances / weight)[:, None]
        found.append((_cross(slopes, at, alike, run) + own) @ solved)
    return np.asarray(found)
