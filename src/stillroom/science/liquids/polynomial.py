"""A polynomial in the mass fraction, evaluated and solved between 0 and 1, for many mixtures at once or for one.

Promises a root to the last bits when the polynomial rises or falls throughout; does not check that it does. One mixture
by itself goes the same steps in plain floats, to the same bits: an array of one costs many times more than its figure.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import inf

import numpy as np

from stillroom.science.arrays import Floats

GRID = np.linspace(0.0, 1.0, 257)
SMALL_STEP = 1e-9
"""After a Newton step this small the next would move by its square: below rounding."""


def horner(coefficients: Floats, at: Floats) -> Floats:
    """The value of a polynomial.

    Parameters
    ----------
    coefficients : array
        Of powers 0, 1, 2 ... along the first axis [-].
    at : array
        Where to evaluate it [1].

    Returns
    -------
    array
        Values, of the broadcast shape [-].

    Examples
    --------
    >>> horner(np.array([1.0, 2.0, 4.0]), np.array([0.0, 0.5]))
    array([1., 3.])
    """
    if coefficients.ndim == 1 and at.ndim == 0:
        return np.asarray(_value(coefficients.tolist(), at.item()))
    total = np.broadcast_to(coefficients[-1], np.broadcast_shapes(coefficients.shape[1:], at.shape)).copy()
    for one in coefficients[-2::-1]:
        total *= at
        total += one
    return total


def slope(coefficients: Floats) -> Floats:
    """The coefficients of a polynomial's derivative.

    Parameters
    ----------
    coefficients : array
        Of powers 0, 1, 2 ... along the first axis [-].

    Returns
    -------
    array
        Of powers 0, 1 ... one fewer [-].

    Examples
    --------
    >>> slope(np.array([1.0, 2.0, 4.0]))
    array([2., 8.])
    """
    powers = np.arange(1, coefficients.shape[0], dtype=np.float64)
    return coefficients[1:] * powers.reshape(-1, *([1] * (coefficients.ndim - 1)))


def root_between_0_and_1(
    coefficients: Floats, target: Floats, *, rising: bool, most_rounds: int = 60
) -> Floats:
    """Where a polynomial that only rises, or only falls, between 0 and 1 takes the target value.

    Parameters
    ----------
    coefficients : array
        Of powers 0, 1, 2 ... along the first axis [-].
    target : array
        Values to be met; each must lie between the values at 0 and 1 [-].
    rising : bool
        Whether the polynomial rises [-].
    most_rounds : int
        Newton rounds before giving up refining [1].

    Returns
    -------
    array
        The places, of the broadcast shape [1].

    Examples
    --------
    >>> root_between_0_and_1(np.array([1.0, 2.0, 4.0]), np.array(3.0), rising=True)
    array(0.5)
    """
    if coefficients.ndim == 1 and target.ndim == 0:
        return np.asarray(_one_root(tuple(coefficients.tolist()), target.item(), rising, most_rounds))
    derivative = slope(coefficients)
    shape = np.broadcast_shapes(coefficients.shape[1:], target.shape)
    at = _first_guess(coefficients, target, shape, rising)
    low, high = np.zeros(shape), np.ones(shape)
    for _ in range(most_rounds):
        excess = horner(coefficients, at) - target
        above = (excess > 0) == rising
        high = np.where(above, at, high)
        low = np.where(above, low, at)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = excess / horner(derivative, at)
        following = at - step
        astray = ~((following >= low) & (following <= high))
        following = np.where(astray, 0.5 * (low + high), following)
        moved = np.abs(following - at).max(initial=0.0)
        at = following
        if moved < SMALL_STEP:
            break
    return at


def _one_root(coefficients: tuple[float, ...], target: float, rising: bool, most_rounds: int) -> float:
    known, places, derivative = _seen_from_afar(coefficients, rising)
    at = float(np.interp(target, known, places))
    low, high = 0.0, 1.0
    for _ in range(most_rounds):
        excess = _value(coefficients, at) - target
        if (excess > 0) == rising:
            high = at
        else:
            low = at
        steep = _value(derivative, at)
        following = at - (excess / steep if steep else inf)
        if not low <= following <= high:
            following = 0.5 * (low + high)
        moved, at = abs(following - at), following
        if moved < SMALL_STEP:
            break
    return at


@lru_cache(maxsize=256)
def _seen_from_afar(
    coefficients: tuple[float, ...], rising: bool
) -> tuple[Floats, Floats, tuple[float, ...]]:
    """Values over the grid, rising, their places, and the coefficients of the derivative."""
    values = horner(np.asarray(coefficients), GRID)
    known, places = (values, GRID) if rising else (values[::-1], GRID[::-1])
    return known, places, tuple(slope(np.asarray(coefficients)).tolist())


def _value(coefficients: Sequence[float], at: float) -> float:
    total = coefficients[-1]
    for one in coefficients[-2::-1]:
        total = total * at + one
    return total


def _first_guess(coefficients: Floats, target: Floats, shape: tuple[int, ...], rising: bool) -> Floats:
    middle = coefficients.reshape(coefficients.shape[0], -1).mean(axis=1)
    values = horner(middle, GRID)
    known, places = (values, GRID) if rising else (values[::-1], GRID[::-1])
    return np.broadcast_to(np.interp(target, known, places), shape).copy()
