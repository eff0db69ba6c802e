"""Nothing is created: what goes into a step equals what comes out and its named losses, in every draw.

Closing proves little by itself, since a wrong loss can be made to close; it catches a step that makes or
forgets mass. Positivity is checked beside it, and the tests boil and wash in small steps independently.
"""

from collections.abc import Sequence

import numpy as np

from stillroom.errors import BookTrouble, worded
from stillroom.stream.components import COMPONENTS, Array, Grams, whole_mass

CLOSES_WITHIN = 1e-9


def gap(inlets: Sequence[Grams], outlets: Sequence[Grams], turns: Sequence[Sequence[int]] = ()) -> Array:
    """Largest relative gap of any component, for each draw.

    Parameters
    ----------
    inlets, outlets : sequence of array
        Grams of components by draws; losses count among the outlets. [g]
    turns : sequence of sequence of int
        Groups of components that may become one another; each group is summed before it is compared.

    Returns
    -------
    array
        Largest gap as a share of all that went in. [1]
    """
    difference = _difference(inlets, outlets, turns)
    return np.asarray(np.abs(difference).max(axis=0) / _whole(inlets))


def must_close(
    step: str, inlets: Sequence[Grams], outlets: Sequence[Grams], turns: Sequence[Sequence[int]] = ()
) -> None:
    """Refuse a step that creates or forgets mass, or gives less than nothing.

    Raises
    ------
    BookTrouble
        A component does not close within 1e-9 of all that went in, or lies below zero.
    """
    difference = _difference(inlets, outlets, turns)
    whole = _whole(inlets)
    tightest = CLOSES_WITHIN * float(whole.min())
    if not -tightest <= difference.min() <= difference.max() <= tightest:
        widest = float((np.abs(difference).max(axis=0) / whole).max())
        if not widest <= CLOSES_WITHIN:
            raise BookTrouble(
                worded("What goes into {step!r} must equal what comes out and its named losses", step=step),
                worded("a gap of {widest:.3g} of all that went in", widest=widest),
                "Put the kind of step right",
            )
    for one in outlets:
        if one.min() >= -tightest:
            continue
        lowest = (one / whole).min(axis=1)
        if lowest.min() < -CLOSES_WITHIN:
            name = COMPONENTS[int(lowest.argmin())]
            raise BookTrouble(
                worded("No outlet or loss of {step!r} may lie below zero", step=step),
                worded("{called} at {min:.3g} of all that went in", called=name, min=lowest.min()),
                "Look at the settings of the step",
            )


def _difference(inlets: Sequence[Grams], outlets: Sequence[Grams], turns: Sequence[Sequence[int]]) -> Grams:
    difference = outlets[0] - inlets[0]
    for one in outlets[1:]:
        difference += one
    for one in inlets[1:]:
        difference -= one
    for group in turns:
        rows = list(group)
        difference[rows[0]] = difference[rows].sum(axis=0)
        difference[rows[1:]] = 0.0
    return difference


def _whole(inlets: Sequence[Grams]) -> Array:
    whole = whole_mass(inlets[0])
    for one in inlets[1:]:
        whole += whole_mass(one)
    return np.maximum(whole, 1e-30)
