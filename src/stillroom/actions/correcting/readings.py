"""A reading put right: every result that rests on it is reckoned again by the same functions, beside the old one."""

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.correcting.batches import calculated_again
from stillroom.actions.shelf.lot_strength import READ_STRENGTH, strength_in_words
from stillroom.actions.shelf.titrants_in_date import FACTOR, VOID_FACTOR
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.actions.testing.titrant_factors import factor_again
from stillroom.actions.testing.titration import NO_RESULT
from stillroom.answers.reckon_again import with_new_readings
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, leaves, reading
from stillroom.evidence.trails import from_trail, trail
from stillroom.quantities.numbers import ANYTHING, CAN_BE, NUMBER, number_in
from stillroom.quantities.parse import parse
from stillroom.quantities.uncertainty_words import SIGN
from stillroom.quantities.units import unit
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


def _fields(_: Reader, entry: Entry[ReadingTaken]) -> tuple[Field, ...]:
    return (Field("reading", entry.body.what, entry.body.as_written),)


def _applies(pen: BookWriter, entry: Entry[ReadingTaken], changed: Mapping[str, str], why: str) -> Done:
    old, text = entry.body, changed["reading"]
    if text.strip() == old.as_written:
        corrected = old
    elif old.what == READ_STRENGTH:
        corrected = replace(old, value=strength_in_words(text), as_written=text)
    else:
        value, said = _value_in(text, old.unit)
        if said is None and re.search(SIGN, old.as_written):
            raise BadEntry(
                "A figure that was said with its ± is said with it again", repr(text[:40]),
                worded("Write it like {as_written}", as_written=repr(old.as_written)), where="reading",
            )  # fmt: skip
        spread = old.standard_uncertainty if said is None else said
        corrected = replace(old, value=value, as_written=text, standard_uncertainty=spread)
    number = enter_again(pen, entry, corrected, why)
    again = _reckon_again(pen, entry.entry_no, number, corrected, bool(re.search(SIGN, corrected.as_written)))
    again += _factor_again(pen, entry, f"rests on entry {entry.entry_no}, corrected by {number}")
    followed = f" {calculated_again(len(again))}" if again else ""
    return Done(
        (number, *again),
        t(
            "Entry {entry_no} said {as_written}; it now says {text}.{later}",
            entry_no=entry.entry_no,
            as_written=old.as_written,
            text=text,
            later=followed,
        ),
    )


def _factor_again(pen: BookWriter, corrected: Entry[ReadingTaken], why: str) -> tuple[int, ...]:
    """The factor of a titrant that a corrected reading belongs to, and every result that rests on it."""
    of = corrected.body
    if not of.series.startswith("factor/") or of.what == FACTOR:
        return ()
    old, now = factor_again(pen.look, of.subject, of.series)
    if old is None:
        return tuple(pen.enter(one, done_at=corrected.done_at, why=why) for one in now)
    if not now or now[-1] == old.body:
        return ()
    new_no, was_void = enter_again(pen, old, now[-1], why), old.body.what == VOID_FACTOR
    rested_on = old.corrects if was_void and old.corrects else old.entry_no
    because = f"{NO_RESULT}no factor of {of.subject} follows any more. Set it again, and titrate again."
    if now[-1].what == VOID_FACTOR:
        return (new_no, *_void(pen, rested_on, because, why))
    before = _before_void(pen.look, because) if was_void else {}
    return (new_no, *_reckon_again(pen, rested_on, new_no, now[-1], own_doubt=True, before=before))


def _void(pen: BookWriter, old_no: int, because: str, why: str) -> tuple[int, ...]:
    """Nothing counts any more that rests on a reading."""
    return tuple(
        pen.enter(replace(one.body, counts=False, because=because), why=why, corrects=one.entry_no)
        for one in _results(pen.look)
        if any(each.leaf and each.leaf.entry_no == old_no for each in leaves(from_trail(one.body.trail)))
    )


def _before_void(look: Reader, because: str) -> dict[int, ResultReckoned]:
    """What each result said before it was void for that reason, and nothing else of it was put right since."""
    found = {}
    for one in _results(look):
        if one.body.because == because and one.corrects:
            every = look.results(one.body.subject, corrected=True)
            (before,) = (each.body for each in every if each.entry_no == one.corrects)
            if before.because != because:
                found[one.entry_no] = before
    return found


def _results(look: Reader) -> list[Entry[ResultReckoned]]:
    subjects = dict.fromkeys((*look.lot_codes(), *(one.code for one in look.batches())))
    return [result for subject in subjects for result in look.results(subject)]


def _reckon_again(
    pen: BookWriter,
    old_no: int,
    new_no: int,
    body: ReadingTaken,
    own_doubt: bool,
    before: Mapping[int, ResultReckoned] | None = None,
) -> tuple[int, ...]:
    """New results in place of every one whose trail rests on the old reading, whatever lot they speak of."""
    numbers = []
    kinds = kinds_of_test()
    said = before or {}
    results = [replace(one, body=said.get(one.entry_no, one.body)) for one in _results(pen.look)]
    why = f"rests on entry {old_no}, corrected by {new_no}"
    if not any(old_no in one.body.readings for one in results):
        series = pen.look.readings(body.subject, series=body.series) if body.series else ()
        with suppress(OutsideModel):
            ways = (one.anew(pen.look, body.subject, series) for one in kinds if one.anew)
            numbers += [pen.enter(one) for each in ways for one in each]
    for entry in results:
        if old_no in entry.body.readings:
            readings = _readings_again(pen, entry, old_no, new_no)
            try:
                again = next(
                    (one for kind in kinds if kind.again and (one := kind.again(pen.look, entry, readings))),
                    None,
                )
            except OutsideModel as error:
                now = tuple(sorted(one.entry_no for one in readings))
                again = replace(entry.body, counts=False, because=error.sentence, readings=now)
            if again is not None:
                numbers.append(pen.enter(again, why=why, corrects=entry.entry_no))
                continue
        answer = from_trail(entry.body.trail)
        new = {
            one.key: _leaf_again(one, new_no, body, own_doubt)
            for one in leaves(answer)
            if one.leaf and one.leaf.entry_no == old_no
        }
        if not new:
            continue
        numbers.append(
            pen.enter(
                _result_again(entry, with_new_readings(answer, new), old_no, new_no),
                why=why,
                corrects=entry.entry_no,
            )
        )
    return tuple(numbers)


def _readings_again(
    pen: BookWriter, entry: Entry[ResultReckoned], old_no: int, new_no: int
) -> list[Entry[ReadingTaken]]:
    """The readings of a result, the corrected one in its place."""
    wanted = {new_no if one == old_no else one for one in entry.body.readings}
    return [one for one in pen.look.readings(entry.body.subject) if one.entry_no in wanted]


def _leaf_again(old: Answer, new_no: int, body: ReadingTaken, own_doubt: bool) -> Answer:
    return reading(
        old.name,
        body.value,
        old.unit,
        f"entry {new_no}",
        entry_no=new_no,
        standard_uncertainty=body.standard_uncertainty if own_doubt else old.standard_uncertainty,
        basis=old.basis,
        cause=old.leaf.cause if old.leaf else "",
        shape=old.leaf.shape if old.leaf else "",
    )


def _result_again(entry: Entry[ResultReckoned], answer: Answer, old_no: int, new_no: int) -> ResultReckoned:
    return replace(
        entry.body,
        value=answer.value,
        standard_uncertainty=answer.standard_uncertainty,
        trail=trail(answer),
        readings=tuple(new_no if one == old_no else one for one in entry.body.readings),
    )


def _value_in(text: str, symbol: str) -> tuple[float, float | None]:
    """The figure and its standard uncertainty in the unit of what it puts right; None where no ± is said."""
    if re.fullmatch(NUMBER, text.strip()) or (not symbol and not re.search(SIGN, text)):
        return number_in(
            text, can_be=CAN_BE.get(symbol, ANYTHING), where="reading"
        ).value, None  # a bare number is in the unit of what it puts right
    dimension = unit(symbol).dimension
    found = parse(
        text,
        want=dimension,
        basis_required=False,
        negative_allowed=dimension in ("temperature", "mass"),
        where="reading",
    )
    return found.in_unit(symbol), found.to(symbol).standard_uncertainty


READING = Way(_fields, _applies, later("Every result that rests on it is calculated again."))
