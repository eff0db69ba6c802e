"""Copies of a book: page by page from a file, entry by entry from a server; checked, then named.

A copy travels, so it carries no PINs and no passwords: these can be guessed from what the book keeps of them.
"""

import json
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, insert, select

from stillroom.errors import BookTrouble, worded
from stillroom.store import tables as t
from stillroom.store.attachments import Attachments
from stillroom.store.building import index_is_ours, is_book, make_empty, make_index_again
from stillroom.store.engines import Place, lying, reading_engine, told, writing_engine
from stillroom.store.foundation import NEVER_COPIED
from stillroom.store.halves import made_whole
from stillroom.store.verify import verify

_AT_ONCE = 500
FILE_BEGINS = b"SQLite format 3\x00"


def copy_book(source: Place, reading: Connection, into: Path, *, with_files: bool = True) -> Path:
    """Copy a book into one file, with its attachments beside it, and check the copy.

    Parameters
    ----------
    reading : Connection
        A snapshot of the book; only a book on a server is read through it.
    into : Path
        File to be made; nothing is overwritten.
    with_files : bool
        Whether the attachments are copied too.

    Raises
    ------
    BookTrouble
        Something stands there already, or the copy does not hold.
    """
    target = Place.of(into)
    with made_whole(into) as half:
        if source.path is None:
            _copy_entries(reading, half)
        else:
            with told(target):
                _copy_pages(source.path, half)
        files = Attachments(source.files)
        check_copy(Place.of(half), files)
        if with_files:
            with closing(sqlite3.connect(half)) as connection:
                seals = named_files(text for (text,) in connection.execute("SELECT text FROM journal"))
            copy_files(files, Attachments(target.files), seals)
    return into


def check_copy(place: Place, attachments: Attachments) -> None:
    """Refuse a copy that does not hold.

    Raises
    ------
    BookTrouble
        Tells the first troubles.
    """
    if place.path is not None:
        refuse_foreign_file(place.path)
    engine = reading_engine(place)
    try:
        with told(place), engine.begin() as connection:
            if not is_book(connection):
                raise BookTrouble("A copy must be a book", place.name, "Choose the file that backup made")
            report = verify(connection, attachments, index=index_is_ours(connection))
    finally:
        engine.dispose()
    if not report.holds:
        raise BookTrouble(
            "A copy must hold in every entry",
            worded(
                "{place_name} with {troubles} troubles: {troubles_two}",
                place_name=place.name,
                troubles=len(report.troubles),
                troubles_two="; ".join(report.troubles[:3]),
            ),
            "Verify the book it was made from",
        )


def refuse_foreign_file(path: Path) -> None:
    """A copy is a file that a book was written into.

    Raises
    ------
    BookTrouble
        The file is of another kind, or cannot be read.
    """
    try:
        with path.open("rb") as file:
            begins = file.read(len(FILE_BEGINS))
    except OSError as trouble:
        raise BookTrouble("A copy must be a file that can be read", str(trouble)) from trouble
    if begins != FILE_BEGINS:
        raise BookTrouble("A copy must be a book", str(path), "Choose the file that backup made")


def carry_over(source: Connection, target: Connection, name: str) -> None:
    """Carry journal and contacts word for word into an empty database, and make its index."""
    make_empty(target, name)
    for table in (t.journal, t.contacts):
        query = select(table).order_by(*table.primary_key.columns)
        for rows in source.execute(query).partitions(_AT_ONCE):
            target.execute(insert(table), [dict(row._mapping) for row in rows])
    target.execute(insert(t.head), [dict(row._mapping) for row in source.execute(select(t.head))])
    make_index_again(target)


def copy_files(source: Attachments, target: Attachments, seals: Iterable[str]) -> None:
    """Copy the named files from one book to another; each is checked against its seal on the way."""
    for one in seals:
        target.keep(source.read(one))


def named_files(texts: Iterable[str]) -> set[str]:
    """Seals of every file that the texts of a journal name."""
    return {seal for one in texts for seal in json.loads(one)["attachments"]}


def _copy_pages(source: Path, half: Path) -> None:
    with closing(sqlite3.connect(lying(source), uri=True)) as ours, closing(sqlite3.connect(half)) as theirs:
        ours.backup(theirs)
        theirs.execute("PRAGMA journal_mode = DELETE")
        theirs.execute("PRAGMA secure_delete = ON")
        for one in NEVER_COPIED:
            if theirs.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (one.name,)).fetchone():
                theirs.execute(f"DELETE FROM {one.name}")
        theirs.commit()


def _copy_entries(reading: Connection, half: Path) -> None:
    engine = writing_engine(Place.of(half))
    try:
        with engine.begin() as connection:
            carry_over(reading, connection, str(half))
    finally:
        engine.dispose()
    with closing(sqlite3.connect(half)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
