"""Between which shares a series of tries lies where each holds the truth 95 times in 100."""

from scipy.stats import binom

ASKED = 0.93, 0.97
"""What is asked of a stated 95 %. [fraction]"""
OUTSIDE = 0.001
"""Share of series that lie outside though each try holds 95 times in 100. [fraction]"""


def limits(tries: int) -> tuple[float, float]:
    """What is asked, and no narrower than the binomial spread of so many tries of 95 in 100 (99.9 %, two-sided)."""
    low, high = (binom.ppf(at, tries, 0.95) / tries for at in (OUTSIDE / 2.0, 1.0 - OUTSIDE / 2.0))
    return min(ASKED[0], float(low)), max(ASKED[1], float(high))


def holds_95(held: float, tries: int) -> bool:
    """Whether so many of the tries held as a stated 95 % may."""
    low, high = limits(tries)
    return low <= held / tries <= high
