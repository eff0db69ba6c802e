"""A calendar entry as RFC 5545 has it. Section 3.1 was opened in a public copy; 3.3.11 and 3.6 are from memory."""

from datetime import UTC, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.calendar_entry import CalendarEntry, calendar_text

MADE = datetime(2026, 11, 5, 8, 0, tzinfo=UTC)
ZONE = timezone(timedelta(hours=5, minutes=30))


def entry(title: str = "E1: moisten is ready", says: str = "since 08:15, ready 12:15") -> CalendarEntry:
    return CalendarEntry("E1-moisten-ready@book", datetime(2026, 11, 5, 17, 45, tzinfo=ZONE), title, says)


def unfolded(text: str) -> list[str]:
    """Lines as a reader of the format sees them: a line break with a space after it is no line break."""
    assert text.endswith("\r\n")
    return text.removesuffix("\r\n").replace("\r\n ", "").split("\r\n")


def plain(value: str) -> str:
    """TEXT without its escapes, section 3.3.11."""
    found, at = "", 0
    while at < len(value):
        if value[at] == "\\":
            found += {"n": "\n", "N": "\n"}.get(value[at + 1], value[at + 1])
            at += 2
        else:
            assert value[at] not in ",;"
            found, at = found + value[at], at + 1
    return found


def value_of(lines: list[str], name: str) -> str:
    return next(line.partition(":")[2] for line in lines if line.partition(":")[0] == name)


def test_a_calendar_has_what_the_standard_requires_in_its_order() -> None:
    lines = unfolded(calendar_text([entry()], made_at=MADE))

    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    assert value_of(lines, "VERSION") == "2.0"
    assert value_of(lines, "PRODID")
    event = lines[lines.index("BEGIN:VEVENT") : lines.index("END:VEVENT")]
    assert {"UID", "DTSTAMP", "DTSTART"} <= {line.partition(":")[0] for line in event}
    alarm = event[event.index("BEGIN:VALARM") : event.index("END:VALARM")]
    assert {"ACTION", "TRIGGER", "DESCRIPTION"} <= {line.partition(":")[0] for line in alarm}


def test_times_stand_in_universal_time() -> None:
    lines = unfolded(calendar_text([entry()], made_at=MADE))

    # 17:45 at +05:30 is 12:15 in universal time.
    assert value_of(lines, "DTSTART") == "20261105T121500Z"
    assert value_of(lines, "DTSTAMP") == "20261105T080000Z"


@given(st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), max_size=300))
def test_any_words_come_back_whole_from_lines_of_75_octets_at_most(words: str) -> None:
    text = calendar_text([entry(says=words)], made_at=MADE)
    lines = text.encode().split(b"\r\n")

    assert max(len(line) for line in lines) <= 75
    assert all(line.decode() is not None for line in lines)  # no character is cut in two
    assert b"\n" not in text.encode().replace(b"\r\n", b"")
    assert plain(value_of(unfolded(text), "DESCRIPTION")) == words


def test_a_line_break_in_a_note_cannot_begin_a_line_of_its_own() -> None:
    lines = unfolded(calendar_text([entry(says="done\r\nATTENDEE:mailto:x\nEND:VEVENT")], made_at=MADE))

    assert [line for line in lines if line.startswith("ATTENDEE")] == []
    assert lines.count("END:VEVENT") == 1
