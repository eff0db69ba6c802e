"""An answer as a function of some of its leaves: laid out once, then worked again for every step.

Promises what the formulas give, each called once for everything picked from its result; what rests on no leaf that
moves stays as it stands.
"""

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from stillroom.answers.every_draw import called_before
from stillroom.evidence.answer import Answer, Fixed, picked
from stillroom.evidence.seal import must_be_finite


@dataclass(frozen=True, slots=True)
class _Step:
    """One answer that moves: the call it is picked from, and what fills that.

    ``how``, ``fixed``, ``pick``: as in ``Answer``.
    """

    call: int
    """Number of the call; answers that are picked from one result share it."""
    how: str
    fixed: Fixed
    pick: str
    filled: tuple[tuple[str, int, float, float], ...]
    """Parameter, place of the value that fills it (-1 for one that stays), the value that stays, its uncertainty."""


def as_leaves_move(
    answer: Answer, moving: Collection[str], held: Collection[str]
) -> Callable[[Mapping[str, float]], float]:
    """The value of an answer as a function of some of the answers it rests on.

    Parameters
    ----------
    moving : collection of str
        Keys of those that are given to the function.
    held : collection of str
        Keys of answers that stay as they stand.

    Returns
    -------
    callable
        Takes values by key, those of ``moving``. [unit of the answer]
    """
    places: dict[str, int] = {}
    given: list[str] = []
    steps: list[_Step] = []
    calls: dict[object, int] = {}

    def place(one: Answer) -> int:
        if one.key not in places:
            places[one.key] = laid_out(one)
        return places[one.key]

    def laid_out(one: Answer) -> int:
        if one.key in moving:
            given.append(one.key)
            return len(given) - 1
        if one.leaf is not None or one.key in held:
            return -1
        filled = tuple(
            (name, place(below), below.value, below.standard_uncertainty or 0.0) for name, below in one.inputs
        )
        if all(at < 0 for _, at, _, _ in filled):
            return -1
        call = (one.how, one.fixed, tuple((name, below.key) for name, below in one.inputs))
        steps.append(_Step(calls.setdefault(call, len(calls)), one.how, one.fixed, one.pick, filled))
        return len(moving) + len(steps) - 1

    end, most = place(answer), len(moving)

    def value(changed: Mapping[str, float]) -> float:
        values = [0.0] * most
        for at, key in enumerate(given):
            values[at] = _finite(changed[key])
        found: list[object] = [None] * len(calls)
        for step in steps:
            if found[step.call] is None:
                filled = tuple([(name, (values[at] if at >= 0 else v, u)) for name, at, v, u in step.filled])
                found[step.call] = called_before(step.how, filled, step.fixed)
            values.append(_finite(picked(found[step.call], step.pick)))
        return values[end] if end >= 0 else answer.value

    return value


def _finite(value: float) -> float:
    if not math.isfinite(value):
        must_be_finite(value)
    return value
