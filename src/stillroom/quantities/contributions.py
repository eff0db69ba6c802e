"""Which input a result owes its spread to.

One least squares of the result on the normals of all inputs. Where the straight line explains less than nine
tenths, the note says "interaction": the shares are then a lower bound, and only a run with one input held
still would tell more.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.errors import BadEntry, worded
from stillroom.quantities.draws import Draws

EXPLAINED_ENOUGH = 0.9
"""Below this share explained, inputs work through each other [1]."""


@dataclass(frozen=True, slots=True)
class Contributions:
    """Shares of the variance of a result."""

    shares: Mapping[str, float]
    """Share of the variance by input, largest first; they sum to ``r_squared`` [1]."""
    slopes: Mapping[str, float]
    """Change of the result for one standard deviation of the input [unit of the result]."""
    r_squared: float
    """Share of the variance that the straight line explains [1]."""
    note: str
    """Empty, or a sentence that starts with "interaction" [text]."""

    @property
    def largest(self) -> str:
        """The input that contributes most; empty when nothing varies [text]."""
        return next(iter(self.shares), "")


def contributions(result: ArrayLike, draws: Draws) -> Contributions:
    """Share the variance of a result among its inputs.

    Parameters
    ----------
    result : array
        One value for each draw [unit of the result].
    draws : Draws
        The inputs it came from [draws].

    Returns
    -------
    Contributions
        Shares, slopes and how much is explained [1].

    Raises
    ------
    BadEntry
        The result has another length than the draws, or holds a number that is not finite.

    Notes
    -----
    share = slope cov(normal, result) / var(result). For decorrelated draws that is the squared correlation;
    in every case the shares sum to R².
    """
    values = np.asarray(result, dtype=np.float64)
    if values.shape != (draws.count,):
        raise BadEntry(
            "A result needs one value for each draw",
            worded("{shape} for {count} draws", shape=values.shape, count=draws.count),
        )
    if not np.isfinite(values).all():
        raise BadEntry("Every value of a result must be a finite number", "some that are not")
    centred = values - values.mean()
    variance = float(centred @ centred)
    scale = float(np.max(np.abs(values)))
    if variance <= (1e-14 * scale) ** 2 * values.size or not draws.varying:
        return Contributions({}, {}, 1.0, "")
    together = draws.matrix.T @ centred
    slopes = _inverse(draws) @ together
    shares = slopes * together / variance
    order = np.argsort(-shares, kind="stable")
    names = draws.varying
    r_squared = float(shares.sum())
    note = ""
    if r_squared < EXPLAINED_ENOUGH:
        note = f"interaction: the inputs one by one explain {100 * r_squared:.0f} % of the spread"
    return Contributions(
        {names[place]: float(shares[place]) for place in order},
        {names[place]: float(slopes[place]) for place in order},
        r_squared,
        note,
    )


@lru_cache(maxsize=4)
def _inverse(draws: Draws) -> NDArray[np.float64]:
    """Inverse of the normal equations, the same for every result of the same draws."""
    normals, means = draws.matrix, draws.matrix.mean(axis=0)
    squares = normals.T @ normals - draws.count * np.outer(means, means)
    return np.asarray(np.linalg.pinv(squares, hermitian=True), dtype=np.float64)
