"""A reading put right: every result that rests on it is reckoned again by the same functions, beside the old one."""

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.correcting.batches import calculated_again
from stillroom.actions.shelf.lot_strength import READ_STRENGTH, strength_in_words
from stillroom.actions.shelf.titrants_in_date import FACTOR
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.actions.testing.titrant_factors import factor_again
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
    if not now:
        return ()
    if old is None:
        return tuple(pen.enter(one, done_at=corrected.done_at, why=why) for one in now)
    new_no = enter_again(pen, old, now[-1], why)
    return (new_no, *_reckon_again(pen, old.entry_no, new_no, now[-1], own_doubt=True))


def _reckon_again(
    pen: BookWriter, old_no: int, new_no: int, body: ReadingTaken, own_doubt: bool
) -> tuple[int, ...]:
    """New results in place of every one whose trail rests on the old reading, whatever lot they speak of."""
    numbers = []
    kinds = kinds_of_test()
    subjects = dict.fromkeys((*pen.look.lot_codes(), *(one.code for one in pen.look.batches())))
    results = [result for subject in subjects for result in pen.look.results(subject)]
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
