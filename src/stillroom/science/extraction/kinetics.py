"""Laws of a yield over time, by name.

First order; washing and diffusion (a share at once, the rest slowly); two sites (fast and slow); Peleg, which is second
order under another name; and diffusion out of spheres, slabs and cylinders after Crank. Each is a yield at the end
times a share that grows from 0 to 1. Fitted to what was weighed by ``kinetics_fit``.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from stillroom.errors import UnknownName
from stillroom.science.arrays import Floats, N, array, like_given, refuse_negative
from stillroom.science.extraction.diffusion import out_of_cylinder, out_of_slab, out_of_sphere

PER_MIN, SHARE = "1/min", "1"
PELEG, SECOND_ORDER = "Peleg", "second order"


@dataclass(frozen=True, slots=True)
class Law:
    """A law of a yield over time."""

    name: str
    parameters: tuple[tuple[str, str], ...]
    """Beside the yield at the end: what it is called, and its unit; a share lies between 0 and 1."""
    share: Callable[..., Floats]
    """Minutes and parameters to the share that is out. [1]"""


def _first_order(minutes: Floats, rate: float) -> Floats:
    return np.asarray(-np.expm1(-rate * minutes))


def _washing(minutes: Floats, washed: float, rate: float) -> Floats:
    """Nothing is out before the liquid comes; the washed share is out the moment after."""
    return np.asarray(np.where(minutes > 0.0, 1.0 - (1.0 - washed) * np.exp(-rate * minutes), 0.0))


def _two_sites(minutes: Floats, fast_share: float, slow: float, faster: float) -> Floats:
    fast = slow * (1.0 + faster)
    return np.asarray(
        1.0 - fast_share * np.exp(-fast * minutes) - (1.0 - fast_share) * np.exp(-slow * minutes)
    )


def _peleg(minutes: Floats, rate: float) -> Floats:
    return np.asarray(rate * minutes / (1.0 + rate * minutes))


LAWS: Mapping[str, Law] = {
    one.name: one
    for one in (
        Law("first order", (("rate", PER_MIN),), _first_order),
        Law(PELEG, (("rate", PER_MIN),), _peleg),
        Law("diffusion, sphere", (("D/R²", PER_MIN),), lambda t, k: np.asarray(out_of_sphere(k * t))),
        Law("diffusion, slab", (("D/L²", PER_MIN),), lambda t, k: np.asarray(out_of_slab(k * t))),
        Law("diffusion, cylinder", (("D/a²", PER_MIN),), lambda t, k: np.asarray(out_of_cylinder(k * t))),
        Law("washing and diffusion", (("washed share", SHARE), ("rate", PER_MIN)), _washing),
        Law(
            "two sites",
            (("fast share", SHARE), ("slow rate", PER_MIN), ("fast rate over slow, less one", "")),
            _two_sites,
        ),
    )
}
"""By name, the fewest figures first. Second order is Peleg's curve: its rate constant is rate / yield at the end."""
FIT_BY_ITSELF = ("first order", PELEG, "washing and diffusion", "two sites")
"""Laws that are tried where nobody names one; a geometry is chosen by who knows the plant."""


def law_called(law: str) -> Law:
    """The law of that name.

    Parameters
    ----------
    law : str
        Such as "first order"; "second order" is Peleg's [text].

    Returns
    -------
    Law
        Its figures and its curve [record].

    Raises
    ------
    UnknownName
        There is none of that name; the nearest are offered.

    Examples
    --------
    >>> law_called("second order").name
    'Peleg'
    """
    wanted = PELEG if law.casefold() == SECOND_ORDER else law
    for name, one in LAWS.items():
        if name.casefold() == wanted.casefold():
            return one
    raise UnknownName.among(law, "a law of a yield over time", (*LAWS, SECOND_ORDER))


def yield_by_law(law: str, minutes: N | float, yield_at_end: float, parameters: Sequence[float]) -> N:
    """Yield after some time, by a law.

    Parameters
    ----------
    law : str
        Its name [text].
    minutes : float or array
        Time so far [min].
    yield_at_end : float
        What it goes towards, in any unit [-].
    parameters : sequence of float
        In the order of the law [-].

    Returns
    -------
    float or array
        Yield, in the unit of the yield at the end [-].

    Raises
    ------
    UnknownName
        There is no such law.
    BadEntry
        When a time is negative.

    Examples
    --------
    >>> yield_by_law("first order", 120.0, 0.89, [0.0087])  # Baou and others 2022, same equation (0.57668), second-hand
    0.577
    """
    found, time = law_called(law), array(minutes)
    refuse_negative("The time", time, "min")
    return cast(N, like_given(np.asarray(yield_at_end * found.share(time, *parameters))))
