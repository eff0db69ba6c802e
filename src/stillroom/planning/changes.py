"""What changed between two plans of one order, input by input, and what each change alone does to the plant."""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.errors import StillroomError
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lines import asked_of
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import plant_needed_g
from stillroom.substances.remembering import remember

SAME = 1e-9
ASSAY = "assay of the plant"


@dataclass(frozen=True, slots=True)
class Changed:
    """One input that differs between two plans.

    ``old``, ``new``: None where one of the plans has no such input.
    """

    what: str
    """What the plan uses it for."""
    old: Known | None
    new: Known | None
    effect_g: float | None
    """What this change alone does to the plant to have; None where it cannot be taken alone. [g]"""


@remember(32)
def changes(old: PlanRequest, new: PlanRequest) -> tuple[Changed, ...]:
    """Every input that differs, the one that moves the plant most first.

    Parameters
    ----------
    old, new : PlanRequest
        Two requests for one order.
    """
    before, after = _by_use(old), _by_use(new)
    moved = [one for one in dict.fromkeys((*before, *after)) if _differ(before.get(one), after.get(one))]
    if not moved:
        return ()
    inputs = dict(before.values())
    plant_g = _plant_g(old, inputs)
    found = []
    for what in moved:
        have, want = before.get(what), after.get(what)
        effect_g = None
        if have and want and plant_g is not None:
            tried = dict(want if role == have[0] else (role, known) for role, known in inputs.items())
            moved_g = _plant_g(old, tried)
            effect_g = None if moved_g is None else moved_g - plant_g
        found.append(Changed(what, have[1] if have else None, want[1] if want else None, effect_g))
    return tuple(sorted(found, key=lambda one: -abs(one.effect_g or 0.0)))


def _by_use(request: PlanRequest) -> dict[str, tuple[str, Known]]:
    """Inputs by what they are used for; the role of an assay names its basis besides."""
    return {
        ASSAY if role.startswith(ASSAY) else role: (role, known)
        for role, known in all_inputs(request).items()
    }


def _differ(old: tuple[str, Known] | None, new: tuple[str, Known] | None) -> bool:
    if old is None or new is None:
        return True
    (old_role, one), (new_role, other) = old, new
    figures = ((one.value, other.value), (one.uncertainty_in_unit, other.uncertainty_in_unit))
    apart = any(abs(a - b) > SAME * max(abs(a), abs(b), SAME) for a, b in figures)
    return apart or old_role != new_role or (one.unit, one.spread) != (other.unit, other.spread)


def _plant_g(request: PlanRequest, inputs: Mapping[str, Known]) -> float | None:
    try:
        return plant_needed_g(asked_of(request, inputs).only("supply"))
    except (StillroomError, KeyError, StopIteration):
        return None
