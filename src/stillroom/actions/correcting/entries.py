"""Putting an entry right: a new entry that names the old one, once, with the reason. Both stay to be read.

``WAYS`` is the table: a kind of entry, and how it is put right. Results that rest on a corrected reading are reckoned
again at once by the same functions. What was decided on the old figures (a dose in the beaker, a release) is not
changed: it is listed.
"""

from collections.abc import Mapping
from typing import Any, Unpack

from stillroom.actions.bench.outages import OUTAGE
from stillroom.actions.book.correction import Field, Way, reason_of
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.correcting.batches import BEGUN, DEVIATION
from stillroom.actions.correcting.doses import DOSE
from stillroom.actions.correcting.fillings import FILLING
from stillroom.actions.correcting.moves import MOVED
from stillroom.actions.correcting.names import APPARATUS, DUTIES, ORDER, PERSON
from stillroom.actions.correcting.readings import READING
from stillroom.actions.correcting.receipts import RECEIPT
from stillroom.actions.correcting.steps import STEP
from stillroom.actions.making.giving_up import GIVEN_UP
from stillroom.actions.shelf.goods_under_way import GOODS
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.records.entries import (
    ApparatusAdded,
    BatchBegun,
    BatchGivenUp,
    DeviationNoted,
    DoseDecided,
    DutiesGiven,
    Entry,
    GoodsOrdered,
    LotReceived,
    Moved,
    OrderTaken,
    OutageNoted,
    PersonJoined,
    ReadingTaken,
    StepDone,
    UnitsFilled,
)
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

NOTHING_YET = ("", "not named yet")
"""What a field says where nothing was said; to fill it is no error, and asks for no reason."""
WAYS: Mapping[type, Way] = {
    ReadingTaken: READING,
    StepDone: STEP,
    DoseDecided: DOSE,
    UnitsFilled: FILLING,
    BatchBegun: BEGUN,
    BatchGivenUp: GIVEN_UP,
    DeviationNoted: DEVIATION,
    LotReceived: RECEIPT,
    Moved: MOVED,
    OutageNoted: OUTAGE,
    GoodsOrdered: GOODS,
    OrderTaken: ORDER,
    PersonJoined: PERSON,
    DutiesGiven: DUTIES,
    ApparatusAdded: APPARATUS,
}


def put_right(
    lab: Laboratory, entry_no: int, said: Mapping[str, str], *, why: str, **sign: Unpack[Signed]
) -> Done:
    """Put an entry right, whichever kind it is.

    Parameters
    ----------
    said : mapping of str to str
        What its fields should have said; a field that says what stands there already is left alone.
    why : str
        How the slip happened.

    Raises
    ------
    NotAllowed
        Entries of that kind are not put right, or this one was.
    UnknownName
        The entry has no such field.
    BadEntry
        No reason is given where something stood, nothing differs, or what is said cannot be read.
    """
    asked = {"entry_no": entry_no, "said": dict(said), "why": why}
    with lab.act("put right", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        entry = pen.look.entry(entry_no)
        way = _way_of(entry)
        standing = {one.name: one for one in fields_of(pen.look, entry)}
        for name in said:
            if name not in standing:
                raise UnknownName.among(name, f"a field of entry {entry_no}", standing)
        changed = {name: text.strip() for name, text in said.items() if text.strip() != standing[name].says}
        if not changed and len(said) > 1:
            raise BadEntry(
                "A correction says something else than the entry",
                "the same as it says now",
                "Change what was wrong",
            )
        blank = bool(changed) and all(standing[name].says.strip() in NOTHING_YET for name in changed)
        return way.applies(pen, entry, changed or said, reason_of(why or (t("said later") if blank else "")))


def correct_entry(
    lab: Laboratory, entry_no: int, text: str, *, why: str, line: str = "", **sign: Unpack[Signed]
) -> Done:
    """Put one thing right that an entry says.

    Parameters
    ----------
    text : str
        What it should have said: "8.42 mL", "13.02 g".
    why : str
        How the slip happened.
    line : str
        Line of the step whose mass was wrong, or the name of another field; the first field when empty, where no other
        line could be meant.

    Raises
    ------
    NotAllowed, UnknownName, BadEntry
        As for ``put_right``.
    """
    with lab.look() as look:
        fields = fields_of(look, look.entry(entry_no))
    names = [one.name for one in fields]
    if line and f"mass {line}" in names:
        line = f"mass {line}"
    if line not in ("", *names):
        raise UnknownName.among(
            line,
            f"a line of entry {entry_no}",
            [name for one in fields for name in (one.line, one.name) if name],
        )
    lines = dict.fromkeys(one.line for one in fields if one.line)
    if not line and len(lines) > 1:
        raise BadEntry(
            worded("Entry {entry_no} says several things", entry_no=entry_no),
            "no line",
            worded("Say which is corrected: {lines}", lines=", ".join(lines)),
            where="line",
        )
    return put_right(lab, entry_no, {line or names[0]: text}, why=why, **sign)


def correct_reading(lab: Laboratory, entry_no: int, text: str, *, why: str, **sign: Unpack[Signed]) -> Done:
    """Put a reading right, and reckon again every result that rests on it."""
    return put_right(lab, entry_no, {"reading": text}, why=why, **sign)


def correct_weighing(
    lab: Laboratory, entry_no: int, line: str, mass: str, *, why: str, **sign: Unpack[Signed]
) -> Done:
    """Put one weighing of a step right; the movement follows it."""
    return put_right(lab, entry_no, {f"mass {line}": mass}, why=why, **sign)


def fields_of(look: Reader, entry: Entry[Any]) -> tuple[Field, ...]:
    """What of an entry may be put right.

    Raises
    ------
    NotAllowed
        Entries of that kind are not put right, or this one was.
    """
    way = _way_of(entry)
    if entry.corrected_by is not None:
        raise NotAllowed(
            "An entry is corrected once",
            worded(
                "entry {entry_no}, corrected by {corrected_by}",
                entry_no=entry.entry_no,
                corrected_by=entry.corrected_by,
            ),
            worded("Open entry {corrected_by}", corrected_by=entry.corrected_by),
        )
    return way.fields(look, entry)


def correction_in_hand(lab: Laboratory, entry_no: int) -> tuple[Entry[Any], tuple[Field, ...], str]:
    """An entry, what of it may be put right, and the name of the sentence that says what follows.

    Raises
    ------
    NotAllowed
        Entries of that kind are not put right, or this one was.
    """
    with lab.look() as look:
        entry = look.entry(entry_no)
        return entry, fields_of(look, entry), _way_of(entry).follows


def fields_asked(lab: Laboratory, entry_no: int) -> tuple[Field, ...]:
    """What the form of a correction asked, also once it was taken: sent again, it is the same request."""
    with lab.look() as look:
        entry = look.entry(entry_no)
        return _way_of(entry).fields(look, entry)


def may_be_put_right(entry: Entry[Any]) -> bool:
    """Whether an entry can be put right: its kind has a way, and nobody did it before."""
    return entry.corrected_by is None and type(entry.body) in WAYS


def _way_of(entry: Entry[Any]) -> Way:
    way = WAYS.get(type(entry.body))
    if way is None:
        raise NotAllowed(
            "An entry of this kind is followed by another, not corrected",
            worded("entry {entry_no}, {kind}", entry_no=entry.entry_no, kind=entry.kind),
            "Write a new entry that says what holds now",
        )
    return way
