"""Whether a titrant may give a result on a day: its use-by, its days since it was first set, the age of its factor.

Promises a sentence for each reason it may not. Days follow the rule of the titrant and the warmth of the room as it was
noted last by then; where nobody noted it, the days stated for a room of 25 °C, and that is said.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from stillroom.answers.titrant_factor import STATED_AT_C, days_it_serves
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.planning.house_said import asked_of
from stillroom.records.conditions import Condition
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.store.reader import Reader
from stillroom.substances.titrants import TitrantLife, titrant_life

ROOM = "room temperature"
STRENGTH = "titrant strength"
FACTOR = "titrant factor"
VOID_FACTOR = "titrant factor, void"
"""What a factor is called once its readings, put right, give none any more."""


@dataclass(frozen=True, slots=True)
class TitrantDates:
    """Until when a titrant serves."""

    factor_until: date | None
    """None where it has no factor yet."""
    use_by: date | None
    """Earliest of its own date and of the rule; None where neither is known."""
    room: Condition | None
    """How warm the room was when it was noted last."""
    of: TitrantLife

    @property
    def at_room(self) -> str:
        """The room in words, for a sentence."""
        if self.room is None:
            return f"at {STATED_AT_C:g} °C, since nobody noted the room"
        return f"at {self.room.as_written} in the room"

    def why_not(self, lot: str, on: date) -> str:
        """Why it gives no result on a day; "" where it may."""
        if self.factor_until is None:
            return f"{lot} has no factor: weigh its primary standard and set it"
        if self.use_by and on > self.use_by:
            return f"{lot} was past its use-by, {self.use_by.isoformat()} {self.at_room}: make it fresh"
        if on > self.factor_until:
            return (
                f"the factor of {lot} served until {self.factor_until.isoformat()} {self.at_room}: set it again, and "
                "titrate again"
            )
        return ""


def last_set(look: Reader, lot: str, what: str) -> Entry[ReadingTaken] | None:
    """The strength or factor of a titrant that was set last, whenever an older one was put right.

    Parameters
    ----------
    what : str
        ``STRENGTH`` or ``FACTOR``.
    """
    return max(reversed(look.readings(lot, what)), key=_at, default=None)


def titrant_dates(look: Reader, lot: str, when: datetime) -> TitrantDates:
    """Until when a titrant serves, as the book stood at a time.

    Parameters
    ----------
    lot : str
        Titrant.
    when : datetime
        When it is used.
    """
    known = look.lot(lot)
    of = titrant_life(f"{known.substance} {known.name}")
    room = _room_by(look, when)
    factors = sorted((one for one in look.readings(lot, FACTOR) if _at(one) <= when), key=_at)
    own = date.fromisoformat(known.use_by) if known.use_by else None
    if not factors or not look.readings(lot, STRENGTH):
        return TitrantDates(None, own, room, of)
    warm = _answer(room)
    last, first = _at(factors[-1]).date(), _at(factors[0]).date()
    by_rule = first + timedelta(days=int(days_it_serves(warm, of, "life").value))
    until = last + timedelta(days=int(days_it_serves(warm, of, "factor").value))
    return TitrantDates(until, min(by_rule, own) if own else by_rule, room, of)


def _room_by(look: Reader, when: datetime) -> Condition | None:
    asked_of(ROOM)
    noted = [one for one in look.conditions(ROOM) if datetime.fromisoformat(one.done_at) <= when]
    if not noted:
        return None
    body = noted[-1].body
    return Condition(ROOM, body.value, body.unit, body.as_written, noted[-1].done_at, noted[-1].entry_no)


def _answer(room: Condition | None) -> Answer:
    if room is None:
        return assumed(ROOM, STATED_AT_C, "°C", "nobody noted it: the temperature the rules are stated for")
    return reading(ROOM, room.value, "°C", f"entry {room.entry_no}", entry_no=room.entry_no)


def _at(entry: Entry[ReadingTaken]) -> datetime:
    return datetime.fromisoformat(entry.done_at)
