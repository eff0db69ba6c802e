"""A moment or a span as an entry for somebody's calendar: text/calendar with an alarm at its beginning.

Times go out in UTC: a moment is one moment everywhere. Says nothing about repetition.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

MEDIA_TYPE = "text/calendar; charset=utf-8"


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One moment to be reminded of, or one span of work."""

    uid: str
    """Unique in the world and the same whenever the same moment is offered again."""
    at: datetime
    """With its offset."""
    title: str
    says: str
    until: datetime | None = None
    """Where it is a span."""


def calendar_text(entries: Sequence[CalendarEntry], *, made_at: datetime) -> str:
    """Moments as a calendar that a telephone can take up.

    Parameters
    ----------
    entries : sequence of CalendarEntry
        At least one, since a calendar without a component is none.
    made_at : datetime
        When the text is made.

    References
    ----------
    rfc-5545
    """
    from icalendar import Alarm, Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//stillroom//timers//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    for one in entries:
        event = Event()
        event.add("uid", _plain(one.uid))
        event.add("dtstamp", made_at.astimezone(UTC))
        event.add("dtstart", one.at.astimezone(UTC))
        if one.until is not None:
            event.add("dtend", one.until.astimezone(UTC))
        event.add("summary", _plain(one.title))
        event.add("description", _plain(one.says))
        event.add("transp", "TRANSPARENT")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", _plain(one.title))
        alarm.add("trigger", timedelta(0))
        event.add_component(alarm)
        calendar.add_component(event)
    written: bytes = calendar.to_ical()
    return written.decode()


def _plain(words: str) -> str:
    """No control character but the line break may stand (section 3.3.11)."""
    return "".join(
        one for one in "\n".join(words.splitlines()) if (one >= " " and one != "\x7f") or one == "\n"
    )
