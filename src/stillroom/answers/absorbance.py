"""A content by the light a solution absorbs: against standards measured beside it, or by a printed absorptivity.

Promises the scatter of the standards about their line, what their stock and the glass may be off, and the repeatability
of the method inside its doubt. Does not count beyond the standards, nor below what they can tell from nothing. Cannot
see another compound that absorbs at the same wavelength.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.answers.budget import Stated, mean, spread_leaf, stated
from stillroom.answers.portions_agree import (
    is_more_than_all,
    read_relative,
    spread_of,
    with_repeatability_percent,
)
from stillroom.answers.repeatability import Method, Repeatability, of_the_method
from stillroom.answers.restating import dried_percent
from stillroom.answers.standard_line import Standard, StandardLine
from stillroom.errors import OutsideModel
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.basis import Basis
from stillroom.quantities.spread import Array
from stillroom.science.measuring.absorbance import content_by_absorptivity_mg_l
from stillroom.substances.rules import rule

BY_ABSORBANCE = Method("absorbance-repeatability", "such an assay by absorbance", "take another portion")
HIGHEST = 2.0
"""Absorbance above which a plain photometer sees stray light: common practice, no source [1]."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A portion of the sample, and what its solution showed."""

    mass: Answer
    """[g]"""
    absorbance: Answer
    """[1]"""


@dataclass(frozen=True, slots=True)
class Absorbed:
    """A content with what makes it count."""

    as_is: Stated
    """[% w/w]"""
    dried: Stated | None
    """None without a loss on drying. [% w/w]"""
    counts: bool
    because: str


@formula(
    "content-by-specific-absorbance",
    takes_arrays=("absorbance", "own_scatter", "blank", "specific_absorbance"),
)
def content_by_specific_absorbance_mg_l(
    absorbance: Array | float,
    own_scatter: Array | float,
    blank: Array | float,
    specific_absorbance: Array | float,
) -> Array | float:
    """What is in a solution, by a printed absorptivity, in a cell of 1 cm. [mg/L].

    Parameters
    ----------
    absorbance, own_scatter, blank, specific_absorbance : float or array
        [1]
    """
    return content_by_absorptivity_mg_l(absorbance + own_scatter - blank, specific_absorbance)


@formula(
    "content-of-solution",
    takes_arrays=("content_mg_l", "volume_ml", "dilution_ratio", "sample_mass_g", "made_ratio"),
)
def content_of_solution_percent(
    content_mg_l: Array | float,
    volume_ml: Array | float,
    dilution_ratio: Array | float,
    sample_mass_g: Array | float,
    made_ratio: Array | float,
) -> Array | float:
    """Content of a sample from that of its solution.

    Parameters
    ----------
    content_mg_l : float or array
        Of what was measured. [mg/L]
    volume_ml : float or array
        What the sample was made up to. [mL]
    dilution_ratio : float or array
        How many times that was diluted before it was measured. [1]
    sample_mass_g : float or array
        [g]
    made_ratio : float or array
        1, with what the content of the standards, or a printed absorptivity, may be off. [1]

    Returns
    -------
    float or array
        [% w/w]
    """
    return 100.0 * content_mg_l * made_ratio * volume_ml * dilution_ratio / (1e6 * sample_mass_g)


def absorbed(
    portions: Sequence[Measured],
    *,
    against: Sequence[Standard] | Answer,
    blank: Answer,
    volume: Answer,
    dilution: Answer,
    sure_percent: Answer | None,
    loss_on_drying: Answer | None,
    basis: Basis,
) -> Absorbed:
    """The content of a sample by the light its solution absorbs.

    Parameters
    ----------
    portions : sequence of Measured
        [g and 1]
    against : sequence of Standard, or Answer
        Standards, or a printed A(1 %, 1 cm). [mg/L and 1, or 1]
    blank : Answer
        What the solution shows that is none of what is looked for; 0 where there is none. [1]
    volume : Answer
        What each portion was made up to. [mL]
    dilution : Answer
        How many times it was diluted then. [1]
    sure_percent : Answer or None
        How far the content of the standards, or the absorptivity, may be off either way; a rule where None. [%]
    loss_on_drying : Answer or None
        [% w/w]
    basis : Basis
        What is counted, as what, of what.

    Returns
    -------
    Absorbed
        [% w/w]

    Raises
    ------
    OutsideModel
        A portion weighed nothing, the standards are all of one content, or their line does not rise.

    References
    ----------
    harvey-2000, massart-1997, ich-q2
    """
    for one in portions:
        if not one.mass.value > 0.0:
            raise OutsideModel("A portion is weighed", f"{one.mass.value:g} g", "Weigh another")
    numbered = list(enumerate(portions, 1))
    if isinstance(against, Answer):
        line, made = (
            None,
            _as_made("absorptivity at this photometer", "specific-absorbance-limits", sure_percent),
        )
        in_solution = [_by_absorptivity(at, one.absorbance, against, blank) for at, one in numbered]
    else:
        line, made = (
            StandardLine(against, blank),
            _as_made("standards as made", "standards-limits", sure_percent),
        )
        in_solution = [line.content(at, one.absorbance) for at, one in numbered]
    contents = tuple(
        reckoned(
            f"{basis.of}, portion {at}", content_of_solution_percent, unit="%", basis=basis.in_words(),
            inputs={
                "content_mg_l": found, "volume_ml": volume, "dilution_ratio": dilution,
                "sample_mass_g": one.mass, "made_ratio": made,
            },
            says="what is in the solution, by its volume and dilution, over the sample",
        )
        for (at, one), found in zip(numbered, in_solution, strict=True)
    )  # fmt: skip
    least = line.least_mg_l if line else 0.0
    lost = [at for (at, _), one in zip(numbered, in_solution, strict=True) if not one.value > least]
    values = [] if lost else [one.value for one in contents]
    spread = spread_of(values, None, read_relative(contents) if values else 0.0, BY_ABSORBANCE)
    repeats = of_the_method(values, BY_ABSORBANCE)
    all_of_it = (
        contents[0] if len(contents) == 1 else mean(f"{basis.of}, mean of {len(contents)} portions", contents)
    )
    as_is = stated(_repeated(all_of_it, repeats, len(contents)))
    why_not = _why_not(portions, line, lost, as_is)
    if not why_not and spread is not None and not spread.agrees:
        why_not = spread.says
    told = spread.says if spread is not None else "One portion."
    return Absorbed(
        as_is,
        stated(_dried(as_is.answer, loss_on_drying, basis)) if loss_on_drying is not None else None,
        not why_not,
        f"It does not count. {why_not}" if why_not else f"It counts. {told} {_by(line, repeats)}",
    )


def _as_made(name: str, usual: str, said: Answer | None) -> Answer:
    """A ratio of 1 that may be off as much either way as was said, or as a rule has it."""
    off = rule(usual) if said is None else said
    where = f"{off.value:g} % either way"
    return spread_leaf(name, 1.0, "", where, standard_uncertainty=off.value / 100.0 / math.sqrt(3.0))


def _by_absorptivity(at: int, absorbance: Answer, specific: Answer, blank: Answer) -> Answer:
    usual = rule("absorbance-scatter")
    off = spread_leaf(
        f"scatter of portion {at}",
        0.0,
        "",
        f"laboratory_rules, {usual.name}",
        standard_uncertainty=usual.value,
    )
    return reckoned(
        f"in the solution of portion {at}", content_by_specific_absorbance_mg_l, unit="mg/L",
        inputs={
            "absorbance": absorbance, "own_scatter": off, "blank": blank, "specific_absorbance": specific,
        },
        says="absorbance over that of a solution of 1 %",
    )  # fmt: skip


def _repeated(percent: Answer, repeats: Repeatability, portions: int) -> Answer:
    return reckoned(
        percent.name, with_repeatability_percent, unit="%", basis=percent.basis,
        inputs={"percent": percent, "repeatability_ratio": repeats.ratio(portions)},
        says=f"with the repeatability of {repeats.where}",
    )  # fmt: skip


def _dried(as_is: Answer, loss_on_drying: Answer, basis: Basis) -> Answer:
    return reckoned(
        f"{as_is.name}, dried", dried_percent, unit="%", basis=basis.with_(matter="dried").in_words(),
        inputs={"as_is_percent": as_is, "loss_on_drying_percent": loss_on_drying},
        says="the same in what is left after drying",
    )  # fmt: skip


def _why_not(
    portions: Sequence[Measured], line: StandardLine | None, lost: Sequence[int], found: Stated
) -> str:
    highest = line.highest if line else HIGHEST
    beyond = [at for at, one in enumerate(portions, 1) if one.absorbance.value > highest]
    if beyond:
        return (
            f"Portion {_listed(beyond)} shows more than the highest standard: dilute it, and measure again."
            if line
            else f"Portion {_listed(beyond)} shows more than {HIGHEST:g}, where stray light counts: dilute it."
        )
    if lost:
        return (
            f"Portion {_listed(lost)} shows too little to be told from nothing: take more, or dilute it less."
        )
    if not math.isfinite(found.expanded.k):
        return "Its doubt has no end: take larger portions."
    return (
        "It would be more than all there is: look whether a figure or a unit was misread."
        if is_more_than_all(found)
        else ""
    )


def _listed(numbers: Sequence[int]) -> str:
    return " and ".join(map(str, numbers))


def _by(line: StandardLine | None, repeats: Repeatability) -> str:
    against = (
        "By a printed absorptivity."
        if line is None
        else "By one standard."
        if line.count == 1
        else f"By {line.count} standards."
    )
    return f"{against} It is taken to repeat to {repeats.where}."
