"""The uncertainty of a result from the uncertainties of what it was reckoned from.

First order, as in the Guide: sensitivities by central differences, contributions in a table, effective
degrees of freedom by Welch and Satterthwaite. Good while the result is nearly straight over each input's
spread; where it is not (a square near zero, a ratio with a poor denominator), draw instead.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from stillroom.errors import BadEntry, UnknownName, worded

ENOUGH_FREEDOM = 10.0
"""Effective degrees of freedom above which k = 2 stands for about 95 % (GUM G.6.6)."""


@dataclass(frozen=True, slots=True)
class Contribution:
    """One input's line in the budget. ``share`` is of the variance, correlations left aside."""

    name: str
    value: float
    standard_uncertainty: float
    sensitivity: float
    contribution: float
    share: float
    dof: float


@dataclass(frozen=True, slots=True)
class Budget:
    """A result, its standard uncertainty, and where that comes from, largest first."""

    value: float
    standard_uncertainty: float
    effective_dof: float
    contributions: tuple[Contribution, ...]


@dataclass(frozen=True, slots=True)
class Expanded:
    """A result with the interval that holds it, and the rule that gave k."""

    value: float
    k: float
    expanded_uncertainty: float
    coverage: float
    effective_dof: float
    rule: str


def propagate(
    function: Callable[[Mapping[str, float]], float],
    values: Mapping[str, float],
    standard_uncertainties: Mapping[str, float],
    dof: Mapping[str, float] | None = None,
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> Budget:
    """Carry the uncertainties of the inputs into the result.

    Parameters
    ----------
    function : callable
        Takes the inputs by name, gives the result [-].
    values : mapping of str to float
        Best value of each input, in its own unit [-].
    standard_uncertainties : mapping of str to float
        Standard uncertainty of the uncertain ones, in the same units [-].
    dof : mapping of str to float, optional
        Degrees of freedom behind each uncertainty; infinite when not given [1].
    correlations : mapping of (str, str) to float, optional
        Correlation coefficients of pairs of inputs [1].

    Returns
    -------
    Budget
        Value, standard uncertainty, effective degrees of freedom, and a line per input.

    Raises
    ------
    UnknownName
        When an uncertainty, a degree of freedom or a correlation belongs to no input.
    BadEntry
        When an uncertainty is negative, degrees of freedom are not above zero, or a correlation is beyond ±
        1.

    Notes
    -----
    u^2 = sum c_i^2 u_i^2 + 2 sum_{i<j} c_i c_j u_i u_j r_ij, with c_i = (f(x_i + u_i) - f(x_i - u_i)) / (2
    u_i) (GUM 5.1.4); nu_eff = u^4 / sum (c_i u_i)^4 / nu_i (GUM G.4.1, which holds for independent inputs).

    References
    ----------
    jcgm-100
    """
    freedom, together = dict(dof or {}), dict(correlations or {})
    _refuse_unknown(
        values, [*standard_uncertainties, *freedom, *(name for pair in together for name in pair)]
    )
    value = float(function(dict(values)))
    parts: dict[str, float] = {}
    for name, spread in standard_uncertainties.items():
        if not (spread >= 0 and math.isfinite(spread)):
            raise BadEntry(
                worded("The standard uncertainty of {called!r} cannot be below zero", called=name),
                f"{spread:g}",
            )
        parts[name] = _half_difference(function, values, name, spread)
    variance = sum(part**2 for part in parts.values())
    total = variance
    for (first, second), coefficient in together.items():
        if not -1.0 <= coefficient <= 1.0:
            raise BadEntry(
                worded(
                    "The correlation of {first!r} and {second!r} lies within ± 1", first=first, second=second
                ),
                f"{coefficient:g}",
            )
        total += 2.0 * parts.get(first, 0.0) * parts.get(second, 0.0) * coefficient
    uncertainty = math.sqrt(max(total, 0.0))
    lines = tuple(
        Contribution(
            name=name,
            value=float(values[name]),
            standard_uncertainty=standard_uncertainties[name],
            sensitivity=part / standard_uncertainties[name] if standard_uncertainties[name] else 0.0,
            contribution=abs(part),
            share=part**2 / variance if variance else 0.0,
            dof=freedom.get(name, math.inf),
        )
        for name, part in sorted(parts.items(), key=lambda item: -abs(item[1]))
    )
    return Budget(value, uncertainty, _effective_dof(uncertainty, lines), lines)


def expanded(budget: Budget, *, coverage: float = 0.95) -> Expanded:
    """The interval a result is stated with.

    Parameters
    ----------
    budget : Budget
        The result and its standard uncertainty [-].
    coverage : float
        Wanted probability that the interval holds the true value [1].

    Returns
    -------
    Expanded
        k, U = k u, and the rule used.

    Raises
    ------
    BadEntry
        When the coverage is not between 0 and 1.

    Notes
    -----
    For 95 %: k = 2 when the effective degrees of freedom exceed 10 (GUM G.6.6, recalled). Otherwise, and for
    any other coverage, Student's t with the effective degrees of freedom cut to a whole number (GUM G.4.1).

    References
    ----------
    jcgm-100
    """
    if not 0.0 < coverage < 1.0:
        raise BadEntry("The coverage lies between 0 and 1", f"{coverage:g}", "Write 95 % as 0.95")
    freedom = budget.effective_dof
    if coverage == 0.95 and freedom > ENOUGH_FREEDOM:
        k, rule = 2.0, "k = 2, more than 10 effective degrees of freedom (GUM G.6.6)"
    else:
        k, rule = coverage_factor(coverage, freedom), "Student's t (GUM G.4.1)"
    return Expanded(budget.value, k, k * budget.standard_uncertainty, coverage, freedom, rule)


def coverage_factor(coverage: float, dof: float) -> float:
    """Student's two-sided factor, degrees of freedom cut to a whole number.

    Parameters
    ----------
    coverage : float
        Probability inside the interval [1].
    dof : float
        Degrees of freedom, infinite for the normal distribution [1].

    Returns
    -------
    float
        The factor k [1].

    Raises
    ------
    BadEntry
        With less than one degree of freedom.

    References
    ----------
    jcgm-100
    """
    from scipy.special import ndtri, stdtrit

    if not dof >= 1.0:
        raise BadEntry(
            "A coverage factor needs at least one degree of freedom", f"{dof:g}", "Repeat the measurement"
        )
    upper = 0.5 + 0.5 * coverage
    return float(ndtri(upper)) if math.isinf(dof) else float(stdtrit(math.floor(dof + 1e-9), upper))


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known only to lie within ± half_width.

    Parameters
    ----------
    half_width : float
        Half of the width, in the value's unit [-].

    Returns
    -------
    float
        half_width / sqrt(3) [-].

    References
    ----------
    jcgm-100
    """
    return half_width / math.sqrt(3.0)


def triangular(half_width: float) -> float:
    """Standard uncertainty of a value within ± half_width, more likely near the middle.

    Parameters
    ----------
    half_width : float
        Half of the width, in the value's unit [-].

    Returns
    -------
    float
        half_width / sqrt(6) [-].

    References
    ----------
    jcgm-100
    """
    return half_width / math.sqrt(6.0)


def arcsine(half_width: float) -> float:
    """Standard uncertainty of a value that swings evenly within ± half_width, like a thermostat.

    Parameters
    ----------
    half_width : float
        Half of the width, in the value's unit [-].

    Returns
    -------
    float
        half_width / sqrt(2) [-].

    References
    ----------
    jcgm-100
    """
    return half_width / math.sqrt(2.0)


def _half_difference(
    function: Callable[[Mapping[str, float]], float], values: Mapping[str, float], name: str, spread: float
) -> float:
    if spread == 0.0:
        return 0.0
    above = float(function({**values, name: values[name] + spread}))
    below = float(function({**values, name: values[name] - spread}))
    return 0.5 * (above - below)


def _effective_dof(uncertainty: float, lines: tuple[Contribution, ...]) -> float:
    limited = 0.0
    for line in lines:
        if not line.dof > 0:
            raise BadEntry(
                worded("The degrees of freedom of {line_name!r} must be above zero", line_name=line.name),
                f"{line.dof:g}",
            )
        limited += line.contribution**4 / line.dof
    return uncertainty**4 / limited if limited else math.inf


def _refuse_unknown(values: Mapping[str, float], names: list[str]) -> None:
    for name in names:
        if name not in values:
            raise UnknownName.among(name, "an input of this result", values)
