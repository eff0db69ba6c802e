"""The bounds of an answer and the chance that it lies above a limit, as answers of their own.

Promises one-sided bounds by the normal or Student distribution of the answer's own uncertainty. An answer
without an uncertainty has no bound: it is refused, never taken as exact.
"""

import math
from collections.abc import Mapping

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.measuring.conformity import lower_bound, probability_above, upper_bound


@formula("upper-bound", takes_named_inputs=True)
def upper_bound_of(
    inputs: Mapping[str, tuple[float, float]], degrees_of_freedom: float, coverage: float
) -> float:
    """One-sided upper bound of one value.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        The one value with its standard uncertainty. [its unit]
    degrees_of_freedom : float
        Behind the uncertainty; zero for "well known". [1]
    coverage : float
        Share of cases below the bound. [fraction]

    Returns
    -------
    float
        Upper bound. [its unit]

    References
    ----------
    jcgm-106
    """
    ((value, standard_uncertainty),) = inputs.values()
    return float(upper_bound(value, standard_uncertainty, _dof(degrees_of_freedom), coverage=coverage))


@formula("lower-bound", takes_named_inputs=True)
def lower_bound_of(
    inputs: Mapping[str, tuple[float, float]], degrees_of_freedom: float, coverage: float
) -> float:
    """One-sided lower bound of one value.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        The one value with its standard uncertainty. [its unit]
    degrees_of_freedom : float
        Behind the uncertainty; zero for "well known". [1]
    coverage : float
        Share of cases above the bound. [fraction]

    Returns
    -------
    float
        Lower bound. [its unit]

    References
    ----------
    jcgm-106
    """
    ((value, standard_uncertainty),) = inputs.values()
    return float(lower_bound(value, standard_uncertainty, _dof(degrees_of_freedom), coverage=coverage))


@formula("top-of-interval", takes_named_inputs=True)
def top_of_interval(inputs: Mapping[str, tuple[float, float]], coverage_factor: float) -> float:
    """Upper end of a stated interval, value + k u.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        The one value with its standard uncertainty. [its unit]
    coverage_factor : float
        k. [1]

    Returns
    -------
    float
        Upper end. [its unit]

    References
    ----------
    jcgm-100
    """
    ((value, standard_uncertainty),) = inputs.values()
    return value + coverage_factor * standard_uncertainty


@formula("chance-above", takes_named_inputs=True)
def chance_above_percent(inputs: Mapping[str, tuple[float, float]], degrees_of_freedom: float) -> float:
    """Chance that a value lies above a limit.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        ``value`` with its standard uncertainty, and ``limit``. [one unit]
    degrees_of_freedom : float
        Behind the uncertainty; zero for "well known". [1]

    Returns
    -------
    float
        Chance. [%]

    References
    ----------
    jcgm-106
    """
    value, standard_uncertainty = inputs["value"]
    limit, _ = inputs["limit"]
    return 100.0 * float(probability_above(limit, value, standard_uncertainty, _dof(degrees_of_freedom)))


def upper_answer(answer: Answer, *, coverage: float = 0.95) -> Answer:
    """The one-sided upper bound of an answer, with its reason.

    Parameters
    ----------
    answer : Answer
        With its standard uncertainty. [its unit]
    coverage : float
        Share of cases below the bound. [fraction]

    Returns
    -------
    Answer
        Upper bound. [its unit]

    Raises
    ------
    BadEntry
        The answer has no uncertainty.

    References
    ----------
    jcgm-106
    """
    return reckoned(
        f"upper bound of {answer.name}",
        upper_bound_of,
        unit=answer.unit,
        basis=answer.basis,
        inputs={"value": with_uncertainty(answer)},
        fixed={"degrees_of_freedom": answer.degrees_of_freedom or 0.0, "coverage": coverage},
        says=f"{100.0 * coverage:g} of 100 such values lie below it (one-sided)",
        sources=("jcgm-106",),
    )


def lower_answer(answer: Answer, *, coverage: float = 0.95) -> Answer:
    """The one-sided lower bound of an answer, with its reason.

    Parameters
    ----------
    answer : Answer
        With its standard uncertainty. [its unit]
    coverage : float
        Share of cases above the bound. [fraction]

    Returns
    -------
    Answer
        Lower bound. [its unit]

    Raises
    ------
    BadEntry
        The answer has no uncertainty.

    References
    ----------
    jcgm-106
    """
    return reckoned(
        f"lower bound of {answer.name}",
        lower_bound_of,
        unit=answer.unit,
        basis=answer.basis,
        inputs={"value": with_uncertainty(answer)},
        fixed={"degrees_of_freedom": answer.degrees_of_freedom or 0.0, "coverage": coverage},
        says=f"{100.0 * coverage:g} of 100 such values lie above it (one-sided)",
        sources=("jcgm-106",),
    )


def top_answer(answer: Answer, coverage_factor: float) -> Answer:
    """The upper end of the stated interval of an answer.

    Parameters
    ----------
    answer : Answer
        With its standard uncertainty. [its unit]
    coverage_factor : float
        k of the stated interval. [1]

    Returns
    -------
    Answer
        Value + k u. [its unit]

    Raises
    ------
    BadEntry
        The answer has no uncertainty.

    References
    ----------
    jcgm-100
    """
    return reckoned(
        f"upper end of {answer.name}",
        top_of_interval,
        unit=answer.unit,
        basis=answer.basis,
        inputs={"value": with_uncertainty(answer)},
        fixed={"coverage_factor": coverage_factor},
        says=f"the value and its expanded uncertainty (k = {coverage_factor:.3g})",
        sources=("jcgm-100",),
    )


def chance_above(answer: Answer, limit: Answer) -> Answer:
    """The chance that an answer lies above a limit.

    Parameters
    ----------
    answer : Answer
        With its standard uncertainty. [its unit]
    limit : Answer
        In the same unit and basis. [its unit]

    Returns
    -------
    Answer
        Chance. [%]

    Raises
    ------
    BadEntry
        The answer has no uncertainty, or the units differ.

    References
    ----------
    jcgm-106
    """
    if answer.unit != limit.unit:
        raise BadEntry(
            "A value and its limit must have one unit",
            worded("{unit!r} and {unit_two!r}", unit=answer.unit, unit_two=limit.unit),
        )
    return reckoned(
        f"chance that {answer.name} is at least {limit.name}",
        chance_above_percent,
        unit="%",
        inputs={"value": with_uncertainty(answer), "limit": limit},
        fixed={"degrees_of_freedom": answer.degrees_of_freedom or 0.0},
        says="by the spread of the value",
        sources=("jcgm-106",),
    )


def with_uncertainty(answer: Answer) -> Answer:
    """The same answer, unless nobody knows how sure it is.

    Parameters
    ----------
    answer : Answer
        [its unit]

    Returns
    -------
    Answer
        The same. [its unit]

    Raises
    ------
    BadEntry
        It has no uncertainty, or none above zero.
    """
    if not answer.standard_uncertainty or answer.standard_uncertainty <= 0:
        raise BadEntry(
            worded("The bound of {answer_name!r} needs its uncertainty", answer_name=answer.name),
            "none",
            'Write it beside the value, such as "38.4 ± 1.2 (k = 2)"',
        )
    return answer


def _dof(degrees_of_freedom: float) -> float:
    return degrees_of_freedom if degrees_of_freedom > 0 else math.inf
