"""Rounding, with the name of each rule. Used at the door only: what is computed further is never rounded.

Works on the shortest decimal text of a number, so that 0.125 is the tie a reader sees. Says nothing about
which figure may be printed without an uncertainty; that is for the page.
"""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal, localcontext

from stillroom.errors import BadEntry

_ENOUGH_DIGITS = 100
"""Digits of an exact quotient: the largest entry over the finest step has fewer."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A value and its standard uncertainty as they are printed."""

    value: str
    """The value, ending at the same decimal as the uncertainty [text]."""
    uncertainty: str
    """The uncertainty to two significant figures [text]."""
    decimals: int
    """Figures after the point; below zero when tens or hundreds are the last figure [1]."""


def to_decimals(value: float | Decimal, decimals: int) -> Decimal:
    """Round to a number of decimals; a tie goes to the even figure.

    Parameters
    ----------
    value : float or Decimal
        The number [any].
    decimals : int
        Figures after the point; -1 rounds to tens [1].

    Returns
    -------
    Decimal
        The rounded number, trailing zeros kept [any].

    References
    ----------
    iso-80000-1, B.3, rule A
    """
    return _plain(_rounded(value, decimals, ROUND_HALF_EVEN))


def to_significant(value: float | Decimal, digits: int) -> Decimal:
    """Round to a number of significant figures; a tie goes to the even figure.

    Parameters
    ----------
    value : float or Decimal
        The number [any].
    digits : int
        Significant figures [1].

    Returns
    -------
    Decimal
        The rounded number [any].

    References
    ----------
    iso-80000-1, B.3, rule A
    """
    if digits < 1:
        raise BadEntry("At least one significant figure is needed", repr(digits))
    exact = _exact(value)
    return _plain(_to_figures(exact, digits)) if exact else Decimal(0)


def to_step(value: float | Decimal, step: float | Decimal) -> Decimal:
    """Round to the smallest step a scale shows; a tie goes to the even multiple.

    Parameters
    ----------
    value : float or Decimal
        The number [unit].
    step : float or Decimal
        Smallest step of the scale, such as 0.01 [unit].

    Returns
    -------
    Decimal
        The nearest multiple of the step [unit].

    References
    ----------
    iso-80000-1, B.2 and B.3, rule A
    """
    return _multiple(value, step, ROUND_HALF_EVEN)


def up_to_step(value: float | Decimal, step: float | Decimal) -> Decimal:
    """Round up to a scale's step: enough of what must reach.

    Parameters
    ----------
    value : float or Decimal
        The number [unit].
    step : float or Decimal
        Smallest step of the scale [unit].

    Returns
    -------
    Decimal
        The next multiple of the step that is not below the value [unit].
    """
    return _multiple(value, step, ROUND_CEILING)


def down_to_step(value: float | Decimal, step: float | Decimal) -> Decimal:
    """Round down to a scale's step: no more than a ceiling allows.

    Parameters
    ----------
    value : float or Decimal
        The number [unit].
    step : float or Decimal
        Smallest step of the scale [unit].

    Returns
    -------
    Decimal
        The multiple of the step that is not above the value [unit].
    """
    return _multiple(value, step, ROUND_FLOOR)


def told_apart(value: float | Decimal, limit: float | Decimal, digits: int = 3) -> Decimal:
    """Round to as many figures as it takes to see on which side of a limit a number lies.

    Parameters
    ----------
    value : float or Decimal
        The number [any].
    limit : float or Decimal
        What it is held against [any].
    digits : int
        Significant figures to begin with [1].

    Returns
    -------
    Decimal
        The rounded number; it equals the limit only where the number itself does [any].
    """
    exact, edge = _exact(value), _exact(limit)
    if exact == edge or not exact:
        return exact
    while digits < 17:
        found = to_significant(exact, digits)
        if found != edge and (found > edge) == (exact > edge):
            return found
        digits += 1
    return exact


def shown(value: float | Decimal, standard_uncertainty: float | Decimal) -> Shown:
    """A value with its uncertainty, ready to print.

    Parameters
    ----------
    value : float or Decimal
        The best estimate [unit].
    standard_uncertainty : float or Decimal
        Standard or expanded uncertainty, above zero [unit].

    Returns
    -------
    Shown
        The uncertainty to two significant figures, the value to the same decimal [text].

    Raises
    ------
    BadEntry
        The uncertainty is not above zero.

    Notes
    -----
    Both by rounding half to even. The Guide allows rounding an uncertainty up; this does not.

    References
    ----------
    jcgm-100, 7.2.6
    """
    spread = _exact(standard_uncertainty)
    if spread <= 0:
        raise BadEntry("An uncertainty above zero is needed to know how many figures to print", str(spread))
    rounded = _to_figures(spread, 2)
    decimals = 1 - rounded.adjusted()
    return Shown(
        f"{_plain(_rounded(value, decimals, ROUND_HALF_EVEN)):f}",
        f"{_plain(_rounded(rounded, decimals, ROUND_HALF_EVEN)):f}",
        decimals,
    )


def _exact(value: float | Decimal) -> Decimal:
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite():
        raise BadEntry("Only a finite number can be rounded", str(value))
    return exact


def _rounded(value: float | Decimal, decimals: int, rule: str) -> Decimal:
    exact = _exact(value)
    if exact and exact.adjusted() + decimals > 25:
        raise BadEntry("A number is printed to 25 figures at most", str(value))
    return exact.quantize(Decimal(1).scaleb(-decimals), rounding=rule)


def _to_figures(exact: Decimal, digits: int) -> Decimal:
    once = _rounded(exact, digits - 1 - exact.adjusted(), ROUND_HALF_EVEN)
    # 9.96 to two figures becomes 10.0, which has one figure too many.
    return (
        once
        if once.adjusted() == exact.adjusted()
        else _rounded(once, digits - 1 - once.adjusted(), ROUND_HALF_EVEN)
    )


def _multiple(value: float | Decimal, step: float | Decimal, rule: str) -> Decimal:
    size = _exact(step)
    if size <= 0:
        raise BadEntry("The step of a scale must lie above zero", str(step))
    # A billionth of a step is noise of the calculation, not a reason to weigh one step more.
    with localcontext(prec=_ENOUGH_DIGITS):
        count = (_exact(value) / size).quantize(Decimal("1e-9"), rounding=ROUND_HALF_EVEN)
        return _plain(count.quantize(Decimal(1), rounding=rule) * size)


def _plain(value: Decimal) -> Decimal:
    exponent = value.as_tuple().exponent
    settled = Decimal(int(value)) if isinstance(exponent, int) and exponent > 0 else value
    return abs(settled) if settled == 0 else settled
