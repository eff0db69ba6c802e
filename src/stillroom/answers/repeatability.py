"""How far portions of one sample fall apart: from earlier sets, pooled, or from the portions at hand.

Promises the degrees of freedom with every spread. Says nothing about bias: all portions may be wrong
together.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stillroom.answers.budget import spread_leaf
from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, Leaf
from stillroom.substances.rules import rule


@dataclass(frozen=True, slots=True)
class Method:
    """A way to find a content, and how it repeats where no earlier portions tell it."""

    rule: str
    """Key of ``laboratory_rules``: how far its portions usually fall apart."""
    called: str
    """In a sentence: "such a titration"."""
    again: str
    """What to do where portions do not agree."""


BY_TITRATION = Method("titration-repeatability", "such a titration", "titrate another portion")


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Spread of one portion, relative to its value."""

    relative_standard_deviation: float
    """Of a single portion. [fraction]"""
    degrees_of_freedom: float
    """[1]"""
    where: str
    """Which portions it was seen in."""
    by_rule: Method | None = None
    """The method whose usual repeatability it rests on; None where earlier portions tell it."""

    def ratio(self, portions: int) -> Answer:
        """The spread of a mean as a ratio of 1.

        Parameters
        ----------
        portions : int
            Portions averaged. [1]

        Returns
        -------
        Answer
            1 with the standard uncertainty of the mean. [ratio]
        """
        found = spread_leaf(
            f"repeatability of the method, mean of {portions}",
            1.0,
            "",
            self.where,
            standard_uncertainty=self.relative_standard_deviation / math.sqrt(portions),
            degrees_of_freedom=self.degrees_of_freedom,
        )
        if self.by_rule is None:
            return found
        return replace(
            found,
            leaf=Leaf("published", f"laboratory_rules, {self.by_rule.rule}: {self.where}"),
            sources=rule(self.by_rule.rule).sources,
        )


def pooled(sets: Sequence[Sequence[float]], where: str) -> Repeatability:
    """Repeatability from earlier sets of portions, each set of one sample.

    Parameters
    ----------
    sets : sequence of sequences of float
        Results of the portions of each sample, all above zero. [any one unit]
    where : str
        Which entries of the book they stand in. [text]

    Returns
    -------
    Repeatability
        Pooled relative standard deviation. [fraction]

    Raises
    ------
    BadEntry
        No set has two portions, or a result is not above zero.

    Notes
    -----
    s_r^2 = sum over sets of sum (x/mean - 1)^2, divided by the sum of (n - 1).

    References
    ----------
    iso-5725-2
    """
    squares = 0.0
    freedom = 0
    for portions in sets:
        if any(not one > 0 for one in portions):
            raise BadEntry("A result used for repeatability must be above zero", f"{list(portions)}")
        if len(portions) < 2:
            continue
        middle = sum(portions) / len(portions)
        squares += sum((one / middle - 1.0) ** 2 for one in portions)
        freedom += len(portions) - 1
    if freedom == 0:
        raise BadEntry(
            "Repeatability needs at least one sample with two portions",
            "none",
            "Titrate the next sample twice",
        )
    return Repeatability(math.sqrt(squares / freedom), float(freedom), where)


def of_the_method(portions: Sequence[float], by: Method = BY_TITRATION) -> Repeatability:
    """Repeatability where no earlier portions are known: the rule of the method, pooled with the portions at hand.

    Parameters
    ----------
    portions : sequence of float
        Results of the portions of one sample, all above zero. [any one unit]
    by : Method
        How they were found. [record]

    Returns
    -------
    Repeatability
        Relative standard deviation of a single portion. [fraction]

    Raises
    ------
    BadEntry
        A result is not above zero.

    Notes
    -----
    s^2 = (f0 s0^2 + sum (x/mean - 1)^2) / (f0 + n - 1): two portions alone know their scatter by one degree of freedom,
    and agree by chance too often.

    References
    ----------
    jcgm-100, iso-5725-2
    """
    usual, freedom = rule(by.rule), rule("titration-repeatability-freedom").value
    squares, seen = freedom * (usual.value / 100.0) ** 2, ""
    if len(portions) > 1:
        own = pooled([portions], "")
        squares += own.degrees_of_freedom * own.relative_standard_deviation**2
        freedom += own.degrees_of_freedom
        seen = f", with these {len(portions)} portions"
    return Repeatability(
        math.sqrt(squares / freedom),
        freedom,
        f"the usual {usual.value:g} % of {by.called}{seen}",
        by_rule=by,
    )


def range_allowed_relative(repeatability: Repeatability, portions: int, share: float = 0.95) -> float:
    """Largest range of portions that the earlier spread explains in so many sets.

    Parameters
    ----------
    repeatability : Repeatability
        From earlier portions. [fraction]
    portions : int
        Portions at hand, two or more. [1]
    share : float
        Share of sets that it explains. [1]

    Returns
    -------
    float
        Range as a share of the mean. [fraction]

    Raises
    ------
    BadEntry
        Fewer than two portions.

    Notes
    -----
    That point of the studentised range with the degrees of freedom of the earlier portions, times s_r.

    References
    ----------
    iso-5725-2
    """
    if portions < 2:
        raise BadEntry("A range needs two portions or more", f"{portions}")
    freedom = repeatability.degrees_of_freedom
    if portions == 2:
        from scipy.special import stdtrit

        # The range of two is the absolute difference, so Student's t says the same much sooner.
        factor = math.sqrt(2.0) * float(stdtrit(freedom, 0.5 * (1.0 + share)))
    else:
        factor = _studentised_range(share, portions, freedom)
    return factor * repeatability.relative_standard_deviation


@lru_cache(maxsize=64)
def _studentised_range(share: float, portions: int, freedom: float) -> float:
    """Its point, kept: a tenth of a second of integrals each. [1]."""
    from scipy.stats import studentized_range

    return float(studentized_range.ppf(share, portions, freedom))
