"""What is weighed at a step: lots that fit, directions, movements, and masses far from what was planned or expected."""

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.actions.lots.lots_made import as_its_parts_allow, kind_made_by, lot_made, one_kind_of_thing
from stillroom.actions.lots.spirit_lots import (
    crossing_over,
    is_recovered_spirit,
    refuse_spirit_nobody_knows,
    refuse_unknown_denaturant,
)
from stillroom.actions.shelf.lots_in_use import must_be_released, must_pass_its_count
from stillroom.actions.shelf.plant_at_hand import may_be_weighed
from stillroom.errors import BadEntry, NotAllowed, NotEnough, StillroomError, UnknownName, worded
from stillroom.quantities.parse import parse
from stillroom.records.entries import StepDone, Weighing
from stillroom.records.lots import OURS, SHELF, Lot, Movement, batch_account, grams, micrograms
from stillroom.records.people import Apparatus
from stillroom.records.procedures import Line, Procedure, Step
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance

OFF_BY_TOO_MUCH = 0.02
RINSED_IN = 0.1
"""What a rinse that nobody weighed may add to what comes out of a step, as a share of what went in (chosen). [1]"""


Direction: TypeAlias = Literal["in", "out", "within"]


@dataclass(frozen=True, slots=True)
class Weighed:
    """One line as a person enters it."""

    line: str
    """Name among what the step takes or gives."""
    mass: str
    """What the scale showed, without the vessel: "39.20 g"."""
    lot: str = ""
    """The lot taken from the shelf; for what comes out, the code of the lot it becomes. Empty for what goes
    to waste."""
    apparatus: str = ""
    """Scale."""


def direction_of(procedure: Procedure, step: Step, line: str) -> Direction:
    """Whether a line goes into the batch, leaves it, or goes on within it."""
    at = procedure.steps.index(step)
    if line in step.gives:
        later = {name for one in procedure.steps[at + 1 :] for name in one.takes}
        return "within" if line in later else "out"
    earlier = {name for one in procedure.steps[:at] for name in one.gives}
    return "within" if line in earlier else "in"


def standing_g(look: Reader, batch: str) -> float:
    """What was weighed last and still stands in a batch: given by a step done, neither taken nor filled. [g]."""
    if look.fillings(batch):
        return 0.0
    procedure = look.procedure_of(batch)
    done = [entry.body for entry in look.steps(batch) if not entry.body.not_done]
    taken = {name for one in done for name in procedure.step(one.step).takes}
    return sum(
        one.actual_g
        for step in done
        for one in step.weighings
        if one.direction == "within" and one.line in procedure.step(step.step).gives and one.line not in taken
    )


def weigh(
    line: str, direction: Direction, lot: str, planned: float | None, mass: str, apparatus: Apparatus | None
) -> Weighing:
    """The weighing of one line as it was written; nothing is a mass too.

    Raises
    ------
    BadEntry
        It is no mass, or one below zero.
    """
    mass_g = parse(mass, want="mass", where=line).in_unit("g")
    return Weighing(line, direction, lot, planned, mass_g, mass, apparatus.code if apparatus else "")


def movements_of_weighings(
    batch: str, weighings: Sequence[Weighing], to_waste: Collection[str]
) -> tuple[Movement, ...]:
    """The movements that weighings make; what goes on within the batch makes none.

    Parameters
    ----------
    to_waste : collection of str
        Lots that leave for the waste and not for the shelf.
    """
    account = batch_account(batch)
    moves = []
    for one in weighings:
        if not micrograms(one.actual_g):
            continue
        if one.direction == "in":
            moves.append(Movement(one.lot, SHELF, account, micrograms(one.actual_g)))
        elif one.direction == "out":
            into = "waste" if one.lot in to_waste else SHELF
            moves.append(Movement(one.lot, account, into, micrograms(one.actual_g)))
    return tuple(moves)


def step_body(
    pen: BookWriter,
    procedure: Procedure,
    step: Step,
    batch: str,
    weighed: Sequence[Weighed],
    planned: dict[tuple[str, str], float],
    on: str,
    ticks: tuple[str, ...],
    temperature_c: float | None,
    note: str,
) -> tuple[StepDone, list[StillroomError]]:
    """The entry of a step from what was weighed, and what of it is asked about before it is kept."""
    weighings: list[Weighing] = []
    made: list[Lot] = []
    to_waste: set[str] = set()
    asked = list(_lines_missing(step, weighed))
    lines = {one.name: one for one in procedure.lines}
    known = pen.look.lot_codes()
    for one in weighed:
        direction = direction_of(procedure, step, one.line)
        apparatus = pen.look.apparatus(one.apparatus) if one.apparatus else None
        lot = one.lot if direction != "within" else ""
        if direction == "out":
            if not lot and one.line == procedure.steps[-1].gives[0]:
                lot = batch
            elif not lot:
                lot = f"{batch}-{_slug(one.line)}"
                to_waste.add(lot)
            new = lot_made(procedure, one.line, lot, batch, to_shelf=lot not in to_waste, on=on)
            one_kind_of_thing(pen.look, new, [*made, *(pen.look.lots(made_by=batch) if lot in known else ())])
            if lot not in known or pen.look.lot(lot).made_by != batch:
                made.append(
                    as_its_parts_allow(pen.look, procedure, new, {one.line: one.lot for one in weighed})
                )
        elif direction == "in":
            asked += lot_asked_about(pen.look, lines[one.line], lot, on, batch)
        weighing = weigh(one.line, direction, lot, planned.get((step.name, one.line)), one.mass, apparatus)
        weighings.append(weighing)
        asked += _mass_asked_about(pen.look, weighing, apparatus)
    asked += _more_than_went_in(pen.look, step, batch, weighings)
    movements = movements_of_weighings(batch, weighings, to_waste)
    body = StepDone(
        batch, step.name, tuple(weighings), movements, ticks, temperature_c, note.strip(), tuple(made)
    )
    return body, asked


def _mass_asked_about(
    look: Reader, weighing: Weighing, apparatus: Apparatus | None
) -> Iterator[StillroomError]:
    """What is odd about a mass: nothing, more than its scale or shelf can give, far from what was planned."""
    line, mass, mass_g = weighing.line, weighing.as_written, weighing.actual_g
    if not mass_g:
        yield BadEntry(
            worded("{line} must weigh something", line=line),
            mass,
            "Weigh it; or say in the note why there was nothing",
            where=line,
        )
    do = "Choose the scale it was weighed on; or say in the note how it was weighed"
    if apparatus and (too_much := apparatus.more_than_it_takes(mass_g, mass, do, where=line)):
        yield too_much
    if weighing.direction != "in":
        return
    held_g = grams(look.balance_ug(weighing.lot))
    if mass_g > held_g and micrograms(mass_g) > look.balance_ug(weighing.lot):
        yield NotEnough(
            worded("Lot {lot} holds {held_g:.6g} g by the book", lot=weighing.lot, held_g=held_g),
            mass,
            "Read the scale again; or count the shelf, and say in the note what happened",
            where=line,
        )
    wanted = weighing.planned_g
    step_g = apparatus.smallest_step if apparatus else 0.0
    if wanted and abs(mass_g - wanted) > max(OFF_BY_TOO_MUCH * wanted, 2 * step_g):
        yield far_off(f"{line}: {mass} where {wanted:.4g} g was planned")


def _more_than_went_in(
    look: Reader, step: Step, batch: str, weighings: Sequence[Weighing]
) -> Iterator[StillroomError]:
    """That more came out of a step than went into it, where everything that goes in was weighed."""
    done = [entry.body for entry in look.steps(batch) if not entry.body.not_done]
    known = {one.line: one.actual_g for body in done for one in body.weighings}
    here = {one.line: one.actual_g for one in weighings}
    known |= here
    came = [name for name in step.gives if name in here]
    if not came or any(name not in known for name in step.takes):
        return
    into_g, out_g = (sum(known[name] for name in names) for names in (step.takes, came))
    if out_g > (1.0 + RINSED_IN) * into_g:
        yield BadEntry(
            "No more comes out of a step than went into it",
            worded(
                "{came}: {out_g:.4g} g, of {taken}: {into_g:.4g} g",
                came=", ".join(came), out_g=out_g, taken=", ".join(step.takes), into_g=into_g,
            ),
            "Weigh again, or correct what was weighed before; or say in the note what was added",
            where=came[0],
        )  # fmt: skip


def far_off(*what: str) -> BadEntry:
    """The question about masses far off, at the first of them: it is weighed again there, or said why in the note.

    Parameters
    ----------
    what : str
        The line and the masses: "water: 20 g where 200 g was planned". [text]
    """
    return BadEntry(
        "A mass far from what was planned or is expected needs a note",
        "; ".join(what),
        "Weigh again; or say in the note what happened",
        where=what[0].partition(": ")[0],
    )


def kept_as_odd(asked: Iterable[StillroomError]) -> str:
    """What was asked about and kept with a note, as its deviation says it: each says itself of which line it speaks."""
    return "; ".join(dict.fromkeys(map(_self_speaking, asked)))


def _self_speaking(one: StillroomError) -> str:
    if not one.got or not one.where or one.where in one.got:
        return one.got or one.must
    return f"{one.where}: {one.got} ({one.must})"


def _lines_missing(step: Step, weighed: Sequence[Weighed]) -> Iterator[StillroomError]:
    names = [one.line for one in weighed]
    missing = [name for name in step.weighs if name not in names]
    if missing:
        yield BadEntry(
            worded("Every line of {step_name} is weighed once", step_name=step.name),
            worded("missing: {missing}", missing=", ".join(missing)),
            "Enter what the scale showed; or say in the note why it was not weighed",
        )


def lot_asked_about(look: Reader, line: Line, code: str, on: str, batch: str) -> Iterator[StillroomError]:
    """What speaks against a lot that was taken: another substance, not released, past its date, somebody else's.

    Parameters
    ----------
    line : Line
        What the procedure takes.
    code : str
        The lot that was taken.
    on : str
        ISO time of use.

    Raises
    ------
    BadEntry
        No lot is named.
    UnknownName
        The book does not hold it.
    """
    if not code:
        raise BadEntry(
            "What is weighed in comes from a lot",
            worded("no lot for {line_name}", line_name=line.name),
            "Choose the lot",
            where=line.name,
        )
    lot = look.lot(code)
    yield from _refused(lambda: refuse_unknown_denaturant(lot))
    recovered = is_recovered_spirit(lot, line)
    if not same_substance(lot.substance, line.substance) and not recovered:
        yield BadEntry(
            worded("{line_name} must be {substance}", line_name=line.name, substance=line.substance),
            worded("{code}, which is {substance}", code=code, substance=lot.substance),
            "Choose another lot; or say in the note that this one was taken",
            where=line.name,
        )
    yield from _refused(lambda: must_be_released(look, lot, on=on))
    yield from _refused(lambda: must_pass_its_count(look, lot))
    if recovered:
        yield from _refused(lambda: refuse_spirit_nobody_knows(look, lot))
        why = crossing_over(look, lot, batch)
        stays_spirit = kind_made_by(look.procedure_of(batch)).traits.is_clear
        if why and not stays_spirit:
            yield NotAllowed(
                "Recovered spirit is used for the plant it came from",
                f"{code}, {why}",
                "Take fresh spirit; or say in the note why it may be used",
                where=line.name,
            )
    yield from _not_of_the_customer(look, lot, batch, line)


def _not_of_the_customer(look: Reader, lot: Lot, batch: str, line: Line) -> Iterator[StillroomError]:
    """Another customer's lot, or other plant in a batch of a customer's own."""
    begun_for = look.batch(batch).order
    order = look.order(begun_for) if begun_for else None
    if may_be_weighed(lot, order):
        return
    if order is not None and lot.owner == OURS:
        yield NotAllowed(
            worded("{order} extracts what {customer} sent", order=order.code, customer=order.customer),
            worded("{code}, which is ours", code=lot.code),
            "Take theirs; or say in the note why",
            where=line.name,
        )
    else:
        customer = order.customer if order else "nobody"
        yield NotAllowed(
            "What belongs to a customer is used for that customer",
            worded(
                "{code} of {owner} in a batch for {customer}",
                code=lot.code, owner=lot.owner, customer=customer,
            ),
            "Take a lot of ours",
            where=line.name,
        )  # fmt: skip


def _refused(rule: Callable[[], None]) -> Iterator[StillroomError]:
    """A rule of use as a question: what was done is kept, once somebody says why."""
    try:
        rule()
    except NotAllowed as error:
        yield error


def lines_must_fit(step: Step, weighed: Sequence[Weighed]) -> None:
    """Refuse lines that are not of the step, or stand twice.

    Raises
    ------
    UnknownName, BadEntry
    """
    names = [one.line for one in weighed]
    for name in names:
        if name not in step.weighs:
            raise UnknownName.among(name, f"weighed at {step.name}", step.weighs)
    twice = {name for name in names if names.count(name) > 1}
    if twice:
        raise BadEntry(
            worded("Every line of {step_name} is weighed once", step_name=step.name),
            worded("twice: {twice}", twice=", ".join(sorted(twice))),
            "Enter what the scale showed",
        )


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
