"""An answer in every draw of its sources: each step of the trail once, for all draws together where its formula can.

Promises what the steps give draw by draw; a draw in which a step gives no answer, or none that is finite, has none.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from operator import attrgetter
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer, Fixed, called, picked
from stillroom.evidence.formulas import formula_named
from stillroom.quantities.spread import Array
from stillroom.substances.remembering import remember


def in_every_draw(answer: Answer, changed: Mapping[str, Array], held: Collection[str]) -> Array:
    """The value in every draw; not a number where there is none.

    Parameters
    ----------
    answer : Answer
        [its unit]
    changed : mapping of str to array
        Draws of leaves, by their keys; at least one. [unit of each]
    held : collection of str
        Keys of answers that are already decided. [keys]
    """
    draws = next(iter(changed.values())).size
    made: dict[str, Array | float] = {}
    found: dict[object, Callable[[str], Array]] = {}

    def make(one: Answer) -> Array | float:
        if one.key not in made:
            made[one.key] = remade(one)
        return made[one.key]

    def remade(one: Answer) -> Array | float:
        if one.key in changed:
            return changed[one.key]
        if one.leaf is not None or one.key in held:
            return one.value
        values = {name: make(below) for name, below in one.inputs}
        if not any(isinstance(value, np.ndarray) for value in values.values()):
            return one.value
        call = (one.how, one.fixed, tuple((name, below.key) for name, below in one.inputs))
        if call not in found:
            found[call] = _stepped(one, values, draws)
        value = found[call](one.pick)
        return np.where(np.isfinite(value), value, np.nan)

    value = make(answer)
    return value if isinstance(value, np.ndarray) else np.full(draws, value)


def _stepped(one: Answer, values: Mapping[str, Array | float], draws: int) -> Callable[[str], Array]:
    """What one step gives in every draw, by what is picked of it."""
    moved = {name: value for name, value in values.items() if isinstance(value, np.ndarray)}
    there = np.flatnonzero(np.all([np.isfinite(value) for value in moved.values()], axis=0))
    asked = formula_named(one.how)
    if there.size and moved.keys() <= set(asked.takes_arrays):
        columns = {name: value[there] for name, value in moved.items()}
        try:
            at_once: Any = asked.function(**{**values, **columns}, **dict(one.fixed))
        except StillroomError:
            pass  # in one draw at least: each is tried by itself
        else:
            return lambda pick: _placed(attrgetter(pick)(at_once) if pick else at_once, there, draws)
    kept: list[object] = []
    places: list[int] = []
    for at in there.tolist():
        filled = tuple(
            (
                name,
                (float(moved[name][at]) if name in moved else below.value, below.standard_uncertainty or 0.0),
            )
            for name, below in one.inputs
        )
        try:
            kept.append(called_before(one.how, filled, one.fixed))
        except (StillroomError, OverflowError):
            continue
        places.append(at)
    return lambda pick: _placed([picked(each, pick) for each in kept], places, draws)


@remember(8192)
def called_before(how: str, filled: tuple[tuple[str, tuple[float, float]], ...], fixed: Fixed) -> object:
    """What a formula gives, remembered: answers that rest on the same leaves are drawn alike.

    Parameters
    ----------
    how, filled, fixed
        As of ``called``.
    """
    return called(how, dict(filled), fixed)


def _placed(values: ArrayLike, places: Sequence[int] | NDArray[np.intp], draws: int) -> Array:
    every = np.full(draws, np.nan)
    every[places] = np.asarray(values, dtype=np.float64)
    return every
