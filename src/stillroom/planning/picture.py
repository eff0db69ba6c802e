"""The stream as it is drawn and timed: bends in grams of active; masses and minutes of each step."""

from collections.abc import Iterable

import numpy as np

from stillroom.planning.outcome import Bend, Elsewhere, StepForecast
from stillroom.planning.stages import Asked, supply
from stillroom.planning.totals import MINUTES
from stillroom.stream.account import StepAccount
from stillroom.stream.components import MARKER, Array, Number, whole_mass


def bends(asked: Asked) -> tuple[Bend, ...]:
    """Every step that holds active, from plant to bottle.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "supply".
    """
    found = supply(asked)
    return (
        *bends_of(found.extraction.code, found.charge.steps),
        *bends_of(found.filling.formula.code, found.bulk.steps),
    )


def bends_of(code: str, steps: Iterable[StepAccount]) -> tuple[Bend, ...]:
    """The steps of one account that hold active.

    Parameters
    ----------
    code : str
        Code of the procedure.
    steps : iterable of StepAccount
    """
    return tuple(
        _bend(code, one) for one in steps if sum(np.sum(part[MARKER]) for part in one.taken.values()) > 0
    )


def steps(asked: Asked) -> tuple[StepForecast, ...]:
    """Every step with its masses and minutes.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "house".
    """
    found = supply(asked.only("supply"))
    stated = {role: value for role, value, _ in asked.inputs}
    parts = [("extraction", found.extraction.code, one) for one in found.charge.steps]
    parts += [("formula", found.filling.formula.code, one) for one in found.bulk.steps]
    return tuple(
        StepForecast(
            code,
            one.name,
            one.kind,
            {name: _median(whole_mass(part)) for name, part in one.taken.items()},
            {name: _median(whole_mass(part)) for name, part in one.given.items()},
            {name: _median(whole_mass(part)) for name, part in one.losses.items()},
            *(
                _median(getattr(one.work, f"{name}_min")) + stated.get(f"{part}/{one.name}/{name}_min", 0.0)
                for name in MINUTES
            ),
        )
        for part, code, one in parts
    )


def _bend(code: str, one: StepAccount) -> Bend:
    into = np.sum([part[MARKER] for part in one.taken.values()], axis=0)
    given = {name: part[MARKER] for name, part in one.given.items()}
    main = max(given, key=lambda name: float(np.median(given[name])))
    others = [(name, part) for name, part in given.items() if name != main]
    others += [(name, part[MARKER]) for name, part in one.losses.items()]
    low, middle, high = _three(given[main])
    return Bend(code, one.name, one.kind, _median(into), middle, low, high, tuple(_elsewhere(others)))


def _elsewhere(others: Iterable[tuple[str, Array]]) -> Iterable[Elsewhere]:
    for name, grams in others:
        low, middle, high = _three(grams)
        if high > 0:
            yield Elsewhere(name, middle, low, high)


def _three(values: Array) -> tuple[float, float, float]:
    low, middle, high = np.percentile(values, (5.0, 50.0, 95.0))
    return float(low), float(middle), float(high)


def _median(value: Number) -> float:
    return float(np.median(value))
