"""The forecast during a batch: every weighing narrows what is still to come, and an odd one is asked about.

A weighing moves the inputs of the stream, never its outputs, so that masses close afterwards too. The stream is a
model; a weighing is therefore believed to one per cent at best (assumed), however fine the scale.
"""

from dataclasses import dataclass, replace

import numpy as np

from stillroom.actions.ordering import request_for
from stillroom.documents.making import Expected
from stillroom.errors import BadEntry
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.planning.outcome import Bend
from stillroom.planning.picture import bends_of
from stillroom.planning.request import PlanRequest
from stillroom.quantities.draws import Draws
from stillroom.store.reader import Reader
from stillroom.stream.components import MARKER, Array, whole_mass
from stillroom.stream.condition import condition_through

MODEL_DISCREPANCY = 0.01
DRAWS = 512
PASSES = 2


@dataclass(frozen=True, slots=True)
class Course:
    """A batch of an extraction under way: inputs as drawn, and as moved by what was weighed."""

    request: PlanRequest
    plant_g: float
    drawn: Draws
    moved: Draws
    product: str


def course_of(look: Reader, batch: str) -> Course | None:
    """The course of an extraction made for an order; None for anything else.

    Parameters
    ----------
    look : Reader
    batch : str
    """
    begun = look.batch(batch)
    procedure = look.procedure(begun.procedure, begun.version)
    if procedure.purpose != "extraction" or not begun.order:
        return None
    request = replace(request_for(look, begun.order, draws=DRAWS), extraction=procedure)
    drawn = charge_draws(request)
    plant_g = _plant_weighed_g(look, batch, procedure.scaled_by) or begun.scale_g
    course = Course(request, plant_g, drawn, drawn, procedure.steps[-1].gives[0])
    for entry in look.steps(batch):
        for one in entry.body.weighings:
            if one.direction != "in":
                course = _narrowed(course, one.line, one.actual_g)
    return course


def odd_weighing(look: Reader, batch: str, line: str, mass_g: float) -> str:
    """A sentence when a weighing lies far from what the stream expects; "" when it does not.

    Parameters
    ----------
    look : Reader
    batch, line : str
    mass_g : float
        What the scale showed. [g]
    """
    course = course_of(look, batch)
    if course is None:
        return ""
    expected = _mass(course, line, course.moved)
    low, middle, high = np.percentile(expected, (5, 50, 95))
    spread = float(np.hypot(expected.std(), MODEL_DISCREPANCY * middle))
    if abs(mass_g - middle) <= 3.5 * spread:
        return ""
    return f"{line}: {mass_g:.4g} g where {low:.4g} to {high:.4g} g was expected"


def expected_now(look: Reader, batch: str) -> tuple[Expected, ...]:
    """What an extraction is expected to give, before and with what was weighed; empty for anything else.

    Parameters
    ----------
    look : Reader
    batch : str
    """
    course = course_of(look, batch)
    if course is None:
        return ()
    read = {
        one.line: one.actual_g
        for entry in look.steps(batch)
        for one in entry.body.weighings
        if one.direction != "in"
    }
    names = [name for step in course.request.extraction.steps for name in step.gives if name in step.weighs]
    found = [
        Expected(
            name,
            "g",
            _spread(_mass(course, name, course.drawn)),
            _spread(_mass(course, name, course.moved)),
            read.get(name),
        )
        for name in names
    ]
    before, now = (_strength(course, draws) for draws in (course.drawn, course.moved))
    return (
        *found,
        Expected(
            f"strength of the {course.product}",
            f"% as {course.request.order.aim.reckoned_as}",
            _spread(before),
            _spread(now),
            None,
        ),
    )


def bends_now(look: Reader, batch: str) -> tuple[Bend, ...]:
    """The active through an extraction, with what was weighed; empty for anything else.

    Parameters
    ----------
    look : Reader
    batch : str
    """
    course = course_of(look, batch)
    if course is None:
        return ()
    account = charge_account(course.request, course.plant_g, course.moved)
    return bends_of(course.request.extraction.code, account.steps)


def _narrowed(course: Course, line: str, mass_g: float) -> Course:
    def model(draws: Draws) -> Array:
        return _mass(course, line, draws)

    try:
        moved = condition_through(
            course.moved, model, mass_g, MODEL_DISCREPANCY * mass_g, passes=PASSES, farthest=float("inf")
        )
    except BadEntry:
        return course
    return replace(course, moved=moved)


def _mass(course: Course, name: str, draws: Draws) -> Array:
    found: Array = whole_mass(charge_account(course.request, course.plant_g, draws).given(name))
    return np.broadcast_to(found, draws.count)


def _strength(course: Course, draws: Draws) -> Array:
    extract = charge_account(course.request, course.plant_g, draws).given(course.product)
    percent: Array = 100 * extract[MARKER] / np.maximum(whole_mass(extract), 1e-30)
    return percent


def _spread(values: Array) -> tuple[float, float, float]:
    low, middle, high = np.percentile(values, (5, 50, 95))
    return float(low), float(middle), float(high)


def _plant_weighed_g(look: Reader, batch: str, line: str) -> float | None:
    for entry in look.steps(batch):
        for one in entry.body.weighings:
            if one.line == line and one.direction == "in":
                return one.actual_g
    return None
