"""A moment as an entry for somebody's calendar: text/calendar as RFC 5545 has it, with an alarm.

Promises lines of 75 octets at most ended by CR LF, text escaped, times in UTC. Says nothing about repetition or
time zones: a moment is one moment everywhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

MOST_OCTETS = 75
MEDIA_TYPE = "text/calendar; charset=utf-8"


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One moment to be reminded of.

    Attributes
    ----------
    uid : str
        Unique in the world and the same whenever the same moment is offered again.
    at : datetime
        With its offset.
    title, says : str
    """

    uid: str
    at: datetime
    title: str
    says: str


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
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//stillroom//timers//EN", "CALSCALE:GREGORIAN"]
    for one in entries:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{_text(one.uid)}",
            f"DTSTAMP:{_utc(made_at)}",
            f"DTSTART:{_utc(one.at)}",
            f"SUMMARY:{_text(one.title)}",
            f"DESCRIPTION:{_text(one.says)}",
            "TRANSP:TRANSPARENT",
            "BEGIN:VALARM",
            "ACTION:DISPLAY",
            f"DESCRIPTION:{_text(one.title)}",
            "TRIGGER:PT0S",
            "END:VALARM",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(words: str) -> str:
    """Section 3.3.11: backslash, semicolon, comma and line break are escaped; no other control character may stand."""
    escaped = words.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    one_line = "\\n".join(escaped.splitlines())
    return "".join(one for one in one_line if one >= " " and one != "\x7f")


def _folded(line: str) -> str:
    """Section 3.1: a longer line goes on after a line break and one space, never within a character."""
    parts, part, room = [], "", MOST_OCTETS
    for one in line:
        if len(part.encode()) + len(one.encode()) > room:
            parts.append(part)
            part, room = "", MOST_OCTETS - 1
        part += one
    return "\r\n ".join([*parts, part])
