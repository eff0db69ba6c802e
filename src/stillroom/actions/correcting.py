"""Putting an entry right: a new entry that names the old one, once, with the reason. Both stay to be read.

Results that rest on a corrected reading are reckoned again at once by the same functions, and the old results stay
beside the new ones. What was decided on the old figures (a dose in the beaker, a release) is not changed: it is listed.
"""

import re
from dataclasses import replace
from datetime import datetime

from stillroom.actions.drying import drying_result
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.outages import correct_outage
from stillroom.actions.receiving import amount_of
from stillroom.actions.results_kept import DRYING
from stillroom.actions.weighing import movements_of_weighings, weigh
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import Answer, from_trail, leaves, reading, trail
from stillroom.quantities.numbers import NUMBER, number_in
from stillroom.quantities.parse import parse
from stillroom.quantities.units import unit
from stillroom.records.entries import Entry, LotReceived, OutageNoted, ReadingTaken, ResultReckoned, StepDone
from stillroom.results.reckon_again import with_new_readings
from stillroom.store.pen import Pen
from stillroom.texts.catalogue import t


def correct_entry(
    lab: Laboratory,
    entry_no: int,
    text: str,
    *,
    why: str,
    by: str,
    line: str = "",
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Put an entry right, whichever kind it is: a reading, a weighing of a step, a receipt, an outage.

    Parameters
    ----------
    entry_no : int
    text : str
        What it should have said.
    why : str
        How the slip happened.
    line : str
        Line of the step, where the entry is a step.

    Raises
    ------
    NotAllowed
        Entries of that kind are not put right by one figure.
    """
    with lab.look() as look:
        body = look.entry(entry_no).body
    if line and not isinstance(body, StepDone):
        raise BadEntry(
            "Only a step of a batch has lines",
            worded("entry {entry_no} and the line {line!r}", entry_no=entry_no, line=line),
            "Leave the line out",
        )
    match body:
        case ReadingTaken():
            return correct_reading(lab, entry_no, text, why=why, by=by, at=at, request_key=request_key)
        case StepDone():
            return correct_weighing(lab, entry_no, line, text, why=why, by=by, at=at, request_key=request_key)
        case LotReceived():
            return correct_receipt(lab, entry_no, text, why=why, by=by, at=at, request_key=request_key)
        case OutageNoted():
            return correct_outage(lab, entry_no, text, why=why, by=by, at=at, request_key=request_key)
    raise NotAllowed(
        "A reading, a weighing, the amount of a receipt or the time of an outage is put right by one figure",
        worded("entry {entry_no}", entry_no=entry_no),
        "Write the event again as a new entry; a wrong decision is followed by the right one",
    )


def correct_reading(
    lab: Laboratory,
    entry_no: int,
    text: str,
    *,
    why: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Put a reading right, and reckon again every result that rests on it.

    Parameters
    ----------
    entry_no : int
        Entry of the reading.
    text : str
        What it should have said: "8.42 mL".
    why : str
        How the slip happened.

    Raises
    ------
    NotAllowed
        The entry is not a reading.
    BadEntry
        No reason is given, the entry was corrected before, or the text cannot be read.
    """
    asked = {"entry_no": entry_no, "text": text, "why": why}
    with lab.act("correct reading", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        entry = pen.look.entry(entry_no)
        if not isinstance(entry.body, ReadingTaken):
            raise NotAllowed(
                "Only a reading is put right here",
                worded("entry {entry_no}, {kind}", entry_no=entry_no, kind=entry.kind),
                "Name the reading's entry",
            )
        old = entry.body
        value = _value_in(text, old.unit)
        corrected = replace(old, value=value, as_written=text)
        number = pen.enter(corrected, why=_reason(why), corrects=entry_no)
        again = _reckon_again(pen, entry_no, number, corrected)
        later = t("done.reckoned_again", count=len(again)) if again else ""
        return Done(
            (number, *again),
            t(
                "done.entry_said_now_says",
                entry_no=entry_no,
                as_written=old.as_written,
                text=text,
                later=later,
            ),
        )


def correct_weighing(
    lab: Laboratory,
    entry_no: int,
    line: str,
    mass: str,
    *,
    why: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Put one weighing of a step right; the movement follows it.

    Parameters
    ----------
    entry_no : int
        Entry of the step.
    line : str
        Line of the step whose mass was wrong.
    mass : str
        What the scale showed: "13.02 g".
    why : str

    Raises
    ------
    NotAllowed
        The entry is not a step.
    BadEntry
        The step has no such line, or no reason is given.
    NotEnough
        With the right mass the shelf would not hold enough for what followed.
    """
    asked = {"entry_no": entry_no, "line": line, "mass": mass, "why": why}
    with lab.act("correct weighing", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        entry = pen.look.entry(entry_no)
        if not isinstance(entry.body, StepDone):
            raise NotAllowed(
                "Only a step of a batch is put right here",
                worded("entry {entry_no}, {kind}", entry_no=entry_no, kind=entry.kind),
            )
        body = entry.body
        names = [one.line for one in body.weighings]
        if line not in names:
            raise BadEntry(
                worded(
                    "Entry {entry_no} weighed {told}", entry_no=entry_no, told=", ".join(names) or "nothing"
                ),
                line,
                "Name one of these lines",
            )
        at_line = names.index(line)
        old = body.weighings[at_line]
        apparatus = pen.look.apparatus(old.apparatus) if old.apparatus else None
        weighing = weigh(line, old.direction, old.lot, old.planned_g, mass, apparatus)
        weighings = tuple(weighing if at_one == at_line else one for at_one, one in enumerate(body.weighings))
        to_waste = {one.lot for one in body.movements if one.into == "waste"}
        corrected = replace(
            body, weighings=weighings, movements=movements_of_weighings(body.batch, weighings, to_waste)
        )
        number = pen.enter(corrected, why=_reason(why), corrects=entry_no)
        return Done(
            (number,),
            t("done.line_said_now_says", line=line, step=body.step, as_written=old.as_written, mass=mass),
        )


def correct_receipt(
    lab: Laboratory,
    entry_no: int,
    amount: str,
    *,
    why: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Put the amount of a received lot right.

    Raises
    ------
    NotAllowed
        The entry is not a receipt.
    NotEnough
        With the right amount the shelf would not hold enough for what followed.
    """
    asked = {"entry_no": entry_no, "amount": amount, "why": why}
    number_of, counted_in = amount_of(amount)
    with lab.act("correct receipt", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        entry = pen.look.entry(entry_no)
        if not isinstance(entry.body, LotReceived):
            raise NotAllowed(
                "Only a receipt is put right here",
                worded("entry {entry_no}, {kind}", entry_no=entry_no, kind=entry.kind),
            )
        old = entry.body
        moves = tuple(replace(one, amount=number_of, counted_in=counted_in) for one in old.movements)
        number = pen.enter(
            replace(old, movements=moves, as_written=amount), why=_reason(why), corrects=entry_no
        )
        return Done(
            (number,),
            t("done.receipt_said_now_says", lot_code=old.lot.code, as_written=old.as_written, amount=amount),
        )


def _reckon_again(pen: Pen, old_no: int, new_no: int, body: ReadingTaken) -> tuple[int, ...]:
    """New results in place of every one whose trail rests on the old reading, whatever lot they speak of."""
    numbers = []
    subjects = dict.fromkeys((*pen.look.lot_codes(), *(one.code for one in pen.look.batches())))
    results = [result for subject in subjects for result in pen.look.results(subject)]
    why = f"rests on entry {old_no}, corrected by {new_no}"
    for entry in results:
        if entry.body.what == DRYING and old_no in entry.body.readings:
            again = drying_result(pen.look, entry.body.subject, _readings_again(pen, entry, old_no, new_no))
            numbers.append(pen.enter(again, why=why, corrects=entry.entry_no))
            continue
        answer = from_trail(entry.body.trail)
        new = {
            one.key: _leaf_again(one, new_no, body)
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
    pen: Pen, entry: Entry[ResultReckoned], old_no: int, new_no: int
) -> list[Entry[ReadingTaken]]:
    """The readings of a drying, the corrected one in its place: whether the mass is constant is judged anew."""
    wanted = {new_no if one == old_no else one for one in entry.body.readings}
    return [one for one in pen.look.readings(entry.body.subject) if one.entry_no in wanted]


def _leaf_again(old: Answer, new_no: int, body: ReadingTaken) -> Answer:
    return reading(
        old.name,
        body.value,
        old.unit,
        f"entry {new_no}",
        entry_no=new_no,
        standard_uncertainty=old.standard_uncertainty,
        basis=old.basis,
    )


def _result_again(entry: Entry[ResultReckoned], answer: Answer, old_no: int, new_no: int) -> ResultReckoned:
    return replace(
        entry.body,
        value=answer.value,
        standard_uncertainty=answer.standard_uncertainty,
        trail=trail(answer),
        readings=tuple(new_no if one == old_no else one for one in entry.body.readings),
    )


def _value_in(text: str, symbol: str) -> float:
    if not symbol or re.fullmatch(NUMBER, text.strip()):
        return number_in(text, where="reading").value  # a bare number is in the unit of what it puts right
    dimension = unit(symbol).dimension
    return parse(
        text,
        want=dimension,
        basis_required=False,
        negative_allowed=dimension == "temperature",
        where="reading",
    ).in_unit(symbol)


def _reason(why: str) -> str:
    if not why.strip():
        raise BadEntry(
            "A correction says how the slip happened", "nothing", "Write the reason in a few words"
        )
    return why.strip()
