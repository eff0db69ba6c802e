"""The uncertainty of a result from the uncertainties of what it was reckoned from.

First order, as in the Guide: sensitivities by central differences (one-sided where the result ends at an edge),
contributions in a table, effective degrees of freedom by Welch and Satterthwaite. Good while the result is nearly
straight over each input's spread: ``bend`` tells how far it is not, and above ``MOST_BEND`` one draws instead.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from stillroom.errors import BadEntry, StillroomError, UnknownName, worded

Inputs = Mapping[str, float]
Function = Callable[[Inputs], float]
LEAST_K = 2.0
"""Stands for about 95 % where many degrees of freedom are behind an uncertainty (GUM 6.3.3)."""
MOST_BEND = 0.2
"""Part of the standard uncertainty that the second order may bring before one draws instead, at k = 2 [1]."""
SMALLEST_STEP = 2.0**-12
"""Part of the standard uncertainty that is still tried as a step, where the result ends at an edge [1]."""


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
    """A result, its standard uncertainty, and where that comes from, largest first.

    ``bend`` is what the second order brings, beside the first [1]; ``edge`` tells that the result ends within one
    standard uncertainty of an input.
    """

    value: float
    standard_uncertainty: float
    effective_dof: float
    contributions: tuple[Contribution, ...]
    bend: float = 0.0
    edge: bool = False

    @property
    def straight(self) -> bool:
        """Whether first order holds as far out as the interval reaches: 12.7 u with one degree of freedom, not 2 u."""
        k = max(coverage_factor(0.95, max(self.effective_dof, 1.0)), LEAST_K)
        return self.bend <= MOST_BEND * LEAST_K / k


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
    scatters: Mapping[str, str] | None = None,
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
    scatters : mapping of str to str, optional
        The estimate of scatter an uncertainty was taken from, where several inputs' were taken from one [-].

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
    u^2 = sum c_i^2 u_i^2 + 2 sum_{i<j} c_i c_j u_i u_j r_ij, with c_i = (f(x_i + u_i) - f(x_i - u_i)) / (2 u_i)
    (GUM 5.1.4), one-sided where f ends on the other side. The bend is the root of sum (f(x_i + u_i) - 2 f + f(x_i -
    u_i))^2 / 2 (the first term of the note to GUM 5.1.2), or of a like figure with all inputs moved at once, which
    sees products, over the root of that and u^2 together; nu_eff = u^4 / sum (c_i u_i)^4 / nu_i (GUM G.4.1, which
    holds for independent inputs: the inputs of one estimate of scatter go in as one, by the sum of their squares).

    Examples
    --------
    >>> values, spreads = {"m": 100.28, "P": 0.9999, "V": 0.1}, {"m": 0.05, "P": 0.000058, "V": 0.00007}
    >>> cadmium = propagate(lambda x: x["m"] * x["P"] / x["V"], values, spreads)
    >>> cadmium.value, cadmium.standard_uncertainty  # quam-2012, A1, page-opened
    (1002.7, 0.9)

    References
    ----------
    jcgm-100
    """
    freedom, together = dict(dof or {}), dict(correlations or {})
    named = [*standard_uncertainties, *freedom, *(name for pair in together for name in pair)]
    _refuse_unknown(values, named)
    value = float(function(dict(values)))
    parts: dict[str, float] = {}
    bends, edge = 0.0, False
    for name, spread in standard_uncertainties.items():
        if not (spread >= 0 and math.isfinite(spread)):
            must = worded("The standard uncertainty of {called!r} cannot be below zero", called=name)
            raise BadEntry(must, f"{spread:g}")
        step = _step(function, values, name, spread, value)
        parts[name] = step.slope
        bends += 0.5 * step.bend**2
        edge = edge or step.one_sided
    variance = sum(part**2 for part in parts.values())
    total = variance
    for (first, second), coefficient in together.items():
        if not -1.0 <= coefficient <= 1.0:
            must = worded(
                "The correlation of {first!r} and {second!r} lies within ± 1", first=first, second=second
            )
            raise BadEntry(must, f"{coefficient:g}")
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
    bends = max(bends, _joint_bend(function, values, standard_uncertainties, value))
    both = math.hypot(uncertainty, math.sqrt(bends))
    bend = math.sqrt(bends) / both if both else 0.0
    return Budget(value, uncertainty, _effective_dof(uncertainty, lines, scatters or {}), lines, bend, edge)


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
    Student's t with the effective degrees of freedom cut to a whole number (GUM G.4.1): 2.20 at 11. For 95 % never
    below k = 2, which stands for many degrees of freedom (GUM 6.3.3, recalled).

    Examples
    --------
    >>> expanded(Budget(1.0, 0.1, 11.0, ())).k  # jcgm-100, table G.2, from-memory
    2.20

    References
    ----------
    jcgm-100
    """
    if not 0.0 < coverage < 1.0:
        raise BadEntry("The coverage lies between 0 and 1", f"{coverage:g}", "Write 95 % as 0.95")
    freedom = budget.effective_dof
    many = coverage == 0.95 and math.isinf(freedom)
    k, rule = LEAST_K if many else coverage_factor(coverage, freedom), "Student's t (GUM G.4.1)"
    if coverage == 0.95 and k <= LEAST_K:
        k, rule = LEAST_K, "k = 2, many effective degrees of freedom (GUM 6.3.3)"
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

    Examples
    --------
    >>> coverage_factor(0.99, 16.0)  # jcgm-100, H.1, from-memory
    2.92

    References
    ----------
    jcgm-100
    """
    if not dof >= 1.0:
        must = "A coverage factor needs at least one degree of freedom"
        raise BadEntry(must, f"{dof:g}", "Repeat the measurement")
    upper = 0.5 + 0.5 * coverage
    if math.isinf(dof):
        from statistics import NormalDist

        return NormalDist().inv_cdf(upper)
    from scipy.special import stdtrit

    return float(stdtrit(math.floor(dof + 1e-9), upper))


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

    Examples
    --------
    >>> rectangular(15.0)  # jcgm-100, 4.3.7, a voltmeter, from-memory
    8.7

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

    Examples
    --------
    >>> triangular(0.03)  # quam-2012, A2, a burette, from-memory
    0.012

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

    Examples
    --------
    >>> arcsine(0.5)  # jcgm-100, H.1, from-memory
    0.35

    References
    ----------
    jcgm-100
    """
    return half_width / math.sqrt(2.0)


@dataclass(frozen=True, slots=True)
class _Step:
    slope: float
    bend: float = 0.0
    one_sided: bool = False


def _step(function: Function, values: Inputs, name: str, spread: float, middle: float) -> _Step:
    """Change of the result for one standard uncertainty of an input, and how far that change is not straight."""
    if spread == 0.0:
        return _Step(0.0)
    part = 1.0
    while True:
        ends: list[float | None] = []
        trouble: StillroomError | None = None
        for side in (1.0, -1.0):
            try:
                ends.append(float(function({**values, name: values[name] + side * part * spread})))
            except StillroomError as error:
                ends.append(None)
                trouble = error
        above, below = ends
        if above is not None and below is not None:
            return _Step(0.5 * (above - below) / part, (above - 2.0 * middle + below) / part**2)
        if above is not None:
            return _Step((above - middle) / part, one_sided=True)
        if below is not None:
            return _Step((middle - below) / part, one_sided=True)
        part /= 4.0
        if part < SMALLEST_STEP and trouble is not None:
            raise trouble


def _joint_bend(function: Function, values: Inputs, spreads: Inputs, middle: float) -> float:
    """A quarter of the square of the second difference with all inputs moved at once; the larger of two such moves."""
    moving = [name for name, spread in spreads.items() if spread > 0.0]
    largest = 0.0
    for signs in ((1.0, 1.0), (1.0, -1.0)) if len(moving) > 1 else ():
        moves = {name: signs[at % 2] * spreads[name] for at, name in enumerate(moving)}
        try:
            above, below = (
                float(
                    function({**values, **{name: values[name] + side * move for name, move in moves.items()}})
                )
                for side in (1.0, -1.0)
            )
        except StillroomError:
            continue
        largest = max(largest, 0.25 * (above - 2.0 * middle + below) ** 2)
    return largest


def _effective_dof(uncertainty: float, lines: tuple[Contribution, ...], scatters: Mapping[str, str]) -> float:
    known: dict[tuple[str, str], tuple[float, float]] = {}
    for line in lines:
        if not line.dof > 0:
            must = worded("The degrees of freedom of {line_name!r} must be above zero", line_name=line.name)
            raise BadEntry(must, f"{line.dof:g}")
        one = ("scatter", scatters[line.name]) if line.name in scatters else ("input", line.name)
        variance, dof = known.get(one, (0.0, math.inf))
        known[one] = (variance + line.contribution**2, min(dof, line.dof))
    limited = sum(variance**2 / dof for variance, dof in known.values())
    return uncertainty**4 / limited if limited else math.inf


def _refuse_unknown(values: Mapping[str, float], names: list[str]) -> None:
    for name in names:
        if name not in values:
            raise UnknownName.among(name, "an input of this result", values)
