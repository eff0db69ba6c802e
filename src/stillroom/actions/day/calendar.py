"""The schedule for somebody's calendar: when hands are needed, and when what runs is ready."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.day.live import live_day
from stillroom.documents.calendar_entry import CalendarEntry, calendar_text
from stillroom.documents.day_shown import shown_day
from stillroom.errors import BadEntry
from stillroom.texts.catalogue import t


def day_calendar(lab: Laboratory) -> str:
    """Every coming stretch of hands, and every end of what somebody watches or what runs alone.

    Raises
    ------
    BadEntry
        No day is laid out.
    """
    now = lab.clock()
    with lab.look() as look:
        day = live_day(look, now)
        book_id = look.book().book_id
    if day is None:
        raise BadEntry("A calendar needs a day that is laid out", "none", "Lay out the day first")
    found = []
    for one in shown_day(day.kept.jobs, day.kept.bench, day.schedule, day.over):
        if one.is_over or one.ends_min <= day.now_min:
            continue
        hands = one.attention == "hands"
        title = f"{one.person}: {one.words}" if hands else t("{what} is ready", what=one.words)
        at = day.moment(one.begins_min if hands else one.ends_min)
        uid = f"{one.job}-{one.stretch}@{book_id}".replace(" ", "-").replace("/", "-")
        until = day.moment(one.ends_min) if hands else None
        found.append(CalendarEntry(uid, at, title, one.says or one.title, until))
    return calendar_text(found, made_at=now)
