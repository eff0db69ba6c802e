"""What a book file says on its first page, read without opening it: whose it is, and how far it goes.

Nothing is written, made again or locked. Says nothing about whether the book holds; ``verify`` does.
"""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from stillroom.records.entries import BookBegun
from stillroom.store.engines import lying
from stillroom.store.journal import written_of


@dataclass(frozen=True, slots=True)
class Peek:
    """The first entry of a book, and the number of its last."""

    begun: BookBegun
    entry_no: int


def peek(path: Path) -> Peek | None:
    """Whose book a file is; None where it is none, or cannot be read.

    Parameters
    ----------
    path : Path
        A file.
    """
    try:
        with closing(sqlite3.connect(lying(path), uri=True)) as book:
            (first,) = book.execute("SELECT text FROM journal WHERE entry_no = 1").fetchone()
            (last,) = book.execute("SELECT max(entry_no) FROM journal").fetchone()
        body = written_of(first).entry.body
    except (sqlite3.Error, OSError, ValueError, TypeError, KeyError):
        return None
    return Peek(body, int(last)) if isinstance(body, BookBegun) else None
