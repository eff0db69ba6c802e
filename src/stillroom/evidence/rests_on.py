"""What something rests on besides the head of the book: noticed by whoever looks, told to whoever keeps the result.

Promises that whoever reads the clock, or anything that stands outside the journal, says so here, so that a page is kept
only as long as it would be made the same again.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

THE_MOMENT = "the moment"
"""Something that may be another the next time it is looked at: nothing that rests on it is kept."""
THE_DAY = "the day"
PINS = "who has a PIN"

_NOTICED: ContextVar[dict[str, object] | None] = ContextVar("rests on", default=None)


@contextmanager
def noticing() -> Iterator[dict[str, object]]:
    """Find what is looked at within, with what was found; whoever notices around it is told nothing."""
    found: dict[str, object] = {}
    before = _NOTICED.set(found)
    try:
        yield found
    finally:
        _NOTICED.reset(before)


def rests_on(what: str, found: object = None) -> None:
    """Say that whatever is being made rests on this.

    Parameters
    ----------
    found : object
        What it was found to be; when it is another, what was made no longer holds.
    """
    noticed = _NOTICED.get()
    if noticed is not None:
        noticed[what] = found


def is_noticed() -> bool:
    """Whether somebody notices, so as to keep what is being made."""
    return _NOTICED.get() is not None
