"""What is watched of a batch as its plan has it: the siphonings of a Soxhlet, the bed of what stands or drips.

For an order it is the plan with what own runs told and what was weighed since; else what procedure and house say.
"""

from dataclasses import dataclass

import numpy as np

from stillroom.actions.orders.amounts_planned import plant_lot_of, told_of_batch
from stillroom.actions.orders.forecasting import course_of
from stillroom.actions.orders.remembering import starter_inputs
from stillroom.actions.shelf.known_in_book import known_of_plant
from stillroom.errors import StillroomError
from stillroom.planning.forecast import runs_of_starter
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.kind import BedPlanned, Runs, SiphoningsPlanned

DRAWS = 256


@dataclass(frozen=True, slots=True)
class PlannedAt:
    """A siphoning as planned.

    ``left``, ``left_low``, ``left_high``: still inside after it, of all that dissolves and is within reach,
    with its 90 % interval. [1]
    """

    minutes: float
    """From the first drop. [min]"""
    left: float
    left_low: float
    left_high: float


def siphonings_planned(look: Reader, batch: str, step: str) -> SiphoningsPlanned | None:
    """The siphonings of a step as planned; None where the plan does not reach them."""
    found = _runs_planned(look, batch).get(step)
    return found.siphonings if found else None


def bed_planned(look: Reader, batch: str, step: str) -> BedPlanned | None:
    """Plant and liquid of a step that stands or drips, as planned; None where the plan does not reach them."""
    found = _runs_planned(look, batch).get(step)
    return found.bed if found else None


@once
def _runs_planned(look: Reader, batch: str) -> dict[str, Runs]:
    begun = look.batch(batch)
    procedure = look.procedure_of(batch)
    try:
        course = course_of(look, batch)
        if course:
            return course.runs()
        lot = plant_lot_of(look, batch)
        inputs = starter_inputs(look, batch, lot)
        inputs |= {one.role: one for one in known_of_plant(look, lot) if one.role in inputs}
        return runs_of_starter(procedure, inputs, begun.scale_g, told_of_batch(look, batch), DRAWS)
    except StillroomError:
        return {}


def each_planned(planned: SiphoningsPlanned | None) -> tuple[PlannedAt, ...]:
    """Every siphoning as planned, the middle of all draws with their spread."""
    if planned is None:
        return ()
    minutes = np.median(np.atleast_2d(planned.minutes), axis=1)
    spread = np.percentile(np.atleast_2d(planned.left_share), (50, 5, 95), axis=1)
    return tuple(
        PlannedAt(float(at), *(float(one) for one in left))
        for at, left in zip(minutes, spread.T, strict=True)
    )
