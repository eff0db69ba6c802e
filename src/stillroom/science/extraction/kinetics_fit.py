"""Yields over time fitted by a law: the simpler one, unless another explains clearly more.

Promises least squares with a 95 % interval for each figure by the profile of the sum of squares; an end that the points
do not hold down is 0 or infinite. Says nothing beyond the last time.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.science.arrays import Floats, array, refuse_negative
from stillroom.science.extraction.kinetics import FIT_BY_ITSELF, PER_MIN, SHARE, Law, law_called

CLEARLY_BETTER = 2.0
"""By how much AICc must fall before a law with more figures is taken. [1]"""
COVERAGE = 0.95
FARTHEST = 14.0
"""How far on the logarithm an interval is followed; beyond it has no end there. [1]"""
LEAST_OUT = 0.05
"""Of the whole, what must be out at the last point: a line that does not bend tells no end. [1]"""


@dataclass(frozen=True, slots=True)
class Fitted:
    """One figure of a fit, with its interval; an end that is not held down is 0 or infinite.

    ``value``, ``low``, ``high``: in ``unit``. [-]
    """

    value: float
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True)
class KineticFit:
    """A law fitted to yields over time."""

    law: str
    yield_at_end: Fitted
    """What it goes towards, in the unit of the yields. [-]"""
    parameters: Mapping[str, Fitted]
    rmse: float
    """Root of the mean square of what is left over, in the unit of the yields. [-]"""
    r_squared: float
    """Share of the spread of the yields that is explained. [1]"""
    aicc: float
    """Akaike's criterion for few points; infinite where there are too few to compare. [1]"""


def fit_law(
    law: str, minutes: Sequence[float], yields: Sequence[float], *, with_intervals: bool = True
) -> KineticFit:
    """Fit one law by least squares.

    Parameters
    ----------
    law : str
        Its name [text].
    minutes : sequence of float
        Times, from 0 on [min].
    yields : sequence of float
        Out by then, all together, in one unit [-].
    with_intervals : bool
        Whether intervals are worked out; without them they are as narrow as nothing [-].

    Returns
    -------
    KineticFit
        Figures with 95 % intervals by the profile of the sum of squares [record].

    Raises
    ------
    UnknownName
        There is no such law.
    NotEnough
        When there are not more points than figures, or they do not bend.
    BadEntry
        When a time or a yield is negative, the two are not of one length, or nothing came out.

    Notes
    -----
    An interval ends where the sum of squares, least over all other figures, has grown by F(0.95; 1, n - p) / (n - p).

    Examples
    --------
    >>> found = fit_law("first order", [0, 10, 20, 40, 80], [0, 6.32, 8.65, 9.82, 10.0])
    >>> round(found.yield_at_end.value, 2), round(found.parameters["rate"].value, 3)
    (10.0, 0.1)
    """
    one = law_called(law)
    time, out = _points(minutes, yields, len(one.parameters) + 1)
    best = _best(one, time, out)
    _must_bend(float(np.exp(best[0])), out)
    squares = float(np.sum(_left(one, best, time, out) ** 2))
    count, figures = len(out), len(best)
    found = _named(one, best)
    if with_intervals:
        ends = [_ends(one, best, at, time, out, squares) for at in range(figures)]
        names = ["", *(name for name, _ in one.parameters)]
        found = {
            name: replace(found[name], low=low, high=high)
            for name, (low, high) in zip(names, ends, strict=True)
        }
    whole = found.pop("")
    telling = _telling(time)
    scatter = max(squares, count * (1e-9 * float(out.max())) ** 2)
    spare = telling - figures - 2
    aicc = float("inf")
    if spare > 0:
        known = figures + 1
        aicc = telling * float(np.log(scatter / telling)) + 2 * known + 2 * known * (known + 1) / spare
    spread = float(np.sum((out - out.mean()) ** 2))
    return KineticFit(
        one.name,
        whole,
        found,
        float(np.sqrt(squares / count)),
        1.0 - squares / spread if spread else 0.0,
        aicc,
    )


def choose_law(
    minutes: Sequence[float], yields: Sequence[float], laws: Sequence[str] = FIT_BY_ITSELF
) -> tuple[KineticFit, ...]:
    """Fit several laws, and put the one to work with first: the simpler, unless AICc falls by more than 2.

    Parameters
    ----------
    minutes : sequence of float
        Times, from 0 on [min].
    yields : sequence of float
        Out by then, all together, in one unit [-].
    laws : sequence of str
        Names of those to try [text].

    Returns
    -------
    tuple of KineticFit
        The chosen one first and with its intervals, the others by AICc; those that need more points are left out
        [records].

    Raises
    ------
    NotEnough
        When there are too few points for any.
    BadEntry, UnknownName
        As ``fit_law``.

    Examples
    --------
    >>> choose_law([0, 10, 20, 40, 80], [0, 6.32, 8.65, 9.82, 10.0])[0].law
    'first order'
    """
    tried = [law_called(one) for one in laws]
    fits: list[tuple[int, KineticFit]] = []
    trouble: NotEnough | None = None
    for one in tried:
        try:
            fits.append((len(one.parameters), fit_law(one.name, minutes, yields, with_intervals=False)))
        except NotEnough as error:
            trouble = trouble or error
    if not fits:
        raise trouble or NotEnough("A law must be named", "none", "Name one")
    chosen: KineticFit | None = None
    for figures in sorted({number for number, _ in fits}):
        best = min((one for number, one in fits if number == figures), key=lambda one: (one.aicc, one.rmse))
        if chosen is None or best.aicc < chosen.aicc - CLEARLY_BETTER:
            chosen = best
    others = sorted((one for _, one in fits if one is not chosen), key=lambda one: one.aicc)
    return fit_law(cast(KineticFit, chosen).law, minutes, yields), *others


def _points(minutes: Sequence[float], yields: Sequence[float], figures: int) -> tuple[Floats, Floats]:
    time, out = array(list(minutes)), array(list(yields))
    if time.shape != out.shape:
        raise BadEntry(
            "Each time has its yield",
            worded("{times} and {yields}", times=time.size, yields=out.size),
            "Write both",
        )
    refuse_negative("A time", time, "min")
    refuse_negative("A yield", out, "")
    if _telling(time) <= figures or len(np.unique(time[time > 0.0])) < figures:
        raise NotEnough(
            worded("A law of {figures} figures takes more points than that", figures=figures),
            worded("{count} after the beginning", count=_telling(time)),
            "Weigh more of them, early and late",
        )
    if not out.max() > 0.0:
        raise BadEntry("Something must have come out", "nothing at all", "Check the yields")
    return time, out


def doubt_of(
    fit: KineticFit,
    minutes: Sequence[float],
    yields: Sequence[float],
    worked_out: Callable[[float, Sequence[float]], float],
) -> float:
    """How far something worked out from a fit may be off: half of what holds 95 of 100, to first order.

    Parameters
    ----------
    fit : KineticFit
        Of these points [record].
    minutes : sequence of float
        Their times [min].
    yields : sequence of float
        Out by then, all together, in one unit [-].
    worked_out : callable
        Yield at the end and the parameters to what is worked out [-].

    Returns
    -------
    float
        In the unit of what is worked out; 0 where the points pass through the curve [-].

    Notes
    -----
    u^2 = s^2 g (J^T J)^+ g^T, s^2 what is left over by its degrees of freedom; times t(0.975; n - p) / 2, so that twice
    of it holds 95 of 100. A figure that the points do not hold down counts as far as it moves the result.

    Examples
    --------
    >>> points = [10.0, 20.0, 40.0, 80.0], [6.30, 8.70, 9.80, 10.0]
    >>> round(doubt_of(fit_law("first order", *points), *points, lambda whole, rest: whole), 3)
    0.068
    """
    from scipy.stats import t as student

    law, (time, out) = law_called(fit.law), (array(list(minutes)), array(list(yields)))
    kinds = _kinds(law)
    best = np.array(
        [
            _place(kind, one.value)
            for kind, one in zip(kinds, (fit.yield_at_end, *fit.parameters.values()), strict=True)
        ]
    )

    def worked(places: Floats) -> Floats:
        whole, *rest = (_value(kind, at) for kind, at in zip(kinds, places, strict=True))
        return np.append(whole * law.share(time, *rest), worked_out(whole, rest))

    step = 1e-4
    slopes = np.array(
        [(worked(best + step * one) - worked(best - step * one)) / (2.0 * step) for one in np.eye(len(best))]
    ).T
    spare = _telling(time) - len(best)
    left = float(np.sum(_left(law, best, time, out) ** 2)) / spare
    spread = left * float(slopes[-1] @ np.linalg.pinv(slopes[:-1].T @ slopes[:-1], rcond=1e-9) @ slopes[-1])
    return float(np.sqrt(max(spread, 0.0)) * student.ppf(0.5 + COVERAGE / 2.0, spare) / 2.0)


def _must_bend(whole: float, out: Floats) -> None:
    if float(out.max()) < LEAST_OUT * whole:
        raise NotEnough(
            "The points must begin to bend before a yield at the end can be told",
            worded("points on a line: under {least:.0f} % of it would be out", least=100.0 * LEAST_OUT),
            "Weigh later ones too",
        )


def _telling(time: Floats) -> int:
    """Points that tell something: every law begins with nothing out."""
    return int((time > 0.0).sum())


def _value(kind: str, at: float) -> float:
    """A figure from its place on the line: a share by the logit, anything else by the logarithm."""
    return float(1.0 / (1.0 + np.exp(-at))) if kind == SHARE else float(np.exp(at))


def _place(kind: str, value: float) -> float:
    """The place on the line of a figure."""
    if kind == SHARE:
        value = float(np.clip(value, 1e-13, 1.0 - 1e-13))
        return float(np.log(value) - np.log1p(-value))
    return float(np.log(value))


def _kinds(law: Law) -> list[str]:
    return ["", *(kind for _, kind in law.parameters)]


def _left(law: Law, places: Floats, time: Floats, out: Floats) -> Floats:
    whole, *figures = (_value(kind, at) for kind, at in zip(_kinds(law), places, strict=True))
    return np.asarray(whole * law.share(time, *figures) - out)


def _least(law: Law, start: Floats, time: Floats, out: Floats, hold: int | None = None) -> Floats:
    """Places of least squares from a beginning, one figure held where it is asked."""
    from scipy.optimize import least_squares

    free = np.array([at for at in range(len(start)) if at != hold])
    scale = float(out.max())

    def left(places: Floats) -> Floats:
        whole = start.copy()
        whole[free] = places
        return _left(law, whole, time, out) / scale

    reach = 30.0
    found = least_squares(
        left,
        np.clip(start[free], -reach + 1e-6, reach - 1e-6),
        bounds=(-reach, reach),
        xtol=1e-11,
        ftol=1e-12,
        gtol=1e-12,
    )
    best = start.copy()
    best[free] = found.x
    return best


def _best(law: Law, time: Floats, out: Floats) -> Floats:
    """The best of several beginnings."""
    scale, middle = np.log(float(out.max())), float(np.median(time[time > 0.0]))
    starts = []
    for pace in (0.1, 1.0, 5.0):
        for share in (-3.0, 0.0):
            places = [scale + 0.1]
            for _, kind in law.parameters:
                places.append(
                    share if kind == SHARE else np.log(pace / middle) if kind == PER_MIN else np.log(10.0)
                )
            starts.append(np.array(places))
    found = [_least(law, one, time, out) for one in starts]
    return min(found, key=lambda one: float(np.sum(_left(law, one, time, out) ** 2)))


def _ends(law: Law, best: Floats, at: int, time: Floats, out: Floats, squares: float) -> tuple[float, float]:
    """Where the profile of the sum of squares leaves what chance allows, on both sides."""
    from scipy.stats import f as fisher

    spare = _telling(time) - len(best)
    kind = _kinds(law)[at]
    floor = len(out) * (1e-9 * float(out.max())) ** 2
    allowed = max(squares, floor) * (1.0 + float(fisher.ppf(COVERAGE, 1, spare)) / spare)
    ends = []
    for sign in (-1.0, 1.0):
        inside, step, places = 0.0, 0.02, best
        outside: float | None = None
        while inside < FARTHEST:
            trial = best.copy()
            trial[1:], trial[0] = places[1:], places[0]
            trial[at] = best[at] + sign * (inside + step)
            trial = _least(law, trial, time, out, hold=at)
            if float(np.sum(_left(law, trial, time, out) ** 2)) > allowed:
                outside = inside + step
                break
            inside, step, places = inside + step, step * 1.8, trial
        if outside is None:
            ends.append((1.0 if kind == SHARE else float("inf")) if sign > 0 else 0.0)
            continue
        for _ in range(14):
            middle = 0.5 * (inside + outside)
            trial = places.copy()
            trial[at] = best[at] + sign * middle
            trial = _least(law, trial, time, out, hold=at)
            within = float(np.sum(_left(law, trial, time, out) ** 2)) <= allowed
            inside, outside = (middle, outside) if within else (inside, middle)
        ends.append(_value(kind, best[at] + sign * inside))
    return ends[0], ends[1]


def _named(law: Law, places: Floats) -> dict[str, Fitted]:
    values = [_value(kind, at) for kind, at in zip(_kinds(law), places, strict=True)]
    names = [("", ""), *law.parameters]
    return {
        name: Fitted(value, value, value, unit) for (name, unit), value in zip(names, values, strict=True)
    }
