"""The stream as it is drawn and timed: bends in grams of active; masses and minutes of each step."""

from collections.abc import Iterable, Mapping

import numpy as np

from stillroom.planning.outcome import Bend, Elsewhere, HowItRuns, RunLine, StepForecast
from stillroom.planning.stages import Asked, settings_of, supply
from stillroom.planning.totals import MINUTES
from stillroom.stream.account import StepAccount
from stillroom.stream.components import MARKER, Array, Number, whole_mass
from stillroom.stream.kind import Runs
from stillroom.stream.run import runs_of


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
    runs = how_they_run(
        runs_of(found.extraction, found.charge, settings_of("extraction", found.drawn.values))
    )
    parts = [("extraction", found.extraction.code, one) for one in found.charge.steps]
    parts += [("formula", found.filling.formula.code, one) for one in found.bulk.steps]
    return tuple(
        StepForecast(
            code,
            one.name,
            one.kind,
            {name: _median(whole_mass(part)) for name, part in one.taken.items()},
            {name: _median(whole_mass(part)) for name, part in one.given.items()},
            {name: _median(whole_mass(part)) for name, part in one.losses.items() if part.any()},
            *_minutes_of(one, {name: stated.get(f"{part}/{one.name}/{name}_min", 0.0) for name in MINUTES}),
            runs.get(one.name) if part == "extraction" else None,
        )
        for part, code, one in parts
    )


def _minutes_of(one: StepAccount, stated: Mapping[str, float]) -> tuple[float, float, float]:
    hands, watch, free = (_median(getattr(one.work, f"{name}_min")) + stated[name] for name in MINUTES)
    return hands, watch, free


def refuse_what_cannot_run(asked: Asked) -> None:
    """Refuse to plan what does not fit the glass, boil or get cooled.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "supply".

    Raises
    ------
    NotEnough
        The glass at hand cannot do it.
    """
    found = supply(asked)
    for one in runs_of(
        found.extraction, found.charge, settings_of("extraction", found.drawn.values)
    ).values():
        for trouble in one.cannot:
            raise trouble


def how_they_run(runs: Mapping[str, Runs]) -> dict[str, HowItRuns]:
    """How the steps run, drawn together: medians with their spread; a step that says nothing is left out.

    Parameters
    ----------
    runs : mapping of str to Runs
        By the names of the steps.
    """
    return {name: _how(one) for name, one in runs.items() if one.figures or one.says}


def _how(runs: Runs) -> HowItRuns:
    lines = []
    for one in runs.figures:
        low, middle, high = _three(np.asarray(one.values))
        lines.append(RunLine(one.label, one.unit, middle, low, high))
    cannot = tuple(one.sentence for one in runs.cannot)
    return HowItRuns(tuple(lines), runs.says, _median(runs.minutes), cannot)


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
