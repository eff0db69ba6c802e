"""Water or power goes off and comes back: one entry for every batch in hand, and what each of them stood at.

The times are when it happened, not when it was written. Nothing is reckoned from them: a clock ran on while a
process may have stood still, and only whoever looks can tell. See ``timers`` for what that means for a wait.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time
from typing import Literal, TypeAlias, Unpack

from stillroom.actions.bench.form_choices import in_hand, next_of
from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.documents.put_right import when
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import Entry, OutageNoted
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t, word

Cut: TypeAlias = Literal["water", "power", "water and power"]
CUTS: tuple[Cut, ...] = ("water", "power", "water and power")


@dataclass(frozen=True, slots=True)
class Outage:
    """One time that water or power was off.

    ``back_at``, ``back_by``: None while it is off.
    """

    what: Cut
    off_at: str
    """ISO time it went off."""
    off_by: str
    """Who noted it."""
    entry_no: int
    """Entry that notes it."""
    batches: dict[str, str]
    """Batch and the step it stood at."""
    back_at: str | None = None
    back_by: str | None = None
    back_entry_no: int | None = None
    """Entry that notes it came back."""

    @property
    def minutes(self) -> float | None:
        """How long it was off [min], None while it is."""
        if self.back_at is None:
            return None
        gone = datetime.fromisoformat(self.back_at) - datetime.fromisoformat(self.off_at)
        return gone.total_seconds() / 60


def note_outage(lab: Laboratory, what: str, **sign: Unpack[Signed]) -> Done:
    """Write that water or power went off, for every batch in hand.

    Parameters
    ----------
    what : str
        "water", "power" or "water and power".

    Raises
    ------
    BadEntry
        It is none of these, or it is noted as off already.
    """
    cut = _cut(what)
    with lab.act("note outage", {"what": cut}, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if any(one.what == cut for one in open_outages(pen.look)):
            raise BadEntry(
                "What is off goes off once",
                worded("{cut}, which is noted as off already", cut=cut),
                "Write when it came back first",
                where="what",
            )
        standing = dict(_in_hand(pen.look))
        number = pen.enter(OutageNoted(cut, False, tuple(standing), tuple(standing.values())))
        off = word(cut).capitalize()
        if not standing:
            return Done((number,), t("{cut} off is noted with no batch in hand.", cut=off))
        return Done((number,), t("{cut} off is noted for {batches}.", cut=off, batches=", ".join(standing)))


def end_outage(
    lab: Laboratory, what: str, *, by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """Write that water or power is back.

    Parameters
    ----------
    what : str
        What was noted as off.
    at : datetime or None
        When it came back; now when None.

    Raises
    ------
    BadEntry
        It is not noted as off, or it would be back before it went.
    """
    cut = _cut(what)
    with lab.act("end outage", {"what": cut}, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        off = next((one for one in open_outages(pen.look) if one.what == cut), None)
        if off is None:
            raise BadEntry(
                "What comes back was off",
                worded("{cut}, which is not noted as off", cut=cut),
                "Note first when it went off",
            )
        back_at = at or lab.clock()
        if back_at.tzinfo is None:
            back_at = back_at.replace(tzinfo=lab.clock().tzinfo)
        if back_at < datetime.fromisoformat(off.off_at):
            raise BadEntry(
                "It comes back after it went off",
                worded(
                    "{back_at:%Y-%m-%d %H:%M}, where it went at {off_at}",
                    back_at=back_at,
                    off_at=off.off_at[:16].replace("T", " "),
                ),
                "Give the time it came back",
                where="at",
            )
        number = pen.enter(OutageNoted(cut, True, tuple(off.batches), tuple(off.batches.values())))
        return Done(
            (number,),
            t("{cut} back is noted. Look at each batch before you go on.", cut=word(cut).capitalize()),
        )


def _fields(_: Reader, entry: Entry[OutageNoted]) -> tuple[Field, ...]:
    body = entry.body
    return (Field("reading", f"{body.what} {'back' if body.is_back else 'off'}", when(entry.done_at)),)


def _applies(pen: BookWriter, entry: Entry[OutageNoted], changed: Mapping[str, str], why: str) -> Done:
    """Only the time is put right: "14:20" of the same day, or "2026-11-25 14:20"."""
    right = _time_of(changed["reading"], datetime.fromisoformat(entry.done_at))
    if right > datetime.fromisoformat(pen.entered_at):
        raise BadEntry(
            "It was off or back by now", repr(changed["reading"]), "Look at the clock", where="reading"
        )
    _must_lie_in_order(pen.look, entry.entry_no, entry.body.is_back, right)
    number = enter_again(pen, entry, entry.body, why, done_at=right.isoformat())
    name = (
        later("Entry {entry_no} said {what} back at {was}; it now says {now}.")
        if entry.body.is_back
        else later("Entry {entry_no} said {what} off at {was}; it now says {now}.")
    )
    what = word(entry.body.what)
    before, after = when(entry.done_at), when(right.isoformat())
    return Done((number,), t(name, entry_no=entry.entry_no, what=what, was=before, now=after))


OUTAGE = Way(_fields, _applies, later("What was done is not moved; only this time is."))


def _must_lie_in_order(look: Reader, entry_no: int, is_back: bool, right: datetime) -> None:
    """It comes back after it went off, with the new time too."""
    for one in outages(look):
        if one.back_at is None or entry_no not in (one.entry_no, one.back_entry_no):
            continue
        off_at, back_at = (datetime.fromisoformat(at) for at in (one.off_at, one.back_at))
        off_at, back_at = (off_at, right) if is_back else (right, back_at)
        if back_at < off_at:
            raise BadEntry(
                "It comes back after it went off",
                worded(
                    "{off} off and {back} back",
                    off=when(off_at.isoformat()),
                    back=when(back_at.isoformat()),
                ),
                "Give the time it happened",
                where="reading",
            )


def _time_of(text: str, was: datetime) -> datetime:
    """A time of the same day, or of the day that is written."""
    clean = text.strip()
    try:
        if len(clean) <= 5:
            return datetime.combine(was.date(), time.fromisoformat(clean.zfill(5)), tzinfo=was.tzinfo)
        right = datetime.fromisoformat(clean)
    except ValueError as trouble:
        raise BadEntry(
            "A time is written 14:20 or 2026-11-25 14:20", repr(text[:40]), where="reading"
        ) from trouble
    return right if right.tzinfo else right.replace(tzinfo=was.tzinfo)


def outages_now(lab: Laboratory) -> tuple[Outage, ...]:
    """What is off now, by the book."""
    with lab.look() as look:
        return open_outages(look)


def open_outages(look: Reader) -> tuple[Outage, ...]:
    """The same, from a book already open."""
    return tuple(one for one in outages(look) if one.back_at is None)


def outages_of(look: Reader, batch: str) -> tuple[Outage, ...]:
    """Every time it was off while a batch was in hand, the first one first."""
    return tuple(one for one in outages(look) if batch in one.batches)


def cut_lines(look: Reader, batch: str) -> tuple[tuple[str, str, str, str], ...]:
    """Every cut of a batch as a line among what went otherwise: step, what, what is known of its end, by whom."""
    found = []
    for one in outages_of(look, batch):
        end = (
            "not back yet"
            if one.back_at is None
            else f"back {when(one.back_at)}, after {one.minutes:.0f} min"
        )
        names = dict.fromkeys(name for name in (one.off_by, one.back_by) if name)
        found.append((one.batches[batch], f"{one.what} off at {when(one.off_at)}", end, ", ".join(names)))
    return tuple(found)


def outages(look: Reader) -> tuple[Outage, ...]:
    """Every time water or power was off, the first one first, by the times that stand after corrections."""
    found: list[Outage] = []
    for entry in sorted(look.outages(), key=lambda one: (datetime.fromisoformat(one.done_at), one.entry_no)):
        if not entry.body.is_back:
            found.append(_gone(entry))
            continue
        for at, one in enumerate(found):
            if one.what == entry.body.what and one.back_at is None:
                found[at] = _back(one, entry)
    return tuple(found)


def _gone(entry: Entry[OutageNoted]) -> Outage:
    standing = dict(zip(entry.body.batches, entry.body.steps, strict=True))
    return Outage(entry.body.what, entry.done_at, entry.by, entry.entry_no, standing)


def _back(off: Outage, entry: Entry[OutageNoted]) -> Outage:
    return Outage(
        off.what, off.off_at, off.off_by, off.entry_no, off.batches, entry.done_at, entry.by, entry.entry_no
    )


def _in_hand(look: Reader) -> tuple[tuple[str, str], ...]:
    found = (next_of(look, code) for code in in_hand(look))
    return tuple((one.batch, one.step) for one in found)


def _cut(what: str) -> Cut:
    for one in CUTS:
        if one == what:
            return one
    raise BadEntry(
        worded("What is off is {cuts} or {last}", cuts=", ".join(CUTS[:-1]), last=CUTS[-1]),
        repr(what),
        where="what",
    )
