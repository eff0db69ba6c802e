"""The lot of a batch whose last step was left out: what was weighed last is what it made.

Promises that an extract that stands in its dish is on the shelf although nobody set its sample aside.
"""

from stillroom.actions.lots.lots_made import lot_made
from stillroom.actions.making.weighing import standing_g
from stillroom.records.entries import Entry, StepDone
from stillroom.records.lots import SHELF, Lot, Movement, batch_account, micrograms
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does


def lot_left_standing(
    look: Reader, procedure: Procedure, batch: str, step: str, on: str
) -> tuple[Lot, Movement] | None:
    """The lot under the batch's code and its way to the shelf; None unless all is written but this last step.

    Parameters
    ----------
    batch, step : str
        The step that is left out.
    on : str
        ISO time.
    """
    last = procedure.steps[-1]
    written = {entry.body.step for entry in look.steps(batch)}
    if (
        step != last.name
        or kind_does(last.kind, "bottles")
        or {one.name for one in procedure.steps} - written != {step}
    ):
        return None
    mass_ug = micrograms(standing_g(look, batch))
    if not mass_ug or look.holds(batch)[0]:
        return None
    lot = lot_made(procedure, last.gives[0], batch, batch, to_shelf=True, on=on)
    return lot, Movement(batch, batch_account(batch), SHELF, mass_ug)


def lots_still_made(look: Reader, left_out: Entry[StepDone], body: StepDone) -> tuple[Lot, ...]:
    """Lots of a step done after all: its own, and those its place held that it fills or others speak of.

    Parameters
    ----------
    left_out : Entry of StepDone
        The entry that said it was not done.
    body : StepDone
        The step as it was done.
    """
    filled = {one.lot for one in body.weighings}
    kept = {
        one.code: one
        for one in left_out.body.lots_made
        if one.code in filled
        or any(other.entry_no != left_out.entry_no for other in look.entries(subject=one.code))
    }
    return tuple((kept | {one.code: one for one in body.lots_made}).values())
