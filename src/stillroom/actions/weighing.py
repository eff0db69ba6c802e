"""What is weighed at a step: lots that fit, directions, movements, and masses far from what was planned or expected."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, TypeAlias

from stillroom.actions.lots_in_use import must_be_released
from stillroom.actions.spirit_lots import (
    crossing_over,
    is_recovered_spirit,
    refuse_spirit_nobody_knows,
    refuse_unknown_denaturant,
)
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.quantities.parse import parse
from stillroom.records.entries import StepDone, Weighing
from stillroom.records.lots import SHELF, Lot, LotKind, Movement, batch_account, micrograms
from stillroom.records.people import Apparatus
from stillroom.records.procedures import Line, Procedure, Step
from stillroom.store.pen import Pen
from stillroom.store.reader import Reader
from stillroom.substances.reagents import last_day

OFF_BY_TOO_MUCH = 0.02
MAKES = {"extraction": LotKind.EXTRACT, "formula": LotKind.PRODUCT, "reagent": LotKind.REAGENT}


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
            worded(
                "{apparatus_code} takes {largest:g} {unit} at most",
                apparatus_code=apparatus.code,
                largest=apparatus.largest,
                unit=apparatus.unit,
            ),
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
        if not micrograms(one.actual_g):
            continue
        if one.direction == "in":
            moves.append(Movement(one.lot, SHELF, account, micrograms(one.actual_g)))
        elif one.direction == "out":
            into = "waste" if one.lot in to_waste else SHELF
            moves.append(Movement(one.lot, account, into, micrograms(one.actual_g)))
    return tuple(moves)


def step_body(
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
    """The entry of a step from what was weighed, and what of it is far from what was planned or expected."""
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
            made.append(lot_made(procedure, one.line, lot, batch, to_shelf=lot not in to_waste, on=on))
            made[-1] = _not_longer_than(pen.look, procedure, made[-1], weighed)
        elif direction == "in":
            otherwise = _lot_must_fit(pen.look, lines[one.line], lot, on, batch, note)
            if otherwise:
                off.append(f"{one.line}: {lot}, {otherwise}")
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


def lot_made(procedure: Procedure, line: str, lot: str, batch: str, *, to_shelf: bool, on: str) -> Lot:
    """The lot that something coming out of a batch becomes.

    Parameters
    ----------
    procedure : Procedure
    line : str
        Name among what its steps give.
    lot, batch : str
    to_shelf : bool
        False for what goes to the waste.
    on : str
        ISO time.
    """
    if not to_shelf:
        return Lot(lot, LotKind.SPENT, line, line, supplier="made here", made_by=batch)
    if line == procedure.steps[-1].gives[0]:
        kind = MAKES[procedure.purpose]
        keeps = (
            date.fromisoformat(on[:10]) + timedelta(days=procedure.keeps_days)
            if procedure.keeps_days
            else None
        )
        use_by = keeps.isoformat() if keeps else None
        if kind is LotKind.REAGENT and procedure.keeps_days:
            use_by = last_day(on, procedure.keeps_days)
        name = procedure.title if kind is LotKind.REAGENT else procedure.makes
        return Lot(lot, kind, procedure.makes, name, supplier="made here", use_by=use_by, made_by=batch)
    return Lot(lot, LotKind.RECOVERED, line, f"{line} of {batch}", supplier="made here", made_by=batch)


def _not_longer_than(look: Reader, procedure: Procedure, lot: Lot, weighed: Sequence[Weighed]) -> Lot:
    """A reagent keeps no longer than what it was made from."""
    if procedure.purpose != "reagent" or lot.kind is not LotKind.REAGENT:
        return lot
    lines = {one.name for one in procedure.lines}
    dates = [look.lot(one.lot).use_by for one in weighed if one.line in lines and one.lot]
    return replace(lot, use_by=min((one for one in (lot.use_by, *dates) if one), default=None))


def _lot_must_fit(look: Reader, line: Line, code: str, on: str, batch: str, note: str) -> str:
    """Refuse a lot that does not fit; what a person decided otherwise with a reason comes back in words."""
    if not code:
        raise BadEntry(
            "What is weighed in comes from a lot",
            worded("no lot for {line_name}", line_name=line.name),
            "Choose the lot",
            where=line.name,
        )
    lot = look.lot(code)
    refuse_unknown_denaturant(lot)
    if is_recovered_spirit(lot, line):
        must_be_released(look, lot, on=on)
        refuse_spirit_nobody_knows(look, lot)
        why = crossing_over(look, lot, batch)
        if why and not note.strip():
            raise NotAllowed(
                "Recovered spirit is used for the plant it came from",
                f"{code}, {why}",
                "Take fresh spirit; or say in the note why it may be used",
                where=line.name,
            )
        return why
    if lot.substance != line.substance:
        raise BadEntry(
            worded("{line_name} must be {substance}", line_name=line.name, substance=line.substance),
            worded("{code}, which is {substance}", code=code, substance=lot.substance),
            "Choose another lot",
            where=line.name,
        )
    must_be_released(look, lot, on=on)
    return ""


def _lot_must_be_ours_or_the_customers(look: Reader, code: str, batch: str) -> None:
    owner = look.lot(code).owner
    if owner == "ours":
        return
    order = look.batch(batch).order
    customer = look.order(order).customer if order else "nobody"
    if customer != owner:
        raise NotAllowed(
            "What belongs to a customer is used for that customer",
            worded("{code} of {owner} in a batch for {customer}", code=code, owner=owner, customer=customer),
            "Take a lot of ours",
        )


def lines_must_fit(step: Step, weighed: Sequence[Weighed]) -> None:
    """Refuse lines that are not of the step, stand twice, or are missing.

    Raises
    ------
    UnknownName, BadEntry
    """
    names = [one.line for one in weighed]
    for name in names:
        if name not in step.weighs:
            raise UnknownName.among(name, f"weighed at {step.name}", step.weighs)
    twice = {name for name in names if names.count(name) > 1}
    missing = [name for name in step.weighs if name not in names]
    if twice or missing:
        what = f"missing: {', '.join(missing)}" if missing else f"twice: {', '.join(sorted(twice))}"
        raise BadEntry(
            worded("Every line of {step_name} is weighed once", step_name=step.name),
            what,
            "Enter what the scale showed",
        )


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
