"""A book whose journal is whole is made anew from it, whatever happened to everything else in its file.

Promises to keep the damaged file aside, word for word, and to change nothing where the journal itself is hurt: then
only a copy helps, and it is said up to which entry the journal still holds.
"""

import shutil
import sqlite3
from contextlib import closing, suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import BinaryIO, TypeAlias

from sqlalchemy import func, insert, select
from sqlalchemy.exc import SQLAlchemyError

from stillroom.errors import BookTrouble, worded
from stillroom.store import tables as t
from stillroom.store.acknowledged import Acknowledged
from stillroom.store.attachments import Attachments
from stillroom.store.building import make_empty, make_index_again
from stillroom.store.copies import FILE_BEGINS, check_copy
from stillroom.store.engines import Place, nobody_else_has, told, writing_engine
from stillroom.store.foundation import passwords
from stillroom.store.halves import BESIDE, made_whole, not_taken
from stillroom.store.journal import BEFORE_THE_FIRST, Row, digest_of
from stillroom.store.verify import GO_ON

_BESIDE_THE_JOURNAL = {t.contacts: "contacts", t.pins: "PINs", passwords: "passwords"}
"""What no entry tells: as much is carried over as can be read."""


_Others: TypeAlias = dict[str, list[dict[str, object]] | None]


@dataclass(frozen=True, slots=True)
class Mended:
    """A book made anew."""

    entries: int
    """Entries of its journal; none is lost."""
    aside: Path
    """Where the file lies as it was found."""
    lacks: tuple[str, ...] = ()
    """What was acknowledged and its journal does not hold."""
    unread: tuple[str, ...] = ()
    """Of contacts, PINs and passwords, which no entry tells: those that could not be read, or not all of them."""

    @property
    def advice(self) -> str:
        """What to do about what it lacks; "" where it lacks nothing."""
        return GO_ON if self.lacks else ""


def mend(where: Path) -> Mended:
    """Make index, head, guards and tables of a book again from its journal. Nobody else may have it open.

    Parameters
    ----------
    where : Path
        File of the book.

    Raises
    ------
    BookTrouble
        The journal is hurt: it cannot be read, or its chain is broken. Or the disk is full; nothing is changed then.
    """
    if not where.is_file():
        raise BookTrouble("A book must be there to be mended", worded("nothing at {where}", where=where))
    aside, anew = _free(where), where.with_name(f"{where.name}.anew")
    try:
        with nobody_else_has(where) as file:
            return _mend(file, where, aside, anew)
    except OSError as trouble:
        for ending in BESIDE:
            aside.with_name(aside.name + ending).unlink(missing_ok=True)
        raise not_taken(where, trouble) from trouble
    finally:
        anew.unlink(missing_ok=True)


def _mend(file: BinaryIO, where: Path, aside: Path, anew: Path) -> Mended:
    place = Place.of(where)
    with TemporaryDirectory() as folder:
        found = Path(folder) / "found"
        _copy(file, where, found)
        with found.open("r+b") as copy:
            copy.write(FILE_BEGINS)  # whatever is damaged, here too, it is looked for as a book
        rows, others = _read(found)
    _refuse_broken(rows)
    anew.unlink(missing_ok=True)
    with made_whole(anew) as half:
        unread = _write(Place.of(half, place.files), rows, others)
        check_copy(Place.of(half, place.files), Attachments(place.files))
    _copy(file, where, aside)
    for ending in BESIDE[1:]:
        where.with_name(where.name + ending).unlink(missing_ok=True)
    anew.replace(where)
    digests = {row.entry_no: row.digest for row in rows}
    lacks = Acknowledged.of(place).lacking(digests.get, lambda: max(digests, default=0))
    return Mended(len(rows), aside, lacks, unread)


def _copy(file: BinaryIO, where: Path, into: Path) -> None:
    """Copy a book with what lies beside it; the file by its handle, since closing another would let everybody in."""
    file.seek(0)
    with into.open("wb") as copy:
        shutil.copyfileobj(file, copy)
    for ending in BESIDE[1:]:
        if (beside := where.with_name(where.name + ending)).is_file():
            shutil.copyfile(beside, into.with_name(into.name + ending))


def _read(found: Path) -> tuple[list[Row], _Others]:
    """The journal row by row, and what else can still be read, past any definition that is damaged."""
    columns = tuple(Row.__dataclass_fields__)
    try:
        with closing(sqlite3.connect(found)) as connection:
            connection.execute(
                "PRAGMA writable_schema = ON"
            )  # a damaged definition of another table is passed over
            listed = f"SELECT {', '.join(columns)} FROM journal ORDER BY entry_no"
            rows = [Row(*one) for one in connection.execute(listed)]
            others = {table.name: _rows(connection, table.name) for table in _BESIDE_THE_JOURNAL}
    except (sqlite3.Error, UnicodeDecodeError) as trouble:
        raise BookTrouble(
            "A book is mended from its journal", f"{trouble}", "Restore the last copy; the journal is hurt"
        ) from trouble
    return rows, others


def _rows(connection: sqlite3.Connection, name: str) -> list[dict[str, object]] | None:
    try:
        found = connection.execute(f'SELECT * FROM "{name}"')
        columns = [one[0] for one in found.description]
        return [dict(zip(columns, one, strict=True)) for one in found]
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def _refuse_broken(rows: list[Row]) -> None:
    before = BEFORE_THE_FIRST
    for number, row in enumerate(rows, start=1):
        if (row.entry_no, row.before) != (number, before) or row.digest != digest_of(row.before, row.text):
            raise BookTrouble(
                "A book is mended from a journal that is whole",
                worded("a chain that is broken at entry {number}", number=number),
                worded(
                    "Restore the last copy. A copy that ends before entry {number} lacks what came after it; "
                    "the entries before {number} can still be read here",
                    number=number,
                ),
            )
        before = row.digest
    if not rows:
        raise BookTrouble("A book is mended from its journal", "a journal without entries", "Restore a copy")


def _write(place: Place, rows: list[Row], others: _Others) -> tuple[str, ...]:
    """Write the book anew, and tell which of the others could not be taken over whole."""
    engine, whole = writing_engine(place), set[str]()
    try:
        with told(place), engine.begin() as connection:
            make_empty(connection, place.name)
            connection.execute(insert(t.journal), [asdict(one) for one in rows])
            connection.execute(
                insert(t.head), [{"one": 1, "entry_no": rows[-1].entry_no, "digest": rows[-1].digest}]
            )
            for table, called in _BESIDE_THE_JOURNAL.items():
                found = others[table.name]
                for one in found or ():
                    with (
                        suppress(SQLAlchemyError),
                        connection.begin_nested(),
                    ):  # a row that is damaged is left out
                        connection.execute(insert(table), one)
                if found is not None and len(found) == connection.scalar(
                    select(func.count()).select_from(table)
                ):
                    whole.add(called)
            make_index_again(connection)
    finally:
        engine.dispose()
    return tuple(one for one in _BESIDE_THE_JOURNAL.values() if one not in whole)


def _free(where: Path) -> Path:
    number = 1
    while (aside := where.with_name(f"{where.name}.damaged-{number}")).exists():
        number += 1
    return aside
