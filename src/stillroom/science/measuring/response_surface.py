"""A second-order surface through own trials: where it is highest, and which next trial would teach most.

Promises least squares and nothing hidden: coefficients in the coded units of the trials, the point where the slope is
nought, and whether that is a top. Says nothing about what lies outside the trials. Which trial teaches most is told
from how the results of trials go together before they are made, whatever lets them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations_with_replacement
from math import comb

import numpy as np

from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.science.arrays import Floats, array

FLAT = 1e-9
"""Curvature below this, as a share of the largest coefficient, is none. [1]"""


@dataclass(frozen=True)
class Surface:
    """A second-order surface: y = constant + slopes x + x' curvature x, in the units of its points."""

    constant: float
    """Of the first block. [-]"""
    slopes: Floats
    """[-]"""
    curvature: Floats
    """Symmetric; off its diagonal half of each product's coefficient. [-]"""
    blocks: Floats
    """What each later block lies above the first. [-]"""
    residual_sd: float | None
    """None where there are no more results than terms. [-]"""

    @cached_property
    def eigenvalues(self) -> Floats:
        """Curvature along its own axes, the least bent first [-]."""
        return array(np.linalg.eigvalsh(self.curvature)[::-1])

    @property
    def shape(self) -> str:
        """A "top", a "bottom", a "saddle", or a "ridge" where it is not bent along some axis."""
        most = float(np.max(np.abs([self.constant, *self.slopes, *self.eigenvalues])))
        if float(np.min(np.abs(self.eigenvalues))) <= FLAT * most:
            return "ridge"
        if np.all(self.eigenvalues < 0.0):
            return "top"
        return "bottom" if np.all(self.eigenvalues > 0.0) else "saddle"

    @property
    def stationary(self) -> Floats | None:
        """Where the slope is nought; None on a ridge [-].

        Notes
        -----
        -1/2 B^-1 b.
        """
        if self.shape == "ridge":
            return None
        return array(-0.5 * np.linalg.solve(self.curvature, self.slopes))

    def at(self, points: Floats) -> Floats:
        """The surface of the first block [-].

        Parameters
        ----------
        points : array
            A row each. [-]
        """
        x = np.atleast_2d(np.asarray(points, dtype=np.float64))
        return array(self.constant + x @ self.slopes + np.einsum("ij,jk,ik->i", x, self.curvature, x))


def second_order_terms(points: Floats) -> Floats:
    """The terms of a second-order surface at each point: 1, each, each product and square.

    Parameters
    ----------
    points : array
        A row each. [-]

    Returns
    -------
    array
        A row each. [-]

    Examples
    --------
    >>> second_order_terms([[2.0, 3.0]])
    array([[1., 2., 3., 4., 6., 9.]])
    """
    x = np.atleast_2d(np.asarray(points, dtype=np.float64))
    pairs = combinations_with_replacement(range(x.shape[1]), 2)
    return array(np.column_stack([np.ones(len(x)), x, *(x[:, one] * x[:, two] for one, two in pairs)]))


def second_order_surface(
    points: Sequence[Sequence[float]], results: Sequence[float], blocks: Sequence[int] | None = None
) -> Surface:
    """The second-order surface through trials, by least squares.

    Parameters
    ----------
    points : sequence of sequence of float
        Coded, a row each. [-]
    results : sequence of float
        [-]
    blocks : sequence of int, optional
        Which block each trial is of; all of one where nobody says. [-]

    Returns
    -------
    Surface

    Raises
    ------
    NotEnough
        The trials do not tell all terms apart: too few, or too few levels.
    BadEntry
        Points and results are not as many.

    Notes
    -----
    y = b0 + block + sum bi xi + sum bij xi xj + sum bii xi^2.

    Examples
    --------
    >>> corners = [(-1, -1), (-1, 1), (1, -1), (1, 1), (0, 0), (0, 0), (0, 1.4), (1.4, 0), (-1.4, 0), (0, -1.4)]
    >>> found = second_order_surface(corners, [10 - x * x - 2 * (y - 0.5) ** 2 for x, y in corners])
    >>> found.stationary.round(3) + 0.0, found.shape
    (array([0. , 0.5]), 'top')

    References
    ----------
    myers-montgomery-2009
    """
    x, y = np.atleast_2d(np.asarray(points, dtype=np.float64)), np.asarray(results, dtype=np.float64)
    if len(x) != len(y):
        raise BadEntry(
            "Each trial has one result",
            worded("{points} trials, {results} results", points=len(x), results=len(y)),
        )
    ways, terms = x.shape[1], second_order_terms(x)
    named = sorted(set(blocks)) if blocks is not None else []
    of_block = [np.asarray(blocks) == one for one in named[1:]]
    every = np.column_stack([terms, *of_block]) if of_block else terms
    rank = int(np.linalg.matrix_rank(every))
    if rank < every.shape[1]:
        raise NotEnough(
            worded("A surface of {terms} terms needs as many trials that differ", terms=every.shape[1]),
            worded("{trials} that tell {rank} apart", trials=len(x), rank=rank),
            "Try at least three strengths and three times, not all on one line",
        )
    found = np.linalg.lstsq(every, y, rcond=None)[0]
    left, free = y - every @ found, len(y) - every.shape[1]
    curvature = np.zeros((ways, ways))
    for (one, two), value in zip(
        combinations_with_replacement(range(ways), 2),
        found[1 + ways : 1 + ways + comb(ways + 1, 2)],
        strict=True,
    ):
        curvature[one, two] += 0.5 * value
        curvature[two, one] += 0.5 * value
    return Surface(
        float(found[0]),
        array(found[1 : 1 + ways]),
        array(curvature),
        array(found[terms.shape[1] :]),
        float(np.sqrt(left @ left / free)) if free else None,
    )


def after_trials(
    expected: Floats, tied: Floats, at: Sequence[int], results: Sequence[float], noise_sd: float
) -> tuple[Floats, Floats]:
    """What trials make of results that go together: their mean and covariance afterwards.

    Parameters
    ----------
    expected : array
        Of the result at each place, before. [-]
    tied : array
        Their covariance. [-]
    at : sequence of int
        At which place each trial was made. [1]
    results : sequence of float
        [-]
    noise_sd : float
        By which a trial misses what it measures. [-]

    Returns
    -------
    (array, array)
        Exact where all is normal. [-, -]

    Examples
    --------
    >>> mean, covariance = after_trials([50.0, 50.0], [[100.0, 60.0], [60.0, 100.0]], [0], [60.0], 10.0)
    >>> mean, covariance.diagonal()
    (array([55., 53.]), array([50., 82.]))
    """
    before, middle = np.asarray(tied, dtype=np.float64), np.asarray(expected, dtype=np.float64)
    if not len(at):
        return array(middle), array(before)
    places = np.asarray(at, dtype=np.intp)
    between = before[np.ix_(places, places)] + noise_sd**2 * np.eye(len(places))
    gain = np.linalg.solve(between, before[places]).T
    return (
        array(middle + gain @ (np.asarray(results, dtype=np.float64) - middle[places])),
        array(before - gain @ before[places]),
    )


def what_a_trial_teaches(tied: Floats, noise_sd: float) -> Floats:
    """By how much one more trial at each place lessens the variance of the results, on average over all places.

    Parameters
    ----------
    tied : array
        Covariance of the results at the places, as far as trials so far tell them. [-]
    noise_sd : float
        By which a trial misses what it measures. [-]

    Returns
    -------
    array
        As a share of the average variance; the highest is the I-optimal next trial. [1]

    Notes
    -----
    sum_j K_ij^2 / (K_ii + s^2) over sum_j K_jj.

    Examples
    --------
    >>> what_a_trial_teaches([[100.0, 0.0], [0.0, 300.0]], 10.0)
    array([0.125 , 0.5625])
    """
    before = np.asarray(tied, dtype=np.float64)
    return array((before**2).sum(axis=1) / (np.diag(before) + noise_sd**2) / np.trace(before))
