"""Which of the ordered draws bounds the wanted share of cases, with a stated confidence.

Needs no assumption on the shape of the distribution, only independent draws. Says nothing about whether the
inputs were right: more draws narrow the sampling doubt, never the doubt in an assumed spread.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from stillroom.errors import BadEntry, OutsideModel, worded


@dataclass(frozen=True, slots=True)
class RankedLimit:
    """A bound taken from ordered draws."""

    value: float
    """The bound [unit of the draws]."""
    rank: int
    """Its place among the ordered draws, the smallest being 1 [1]."""
    draws: int
    """How many draws there were [1]."""
    covered: float
    """The share of cases on the safe side [1]."""
    confidence: float
    """How sure that at least that share is covered [1]."""


def tolerance_rank(draws: int, covered: float = 0.95, confidence: float = 0.95) -> int:
    """Rank of the ordered draw that bounds a share of cases from above.

    Parameters
    ----------
    draws : int
        How many independent draws [1].
    covered : float
        Share of all cases that shall lie at or below [1].
    confidence : float
        How sure that shall be [1].

    Returns
    -------
    int
        The smallest rank that serves, the smallest draw being 1 [1].

    Raises
    ------
    OutsideModel
        Too few draws; the least number is named.

    Notes
    -----
    The r-th of n ordered draws covers at least the share p with probability P(B <= r - 1), B binomial (n, p).
    At r = n that is 1 - p**n.

    References
    ----------
    wilks-1941
    """
    from scipy.special import bdtr

    for share in (covered, confidence):
        if not 0 < share < 1:
            raise BadEntry("A share lies between 0 and 1", repr(share))
    if draws < 1 or 1.0 - covered**draws < confidence:
        least = int(np.ceil(np.log1p(-confidence) / np.log(covered)))
        raise OutsideModel(
            worded(
                "{draws} draws cannot show that {covered:g} % of cases are covered with {confidence:g} % confidence",
                draws=draws,
                covered=100 * covered,
                confidence=100 * confidence,
            ),
            do=worded("Take at least {least} draws", least=least),
        )
    below = bdtr(np.arange(draws, dtype=np.float64), draws, covered)
    return int(np.searchsorted(below, confidence)) + 1


def upper_limit(values: ArrayLike, covered: float = 0.95, confidence: float = 0.95) -> RankedLimit:
    """The draw at or below which the wanted share of cases lies: how much is enough.

    Parameters
    ----------
    values : array
        Independent draws of one figure [unit].
    covered : float
        Share of all cases [1].
    confidence : float
        How sure [1].

    Returns
    -------
    RankedLimit
        The bound with its rank [unit].

    Raises
    ------
    BadEntry
        A draw is not a finite number.
    OutsideModel
        Too few draws.
    """
    ordered = np.sort(_checked(values))
    rank = tolerance_rank(ordered.size, covered, confidence)
    return RankedLimit(float(ordered[rank - 1]), rank, ordered.size, covered, confidence)


def _checked(values: ArrayLike) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    flat = np.asarray(values, dtype=np.float64).ravel()
    if not np.isfinite(flat).all():
        raise BadEntry(
            "Every draw must be a finite number",
            worded("{sum} that are not", sum=int((~np.isfinite(flat)).sum())),
        )
    return flat
