"""The laboratory book: begin it, open it, write in it, look into it, check it, copy it.

One person writes at a time, on a file and on a server alike; any number look. What was acknowledged is on
the disk. The book has no clock: times come from the caller.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

from sqlalchemy import Connection, select

from stillroom.errors import BookTrouble, worded
from stillroom.evidence.rests_on import THE_MOMENT, rests_on
from stillroom.evidence.seal import seal
from stillroom.records.entries import Body, BookBegun
from stillroom.store import contacts
from stillroom.store import tables as t
from stillroom.store.acknowledged import Acknowledged
from stillroom.store.attachments import Attachments
from stillroom.store.book_writer import BookWriter
from stillroom.store.building import (
    foundation_gone,
    index_digest,
    index_is_ours,
    index_stands,
    is_book,
    make_empty,
    make_foundation_whole,
    make_index_again,
)
from stillroom.store.copies import copy_book
from stillroom.store.engines import (
    Place,
    damaged,
    folded_in,
    reading_engine,
    refuse_other_file,
    told,
    writing_engine,
)
from stillroom.store.halves import made_whole, sweep
from stillroom.store.journal import written_of
from stillroom.store.looking import Head, KeptAtHeads
from stillroom.store.open_files import write_out
from stillroom.store.pins import PinKept, Pins
from stillroom.store.reader import Reader
from stillroom.store.reckoned import Reckoned
from stillroom.store.sign_ins import SignIns
from stillroom.store.verify import VerifyReport, verify

_TAKE_HEAD = select(t.head.c.one).with_for_update()
"""Takes the right to write; on SQLite the transaction began with it."""


class Book:
    """An open book. Made by ``Book.begin`` or ``Book.open``; closed after use."""

    def __init__(self, place: Place) -> None:
        self.place, self._file = place, place.file
        self._attachments = Attachments(place.files)
        self._acknowledged = Acknowledged.of(place)
        self._writer = writing_engine(place)
        self._reader = reading_engine(place)
        self._kept, self._waits = KeptAtHeads(), False
        self._reckoned = Reckoned(place.files.with_suffix(".calculated") if place.files else None)

    @classmethod
    def begin(
        cls,
        where: str | Path,
        first: BookBegun,
        *others: Body,
        by: str,
        at: str,
        files: Path | None = None,
    ) -> "Book":
        """Begin a new book: it stands there whole, with its first entries, or not at all.

        Parameters
        ----------
        where : str or Path
            File to be made, or ``postgresql+psycopg://...`` of an empty database.
        first : BookBegun
            Whose book it is.
        *others : Body
            What stands in it from the beginning: the person who begins it.
        by : str
            Code of the person who begins it, and may sign the first person in.
        at : str
            Time (ISO with offset).
        files : Path, optional
            Folder of attachments; beside the file unless given.

        Raises
        ------
        BookTrouble
            Something stands there already.
        """
        place = Place.of(where, files)
        if place.path is None:
            book = cls(place)
            try:
                book._write_first((first, *others), by, at)
            except BaseException:
                book.close()
                raise
            return book
        refuse_other_file(place)
        if place.path.exists():
            if place.path.stat().st_size:
                raise BookTrouble(
                    "A new book needs an empty place",
                    worded("{called}, where {what} stands", called=place.name, what="a book"),
                    "Choose another place",
                )
            place.path.unlink()  # an empty file holds nothing
        with made_whole(place.path) as half, cls(Place.of(half, place.files)) as begun:
            head = begun._write_first((first, *others), by, at)
        Acknowledged.of(place).keep(head)
        return cls(place)

    @classmethod
    def open(cls, where: str | Path, *, files: Path | None = None) -> "Book":
        """Open a book; an index made by an older version is made again, after a dated copy of the book.

        Raises
        ------
        BookTrouble
            There is no book, or a newer version wrote in it.
        """
        place = Place.of(where, files)
        if place.path is not None and not place.path.is_file():
            raise BookTrouble(
                "A book must be there to be opened",
                worded("nothing at {path}", path=place.path),
                "Begin it first",
            )
        refuse_other_file(place)
        if place.path is not None and not place.is_read_only:
            sweep(place.path)
        book = cls(place)
        try:
            with told(place), book._reader.begin() as connection:
                if not is_book(connection):
                    raise BookTrouble(
                        "What is opened must be a book", place.name, "Begin one in an empty place"
                    )
                ours = index_is_ours(connection)
                gone = foundation_gone(connection)
            if gone and ours:
                raise damaged(place, f"no such table: {', '.join(gone)}")
            if gone:
                book._refuse_read_only()
                with told(place), book._writer.begin() as connection:
                    make_foundation_whole(connection)
            if not ours:
                book._renew_index()
        except BaseException:
            book.close()
            raise
        return book

    def close(self) -> None:
        """Let go of the database."""
        self._writer.dispose()
        self._reader.dispose()

    def __enter__(self) -> "Book":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # Writing

    def _write_first(self, bodies: Sequence[Body], by: str, at: str) -> Head:
        with told(self.place), self._writer.begin() as connection:
            make_empty(connection, self.place.name)
            pen = BookWriter(connection, self._attachments, by=by, at=at, entered_at=at)
            for one in bodies:
                pen.enter(one)
            pen.finish()
            return Reader(connection).head

    @contextmanager
    def pen(
        self, *, by: str, at: str, entered_at: str, request_key: str | None = None, asked: str = ""
    ) -> Iterator[BookWriter]:
        """The right to write, for one request: all its entries are kept, or none.

        Parameters
        ----------
        by : str
            Code of the person who did it.
        at : str
            When it was done (ISO with offset).
        entered_at : str
            When it is written down.
        request_key : str, optional
            Chosen by whoever asks; a key is carried out once.
        asked : str
            The words of the request, to tell the same request from another under its key.

        Raises
        ------
        BadEntry
            The key was used for other words.
        NotEnough
            At the end: a lot would hold less than nothing.
        BookTrouble
            Somebody else has been writing for too long.
        """
        with self._right_to_write() as connection:
            self._acknowledged.must_hold(connection)
            pen = BookWriter(
                connection,
                self._attachments,
                by=by,
                at=at,
                entered_at=entered_at,
                request_key=request_key,
                asked=asked,
            )
            yield pen
            pen.finish()
            head = Reader(connection).head
        self._acknowledged.keep(head)

    def attach(self, content: bytes) -> str:
        """Keep a file beside the book, before the entry that names it; its seal comes back."""
        return self._attachments.keep(content)

    def attachment(self, seal: str) -> bytes:
        """The file under a seal."""
        return self._attachments.read(seal)

    def sweep(self, before_s: float = math.inf) -> int:
        """Take away files that no entry names and that were written before a time, and tell how many."""
        with self._right_to_write() as connection:
            return self._attachments.sweep(set(Reader(connection).attachments()), before_s)

    def let_go(self, seal: str) -> None:
        """Take a file away unless an entry names it: the one it was kept for was refused."""
        with self._right_to_write() as connection:
            if seal not in Reader(connection).attachments():
                self._attachments.let_go(seal)

    # Looking

    @contextmanager
    def look(self) -> Iterator[Reader]:
        """Read from one snapshot; what others write meanwhile is not seen."""
        with self._reading() as connection:
            reader = Reader(connection)
            reader.reckoned = self._reckoned
            reader.kept = self._kept.at(reader.head)  # the snapshot is taken by the first thing read
            yield reader

    def verify(
        self, since: Head | None = None, progress: Callable[[int, int], None] = lambda _, __: None
    ) -> VerifyReport:
        """Check chain, head, every row of the index, files, stocks and guards; or what came since it held last.

        Parameters
        ----------
        since : Head, optional
            The entry up to which the book held.
        progress : callable
            Told how many entries were looked at, and how many there are.
        """
        acknowledged = self._acknowledged.stands()
        with self._snapshot() as connection:
            report = verify(connection, self._attachments, since=since, progress=progress)
            return self._acknowledged.told_with(report, connection, acknowledged)

    def digest(self) -> str:
        """One seal of journal and index together: equal means that nothing changed."""
        with self._snapshot() as connection:
            return seal([Reader(connection).head.digest, index_digest(connection)])

    # Keeping

    def rebuild(self) -> None:
        """Make the index again from the journal, in one transaction."""
        self._refuse_read_only()
        with told(self.place), self._writer.begin() as connection:
            connection.execute(_TAKE_HEAD)
            make_index_again(connection)
        self._kept.forget()

    def backup(self, into: Path) -> Path:
        """Copy the book and its files into a new file, checked before it gets its name.

        Raises
        ------
        BookTrouble
            Something stands there already, or the copy does not hold.
        """
        with self._snapshot() as connection:
            return copy_book(self.place, connection, into)

    def write_out(self, into: Path, progress: Callable[[int, int], None] = lambda _, __: None) -> int:
        """Write the whole book into a new folder of open files, and tell how many entries went out."""
        with self._snapshot() as connection:
            return write_out(connection, self._attachments, into, progress)

    def contact(self, about: str) -> dict[str, str]:
        """How to reach a person or customer."""
        with self._snapshot() as connection:
            return contacts.contact(connection, about)

    def keep_contact(self, about: str, field: str, value: str) -> None:
        """Write down how to reach a person or customer; outside the journal."""
        with self._right_to_write() as connection:
            contacts.keep_contact(connection, about, field, value)

    def erase_contact(self, about: str) -> int:
        """Erase how to reach a person or customer, and tell how many fields that were."""
        with self._right_to_write() as connection:
            return contacts.erase_contact(connection, about)

    @contextmanager
    def pins(self) -> Iterator[Pins]:
        """The PINs, inside one transaction that holds the right to write."""
        with self._right_to_write() as connection:
            yield Pins(connection)

    def pins_kept(self) -> tuple[PinKept, ...]:
        """What is kept of every PIN."""
        with self._snapshot() as connection:
            return Pins(connection).all()

    @contextmanager
    def sign_ins(self) -> Iterator[SignIns]:
        """Passwords and sessions, inside one transaction that holds the right to write."""
        with self._right_to_write() as connection:
            yield SignIns(connection)

    @contextmanager
    def signed_in(self) -> Iterator[SignIns]:
        """Passwords and sessions, to be looked at only."""
        with self._snapshot() as connection:
            yield SignIns(connection)

    def _renew_index(self) -> None:
        if self.place.path is not None:
            with self._snapshot() as connection:
                last = connection.scalar(
                    select(t.journal.c.text).order_by(t.journal.c.entry_no.desc()).limit(1)
                )
                stands = index_stands(connection)
                if last is not None:
                    entry = written_of(last).entry
                    number = stands[0] if stands else 0
                    copy = self.place.path.with_name(
                        f"{self.place.path.name}.{entry.entered_at[:10]}.entry-{entry.entry_no}.index-{number}"
                    )
                    if not copy.exists():
                        copy_book(self.place, connection, copy, with_files=False)
        self.rebuild()

    @contextmanager
    def _right_to_write(self) -> Iterator[Connection]:
        self._refuse_read_only()
        with told(self.place), self._writer.begin() as connection:
            connection.execute(_TAKE_HEAD)
            if self._file != self.place.file or not index_is_ours(connection):
                raise BookTrouble(
                    "A book is written as it was opened",
                    "one that was mended, put back or brought to another version meanwhile",
                    "End the pages, and start them again",
                )
            yield connection
        self._waits = not folded_in(self._writer)

    def _refuse_read_only(self) -> None:
        if self.place.is_read_only:
            raise BookTrouble(
                "A book is written where its folder can be written",
                worded("{called}, which can only be read", called=self.place.name),
                "Copy the folder to another disk, or ask for the right to write there",
            )

    @contextmanager
    def _snapshot(self) -> Iterator[Connection]:
        rests_on(THE_MOMENT)  # it reads what a new entry need not change
        with self._reading() as connection:
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with told(self.place), self._reader.begin() as connection:
            yield connection
        if self._waits:
            self._waits = not folded_in(self._writer)
