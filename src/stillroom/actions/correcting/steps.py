"""A step of a batch put right: masses, lots, scales, ticks, temperature, note, time; or that it was not done at all.

The movements follow. A lot that a step made stays in the book while anything else speaks of it.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.correcting.batches import calculated_again
from stillroom.actions.house.glass_at_hand import must_run_in
from stillroom.actions.lots.lots_made import lot_made
from stillroom.actions.lots.shelf_gaps import settle
from stillroom.actions.making.bulk_density import again_by_what_was_weighed_in
from stillroom.actions.making.deviations import slip_was_corrected
from stillroom.actions.making.weighing import movements_of_weighings, weigh
from stillroom.documents.put_right import when
from stillroom.errors import BadEntry, worded
from stillroom.quantities.parse import parse
from stillroom.records.entries import Entry, StepDone, Weighing
from stillroom.records.lots import Lot
from stillroom.records.procedures import Procedure, Step
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.stream.kinds import KINDS, kind_does
from stillroom.texts.catalogue import later, t

YES, NO = "yes", "no"


def _step_of(look: Reader, body: StepDone) -> tuple[Procedure, Step]:
    procedure = look.procedure_of(body.batch)
    return procedure, procedure.step(body.step)


def _yes_no() -> tuple[tuple[str, str], ...]:
    return ((YES, t("yes")), (NO, t("no")))


def _fields(look: Reader, entry: Entry[StepDone]) -> tuple[Field, ...]:
    body = entry.body
    _, step = _step_of(look, body)
    found: list[Field] = []
    if not kind_does(step.kind, "bottles"):
        for one in body.weighings:
            found.append(Field(f"mass {one.line}", one.line, one.as_written, "g", line=one.line))
            if one.direction != "within":
                found.append(
                    Field(f"lot {one.line}", t("{line}, lot", line=one.line), one.lot, line=one.line)
                )
            found.append(
                Field(
                    f"scale {one.line}",
                    t("{line}, scale", line=one.line),
                    one.apparatus,
                    line=one.line,
                )
            )
    for at, tick in enumerate(step.ticks, start=1):
        found.append(Field(f"tick {at}", tick, YES if tick in body.ticks else NO, choices=_yes_no()))
    warm = "" if body.temperature_c is None else f"{body.temperature_c:g} °C"
    if body.ran_in or (step.kind in KINDS and KINDS[step.kind].runs_in):
        found.append(Field("apparatus", t("ran in"), ", ".join(body.ran_in)))
    found += [
        Field("temperature", t("temperature"), warm, "°C"),
        Field("note", t("note"), body.note, kind="long"),
        Field("done at", t("done at"), when(entry.done_at)),
    ]
    if not body.not_done:
        found.append(Field("happened", t("Was it done?"), YES, choices=_yes_no()))
    return tuple(found)


def _applies(pen: BookWriter, entry: Entry[StepDone], changed: Mapping[str, str], why: str) -> Done:
    body = entry.body
    procedure, step = _step_of(pen.look, body)
    done_at = _done_at(pen, changed["done at"], entry) if "done at" in changed else entry.done_at
    if changed.get("happened") == NO:
        right = replace(
            body, weighings=(), movements=(), ticks=(), lots_made=_still_spoken_of(pen, entry), not_done=True
        )
    else:
        weighings = tuple(_weighing(pen, one, changed) for one in body.weighings)
        right = replace(
            body,
            weighings=weighings,
            ticks=tuple(
                tick
                for at, tick in enumerate(step.ticks, start=1)
                if changed.get(f"tick {at}", YES if tick in body.ticks else NO) == YES
            ),
            temperature_c=_temperature(changed["temperature"])
            if "temperature" in changed
            else body.temperature_c,
            note=changed.get("note", body.note),
            ran_in=must_run_in(pen.look, step, changed["apparatus"].split(","))
            if "apparatus" in changed
            else body.ran_in,
        )
        if weighings != body.weighings and not kind_does(step.kind, "bottles"):
            right = _moved(pen, procedure, entry, right, done_at)
    number = enter_again(pen, entry, right, why, done_at=done_at)
    again = again_by_what_was_weighed_in(
        pen, body.batch, f"rests on entry {entry.entry_no}, corrected by {number}"
    )
    gaps = settle(pen, (one.lot for one in (*body.movements, *right.movements)))
    followed = f" {calculated_again(len(again))}" if again else ""
    about = slip_was_corrected(pen, entry, body.step, number, why)
    return Done((number, *again, *about, *gaps.entries), _says(entry, changed) + followed + gaps.says)


def _weighing(pen: BookWriter, one: Weighing, changed: Mapping[str, str]) -> Weighing:
    lot = changed.get(f"lot {one.line}", one.lot)
    scale = changed.get(f"scale {one.line}", one.apparatus)
    if one.direction == "in":
        pen.look.lot(lot)
    apparatus = pen.look.apparatus(scale) if scale else None
    mass = changed.get(f"mass {one.line}")
    if mass is None:
        return replace(one, lot=lot, apparatus=scale)
    return weigh(one.line, one.direction, lot, one.planned_g, mass, apparatus)


def _moved(
    pen: BookWriter, procedure: Procedure, entry: Entry[StepDone], right: StepDone, on: str
) -> StepDone:
    """The same with the movements and lots that its weighings make."""
    body = entry.body
    to_waste = {one.lot for one in body.movements if one.into == "waste"}
    known = {one.code: one for one in body.lots_made}
    kept = {one.code: one for one in _still_spoken_of(pen, entry)}
    for one in right.weighings:
        if one.direction == "out" and one.lot not in known and not pen.look.holds(one.lot)[0]:
            known[one.lot] = lot_made(procedure, one.line, one.lot, body.batch, to_shelf=True, on=on)
    made = {one.lot: known[one.lot] for one in right.weighings if one.direction == "out" and one.lot in known}
    return replace(
        right,
        movements=movements_of_weighings(body.batch, right.weighings, to_waste),
        lots_made=tuple((kept | made).values()),
    )


def _still_spoken_of(pen: BookWriter, entry: Entry[StepDone]) -> tuple[Lot, ...]:
    """Lots the step made that other entries speak of: they stay, with nothing in them."""
    return tuple(
        one
        for one in entry.body.lots_made
        if any(other.entry_no != entry.entry_no for other in pen.look.entries(subject=one.code))
    )


def _temperature(text: str) -> float | None:
    if not text:
        return None
    return parse(text, want="temperature", negative_allowed=True, where="temperature").in_unit("°C")


def _done_at(pen: BookWriter, text: str, entry: Entry[StepDone]) -> str:
    was = datetime.fromisoformat(entry.done_at)
    try:
        told = datetime.fromisoformat(text)
    except ValueError:
        raise BadEntry("A time is written like 2026-11-05 14:30", repr(text[:40]), where="done at") from None
    told = told if told.tzinfo else told.replace(tzinfo=was.tzinfo)
    if told > datetime.fromisoformat(pen.entered_at):
        raise BadEntry(
            "What is written must have been done already",
            worded("{told:%Y-%m-%d %H:%M}", told=told),
            "Give the time it was done",
            where="done at",
        )
    return told.isoformat(timespec="seconds")


def _says(entry: Entry[StepDone], changed: Mapping[str, str]) -> str:
    body = entry.body
    if changed.get("happened") == NO:
        return t("{step} of {batch} stands as not done.", step=body.step, batch=body.batch)
    said = {f"mass {one.line}": one.as_written for one in body.weighings}
    told = [
        t(
            "{line} of {step}: said {as_written}, now {mass}.",
            line=name.removeprefix("mass "),
            step=body.step,
            as_written=said[name],
            mass=text,
        )
        for name, text in changed.items()
        if name in said
    ]
    others = [name for name in changed if name not in said]
    if others:
        told.append(
            t(
                "{step} of {batch}: {what} corrected.",
                step=body.step,
                batch=body.batch,
                what=", ".join(others),
            )
        )
    return " ".join(told)


STEP = Way(_fields, _applies, later("Change what was wrong. What moved follows it."))
