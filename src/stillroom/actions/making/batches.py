"""A batch is begun and its steps are done, one after the other, with what was planned beside what the scale showed."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.house.glass_at_hand import must_run_in
from stillroom.actions.lots.shelf_gaps import settle
from stillroom.actions.making.asked_first import asked_before_a_step, question_of
from stillroom.actions.making.deviations import slip_was_corrected
from stillroom.actions.making.lot_without_last_step import lot_left_standing, lots_still_made
from stillroom.actions.making.weighing import (
    Weighed,
    far_off,
    kept_as_odd,
    lines_must_fit,
    step_body,
)
from stillroom.actions.orders.amounts_planned import planned_g
from stillroom.actions.orders.forecasting import odd_weighings
from stillroom.actions.orders.size_planned import size_of_batch
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.quantities.entry import entry
from stillroom.records.entries import BatchBegun, DeviationNoted, StepDone
from stillroom.records.lots import grams
from stillroom.records.procedures import Procedure
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does
from stillroom.texts.catalogue import t

NOT_DONE = "not done"
DONE_LATER = "done after all"


def begin_batch(
    lab: Laboratory, code: str, procedure: str, scale: str, *, order: str = "", **sign: Unpack[Signed]
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
        Left empty, the size the kept plan of the order gives.
    order : str
        Customer's order it is made for, if any.

    Raises
    ------
    BadEntry
        The scale is not a mass above zero, or the code was used.
    UnknownName
        There is no such procedure or order.
    """
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,23}", code):
        raise BadEntry(
            "A batch code is up to 24 letters, digits, dots and dashes",
            repr(code),
            "Write it as it goes on the bottle",
        )
    asked = {"code": code, "procedure": procedure, "scale": scale, "order": order}
    with lab.act("begin batch", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        found = pen.look.procedure(procedure)
        if found.purpose == "reagent":
            raise NotAllowed(
                "A reagent is made from its recipe", found.title, "Open it under Reagents and say how much"
            )
        if pen.look.holds(code)[0]:
            raise BadEntry(
                "A batch gives its code to the lot it makes",
                worded("{code}, which is a lot already", code=code),
            )
        size = size_of_batch(pen.look, order, found.code, scale)
        body = BatchBegun(code, found.code, found.version, size.scale_g, order)
        return Done(
            (pen.enter(body),),
            t("Batch {code} of {title} is begun at {scale}.", code=code, title=found.title, scale=size.says),
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
    photograph: str = "",
    ran_in: Sequence[str] = (),
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write one step of a batch.

    Parameters
    ----------
    weighed : sequence of Weighed
        Every line the step says is weighed, once.
    ticks : sequence of str
        The ticks that were made; all of the step's own must be among them.
    temperature : str
        Of the room or liquid, where it matters ("21.5 °C").
    note : str
        What was different. Whatever is odd (a mass off by more than 2 % of what was planned, a lot that may not be
        used, a missing tick, a step out of its turn) is asked about; with a note it is kept, as a deviation.
    photograph : str
        Seal of a photograph kept before, "" without one.
    ran_in : sequence of str
        Codes of the extractor, still or bath it ran in; "" for one that nobody says.

    Raises
    ------
    NotAllowed
        Without a note: a tick is missing, a lot may not be used, or an earlier step is not done.
    BadEntry
        A line is not of this step or has no lot; without a note: one is missing or far off.
    NotEnough
        Without a note: the shelf does not hold that much.
    """
    asked = {
        "batch": batch,
        "step": step,
        "weighed": [[one.line, one.mass, one.lot, one.apparatus] for one in weighed],
        "ticks": list(ticks),
        "temperature": temperature,
        "note": note,
        **({"photograph": photograph} if photograph else {}),
        **({"ran in": list(ran_in)} if any(ran_in) else {}),
    }
    temperature_c = entry(temperature, "°C", where="temperature").in_unit("°C") if temperature else None
    with lab.act("do step", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        done_at = at or lab.clock()
        if done_at.tzinfo is None:
            done_at = done_at.replace(tzinfo=lab.clock().tzinfo)
        kept = (photograph,) if photograph else ()
        numbers, gap = write_step(
            pen, batch, step, weighed, ticks, temperature_c, note, done_at, kept, ran_in
        )
        return Done(numbers, t("{step} of {batch} is written.", step=step, batch=batch) + gap)


def leave_out(
    lab: Laboratory,
    batch: str,
    step: str,
    why: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write that a step was not done, and why; it can still be written when it is done later.

    Raises
    ------
    BadEntry
        No reason is given, or the step is written already.
    """
    if not why.strip():
        raise BadEntry("A step that is left out has a reason", "nothing", "Say why", where="why")
    asked = {"batch": batch, "step": step, "why": why}
    with lab.act("leave out", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        procedure = _procedure_in_hand(pen.look, batch)
        procedure.step(step)
        if any(entry.body.step == step for entry in pen.look.steps(batch)):
            raise BadEntry(
                "A step that is written is corrected",
                worded("{step} of {batch}, which is written", step=step, batch=batch),
                "Correct its entry",
                where="step",
            )
        said = why.strip()
        standing = lot_left_standing(pen.look, procedure, batch, step, (at or lab.clock()).isoformat())
        made = (standing[0],) if standing else ()
        moved = (standing[1],) if standing else ()
        numbers = (
            pen.enter(StepDone(batch, step, (), moved, note=said, lots_made=made, not_done=True)),
            pen.enter(DeviationNoted(batch, step, NOT_DONE, said)),
        )
        says = t("{step} of {batch} stands as not done.", step=step, batch=batch)
        if standing:
            says += t(
                " What was weighed last, {mass} g, is on the shelf as {lot}.",
                mass=f"{grams(standing[1].amount):.2f}",
                lot=batch,
            )
        return Done(numbers, says)


def write_step(
    pen: BookWriter,
    batch: str,
    step: str,
    weighed: Sequence[Weighed],
    ticks: Sequence[str],
    temperature_c: float | None,
    note: str,
    done_at: datetime,
    attachments: tuple[str, ...] = (),
    ran_in: Sequence[str] = (),
) -> tuple[tuple[int, ...], str]:
    """Write one step with a pen already in hand; its rules are those of ``do_step``.

    Parameters
    ----------
    temperature_c : float or None
        [°C]
    done_at : datetime
        When it was done, with its offset.
    attachments : tuple of str
        Seals of photographs kept before.
    ran_in : sequence of str
        Codes of apparatus.

    Returns
    -------
    (tuple of int, str)
        Numbers of the entries, and what to say besides: the step stands twice, the shelf holds less than was used.
    """
    procedure = _procedure_in_hand(pen.look, batch)
    known = procedure.step(step)
    if kind_does(known.kind, "bottles"):
        raise BadEntry("Filling is written with its bottles and check weights", step, "Fill it as bottles")
    weighed = [one for one in weighed if one.mass.strip()]
    lines_must_fit(known, weighed)
    on = done_at.isoformat(timespec="seconds")
    body, odd = step_body(
        pen,
        procedure,
        known,
        batch,
        weighed,
        planned_g(pen.look, batch),
        on,
        tuple(ticks),
        temperature_c,
        note,
    )
    body = replace(body, ran_in=must_run_in(pen.look, known, ran_in))
    asked = [*asked_before_a_step(pen.look, procedure, batch, known, ticks, weighed), *odd]
    if not asked or not note.strip():
        asked += [far_off(one) for one in odd_weighings(pen.look, batch, body.weighings)]
    if asked and not note.strip():
        raise question_of(asked)
    there = [one for one in pen.look.steps(batch) if one.body.step == step]
    left_out = next((one for one in there if one.body.not_done), None)
    twice = "".join(
        t(
            " It stands twice now: entry {entry_no}, by {by}, says it as well. If it was done once, correct one of "
            "them: it was not done.",
            entry_no=one.entry_no,
            by=one.by,
        )
        for one in there[-1:]
        if not one.body.not_done
    )
    if left_out:
        body = replace(body, lots_made=lots_still_made(pen.look, left_out, body))
    numbers = [
        pen.enter(
            body,
            done_at=on,
            attachments=attachments,
            corrects=left_out.entry_no if left_out else None,
            why=(note.strip() or DONE_LATER) if left_out else "",
        )
    ]
    if asked:
        what = kept_as_odd(asked)
        numbers.append(pen.enter(DeviationNoted(batch, step, what, note.strip()), done_at=on))
    if left_out:
        numbers += slip_was_corrected(pen, left_out, step, numbers[0], DONE_LATER)
    gaps = settle(pen, (one.lot for one in body.movements))
    return (*numbers, *gaps.entries), twice + gaps.says + _thrown_away(body)


def _thrown_away(body: StepDone) -> str:
    """What came out without a code for the shelf, as a sentence behind another; "" where nothing did."""
    waste = {one.lot for one in body.movements if one.into == "waste"}
    told = ", ".join(f"{one.line} {one.as_written}" for one in body.weighings if one.lot in waste)
    return t(" Without a code for the shelf, to the waste: {what}.", what=told) if told else ""


def _procedure_in_hand(look: Reader, batch: str) -> Procedure:
    """The procedure of a batch that was not given up."""
    ended = look.given_up(batch)
    if ended is not None:
        raise NotAllowed(
            "A batch that was given up is taken up again before a step is written",
            worded("{batch}, given up: {why}", batch=batch, why=ended.body.why),
            "Correct the entry that gave it up",
        )
    return look.procedure_of(batch)
