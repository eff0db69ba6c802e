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
