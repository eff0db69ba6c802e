"""Numbers or arrays in, the same out.

``N`` stands for a float or an array of floats: a function given floats returns a float, a function given an
array anywhere returns an array of the broadcast shape. Promises nothing about units; those stand in the
names.
"""

from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.errors import BadEntry, OutsideModel, worded

Floats = NDArray[np.float64]
N = TypeVar("N", float, Floats)


def array(given: ArrayLike) -> Floats:
    """The given number or array as an array of floats.

    Parameters
    ----------
    given : float or array
        Any figure [its unit].

    Returns
    -------
    array
        The same [its unit].

    Examples
    --------
    >>> array([20, 25])
    array([20., 25.])
    """
    return np.asarray(given, dtype=np.float64)


def like_given(result: Floats) -> float | Floats:
    """A float when everything given was a float, an array otherwise.

    Parameters
    ----------
    result : array
        Of the broadcast shape [its unit].

    Returns
    -------
    float or array
        The same [its unit].

    Examples
    --------
    >>> like_given(array(20.0)), like_given(array([20.0, 25.0]))
    (20.0, array([20., 25.]))
    """
    return result.item() if result.ndim == 0 else result


def refuse_outside(
    name: str, given: Floats, low: float, high: float, unit: str, *, source: str, do: str = ""
) -> None:
    """Refuse figures a model does not reach, naming its range and its source.

    Parameters
    ----------
    name : str
        What the figure is, for the sentence [text].
    given : array
        Figures to look at [its unit].
    low, high : float
        The range of the model [its unit].
    unit : str
        Printed unit [text].
    source : str
        Key of the publication [text].
    do : str
        What to do instead [text].

    Raises
    ------
    OutsideModel
        When any figure lies outside ``low`` to ``high`` or is not a number.

    Examples
    --------
    >>> refuse_outside("The pH", array(15.0), 0.0, 14.0, "1", source="water at 25 °C")
    Traceback (most recent call last):
    stillroom.errors.OutsideModel: The pH must lie between 0 and 14 (water at 25 °C). Got 15.
    """
    if given.ndim == 0 and low <= given.item() <= high:
        return
    bad = ~((given >= low) & (given <= high))
    if bad.any():
        worst = given[bad].flat[0]
        must = f"{name} must lie between {_figure(low)} and {_figure(high)}{_after(unit)} ({source})"
        raise OutsideModel(must, f"{_figure(float(worst))}{_after(unit)}", do)


def refuse_negative(name: str, given: Floats, unit: str) -> None:
    """Refuse an amount below zero, or one that is not a number.

    Parameters
    ----------
    name : str
        What the figure is, for the sentence [text].
    given : array
        Figures to look at [its unit].
    unit : str
        Printed unit [text].

    Raises
    ------
    BadEntry
        When any figure is negative or not a number.

    Examples
    --------
    >>> refuse_negative("The plant", array([2.0, -1.0]), "g")
    Traceback (most recent call last):
    stillroom.errors.BadEntry: The plant cannot be below zero. Got -1 g.
    """
    bad = ~((given >= 0) & np.isfinite(given))
    if bad.any():
        raise BadEntry(
            worded("{called} cannot be below zero", called=name),
            f"{_figure(float(given[bad].flat[0]))}{_after(unit)}",
        )


def refuse_not_positive(name: str, given: Floats, unit: str) -> None:
    """Refuse an amount that is zero, negative or not a number.

    Parameters
    ----------
    name : str
        What the figure is, for the sentence [text].
    given : array
        Figures to look at [its unit].
    unit : str
        Printed unit [text].

    Raises
    ------
    BadEntry
        When any figure is not above zero.

    Examples
    --------
    >>> refuse_not_positive("The plant", array(0.0), "g")
    Traceback (most recent call last):
    stillroom.errors.BadEntry: The plant must be above zero. Got 0 g.
    """
    bad = ~((given > 0) & np.isfinite(given))
    if bad.any():
        raise BadEntry(
            worded("{called} must be above zero", called=name),
            f"{_figure(float(given[bad].flat[0]))}{_after(unit)}",
        )


def _figure(number: float) -> str:
    return f"{number:.6g}"


def _after(unit: str) -> str:
    return f" {unit}" if unit and unit != "1" else ""
