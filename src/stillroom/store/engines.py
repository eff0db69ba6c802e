"""Where a book stands, and the two ways into it: one engine that writes, one that only reads.

On SQLite a writer begins with ``BEGIN IMMEDIATE``, every commit reaches the disk (``synchronous=FULL``) and is folded
into the one file at once, or once nobody reads any more what stood there before, so that the file alone is the book; a
reader holds one snapshot and cannot write. A file on a medium that cannot be written is read as it lies. On PostgreSQL
a writer runs at READ COMMITTED and takes the head row first, a reader at REPEATABLE READ, read only.
"""

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from fcntl import LOCK_EX, LOCK_NB, lockf
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, OperationalError, SQLAlchemyError

from stillroom.errors import BookTrouble, worded

BUSY_SECONDS = 30
_HELD_BY_WHOEVER_HAS_IT_OPEN = 510, 0x40000002
"""Length and beginning of the range of a file that SQLite locks for each that reads (its file format, "locking")."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a book stands."""

    url: URL
    path: Path | None
    """The file, for SQLite."""
    files: Path | None
    """Folder of the attachments."""

    @classmethod
    def of(cls, where: str | Path, files: Path | None = None) -> "Place":
        """Read a path, or an address of the form ``postgresql+psycopg://...``.

        Raises
        ------
        BookTrouble
            The address is of another kind.
        """
        if isinstance(where, str) and "://" in where:
            try:
                url = make_url(where)
            except ArgumentError as trouble:
                raise BookTrouble("The address of a book must be readable", str(trouble)) from trouble
            if url.drivername != "postgresql+psycopg":
                raise BookTrouble(
                    "A book stands in a file or on a PostgreSQL server",
                    worded("an address of kind {drivername!r}", drivername=url.drivername),
                    "Write postgresql+psycopg://user@machine/name, or the path of a file",
                )
            return cls(url, None, files)
        path = Path(where)
        beside = files or path.with_name(path.name + ".files")
        return cls(URL.create("sqlite", database=str(path)), path, beside)

    @property
    def file(self) -> tuple[int, int] | None:
        """Which file stands there: another one once it was put in its place; None where none does, and on a server."""
        if self.path is None or not self.path.exists():
            return None
        stands = self.path.stat()
        return stands.st_dev, stands.st_ino

    @property
    def is_read_only(self) -> bool:
        """Whether the file, or the folder that holds it, cannot be written."""
        if self.path is None or not self.path.exists():
            return False
        return not (os.access(self.path, os.W_OK) and os.access(self.path.parent, os.W_OK))

    @property
    def name(self) -> str:
        """The place as told to a person, without a password."""
        return str(self.path) if self.path else self.url.render_as_string(hide_password=True)


def writing_engine(place: Place) -> Engine:
    """The engine that writes: one transaction at a time."""
    if place.path is None:
        return _server_engine(place, isolation_level="READ COMMITTED")
    engine = create_engine(place.url, connect_args={"timeout": BUSY_SECONDS})
    _prepare_sqlite(
        engine,
        "BEGIN IMMEDIATE",
        ("journal_mode = WAL", "synchronous = FULL", "secure_delete = ON", "wal_autocheckpoint = 1"),
    )
    return engine


def reading_engine(place: Place) -> Engine:
    """The engine that reads: a transaction is a snapshot, and writing is refused by the database."""
    if place.path is None:
        engine = _server_engine(place, isolation_level="REPEATABLE READ")
        return engine.execution_options(postgresql_readonly=True)
    url = place.url
    if place.is_read_only:
        _refuse_log_beside(place.path)
        as_it_lies = {"mode": "ro", "immutable": "1", "uri": "true"}
        url = URL.create("sqlite", database=place.path.resolve().as_uri(), query=as_it_lies)
    engine = create_engine(url, connect_args={"timeout": BUSY_SECONDS})
    _prepare_sqlite(engine, "BEGIN", ("query_only = ON",))
    return engine


def lying(path: Path) -> str:
    """Address under which SQLite only reads a file: as it lies where nothing can be written beside it."""
    lies = Place.of(path).is_read_only
    return f"{path.resolve().as_uri()}?mode=ro{'&immutable=1' if lies else ''}"


def _refuse_log_beside(path: Path) -> None:
    """On a medium that cannot be written, what still stands in the log beside the file cannot be folded in."""
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size:
        raise BookTrouble(
            "A book on a medium that cannot be written must have been closed",
            worded("{path}, with entries still in {log}", path=path, log=log.name),
            "Copy the folder to where it can be written, and open it there",
        )


def folded_in(writer: Engine) -> bool:
    """Fold the log into the file as far as nobody reads what stood there before; whether that was all of it."""
    if writer.dialect.name != "sqlite":
        return True
    with closing(writer.raw_connection()) as line, closing(line.cursor()) as cursor:
        try:
            _, stands, folded = cursor.execute("PRAGMA wal_checkpoint").fetchone()
        except sqlite3.Error:  # a full disk: it stays in the log
            return False
    return bool(stands == folded)


@contextmanager
def nobody_else_has(path: Path) -> Iterator[BinaryIO]:
    """Keep everybody out of a book while the body works; it reads the file by the handle given, and opens no other.

    Raises
    ------
    BookTrouble
        Another process has it open.
    """
    with path.open("r+b") as file:
        try:
            lockf(file, LOCK_EX | LOCK_NB, *_HELD_BY_WHOEVER_HAS_IT_OPEN)
        except BlockingIOError as trouble:
            raise BookTrouble(
                "A book is mended while nobody else has it open",
                worded("{path}, which is open elsewhere", path=path),
                "End the pages (Ctrl-C where they were started), then mend it",
            ) from trouble
        yield file


def refuse_other_file(place: Place) -> None:
    """What is opened is a file, and a book as far as its beginning tells.

    Raises
    ------
    BookTrouble
    """
    if place.path is None or not place.path.exists():
        return
    if place.path.is_dir():
        raise BookTrouble(
            "A book is a file", worded("the folder {path}", path=place.path), "Give the name of the file"
        )
    with place.path.open("rb") as file:
        start = file.read(16)
    if start and not re.match(rb"SQLite format 3\x00", start):
        raise BookTrouble(
            "What is opened must be a book", worded("{path}, which is another kind of file", path=place.path)
        )


def _server_engine(place: Place, isolation_level: str) -> Engine:
    try:
        return create_engine(place.url, isolation_level=isolation_level, pool_pre_ping=True)
    except ImportError as trouble:
        raise BookTrouble(
            "A book on a server needs the PostgreSQL driver", str(trouble), "Install stillroom[server]"
        ) from trouble


def _prepare_sqlite(engine: Engine, begin: str, pragmas: tuple[str, ...]) -> None:
    @event.listens_for(engine, "connect")
    def on_connect(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None
        with closing(connection.cursor()) as cursor:
            for pragma in ("foreign_keys = ON", "recursive_triggers = ON", *pragmas):
                cursor.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def on_begin(connection: Connection) -> None:
        connection.exec_driver_sql(begin)


@contextmanager
def told(place: Place) -> Iterator[None]:
    """Turn what a database says into a sentence."""
    try:
        yield
    except UnicodeDecodeError as trouble:  # the database quotes what it cannot read
        raise damaged(place, trouble.object.decode(errors="replace")) from trouble
    except (OperationalError, sqlite3.OperationalError) as trouble:
        words = str(getattr(trouble, "orig", trouble))
        if "full" in words or "disk I/O" in words or "No space left" in words:
            raise BookTrouble(
                "The disk must have room for what is written",
                f"{place.name}: {words.strip()}",
                "Nothing was written. Make room there, or choose another place",
            ) from trouble
        if "locked" in words or "busy" in words:
            raise BookTrouble(
                "Only one person writes in the book at a time",
                worded(
                    "somebody who has been writing in {place_name} for {busy_seconds} s",
                    place_name=place.name,
                    busy_seconds=BUSY_SECONDS,
                ),
                "Try again in a moment",
            ) from trouble
        if "no such" in words or "malformed" in words:
            raise damaged(place, words) from trouble
        raise BookTrouble("The book must be within reach", f"{place.name}: {words.strip()}") from trouble
    except SQLAlchemyError as trouble:
        original: Any = getattr(trouble, "orig", None) or trouble
        if "malformed" in str(original):
            raise damaged(place, str(original)) from trouble
        raise BookTrouble(
            "The database must take what is written",
            f"{place.name}: {str(original).strip()}",
            "Verify the book",
        ) from trouble


def damaged(place: Place, words: str) -> BookTrouble:
    """What is said where a table is not whole: ``words`` are the database's."""
    return BookTrouble(
        "The tables of a book must be whole",
        f"{place.name}: {words.strip()}",
        "Run 'stillroom book mend': it makes them again from the journal",
    )
