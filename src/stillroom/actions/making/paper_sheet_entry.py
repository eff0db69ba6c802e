"""A printed sheet that was filled by pencil is entered afterwards: its steps in their order, in one go or not at all.

Each step keeps the time that stands on the paper; when it was entered stands beside it. The rules of a step are the
same as at the bench.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.laboratory import A_LITTLE_AHEAD, Done, Laboratory, Signed
from stillroom.actions.making.batches import write_step
from stillroom.actions.making.weighing import Weighed
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.quantities.parse import parse
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One step as it stands on the paper."""

    step: str
    done_at: datetime
    """When it was done, with its offset."""
    weighed: tuple[Weighed, ...]
    ticks: tuple[str, ...] = ()
    temperature: str = ""
    note: str = ""


def enter_sheet(
    lab: Laboratory, batch: str, steps: Sequence[SheetStep], *, photograph: str = "", **sign: Unpack[Signed]
) -> Done:
    """Write the steps of a sheet, all of them or none.

    Parameters
    ----------
    steps : sequence of SheetStep
        In the order of the procedure, from the first that is not written.
    photograph : str
        Seal of a photograph of the sheet kept before; it is filed with each step.

    Raises
    ------
    BadEntry
        No step has a time, or the times run backwards or lie in the future.
    NotAllowed, NotEnough, UnknownName
        As for a step at the bench; the sentence names the step.
    """
    if not steps:
        raise BadEntry("A sheet holds at least one step", "none with a time", "Write when each step was done")
    asked = {"batch": batch, "steps": [_asked(one) for one in steps], "photograph": photograph}
    with lab.act("enter sheet", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        times = [pen.look.begun(batch).done_at]
        times += [one.done_at for one in pen.look.steps(batch, corrected=True) if one.corrects is None]
        last = max(datetime.fromisoformat(one) for one in times)
        numbers: list[int] = []
        says = t("{steps} steps of {batch} are written from the sheet.", steps=len(steps), batch=batch)
        for one in steps:
            _time_must_fit(one, last, lab.clock())
            last = max(last, one.done_at)
            try:
                temperature_c = (
                    parse(one.temperature, want="temperature", negative_allowed=True).in_unit("°C")
                    if one.temperature
                    else None
                )
                written, gap = write_step(
                    pen,
                    batch,
                    one.step,
                    one.weighed,
                    one.ticks,
                    temperature_c,
                    one.note,
                    one.done_at,
                    (photograph,) if photograph else (),
                )
                numbers += written
                says += gap
            except StillroomError as error:
                raise _of_step(error, one.step) from error
        return Done(tuple(numbers), says)


def _time_must_fit(one: SheetStep, last: datetime, now: datetime) -> None:
    if one.done_at < last and not one.note.strip():
        raise BadEntry(
            "The times of a sheet run forwards",
            worded(
                "{step} at {done_at:%Y-%m-%d %H:%M}, after something at {last:%Y-%m-%d %H:%M}",
                step=one.step,
                done_at=one.done_at,
                last=last,
            ),
            "Read the time on the paper again; or say in the note of the step why it came earlier",
            where=f"{one.step} at",
        )
    if one.done_at > now + A_LITTLE_AHEAD:
        raise BadEntry(
            "What is written must have been done already",
            worded("{step} at {done_at:%Y-%m-%d %H:%M}", step=one.step, done_at=one.done_at),
            "Give the time it was done",
            where=f"{one.step} at",
        )


def _of_step(error: StillroomError, step: str) -> StillroomError:
    """The same error with the step it happened at, so that its sentence finds its field."""
    where = f"{step} {error.where}" if error.where else ""
    return type(error)(error.must if where else f"{step}: {error.must}", error.got, error.do, where=where)


def _asked(one: SheetStep) -> dict[str, object]:
    return {
        "step": one.step,
        "done_at": one.done_at.isoformat(timespec="seconds"),
        "weighed": [[line.line, line.mass, line.lot, line.apparatus] for line in one.weighed],
        "ticks": list(one.ticks),
        "temperature": one.temperature,
        "note": one.note,
    }
