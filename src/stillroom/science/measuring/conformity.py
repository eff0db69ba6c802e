"""What a measured value says about a limit: the chance of being beyond it, and the bound to compare with it.

The upper bound, not the middle, stands against a ceiling. A normal or Student distribution about the result
is assumed, and no knowledge of the process beyond this measurement.
"""

import math

from stillroom.errors import BadEntry


def probability_above(
    limit: float, value: float, standard_uncertainty: float, dof: float = math.inf
) -> float:
    """Chance that the true value lies above a limit.

    Parameters
    ----------
    limit : float
        The limit, in the value's unit [-].
    value : float
        The measured value [-].
    standard_uncertainty : float
        Its standard uncertainty [-].
    dof : float
        Effective degrees of freedom [1].

    Returns
    -------
    float
        Probability [1].

    Raises
    ------
    BadEntry
        When the uncertainty is not above zero or there is less than one degree of freedom.

    Examples
    --------
    >>> probability_above(490.0, 509.7, 8.6)  # jcgm-106, a container under pressure, from-memory
    0.99

    References
    ----------
    jcgm-106
    """
    return _probability_below_standard((value - limit) / _checked(standard_uncertainty, dof), dof)


def probability_below(
    limit: float, value: float, standard_uncertainty: float, dof: float = math.inf
) -> float:
    """Chance that the true value lies below a limit.

    Parameters
    ----------
    limit : float
        The limit, in the value's unit [-].
    value : float
        The measured value [-].
    standard_uncertainty : float
        Its standard uncertainty [-].
    dof : float
        Effective degrees of freedom [1].

    Returns
    -------
    float
        Probability [1].

    Raises
    ------
    BadEntry
        When the uncertainty is not above zero or there is less than one degree of freedom.

    Examples
    --------
    >>> probability_below(-5.40, -5.47, 0.05)  # jcgm-106, a Zener diode, from-memory
    0.92

    References
    ----------
    jcgm-106
    """
    return _probability_below_standard((limit - value) / _checked(standard_uncertainty, dof), dof)


def upper_bound(
    value: float, standard_uncertainty: float, dof: float = math.inf, *, coverage: float = 0.95
) -> float:
    """The value that the true one stays below with the wanted probability.

    Parameters
    ----------
    value : float
        The measured value [-].
    standard_uncertainty : float
        Its standard uncertainty, in the same unit [-].
    dof : float
        Effective degrees of freedom [1].
    coverage : float
        One-sided probability [1].

    Returns
    -------
    float
        Upper bound [-].

    Raises
    ------
    BadEntry
        When the uncertainty is negative, the coverage not between 0 and 1, or there is less than one degree
        of freedom.

    Examples
    --------
    >>> upper_bound(0.0, 1.0)  # tables of the normal distribution, from-memory
    1.645

    References
    ----------
    jcgm-106
    """
    return value + one_sided_factor(coverage, dof) * _not_negative(standard_uncertainty)


def lower_bound(
    value: float, standard_uncertainty: float, dof: float = math.inf, *, coverage: float = 0.95
) -> float:
    """The value that the true one stays above with the wanted probability.

    Parameters
    ----------
    value : float
        The measured value [-].
    standard_uncertainty : float
        Its standard uncertainty, in the same unit [-].
    dof : float
        Effective degrees of freedom [1].
    coverage : float
        One-sided probability [1].

    Returns
    -------
    float
        Lower bound [-].

    Raises
    ------
    BadEntry
        When the uncertainty is negative, the coverage not between 0 and 1, or there is less than one degree
        of freedom.

    Examples
    --------
    >>> lower_bound(0.0, 1.0, 5.0)  # tables of Student's t, from-memory
    -2.015

    References
    ----------
    jcgm-106
    """
    return value - one_sided_factor(coverage, dof) * _not_negative(standard_uncertainty)


def one_sided_factor(coverage: float, dof: float = math.inf) -> float:
    """Standard uncertainties between a value and its one-sided bound.

    Parameters
    ----------
    coverage : float
        One-sided probability [1].
    dof : float
        Effective degrees of freedom [1].

    Returns
    -------
    float
        The factor [1].

    Raises
    ------
    BadEntry
        When the coverage is not between 0 and 1 or there is less than one degree of freedom.

    Examples
    --------
    >>> one_sided_factor(0.95, 10.0)  # tables of Student's t, from-memory
    1.812

    References
    ----------
    jcgm-100
    """
    from scipy.special import ndtri, stdtrit

    if not 0.0 < coverage < 1.0:
        raise BadEntry("The coverage lies between 0 and 1", f"{coverage:g}", "Write 95 % as 0.95")
    _refuse_no_freedom(dof)
    return float(ndtri(coverage)) if math.isinf(dof) else float(stdtrit(dof, coverage))


def _probability_below_standard(distance: float, dof: float) -> float:
    from scipy.special import ndtr, stdtr

    return float(ndtr(distance)) if math.isinf(dof) else float(stdtr(dof, distance))


def _checked(standard_uncertainty: float, dof: float) -> float:
    _refuse_no_freedom(dof)
    if not (standard_uncertainty > 0 and math.isfinite(standard_uncertainty)):
        must = "A chance needs a standard uncertainty above zero"
        raise BadEntry(must, f"{standard_uncertainty:g}", "Enter the result's uncertainty")
    return standard_uncertainty


def _not_negative(standard_uncertainty: float) -> float:
    if not (standard_uncertainty >= 0 and math.isfinite(standard_uncertainty)):
        raise BadEntry("A standard uncertainty cannot be below zero", f"{standard_uncertainty:g}")
    return standard_uncertainty


def _refuse_no_freedom(dof: float) -> None:
    if not dof >= 1.0:
        raise BadEntry("A bound needs at least one degree of freedom", f"{dof:g}", "Repeat the measurement")
