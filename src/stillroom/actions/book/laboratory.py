"""A laboratory on disk: a folder with its book, opened here and nowhere else.

``Laboratory`` is what every action takes first. The clock stands here, so that nothing below ever asks the time.
"""

import os
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import wraps
from importlib import import_module
from pathlib import Path
from types import TracebackType
from typing import Any, NotRequired, TypedDict
from uuid import uuid4

from stillroom.actions.book.clock import doubt_of, doubt_of_clock, must_be_right
from stillroom.actions.book.own_held import own_of
from stillroom.errors import BadEntry, BookTrouble, worded
from stillroom.evidence.rests_on import THE_DAY, THE_MOMENT, noticing, rests_on
from stillroom.evidence.seal import seal
from stillroom.records.entries import BookBegun, PersonJoined
from stillroom.records.people import Person
from stillroom.store.book import Book
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.own import Own, forget, knowing

BOOK_FILE = "laboratory.book"
SERVER_FILE = "laboratory.server"
"""File of a laboratory whose book stands on a PostgreSQL server: it names the address, and nobody else reads it."""
FILES_FOLDER = "laboratory.files"
AS_IT_STANDS = "the book as it stands"
A_LITTLE_AHEAD = timedelta(minutes=5)
AFTER_AN_ACT = "stillroom.actions.releasing.after_release"
"""What looks after every act, by name: it reads releases, which stand above this."""

_ONE_LOOK: ContextVar[tuple[Book | None, Reader | None]] = ContextVar("one look", default=(None, None))


def _now() -> datetime:
    return datetime.now(UTC).astimezone()


def _noticed(clock: Callable[[], datetime]) -> Callable[[], datetime]:
    @wraps(clock)
    def read() -> datetime:
        rests_on(THE_MOMENT)
        return clock()

    return read


class Signed(TypedDict):
    """Who did it, when, and what a repeated request is told by: what every act is signed with."""

    by: str
    """Code of the person."""
    at: NotRequired[datetime | None]
    """When it was done; now when None. Must not lie ahead of the clock."""
    request_key: NotRequired[str | None]
    """The same key with the same words gives the first entry's number again."""


@dataclass(frozen=True, slots=True)
class Laboratory:
    """An open laboratory."""

    book: Book
    folder: Path
    """Where the book and its documents stand."""
    clock: Callable[[], datetime] = field(default=_now)
    """Gives the time now, with its offset."""
    asks_pin: Callable[["Laboratory", str], None] | None = None
    """Takes the laboratory and who signs, and raises unless the person proves it; None where the door has
    asked already."""
    _within: ExitStack = field(default_factory=ExitStack, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Let whoever keeps what is made know that the clock was read."""
        object.__setattr__(self, "clock", _noticed(self.clock))

    def today(self) -> date:
        """The day it is."""
        with noticing():
            on = self.clock().date()
        rests_on(THE_DAY, on)
        return on

    def __enter__(self) -> "Laboratory":
        self._within.enter_context(self.knowing_its_own())
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._within.close()
        self.book.close()

    @contextmanager
    def look(self) -> Iterator[Reader]:
        """Read the book as it stands now; what it holds of its own is found while it is open."""
        book, within = _ONE_LOOK.get()
        if within is not None and book is self.book:
            yield within
            return
        with self.book.look() as reader, knowing(lambda: own_of(reader), of=AS_IT_STANDS):
            yield reader

    @contextmanager
    def one_look(self) -> Iterator[Reader]:
        """Read the book as it stands now; every look within is this one, so that nothing is written within."""
        with self.look() as reader:
            before = _ONE_LOOK.set((self.book, reader))
            try:
                yield reader
            finally:
                _ONE_LOOK.reset(before)

    @contextmanager
    def knowing_its_own(self) -> Iterator[None]:
        """Let what the book holds of its own be found where the book itself is not open."""

        def read() -> Own:
            with self.book.look() as reader:
                return own_of(reader)

        with knowing(read, of=AS_IT_STANDS):
            yield

    @contextmanager
    def act(
        self,
        action: str,
        asked: Mapping[str, Any],
        *,
        by: str,
        at: datetime | None = None,
        request_key: str | None = None,
    ) -> Iterator[BookWriter]:
        """Take the pen for one action.

        Parameters
        ----------
        action : str
            Name of the action; with ``asked`` it tells a repeated request from a different one.
        asked : mapping
            What was asked, as JSON content.
        by, at, request_key
            As ``Signed`` tells them.

        Raises
        ------
        BadEntry
            The time lies in the future, the clock ran back or leapt and nobody says that it is right, or the key was
            used for something else.
        """
        if self.asks_pin:
            self.asks_pin(self, by)
        entered = self.clock()
        done = entered if at is None else at
        if done.tzinfo is None:
            done = done.replace(tzinfo=entered.tzinfo)
        if done > entered + A_LITTLE_AHEAD:
            raise BadEntry(
                "What is written must have been done already",
                worded(
                    "{done:%Y-%m-%d %H:%M}, which is after {entered:%Y-%m-%d %H:%M}",
                    done=done,
                    entered=entered,
                ),
                "Give the time it was done",
            )
        with (
            self.book.pen(
                by=by,
                at=done.isoformat(timespec="seconds"),
                entered_at=entered.isoformat(timespec="seconds"),
                request_key=request_key,
                asked=seal({"action": action, "asked": dict(asked), "by": by}),
            ) as pen,
            knowing(lambda: own_of(pen.look), of=AS_IT_STANDS),
        ):
            if not pen.earlier:
                pen.doubt = must_be_right(doubt_of(pen.look, entered, done))
            yield pen
            if not pen.earlier:
                import_module(AFTER_AN_ACT).look_after(self, pen)
        forget()


@dataclass(frozen=True, slots=True)
class Done:
    """What an action left behind."""

    entries: tuple[int, ...]
    """Numbers of the entries written, or of those written earlier under the same request key."""
    says: str = ""
    """One sentence for the person."""

    @property
    def entry_no(self) -> int:
        """Number of the last entry."""
        return self.entries[-1]


def begin_laboratory(
    folder: Path,
    name: str,
    first_person: Person,
    *,
    practice: bool = False,
    altitude_m: float | None = None,
    clock: Callable[[], datetime] = _now,
    book_id: str | None = None,
    at_server: str = "",
) -> Laboratory:
    """Begin an empty laboratory in a folder.

    Parameters
    ----------
    folder : Path
        Made when it does not exist; must not hold a book yet.
    name : str
        Printed on every document.
    first_person : Person
        The person who begins it.
    practice : bool
        True marks every page and print as invented.
    altitude_m : float or None
        Height of the laboratory above the sea, for boiling points. [m]
    clock : callable
        Gives the time now.
    book_id : str or None
        A fixed identity, for rehearsals that must come out the same.
    at_server : str
        ``postgresql+psycopg://...`` of an empty database the book stands in; "" for a file in the folder.

    Raises
    ------
    BookTrouble
        A book stands there already.
    BadEntry
        No laboratory lies that high, or the clock cannot be right and nobody says that it is.
    """
    if altitude_m is not None and not -450.0 <= altitude_m <= 5000.0:
        raise BadEntry(
            "A laboratory lies between -450 and 5000 m",
            f"{altitude_m:g} m",
            "Look at a map",
            where="altitude",
        )
    made_folder(folder)
    where = folder / BOOK_FILE
    if holds_a_book(folder):
        raise BookTrouble(
            "A new laboratory needs a place without a book", str(where), "Choose another folder"
        )
    if not practice:
        must_be_right(doubt_of_clock(clock()))
    at = clock().isoformat(timespec="seconds")
    begun = BookBegun(book_id or uuid4().hex, 1, name, practice, altitude_m)
    first = PersonJoined(first_person)
    if not at_server:
        return Laboratory(Book.begin(where, begun, first, by=first_person.code, at=at), folder, clock)
    book = Book.begin(at_server, begun, first, by=first_person.code, at=at, files=folder / FILES_FOLDER)
    keep_address(folder, at_server)
    return Laboratory(book, folder, clock)


def keep_address(folder: Path, at_server: str) -> None:
    """Write down in a folder on which server its book stands; nobody else of the machine may read it.

    Parameters
    ----------
    at_server : str
        ``postgresql+psycopg://...``
    """
    handle = os.open(folder / SERVER_FILE, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(at_server + "\n")


def holds_a_book(folder: Path) -> bool:
    """Whether a laboratory was begun in a folder, its book in a file there or on a server."""
    return (folder / BOOK_FILE).exists() or (folder / SERVER_FILE).exists()


def made_folder(folder: Path) -> None:
    """Make a folder where there is none.

    Raises
    ------
    BookTrouble
        The place does not take one, or is a database.
    """
    if re.match(r"postgres[a-z]*(\+[a-z0-9]+)?:", str(folder)):
        raise BookTrouble(
            "A laboratory stands in a folder, also where its entries stand on a server",
            str(folder),
            "Name a folder, and the database with --at-server",
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise BookTrouble(
            "A book needs a folder that can be written",
            f"{folder}: {trouble.strerror or trouble}",
            "Choose another place",
        ) from trouble


def open_laboratory(folder: Path, *, clock: Callable[[], datetime] = _now) -> Laboratory:
    """Open the laboratory of a folder.

    Parameters
    ----------
    folder : Path
        Folder that holds the book.
    clock : callable
        Gives the time now.

    Raises
    ------
    BookTrouble
        There is no book, or it cannot be read.
    """
    server = folder / SERVER_FILE
    if server.exists():
        address = server.read_text(encoding="utf-8").strip()
        return Laboratory(Book.open(address, files=folder / FILES_FOLDER), folder, clock)
    where = folder / BOOK_FILE
    if not where.exists():
        raise BookTrouble(
            "A laboratory must have its book",
            worded("no {book_file} in {folder}", book_file=BOOK_FILE, folder=folder),
            "Begin one with 'stillroom demo', or name its folder with --in",
        )
    return Laboratory(Book.open(where), folder, clock)
