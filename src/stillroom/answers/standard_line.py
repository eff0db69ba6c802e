"""A line through standards of known content, and what a solution holds by what it shows.

Promises the scatter of the standards about their line inside its doubt: that of the slope, of the middle, and of the
reading itself, all by one estimate. Where too few standards tell it, a rule does.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.answers.budget import spread_leaf
from stillroom.errors import OutsideModel, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.spread import Array
from stillroom.science.measuring.absorbance import content_by_line_mg_l, line_through_standards
from stillroom.substances.rules import rule

ENOUGH_FREEDOM = 3
"""Standards less two from which their own scatter is taken: two standards tell none, three tell it badly [1]."""
BEYOND = 0.1
"""Share of the range of the standards by which a sample may lie beyond them: common practice, no source [1]."""
DETECTED = 3.3
"""Scatters above nothing from which something is told from it (ICH Q2, recalled) [1]."""
SHOWN_TO = 0.0005
"""Half a thousandth: a photometer shows no more, so no line scatters less [1]."""


@dataclass(frozen=True, slots=True)
class Standard:
    """A solution of known content, and what it showed."""

    content: Answer
    """[mg/L]"""
    absorbance: Answer
    """[1]"""


@dataclass(frozen=True, slots=True)
class Centred:
    """The line through standards, by its slope and its middle, which are off independently of each other."""

    slope: float
    """[L/mg]"""
    shown: float
    """Mean absorbance of the standards. [1]"""
    content: float
    """Mean content of the standards. [mg/L]"""
    spread: float
    """Root of the sum of squares of their contents about the mean. [mg/L]"""
    scatter: float
    """Not a number with two. [1]"""


@formula("line-through-standards", takes_named_inputs=True)
def centred_line_of(inputs: Mapping[str, tuple[float, float]]) -> Centred:
    """The line through standards.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        "content 1", "absorbance 1" and so on; a single standard lies on a line through nothing. [mg/L, 1]

    Returns
    -------
    Centred
        [L/mg, 1, mg/L]

    Raises
    ------
    OutsideModel
        The standards draw no line.
    """
    contents = [value for name, (value, _) in inputs.items() if name.startswith("content")]
    shown = [value for name, (value, _) in inputs.items() if name.startswith("absorbance")]
    if len(contents) == 1:
        (content,), (absorbance,) = contents, shown
        if not content > 0.0 or not absorbance > 0.0:
            raise OutsideModel(
                "One standard alone must hold and show something",
                worded("{content:g} mg/L shows {absorbance:g}", content=content, absorbance=absorbance),
                "Measure one that does",
            )
        return Centred(absorbance / content, 0.0, 0.0, content, math.nan)
    line = line_through_standards(contents, shown)
    middle = sum(contents) / len(contents)
    spread = math.sqrt(sum((one - middle) ** 2 for one in contents))
    return Centred(line.slope_l_mg, sum(shown) / len(shown), middle, spread, line.scatter_absorbance)


@formula(
    "content-by-standards",
    takes_arrays=("absorbance", "own_scatter", "blank", "blank_scatter", "slope_scatter", "middle_scatter"),
)
def content_by_standards_mg_l(
    absorbance: Array | float,
    own_scatter: Array | float,
    blank: Array | float,
    blank_scatter: Array | float,
    slope: float,
    slope_scatter: Array | float,
    shown: float,
    middle_scatter: Array | float,
    content: float,
) -> Array | float:
    """What is in a solution, by the line through standards.

    Parameters
    ----------
    absorbance, blank : float or array
        What it shows, and what of that is none of it. [1]
    own_scatter, blank_scatter, middle_scatter : float or array
        Zero, with the scatter of one reading and of the line's middle as their uncertainty. [1]
    slope : float
        [L/mg]
    slope_scatter : float or array
        Zero, with that of the slope. [L/mg]
    shown, content : float
        Middle of the line. [1, mg/L]

    Returns
    -------
    float or array
        [mg/L]
    """
    more = absorbance + own_scatter - blank - blank_scatter
    return content + content_by_line_mg_l(more, slope + slope_scatter, shown + middle_scatter)


class StandardLine:
    """The line of the standards with its scatter."""

    def __init__(self, standards: Sequence[Standard], blank: Answer) -> None:
        inputs = {f"content {at}": one.content for at, one in enumerate(standards, 1)}
        inputs |= {f"absorbance {at}": one.absorbance for at, one in enumerate(standards, 1)}
        self.count, self.blank = len(standards), blank
        self.parts = {
            pick: reckoned(
                called, centred_line_of, unit=unit, inputs=inputs, pick=pick, sources=("harvey-2000",),
                says="a straight line by least squares" if self.count > 1 else "a straight line from nothing",
            )
            for pick, called, unit in (
                ("slope", "slope of the standards", "L/mg"), ("shown", "middle absorbance of the standards", ""),
                ("content", "middle content of the standards", "mg/L"),
            )
        }  # fmt: skip
        found = centred_line_of({name: (one.value, 0.0) for name, one in inputs.items()})
        usual, own = rule("absorbance-scatter"), self.count - 2 >= ENOUGH_FREEDOM
        if own:
            self.scatter, self.freedom = max(found.scatter, SHOWN_TO), float(self.count - 2)
            self.where = f"how {self.count} standards lie about their line"
        else:
            self.scatter = max(usual.value, 0.0 if math.isnan(found.scatter) else found.scatter)
            self.freedom, self.where = (
                rule("titration-repeatability-freedom").value,
                "laboratory_rules, absorbance-scatter",
            )
        content_by_line_mg_l(0.0, found.slope, 0.0)
        self.spread, self.least_mg_l = found.spread, DETECTED * self.scatter / found.slope
        shown = [one.absorbance.value for one in standards]
        self.highest = max(shown) + BEYOND * (max(shown) - (min(shown) if self.count > 1 else 0.0))

    def _off(self, name: str, u: float, unit: str = "") -> Answer:
        return spread_leaf(
            name,
            0.0,
            unit,
            self.where,
            standard_uncertainty=u,
            degrees_of_freedom=self.freedom,
            scatter=self.where,
        )

    def content(self, at: int, absorbance: Answer) -> Answer:
        """What is in the solution of a portion. [mg/L]."""
        through_nothing = self.count == 1
        return reckoned(
            f"in the solution of portion {at}", content_by_standards_mg_l, unit="mg/L", sources=("harvey-2000",),
            inputs={
                "absorbance": absorbance,
                "own_scatter": self._off(f"scatter of portion {at}", self.scatter),
                "blank": self.blank,
                "blank_scatter": self._off("scatter of the blank", self.scatter if self.blank.value else 0.0),
                **self.parts,
                "slope_scatter": self._off("scatter of the slope", self.scatter / self.spread, "L/mg"),
                "middle_scatter": self._off(
                    "scatter of the middle", 0.0 if through_nothing else self.scatter / math.sqrt(self.count)
                ),
            },
            says="what it shows above the middle of the standards, over the slope",
        )  # fmt: skip
