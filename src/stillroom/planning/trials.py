"""Yield against strength and time by one way, and the next trial that would teach most.

The middle and most of the spread are the plan's own draws, run at each strength and time. A plan does not know how much
more or less of a marker a weaker or stronger spirit dissolves: that doubt is stated (assumed, growing with the distance
from the strength the figures are for), and own trials narrow it. The trial that teaches most is the one that leaves the
least variance over the whole picture (I-optimal).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import NotEnough, StillroomError
from stillroom.planning.assumptions import assumed_for
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.route import spirit_lines, steps_that
from stillroom.planning.shelf_inputs import STOCK
from stillroom.records.procedures import Procedure, Step
from stillroom.science.measuring.response_surface import (
    Surface,
    after_trials,
    second_order_surface,
    what_a_trial_teaches,
)
from stillroom.stream.components import MARKER, Array
from stillroom.stream.kinds import KINDS

DRAWS = 256
WANTED, POURED = "want_volume_fraction_20c", "spirit_ml_per_g"
TIMES = (0.25, 0.5, 1.0, 1.5, 2.0)
"""How long is tried, in multiples of what the procedure says. [1]"""
STEPS_PERCENT = (-20.0, -10.0, 0.0, 10.0, 20.0)
WEAKEST_PERCENT, BELOW_STOCK_PERCENT = 20.0, 2.0
STRENGTH_STEP_PERCENT, STRENGTH_POINTS = 20.0, 8.0
"""A spirit so much weaker or stronger may dissolve so many points more or less of the marker (assumed). [% v/v, %]"""
BENDS = 0.5
"""How much of that is bent rather than straight (assumed). [1]"""
TRIAL_POINTS = 4.0
"""By which a trial misses: two assays of 3 % and what runs differ by (assumed). [%]"""
NINETY = 1.645
FOR_A_SURFACE = 7
"""Own trials from which a surface is fitted: one more than its terms. [1]"""


@dataclass(frozen=True, slots=True)
class Levers:
    """What is turned: the strength of the liquid, and what lets the plant give more.

    ``longer_in``, ``longer``: step and setting that lets it give more.
    """

    step: str
    """Extracting step whose hours are told."""
    strong_in: str
    """Step that sets the strength; "" where the stock itself is poured."""
    strength_percent: float | None
    """As the procedure has it; None where no spirit is poured. [% v/v]"""
    longer_in: str
    longer: str
    value: float
    """As the procedure has it, in its unit."""
    unit: str


@dataclass(frozen=True, slots=True)
class OwnTrial:
    """A run of one's own: how strong, how long, and what it gave [% v/v, unit of the lever, %]."""

    code: str
    strength_percent: float | None
    value: float
    recovery_percent: float


@dataclass(frozen=True, slots=True)
class Place:
    """A strength and a time, and the yield there [% v/v, unit of the lever, h, %].

    ``middle``, ``low``, ``high``: median, and 5 and 95 %.
    """

    strength_percent: float | None
    value: float
    hours: float
    middle: float
    low: float
    high: float
    teaches: float = 0.0
    """Share of what is not known over the whole picture that a trial here would take away. [1]"""


@dataclass(frozen=True)
class Trials:
    """The picture, the next trial, and the surface of one's own trials."""

    levers: Levers
    places: tuple[Place, ...]
    """Strength by strength, each from short to long."""
    own: tuple[OwnTrial, ...] = ()
    surface: Surface | None = None
    """In steps of ten % v/v and doublings of the time from the procedure's own; None from too few trials."""

    @property
    def next(self) -> Place:
        """The trial that would teach most."""
        return max(self.places, key=lambda one: one.teaches)

    @property
    def best(self) -> Place:
        """The shortest of the places whose yield comes within a point of the highest."""
        highest = max(one.middle for one in self.places)
        return min((one for one in self.places if one.middle >= highest - 1.0), key=lambda one: one.hours)

    @property
    def top(self) -> tuple[float, float] | None:
        """Where one's own surface is highest, within what was tried; None where it has no top there [% v/v, unit]."""
        if self.surface is None or self.surface.shape != "top" or self.surface.stationary is None:
            return None
        strength, value = decoded(self.levers, self.surface.stationary)
        strengths, values = zip(*((one.strength_percent, one.value) for one in self.own), strict=True)
        inside = min(strengths) <= strength <= max(strengths) and min(values) <= value <= max(values)
        return (strength, value) if inside else None


def levers_of(request: PlanRequest) -> Levers | None:
    """What can be turned in an extraction; None where it has nothing that lasts."""
    extraction = request.extraction
    mixing = next(steps_that(extraction, "brings to strength"), None)
    step = next(steps_that(extraction, "extracts"), None)
    if step is None:
        return None
    longer = KINDS[step.kind].longer
    turned = step if longer else mixing
    name = longer or POURED
    value = _value(turned, name) if turned is not None else None
    if turned is None or value is None:
        return None
    unit = next(one.unit for one in turned.settings if one.name == name)
    strength = _value(mixing, WANTED) if mixing is not None else None
    if strength is not None and mixing is not None:
        return Levers(step.name, mixing.name, 100.0 * strength, turned.name, name, value, unit)
    stock = round(_stock(request).value, 6) if spirit_lines(extraction) else None
    return Levers(step.name, "", stock, turned.name, name, value, unit)


def turned(request: PlanRequest, levers: Levers, strength_percent: float | None, value: float) -> PlanRequest:
    """The request at another strength and time.

    Parameters
    ----------
    levers : Levers
        Of it.
    strength_percent : float or None
        [% v/v]
    value : float
        In the unit of the lever.
    """
    extraction = _set(request.extraction, levers.longer_in, levers.longer, value)
    if strength_percent is None:
        return replace(request, extraction=extraction)
    if levers.strong_in:
        extraction = _set(extraction, levers.strong_in, WANTED, strength_percent / 100.0)
        return replace(request, extraction=extraction)
    stock = replace(_stock(request), value=strength_percent)
    others = tuple(one for one in request.known if one.role != STOCK)
    return replace(request, extraction=extraction, known=(*others, stock))


def trials(
    request: PlanRequest,
    plant_g: float,
    own: Sequence[OwnTrial] = (),
    at_strength: Callable[[PlanRequest], PlanRequest] = lambda one: one,
) -> Trials | None:
    """The picture of a way and its next trial; None where it has nothing to turn.

    Parameters
    ----------
    plant_g : float
        Mass of plant as is. [g]
    own : sequence of OwnTrial
        By the same way, of the same plant and marker.
    at_strength : callable, optional
        What one's own runs make of a request at another strength.
    """
    levers = levers_of(request)
    if levers is None:
        return None
    fewer = replace(request, draws=DRAWS)
    grid = [(strength, value) for strength in _strengths(request, levers) for value in _values(levers)]
    wanted = [*grid, *((one.strength_percent, one.value) for one in own)]
    known: dict[float | None, PlanRequest] = {}
    found = []
    for strength, value in wanted:
        if strength not in known:
            known[strength] = at_strength(turned(fewer, levers, strength, levers.value))
        found.append(_run(turned(known[strength], levers, strength, value), plant_g, levers.step))
    there = [place for place in range(len(grid)) if found[place] is not None]
    tried = [place for place in range(len(grid), len(wanted)) if found[place] is not None]
    if not there:
        return None
    reached = [*there, *tried]
    yields, hours = (np.array([one[part] for at in reached if (one := found[at])]) for part in (0, 1))
    strengths = np.array([wanted[at][0] or 0.0 for at in reached])
    at_own = list(range(len(there), len(reached)))
    missed = [
        own[at - len(grid)].recovery_percent - float(np.median(yields[place]))
        for at, place in zip(tried, at_own, strict=True)
    ]
    beside, doubt = after_trials(
        np.zeros(len(reached)),
        strength_doubt(strengths, levers.strength_percent),
        at_own,
        missed,
        TRIAL_POINTS,
    )
    here = slice(0, len(there))
    tied = np.atleast_2d(np.cov(yields[here])) + doubt[here, here]
    teaches = what_a_trial_teaches(tied, TRIAL_POINTS)
    places = []
    for at, place in enumerate(there):
        middle = float(np.median(yields[at]) + beside[at])
        half = NINETY * float(np.sqrt(tied[at, at]))
        low, middle, high = (
            float(np.clip(one, 0.0, 100.0)) for one in (middle - half, middle, middle + half)
        )
        strength, value = grid[place]
        places.append(Place(strength, value, float(hours[at]), middle, low, high, float(teaches[at])))
    return Trials(levers, tuple(places), tuple(own), surface_of(levers, own))


def strength_doubt(strengths_percent: Array, own_percent: float | None) -> Array:
    """What is not known of yields at other strengths than the figures are for, as a covariance [square of %].

    Parameters
    ----------
    strengths_percent : array
        [% v/v]
    own_percent : float or None
        That the figures are for; None where no spirit is poured. [% v/v]
    """
    off = (
        (strengths_percent - own_percent) / STRENGTH_STEP_PERCENT if own_percent else 0.0 * strengths_percent
    )
    straight, bent = np.outer(off, off), np.outer(off**2, off**2)
    return np.asarray(STRENGTH_POINTS**2 * ((1.0 - BENDS) * straight + BENDS * bent))


def surface_of(levers: Levers, own: Sequence[OwnTrial]) -> Surface | None:
    """The second-order surface through one's own trials; None from too few, or from trials all alike."""
    told = [one for one in own if one.strength_percent is not None and one.value > 0.0]
    if len(told) < FOR_A_SURFACE or levers.strength_percent is None:
        return None
    points = [
        ((one.strength_percent - levers.strength_percent) / 10.0, float(np.log2(one.value / levers.value)))
        for one in told
        if one.strength_percent is not None
    ]
    try:
        return second_order_surface(points, [one.recovery_percent for one in told])
    except NotEnough:
        return None


def decoded(levers: Levers, point: Array) -> tuple[float, float]:
    """Strength and time of a point of the surface [% v/v, unit of the lever].

    Parameters
    ----------
    point : array
        Coded. [1]
    """
    return (levers.strength_percent or 0.0) + 10.0 * float(point[0]), levers.value * 2.0 ** float(point[1])


def _run(request: PlanRequest, plant_g: float, step: str) -> tuple[Array, float] | None:
    """Recovery in every draw and hours of the step; None where the way cannot run so [%, h]."""
    try:
        account = charge_account(request, plant_g, charge_draws(request, decorrelated=False))
    except StillroomError:
        return None
    into = account.from_shelf[request.extraction.scaled_by][MARKER]
    out = account.given(request.extraction.steps[-1].gives[0])[MARKER]
    work = account.step(step).work
    return 100.0 * out / into, float(np.median(np.asarray(work.watch_min + work.free_min))) / 60.0


def _strengths(request: PlanRequest, levers: Levers) -> list[float | None]:
    own = levers.strength_percent
    if own is None:
        return [None]
    stock = _stock(request).value
    most = stock - BELOW_STOCK_PERCENT if levers.strong_in else stock
    wanted = {min(max(own + step, WEAKEST_PERCENT), max(most, own)) for step in STEPS_PERCENT}
    return [*sorted(wanted)]


def _values(levers: Levers) -> list[float]:
    values = [levers.value * one for one in TIMES]
    return sorted({max(1.0, float(round(one))) for one in values}) if not levers.unit else values


def _stock(request: PlanRequest) -> Known:
    named = {one.role: one for one in request.known}
    taken = assumed_for(request.plant, request.order.aim, request.extraction, request.assay_matter)
    return named.get(STOCK, taken[STOCK])


def _value(step: Step, name: str) -> float | None:
    return next((one.value for one in step.settings if one.name == name), None)


def _set(procedure: Procedure, step: str, name: str, value: float) -> Procedure:
    def settings(one: Step) -> Step:
        if one.name != step:
            return one
        return replace(
            one,
            settings=tuple(
                replace(each, value=value) if each.name == name else each for each in one.settings
            ),
        )

    return replace(procedure, steps=tuple(settings(one) for one in procedure.steps))
