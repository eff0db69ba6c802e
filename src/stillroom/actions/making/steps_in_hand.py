"""The step of a batch in front of a person: what is weighed of which lot, what it runs in, what comes next."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.glass_at_hand import RunsIn, runs_in
from stillroom.actions.making.weighing import Direction, direction_of
from stillroom.actions.orders.amounts_planned import planned_g
from stillroom.actions.orders.expected_at_a_step import expected_g
from stillroom.actions.shelf.lots_of_substance import on_shelf_as
from stillroom.records.lots import Lot
from stillroom.records.procedures import Procedure, Step
from stillroom.store.reader import Reader
from stillroom.stream.cautions import cautions_of
from stillroom.stream.kinds import kind_does


@dataclass(frozen=True, slots=True)
class LineToWeigh:
    """A line of the step in front of a person."""

    line: str
    direction: Direction
    substance: str
    planned_g: float | None
    lots: tuple[Lot, ...]


@dataclass(frozen=True, slots=True)
class StepInHand:
    """One step of a batch: where it stands, what to weigh."""

    batch: str
    number: int
    of: int
    step: Step
    lines: tuple[LineToWeigh, ...]
    done_by_entry: int | None
    following: str
    cautions: tuple[str, ...] = ()
    runs_in: tuple[RunsIn, ...] = ()


def next_step(look: Reader, batch: str) -> Step | None:
    """The first step of a batch that was not done; None where each was."""
    done = {one.body.step for one in look.steps(batch)}
    return next((one for one in look.procedure_of(batch).steps if one.name not in done), None)


def step_in_hand(lab: Laboratory, batch: str, step: str = "") -> StepInHand | None:
    """The next step of a batch, or a named one; None when every step is done.

    Parameters
    ----------
    step : str
        Name of a step; the first that is not done when empty.
    """
    with lab.look() as look:
        procedure = look.procedure_of(batch)
        done = {entry.body.step: entry.entry_no for entry in look.steps(batch)}
        wanted = step or next((one.name for one in procedure.steps if one.name not in done), "")
        return _in_hand(look, procedure, batch, (wanted,), done)[0] if wanted else None


def steps_in_hand(lab: Laboratory, batch: str) -> tuple[StepInHand, ...]:
    """The steps that can be written one after the other from here, the next one first.

    The row ends before a step that needs something else: a dose that is not decided, or bottles to fill.
    """
    with lab.look() as look:
        procedure = look.procedure_of(batch)
        done = {entry.body.step: entry.entry_no for entry in look.steps(batch)}
        dosed = {line.name for line in procedure.lines if line.role == "dosed"}
        decided = bool(look.doses(batch))
        names = []
        for one in procedure.steps:
            if one.name in done:
                continue
            if kind_does(one.kind, "bottles") or (dosed & set(one.weighs) and not decided):
                break
            names.append(one.name)
        return _in_hand(look, procedure, batch, names, done)


def steps_named(lab: Laboratory, batch: str, is_named: Callable[[str], bool]) -> tuple[StepInHand, ...]:
    """The steps of a batch whose names are meant, written already or not, in their order."""
    with lab.look() as look:
        procedure = look.procedure_of(batch)
        done = {entry.body.step: entry.entry_no for entry in look.steps(batch)}
        return _in_hand(
            look, procedure, batch, [one.name for one in procedure.steps if is_named(one.name)], done
        )


def _in_hand(
    look: Reader, procedure: Procedure, batch: str, names: Sequence[str], done: Mapping[str, int]
) -> tuple[StepInHand, ...]:
    order = [one.name for one in procedure.steps]
    planned, expected = (planned_g(look, batch), expected_g(look, batch)) if names else ({}, {})
    takes = [line.substance for line in procedure.lines]
    found = []
    for name in names:
        step = procedure.step(name)
        number = order.index(name) + 1
        lines = tuple(
            _line_to_weigh(look, procedure, line, step, expected.get(line, planned.get((name, line))))
            for line in step.weighs
        )
        following = order[number] if number < len(order) else ""
        found.append(
            StepInHand(
                batch,
                number,
                len(order),
                step,
                lines,
                done.get(name),
                following,
                cautions_of(step, takes),
                runs_in(look, procedure, step),
            )
        )
    return tuple(found)


def _line_to_weigh(
    look: Reader, procedure: Procedure, name: str, step: Step, planned: float | None
) -> LineToWeigh:
    direction = direction_of(procedure, step, name)
    if direction != "in":
        return LineToWeigh(name, direction, procedure.makes, planned, ())
    line = next(one for one in procedure.lines if one.name == name)
    return LineToWeigh(name, direction, line.substance, planned, on_shelf_as(look, line.substance))
