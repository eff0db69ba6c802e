"""Whether the times of an entry can be: a clock that ran back or leapt, and a day nobody wrote about, are asked about.

Promises nothing about what the right time is. Whoever says that the time is right writes the entry, and the entry
carries the doubt for good. Time in a practice laboratory is invented, and not asked about.
"""

from contextvars import ContextVar
from datetime import datetime, timedelta

from stillroom.errors import BadEntry, worded
from stillroom.store.reader import Reader

TIME_IS_RIGHT: ContextVar[bool] = ContextVar("the time is right", default=False)
"""Set by a door where whoever writes was asked, and said so."""
MAY_RUN_BACK = timedelta(minutes=5)
"""How far a clock is set back by the network without anybody minding (chosen)."""
LONGEST_PAUSE = timedelta(days=400)
"""A book that nobody wrote in for so long is likelier to have a clock that leapt (chosen)."""
BEFORE_THE_BOOK = timedelta(days=5 * 366)
"""How long before its book was begun something may have been done that is entered later (chosen)."""
FIRST_YEAR, LAST_YEAR = 2025, 2079
"""Before the first nobody could run this; after the last it has outlived everybody's plans (chosen)."""


def doubt_of(look: Reader, entered: datetime, done: datetime) -> str:
    """Why the times of an entry cannot be, in one sentence; "" where they can.

    Parameters
    ----------
    look : Reader
        The book it goes into.
    entered, done : datetime
        When it is written down, and when it was done.
    """
    begun = look.book()
    if begun.practice:
        return ""
    if odd := doubt_of_clock(entered):
        return odd
    last = datetime.fromisoformat(look.entry(look.head.entry_no).entered_at)
    if entered < last - MAY_RUN_BACK:
        return worded(
            "the clock ran back: it is at {entered:%Y-%m-%d %H:%M}, the last entry of {last:%Y-%m-%d %H:%M}",
            entered=entered,
            last=last,
        )
    if entered > last + LONGEST_PAUSE:
        return worded(
            "the clock leapt: it is at {entered:%Y-%m-%d}, and the last entry was written on {last:%Y-%m-%d}",
            entered=entered,
            last=last,
        )
    first = datetime.fromisoformat(look.entry(1).entered_at)
    if done < first - BEFORE_THE_BOOK:
        return worded(
            "it was done on {done}, years before the book was begun on {first:%Y-%m-%d}",
            done=done.date().isoformat(),
            first=first,
        )
    return ""


def doubt_of_clock(entered: datetime) -> str:
    """Why a clock cannot be right, whatever stands in the book; "" where it can."""
    if FIRST_YEAR <= entered.year <= LAST_YEAR:
        return ""
    return worded("the clock of this machine is at {entered}", entered=entered.date().isoformat())


def must_be_right(doubt: str) -> str:
    """The doubt, to be kept with the entry, where whoever writes says that the time is right all the same.

    Raises
    ------
    BadEntry
        There is a doubt, and nobody said so.
    """
    if doubt and not TIME_IS_RIGHT.get():
        raise BadEntry(
            "The time of an entry must be one that can be",
            doubt,
            "Set the clock, or the time it was done. Where the time is right, say so: the entry keeps the doubt",
            where="at",
        )
    return str(doubt)
