"""What is asked once before a step is kept: a step out of its turn, a tick that was not made.

What was done is never refused. Without a note the question is raised; with one it is kept, as a deviation.
"""

from collections.abc import Iterator, Sequence

from stillroom.actions.making.weighing import far_off
from stillroom.errors import BadEntry, NotAllowed, StillroomError, worded
from stillroom.records.procedures import Procedure, Step
from stillroom.store.reader import Reader


def out_of_turn(look: Reader, procedure: Procedure, batch: str, step: str) -> Iterator[StillroomError]:
    """What is asked about a step that is written already, or before its forerunners.

    Parameters
    ----------
    look : Reader
    procedure : Procedure
    batch, step : str
    """
    written = look.steps(batch)
    if any(one.body.step == step and not one.body.not_done for one in written):
        yield BadEntry(
            "A step is written once",
            worded("{step} of {batch}, which is done", step=step, batch=batch),
            "Correct the entry that stands there; or say in the note that it was done again",
        )
    done = {entry.body.step for entry in written}
    for one in procedure.steps:
        if one.name == step:
            return
        if one.name not in done:
            yield NotAllowed(
                "Steps are done in their order",
                worded("{step} before {called}", step=step, called=one.name),
                worded("Write {called} first; or say in the note why it comes later", called=one.name),
            )
            return


def ticks_missing(step: Step, ticks: Sequence[str]) -> Iterator[StillroomError]:
    """What is asked about a step whose ticks were not all made."""
    missing = [one for one in step.ticks if one not in ticks]
    if missing:
        yield NotAllowed(
            "A tick that stops harm is made before the step begins",
            worded("not ticked: {missing}", missing="; ".join(missing)),
            "Look, then tick; or say in the note that it was not looked at",
        )


def question_of(asked: Sequence[StillroomError]) -> StillroomError:
    """What is asked first; masses far off are asked about together."""
    first = asked[0]
    if first.where != "note":
        return first
    return far_off("; ".join(one.got for one in asked if one.where == "note"))
