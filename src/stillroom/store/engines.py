"""Where a book stands, and the two ways into it: one engine that writes, one that only reads.

On SQLite a writer begins with ``BEGIN IMMEDIATE`` and every commit reaches the disk (``synchronous=FULL``);
a reader holds one snapshot and cannot write. On PostgreSQL a writer runs at READ COMMITTED and takes the
head row first, a reader at REPEATABLE READ, read only.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, OperationalError, SQLAlchemyError

from stillroom.errors import BookTrouble, worded

BUSY_SECONDS = 30


@dataclass(frozen=True, slots=True)
class Place:
    """Where a book stands.

    Attributes
    ----------
    url : URL
    path : Path or None
        The file, for SQLite.
    files : Path or None
        Folder of the attachments.
    """

    url: URL
    path: Path | None
    files: Path | None

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

    def make_private(self) -> None:
        """Make the file, empty and for its owner only, where there is none; its journal files take that over."""
        if self.path is not None and self.path.parent.is_dir() and not self.path.exists():
            self.path.touch(mode=0o600)

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
        engine, "BEGIN IMMEDIATE", ("journal_mode = WAL", "synchronous = FULL", "secure_delete = ON")
    )
    return engine


def reading_engine(place: Place) -> Engine:
    """The engine that reads: a transaction is a snapshot, and writing is refused by the database."""
    if place.path is None:
        engine = _server_engine(place, isolation_level="REPEATABLE READ")
        return engine.execution_options(postgresql_readonly=True)
    engine = create_engine(place.url, connect_args={"timeout": BUSY_SECONDS})
    _prepare_sqlite(engine, "BEGIN", ("query_only = ON",))
    return engine


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
    except OperationalError as trouble:
        words = str(trouble.orig)
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
        raise BookTrouble("The book must be within reach", f"{place.name}: {words.strip()}") from trouble
    except SQLAlchemyError as trouble:
        original: Any = getattr(trouble, "orig", None) or trouble
        raise BookTrouble(
            "The database must take what is written",
            f"{place.name}: {str(original).strip()}",
            "Verify the book",
        ) from trouble
