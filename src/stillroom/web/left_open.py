"""What each look at a page has of its own, the key of a form and the time beside it: left open in a page that is kept.

Promises that whoever gets a kept page gets keys nobody had before, one for each form of it.
"""

import re
from collections.abc import Callable
from datetime import datetime
from itertools import count
from uuid import uuid4

from stillroom.evidence.rests_on import is_noticed

_MARK = uuid4().hex
"""Stands where something is left open; nobody who writes in the book can know it."""
_KEY, _TIME = re.compile(_MARK + r"\d+;"), _MARK + ";"
_numbers = count(1)


def new_key() -> str:
    """A key for a form that is opened now; in a page that may be kept, the place where it goes."""
    return f"{_MARK}{next(_numbers)};" if is_noticed() else uuid4().hex


def by_the_clock(now: Callable[[], datetime]) -> str:
    """The time a page is made at; in a page that may be kept, the place where it goes."""
    return _TIME if is_noticed() else now().isoformat(timespec="seconds")


def leaves_open(page: str) -> bool:
    """Whether a page has such a place."""
    return _MARK in page


def filled(page: str, now: datetime) -> str:
    """The page with its keys and the time."""
    keys: dict[str, str] = {}
    with_time = page.replace(_TIME, now.isoformat(timespec="seconds"))
    return _KEY.sub(lambda at: keys.setdefault(at[0], uuid4().hex), with_time)
