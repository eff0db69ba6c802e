"""Where the next of several like results is to be expected, and whether one lies where none of the others would.

Assumes that they come from one normal distribution. Says nothing about why one lies off.
"""

from collections.abc import Sequence

import numpy as np

from stillroom.errors import BadEntry, worded

FEWEST = 3
"""Results from which the spread of the next is told. [1]"""


def next_result(results: Sequence[float], share: float) -> tuple[float, float, float]:
    """Where the next result is to be expected: its middle, and the interval that holds it in so many of 100 cases.

    Parameters
    ----------
    results : sequence of float
        At least three. [its unit]
    share : float
        Of such intervals that hold the next result, below 1. [1]

    Returns
    -------
    (float, float, float)
        Low end, mean, high end. [its unit]

    Raises
    ------
    BadEntry
        There are fewer results, or the share is none.

    Notes
    -----
    mean ± t((1 + share) / 2; n - 1) s sqrt(1 + 1/n).

    Examples
    --------
    >>> [round(one, 1) for one in next_result([49.0, 50.1, 52.0, 50.1, 49.3], 0.95)]
    [46.5, 50.1, 53.7]

    References
    ----------
    hahn-meeker-1991
    """
    from scipy.special import stdtrit

    values = np.asarray(results, dtype=np.float64)
    if len(values) < FEWEST:
        raise BadEntry(
            worded("The spread of the next result needs {fewest} results", fewest=FEWEST), f"{len(values)}"
        )
    if not 0.0 < share < 1.0:
        raise BadEntry("A share of intervals lies between 0 and 1", f"{share:g}")
    middle = float(values.mean())
    wide = float(stdtrit(len(values) - 1, 0.5 * (1.0 + share))) * float(values.std(ddof=1))
    half = wide * float(np.sqrt(1.0 + 1.0 / len(values)))
    return middle - half, middle, middle + half


def like_none_before(results: Sequence[float], share: float = 0.99) -> tuple[bool, ...]:
    """Whether each result lies where the others would not let it be expected.

    Parameters
    ----------
    results : sequence of float
        In any order; with fewer than four none can be told. [its unit]
    share : float
        Of like results that would be taken for like. [1]

    Returns
    -------
    tuple of bool
        One for each. [yes or no]

    Examples
    --------
    >>> like_none_before([17.0, 17.4, 17.2, 16.9, 9.0])
    (False, False, False, False, True)
    """
    found = []
    for at, one in enumerate(results):
        others = [*results[:at], *results[at + 1 :]]
        if len(others) < FEWEST:
            found.append(False)
            continue
        low, _, high = next_result(others, share)
        found.append(not low <= one <= high)
    return tuple(found)
