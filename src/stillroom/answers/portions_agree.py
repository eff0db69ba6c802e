"""Whether the portions of a titration agree, what is said of it, and both looked at anew when a reading is put right.

Where earlier portions are known their spread decides; else a range that the usual spread of such a titration and the
readings leave to one set in a thousand. Says nothing about bias: all portions may be wrong together.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.answers.budget import Stated, measured, stated
from stillroom.answers.reckon_again import with_new_readings
from stillroom.answers.repeatability import (
    BY_TITRATION,
    Method,
    Repeatability,
    of_the_method,
    pooled,
    range_allowed_relative,
)
from stillroom.evidence.answer import Answer, walk
from stillroom.evidence.formulas import formula
from stillroom.texts.catalogue import between

BY_CHANCE = 0.999
"""Share of sets that agree where the method repeats as usual: one in a thousand is asked about for nothing [1]."""
COUNTS, DOES_NOT = "It counts: a blank was titrated beside it.", "It does not count."
TOO_SMALL = (
    f"{DOES_NOT} So little was taken that these instruments cannot tell it from nothing, and the content has no upper "
    "end. Take larger portions."
)
AT_THE_BLANK = (
    f"{DOES_NOT} The titre of portion %s lies on the wrong side of the blank, or so near it that these readings cannot "
    "tell them apart. Were the two exchanged, was a figure misread, or was it done the other way, back or direct? Then "
    "correct it; else there is less in it than this titration can see: take larger portions."
)
MORE_THAN_ALL = f"{DOES_NOT} It would be more than all there is: look whether a figure or a unit was misread."
WITHIN, MEAN = "content-with-repeatability", "mean"
DRIED_NEITHER = "The loss on drying does not count, so the dried figures do not either."
DRIED_OVER = "The loss on drying would leave more than all there is, so the dried figures do not count."

_OF_PORTIONS = re.compile(
    rf"(?:{COUNTS}|{DOES_NOT}).*?(?=$| The temperature of| No loss on| The loss on| With the nominal)"
)
"""What is said of the portions, in the reason of a result [text]."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How far the portions fall apart."""

    values_percent: tuple[float, ...]
    """Content of each portion as is. [% w/w]"""
    range_percent: float
    """Largest less smallest. [% w/w]"""
    relative_standard_deviation: float
    """Of one portion, from these portions. [fraction]"""
    agrees: bool
    """Whether the earlier spread of the method, or the usual one, explains the range."""
    says: str


@dataclass(frozen=True, slots=True)
class JudgedAgain:
    """A content with new readings, and whether its portions agree now."""

    answer: Answer
    """[% w/w]"""
    agrees: bool
    because: str
    """As it was said, with what is said of the portions now."""


@formula("content-with-repeatability")
def with_repeatability_percent(percent: float, repeatability_ratio: float) -> float:
    """A content with the repeatability of the method brought in as a ratio of 1.

    Parameters
    ----------
    percent : float
        Content. [% w/w]
    repeatability_ratio : float
        1, with the spread of the method as its uncertainty. [ratio]

    Returns
    -------
    float
        Content. [% w/w]
    """
    return percent * repeatability_ratio


def spread_of(
    values_percent: Sequence[float],
    earlier: Repeatability | None,
    read_relative: float = 0.0,
    by: Method = BY_TITRATION,
) -> Spread | None:
    """How far portions fall apart, and whether that is explained.

    Parameters
    ----------
    values_percent : sequence of float
        Content of each portion. [% w/w]
    earlier : Repeatability or None
        From earlier portions. [fraction]
    read_relative : float
        Standard uncertainty of one portion by its readings alone. [fraction]
    by : Method
        How they were found. [record]

    Returns
    -------
    Spread or None
        None for a single portion. [record]
    """
    if len(values_percent) < 2:
        return None
    values = tuple(values_percent)
    middle, width = sum(values) / len(values), max(values) - min(values)
    own = pooled([values], "these portions").relative_standard_deviation
    words = (
        f"{len(values)} portions: {between(f'{min(values):.3f}', f'{max(values):.3f}')} %, "
        f"relative standard deviation {100.0 * own:.2f} %"
    )
    known = earlier or of_the_method((), by)
    if earlier is None:
        usual = math.hypot(known.relative_standard_deviation, read_relative)
        known = Repeatability(usual, known.degrees_of_freedom, known.where)
    share = BY_CHANCE if earlier is None else 0.95
    allowed = range_allowed_relative(known, len(values), share) * middle
    method = "the method" if earlier else f"{by.called} with these readings"
    words = f"{words}; {method} explains up to {allowed:.3f} %"
    if width <= allowed:
        return Spread(values, width, own, True, f"{words}.")
    return Spread(values, width, own, False, f"{words}: {by.again} and find the cause.")


def is_bounded(found: Stated) -> bool:
    """Whether the interval of a content ends: that of a portion which may have weighed nothing does not."""
    return math.isfinite(found.expanded.k)


def is_more_than_all(found: Stated) -> bool:
    """Whether a content lies above all there is by more than its doubt."""
    return found.answer.value - found.expanded_uncertainty > 100.0


def at_the_blank(contents: Sequence[Answer]) -> tuple[int, ...]:
    """Numbers of the portions in which no more was found than the readings can blur, or less than nothing."""
    found = [measured(dict(one.inputs)["found_mass_mg"]) for one in contents]
    return tuple(at for at, one in enumerate(found, 1) if one.value <= (one.standard_uncertainty or 0.0))


def told_apart(
    contents: Sequence[Answer], earlier: Repeatability | None
) -> tuple[Spread | None, Repeatability]:
    """How far portions fall apart, and how well the method repeats; a portion at the blank tells nothing of either."""
    values = [] if at_the_blank(contents) else [one.value for one in contents]
    spread = spread_of(values, earlier, 0.0 if earlier else read_relative(contents))
    return spread, earlier or of_the_method(values)


def why_not(found: Stated, contents: Sequence[Answer], spread: Spread | None) -> str:
    """Why a content does not count; "" where it does."""
    lost = at_the_blank(contents)
    if lost:
        return AT_THE_BLANK % " and ".join(map(str, lost))
    if not is_bounded(found):
        return TOO_SMALL
    if is_more_than_all(found):
        return MORE_THAN_ALL
    return "" if spread is None or spread.agrees else DOES_NOT


def portions_told(spread: Spread | None, known: Repeatability, not_counted: str) -> str:
    """What is said of the portions: whether they count, how far they fall apart, how well the method repeats."""
    said = [not_counted or COUNTS]
    if spread is not None:
        said.append(spread.says)
    if known.by_rule:
        said.append(
            f"No earlier portions are known, so it is taken to repeat to {known.where}: enter earlier ones, or titrate "
            "more portions."
        )
    return " ".join(said)


def judged_again(
    old: Answer, new: Mapping[str, Answer], earlier: Repeatability | None, because: str
) -> JudgedAgain | None:
    """A content with new readings: how far its portions fall apart is looked at anew, as whether they agree.

    Parameters
    ----------
    old : Answer
        As it was kept. [% w/w]
    new : mapping of str to Answer
        Key of an old leaf and the leaf that replaces it. [their units]
    earlier : Repeatability or None
        From earlier portions. [fraction]
    because : str
        What was said of it. [text]

    Returns
    -------
    JudgedAgain or None
        None where it holds no repeatability of a method. [record]
    """
    again = with_new_readings(old, new)
    within = next((one for one in walk(again) if one.formula == WITHIN), None)
    if within is None:
        return None
    percent, repeats = (dict(within.inputs)[name] for name in ("percent", "repeatability_ratio"))
    contents = [one for _, one in percent.inputs] if percent.formula == MEAN else [percent]
    spread, known = told_apart(contents, earlier)
    answer = with_new_readings(again, {repeats.key: known.ratio(len(contents))})
    not_counted = why_not(stated(answer), contents, spread)
    told = portions_told(spread, known, not_counted)
    return JudgedAgain(
        answer,
        not not_counted,
        _OF_PORTIONS.sub(lambda _: told, because.replace(f" {DRIED_OVER}", "")),
    )


def read_relative(contents: Sequence[Answer]) -> float:
    """Standard uncertainty of a portion by its readings alone; the largest of all.

    Parameters
    ----------
    contents : sequence of Answer
        Of each portion. [% w/w]
    """
    known = [measured(one) for one in contents if one.value > 0.0]
    return max(((one.standard_uncertainty or 0.0) / one.value for one in known), default=0.0)
