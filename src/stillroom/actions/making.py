"""A batch is begun and its steps are done, one after the other, with what was planned beside what the scale showed."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal, TypeAlias

from stillroom.actions.amounts_planned import planned_g
from stillroom.actions.forecasting import odd_weighing
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.lots_in_use import must_be_released
from stillroom.errors import BadEntry, NotAllowed, UnknownName
from stillroom.quantities.parse import parse
from stillroom.records.entries import BatchBegun, DeviationNoted, StepDone, Weighing
from stillroom.records.entry_json import body_to_json
from stillroom.records.lots import SHELF, Lot, LotKind, Movement, batch_account, micrograms
from stillroom.records.people import Apparatus
from stillroom.records.procedures import Line, Procedure, Step
from stillroom.store.pen import Pen
from stillroom.store.reader import Reader

OFF_BY_TOO_MUCH = 0.02
Direction: TypeAlias = Literal["in", "out", "within"]


@dataclass(frozen=True, slots=True)
class Weighed:
    """One line as a person enters it.

    Attributes
    ----------
    line : str
        Name among what the step takes or gives.
    mass : str
        What the scale showed, without the vessel: "39.20 g".
    lot : str
        The lot taken from the shelf; for what comes out, the code of the lot it becomes. Empty for what goes to waste.
    apparatus : str
        Scale.
    """

    line: str
    mass: str
    lot: str = ""
    apparatus: str = ""


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


def begin_batch(
    lab: Laboratory,
    code: str,
    procedure: str,
    scale: str,
    *,
    by: str,
    at: datetime | None = None,
    order: str = "",
    request_key: str | None = None,
) -> Done:
    """Begin a batch of a procedure.

    Parameters
    ----------
    code : str
        Code of the batch and of the lot it will make.
    procedure : str
        Code of the procedure; its latest version is taken.
    scale : str
        Mass everything is in proportion to: the plant of an extraction, the bulk of a formula ("250 g", "5.000 kg").
    order : str
        Customer's order it is made for, if any.

    Raises
    ------
    BadEntry
        The scale is not a mass above zero, or the code was used.
    UnknownName
        There is no such procedure or order.
    """
    scale_g = parse(scale, want="mass", zero_allowed=False, where="scale").in_unit("g")
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,23}", code):
        raise BadEntry(
            "A batch code is up to 24 letters, digits, dots and dashes",
            repr(code),
            "Write it as it goes on the bottle",
        )
    asked = {"code": code, "procedure": procedure, "scale": scale, "order": order}
    with lab.act("begin batch", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        found = pen.look.procedure(procedure)
        if code in pen.look.lot_codes():
            raise BadEntry("A batch gives its code to the lot it makes", f"{code}, which is a lot already")
        body = BatchBegun(code, found.code, found.version, scale_g, order)
        return Done((pen.enter(body),), f"Batch {code} of {found.title} is begun at {scale}.")


def step_in_hand(lab: Laboratory, batch: str, step: str = "") -> StepInHand | None:
    """The next step of a batch, or a named one; None when every step is done.

    Parameters
    ----------
    batch : str
    step : str
        Name of a step; the first that is not done when empty.
    """
    with lab.look() as look:
        begun = look.batch(batch)
        procedure = look.procedure(begun.procedure, begun.version)
        done = {entry.body.step: entry.entry_no for entry in look.steps(batch)}
        names = [one.name for one in procedure.steps]
        wanted = step or next((name for name in names if name not in done), "")
        if not wanted:
            return None
        found = procedure.step(wanted)
        number = names.index(wanted) + 1
        planned = planned_g(look, batch)
        return StepInHand(
            batch,
            number,
            len(names),
            found,
            tuple(
                _line_to_weigh(look, procedure, name, found, planned.get((wanted, name)))
                for name in found.weighs
            ),
            done.get(wanted),
            names[number] if number < len(names) else "",
        )


def do_step(
    lab: Laboratory,
    batch: str,
    step: str,
    weighed: Sequence[Weighed],
    *,
    ticks: Sequence[str] = (),
    temperature: str = "",
    note: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write one step of a batch.

    Parameters
    ----------
    batch, step : str
    weighed : sequence of Weighed
        Every line the step says is weighed, once.
    ticks : sequence of str
        The ticks that were made; all of the step's own must be among them.
    temperature : str
        Of the room or liquid, where it matters ("21.5 °C").
    note : str
        What was different; needed when a mass is off by more than 2 % of what was planned.

    Raises
    ------
    NotAllowed
        A tick is missing, a lot is not released or past its date, or an earlier step is not done.
    BadEntry
        A line is missing or not of this step, a mass is not above zero, or a large difference has no note.
    NotEnough
        The shelf does not hold that much.
    """
    asked = {
        "batch": batch,
        "step": step,
        "weighed": [[one.line, one.mass, one.lot, one.apparatus] for one in weighed],
        "ticks": list(ticks),
        "temperature": temperature,
        "note": note,
    }
    temperature_c = (
        parse(temperature, want="temperature", negative_allowed=True).in_unit("°C") if temperature else None
    )
    with lab.act("do step", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        begun = pen.look.batch(batch)
        procedure = pen.look.procedure(begun.procedure, begun.version)
        known = procedure.step(step)
        must_be_next(pen.look, procedure, batch, step)
        if known.kind == "fill":
            raise BadEntry(
                "Filling is written with its bottles and check weights", step, "Use the filling page"
            )
        _ticks_must_be_made(known, ticks)
        _lines_must_fit(known, weighed)
        planned = planned_g(pen.look, batch)
        on = (at or lab.clock()).isoformat(timespec="seconds")
        body, off = _step_body(
            pen, procedure, known, batch, weighed, planned, on, tuple(ticks), temperature_c, note
        )
        if not off or not note.strip():
            off += [odd for one in body.weighings if (odd := _odd(pen.look, batch, one))]
        if off and not note.strip():
            raise BadEntry(
                "A mass far from what was planned or is expected needs a note",
                "; ".join(off),
                "Say what happened, or weigh again",
            )
        numbers = [pen.enter(body)]
        if off:
            numbers.append(pen.enter(DeviationNoted(batch, step, "; ".join(off), note.strip())))
        return Done(tuple(numbers), f"{step} of {batch} is written.")


def note_deviation(
    lab: Laboratory,
    batch: str,
    step: str,
    what: str,
    done_about_it: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write that something went otherwise than the procedure says, and what was done about it.

    An empty ``done_about_it`` leaves the deviation open; it must be closed before release.
    """
    if not what.strip():
        raise BadEntry("A deviation says what was different", "nothing", "Write what happened")
    body = DeviationNoted(
        batch, step, what.strip(), done_about_it.strip(), closed=bool(done_about_it.strip())
    )
    with lab.act("note deviation", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        begun = pen.look.batch(batch)
        pen.look.procedure(begun.procedure, begun.version).step(step)
        return Done((pen.enter(body),), f"Written beside {step} of {batch}.")


def close_deviation(
    lab: Laboratory,
    entry_no: int,
    done_about_it: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write what was done about an open deviation; the open entry stays to be read."""
    if not done_about_it.strip():
        raise BadEntry("A deviation is closed by what was done about it", "nothing", "Write what was done")
    asked = {"entry_no": entry_no, "done_about_it": done_about_it}
    with lab.act("close deviation", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        entry = pen.look.entry(entry_no)
        if not isinstance(entry.body, DeviationNoted) or entry.body.closed:
            raise BadEntry("Only an open deviation is closed", f"entry {entry_no}, {entry.kind}")
        closed = replace(entry.body, done_about_it=done_about_it.strip(), closed=True)
        number = pen.enter(closed, why=done_about_it.strip(), corrects=entry_no)
        return Done((number,), f"The deviation at {entry.body.step} of {entry.body.batch} is closed.")


def direction_of(procedure: Procedure, step: Step, line: str) -> Direction:
    """Whether a line goes into the batch, leaves it, or goes on within it."""
    at = procedure.steps.index(step)
    if line in step.gives:
        later = {name for one in procedure.steps[at + 1 :] for name in one.takes}
        return "within" if line in later else "out"
    earlier = {name for one in procedure.steps[:at] for name in one.gives}
    return "within" if line in earlier else "in"


def weigh(
    line: str, direction: Direction, lot: str, planned: float | None, mass: str, apparatus: Apparatus | None
) -> Weighing:
    """The weighing of one line as it was written.

    Raises
    ------
    BadEntry
        The mass is not above zero, or more than the scale can take.
    """
    mass_g = parse(mass, want="mass", zero_allowed=False, where=line).in_unit("g")
    if apparatus is not None and apparatus.largest is not None and mass_g > apparatus.largest:
        raise BadEntry(
            f"{apparatus.code} takes {apparatus.largest:g} {apparatus.unit} at most",
            mass,
            "Weigh in portions, or on a larger scale",
            where=line,
        )
    return Weighing(line, direction, lot, planned, mass_g, mass, apparatus.code if apparatus else "")


def movements_of_weighings(
    batch: str, weighings: Sequence[Weighing], to_waste: Collection[str]
) -> tuple[Movement, ...]:
    """The movements that weighings make; what goes on within the batch makes none.

    Parameters
    ----------
    batch : str
    weighings : sequence of Weighing
    to_waste : collection of str
        Lots that leave for the waste and not for the shelf.
    """
    account = batch_account(batch)
    moves = []
    for one in weighings:
        if one.direction == "in":
            moves.append(Movement(one.lot, SHELF, account, micrograms(one.actual_g)))
        elif one.direction == "out":
            into = "waste" if one.lot in to_waste else SHELF
            moves.append(Movement(one.lot, account, into, micrograms(one.actual_g)))
    return tuple(moves)


def _odd(look: Reader, batch: str, weighing: Weighing) -> str:
    return "" if weighing.direction == "in" else odd_weighing(look, batch, weighing.line, weighing.actual_g)


def _step_body(
    pen: Pen,
    procedure: Procedure,
    step: Step,
    batch: str,
    weighed: Sequence[Weighed],
    planned: dict[tuple[str, str], float],
    on: str,
    ticks: tuple[str, ...],
    temperature_c: float | None,
    note: str,
) -> tuple[StepDone, list[str]]:
    weighings, made, off, to_waste = [], [], [], set()
    lines = {one.name: one for one in procedure.lines}
    for one in weighed:
        direction = direction_of(procedure, step, one.line)
        apparatus = pen.look.apparatus(one.apparatus) if one.apparatus else None
        wanted = planned.get((step.name, one.line))
        lot = one.lot if direction != "within" else ""
        if direction == "out":
            if not lot:
                lot = f"{batch}-{_slug(one.line)}"
                to_waste.add(lot)
            made.append(_lot_made(procedure, one.line, lot, batch, to_shelf=lot not in to_waste, on=on))
        elif direction == "in":
            _lot_must_fit(pen.look, lines[one.line], lot, on)
            _lot_must_be_ours_or_the_customers(pen.look, lot, batch)
        weighing = weigh(one.line, direction, lot, wanted, one.mass, apparatus)
        weighings.append(weighing)
        step_g = apparatus.smallest_step if apparatus else 0.0
        if (
            wanted
            and direction == "in"
            and abs(weighing.actual_g - wanted) > max(OFF_BY_TOO_MUCH * wanted, 2 * step_g)
        ):
            off.append(f"{one.line}: {one.mass} where {wanted:.4g} g was planned")
    movements = movements_of_weighings(batch, weighings, to_waste)
    body = StepDone(
        batch, step.name, tuple(weighings), movements, ticks, temperature_c, note.strip(), tuple(made)
    )
    return body, off


def _lot_made(procedure: Procedure, line: str, lot: str, batch: str, *, to_shelf: bool, on: str) -> Lot:
    if not to_shelf:
        return Lot(lot, LotKind.SPENT, line, line, supplier="made here", made_by=batch)
    if line == procedure.steps[-1].gives[0]:
        kind = LotKind.EXTRACT if procedure.purpose == "extraction" else LotKind.PRODUCT
        keeps = (
            date.fromisoformat(on[:10]) + timedelta(days=procedure.keeps_days)
            if procedure.keeps_days
            else None
        )
        use_by = keeps.isoformat() if keeps else None
        return Lot(
            lot, kind, procedure.makes, procedure.makes, supplier="made here", use_by=use_by, made_by=batch
        )
    return Lot(lot, LotKind.RECOVERED, line, f"{line} of {batch}", supplier="made here", made_by=batch)


def _lot_must_fit(look: Reader, line: Line, code: str, on: str) -> None:
    if not code:
        raise BadEntry(
            "What is weighed in comes from a lot",
            f"no lot for {line.name}",
            "Choose the lot",
            where=line.name,
        )
    lot = look.lot(code)
    if lot.substance != line.substance:
        raise BadEntry(
            f"{line.name} must be {line.substance}",
            f"{code}, which is {lot.substance}",
            "Choose another lot",
            where=line.name,
        )
    must_be_released(look, lot, on=on)


def _lot_must_be_ours_or_the_customers(look: Reader, code: str, batch: str) -> None:
    owner = look.lot(code).owner
    if owner == "ours":
        return
    order = look.batch(batch).order
    customer = look.order(order).customer if order else "nobody"
    if customer != owner:
        raise NotAllowed(
            "What belongs to a customer is used for that customer",
            f"{code} of {owner} in a batch for {customer}",
            "Take a lot of ours",
        )


def must_be_next(look: Reader, procedure: Procedure, batch: str, step: str) -> None:
    """Refuse a step that is done already, or whose forerunners are not.

    Raises
    ------
    BadEntry, NotAllowed
    """
    done = {entry.body.step for entry in look.steps(batch)}
    if step in done:
        raise BadEntry(
            "A step is written once",
            f"{step} of {batch}, which is done",
            "Correct the entry that stands there",
        )
    for one in procedure.steps:
        if one.name == step:
            return
        if one.name not in done:
            raise NotAllowed(
                "Steps are done in their order", f"{step} before {one.name}", f"Write {one.name} first"
            )


def _ticks_must_be_made(step: Step, ticks: Sequence[str]) -> None:
    missing = [one for one in step.ticks if one not in ticks]
    if missing:
        raise NotAllowed(
            "A tick that stops harm is made before the step begins",
            f"not ticked: {'; '.join(missing)}",
            "Look, then tick",
        )


def _lines_must_fit(step: Step, weighed: Sequence[Weighed]) -> None:
    names = [one.line for one in weighed]
    for name in names:
        if name not in step.weighs:
            raise UnknownName.among(name, f"weighed at {step.name}", step.weighs)
    twice = {name for name in names if names.count(name) > 1}
    missing = [name for name in step.weighs if name not in names]
    if twice or missing:
        what = f"missing: {', '.join(missing)}" if missing else f"twice: {', '.join(sorted(twice))}"
        raise BadEntry(f"Every line of {step.name} is weighed once", what, "Enter what the scale showed")


def _line_to_weigh(
    look: Reader, procedure: Procedure, name: str, step: Step, planned: float | None
) -> LineToWeigh:
    direction = direction_of(procedure, step, name)
    if direction != "in":
        return LineToWeigh(name, direction, procedure.makes, planned, ())
    line = next(one for one in procedure.lines if one.name == name)
    lots = tuple(
        lot for lot in look.lots() if lot.substance == line.substance and look.balance_ug(lot.code) > 0
    )
    return LineToWeigh(name, direction, line.substance, planned, lots)


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
