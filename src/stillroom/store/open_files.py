"""A whole book as open files that need no stillroom to be read; ``brought_in`` makes the same book from them again.

Promises that the journal goes out word for word, and that a killed export leaves nothing under its name. The tables are
written beside it for whoever calculates elsewhere, and are never read back. PINs do not go out.
"""

import csv
import hashlib
import json
import os
import tomllib
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, Table, select

from stillroom.evidence.seal import canonical, seal
from stillroom.store import tables as t
from stillroom.store.attachments import Attachments
from stillroom.store.building import index_digest
from stillroom.store.halves import folder_made_whole
from stillroom.store.reader import Reader

FORM = "stillroom book in open files"
FORM_NUMBER = 1
ABOUT, JOURNAL, CONTACTS, COLUMNS, FILES = (
    "about.json", "journal.jsonl", "contacts.jsonl", "columns.csv", "attachments",
)  # fmt: skip
READ_BACK = (JOURNAL, CONTACTS)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_AT_ONCE = 500
_JOURNAL_KEYS = {
    "attachments": "SHA-256 of each file of the entry, its name in the folder attachments",
    "body": "What happened; its keys are those of the kind of entry",
    "by": "Code of the person who signed the entry",
    "corrects": "Number of the entry it replaces; null where it replaces none",
    "doubt": "Why its times could not be, where whoever wrote it said that they are right; absent otherwise",
    "done_at": "When it was done. [ISO time with offset]",
    "entered_at": "When it was written down. [ISO time with offset]",
    "entry_no": "Number of the entry, from 1. [1]",
    "kind": "Kind of entry",
    "request": "The request that wrote it: key, turn, seal of its words; null where it was given none",
    "version": "Version of the form of the entry. [1]",
    "why": "Reason, in the words of the person",
}
_CONTACT_KEYS = {
    "about": "Code of the person or customer",
    "field": "What is kept, such as telephone",
    "value": "What it is",
}
READ_ME = """\
This folder is a whole laboratory book as open files.

journal.jsonl    Every entry, one JSON text a line, word for word, in order. It is the truth; all else is made from it.
contacts.jsonl   How to reach people and customers. It stands outside the journal, so that it can be erased.
tables/*.csv     What the entries say, as tables (RFC 4180, UTF-8). A text that a program might take for a formula
                 begins with an apostrophe. Rows of corrected entries are there too: leave out those whose entry_no
                 is the corrects of a line of the journal.
columns.csv      What each column of each table, and each key of the two .jsonl files, means, with its unit.
attachments/     Every file that an entry names, under the SHA-256 of its content.
about.json       Digests, to tell that nothing was changed.

Each entry is chained to the one before: its digest is the SHA-256 of the digest before it, a line feed, and its line;
the digest before the first is 64 zeros. about.json holds the last as "head".

"stillroom import FOLDER NEW-FOLDER" makes the same book again from journal, contacts and attachments, and refuses
where one word of them was changed. The tables are not read back.
"""


def write_out(
    connection: Connection,
    attachments: Attachments,
    into: Path,
    progress: Callable[[int, int], None] = lambda _, __: None,
) -> int:
    """Write a whole book into a new folder, from one snapshot.

    Parameters
    ----------
    connection : Connection
        The snapshot.
    into : Path
        Folder to be made.
    progress : callable
        Told how many entries were written, and how many there are.

    Returns
    -------
    int
        How many entries went out. [1]

    Raises
    ------
    BookTrouble
        Something stands there already, a file of the book is lost, or the disk takes no more.
    """
    look = Reader(connection)
    head, book = look.head, look.book()
    with folder_made_whole(into) as half:
        texts = connection.execute(select(t.journal.c.text).order_by(t.journal.c.entry_no)).yield_per(
            _AT_ONCE
        )
        with _new(half / JOURNAL) as file:
            for number, (text,) in enumerate(texts, start=1):
                file.write(f"{text}\n")
                progress(number, head.entry_no)
        with _new(half / CONTACTS) as file:
            query = select(t.contacts).order_by(*t.contacts.primary_key.columns)
            for row in connection.execute(query):
                file.write(canonical(dict(row._mapping)) + "\n")
        (half / "tables").mkdir()
        for name, table in t.PROJECTED.items():
            rows = connection.execute(select(table).order_by(*table.primary_key.columns)).yield_per(_AT_ONCE)
            with _new(half / "tables" / f"{name}.csv") as file:
                write_csv(file, [one.name for one in table.columns], rows)
        with _new(half / COLUMNS) as file:
            write_csv(file, ("file", "column", "kind", "what it is"), _columns())
        (half / FILES).mkdir()
        for one in look.attachments():
            with (half / FILES / one).open("wb") as kept:
                _whole(kept, attachments.read(one))
        with _new(half / "READ-ME.txt") as file:
            file.write(READ_ME)
        about = {
            "form": FORM,
            "form_number": FORM_NUMBER,
            "book": book.book_id,
            "laboratory": book.laboratory,
            "entries": head.entry_no,
            "head": head.digest,
            "digest": seal([head.digest, index_digest(connection)]),
            "shape": t.shape(),
            "sha256": {name: sha256_of(half / name) for name in READ_BACK},
        }
        with _new(half / ABOUT) as file:
            file.write(json.dumps(about, ensure_ascii=False, indent=1) + "\n")
    return head.entry_no


def write_csv(file: IO[str], head: Iterable[str], rows: Iterable[Iterable[Any]]) -> None:
    """A table as RFC 4180 has it; a text that a program might take for a formula begins with an apostrophe.

    Parameters
    ----------
    file : IO[str]
        Opened with ``newline=""``, or kept in memory so.
    head : iterable of str
        Names of the columns.
    """
    writer = csv.writer(file)
    writer.writerow(head)
    for row in rows:
        writer.writerow([_plain(one) for one in row])


def what_a_column_is(table: str, column: str) -> str:
    """What a column of the index means, with its unit.

    Raises
    ------
    KeyError
        Nobody wrote it down in ``columns.toml``.
    """
    known = _columns_told()
    return known.get(table, {}).get(column) or known["everywhere"][column]


def _plain(value: object) -> object:
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value


@cache
def _columns_told() -> dict[str, dict[str, str]]:
    told_in = Path(__file__).with_name("columns.toml")
    with told_in.open("rb") as file:
        return tomllib.load(file)


def _columns() -> Iterator[tuple[str, str, str, str]]:
    for name, keys in ((JOURNAL, _JOURNAL_KEYS), (CONTACTS, _CONTACT_KEYS)):
        for key, says in keys.items():
            yield name, key, "JSON", says
    for name, table in t.PROJECTED.items():
        for column in table.columns:
            yield (
                f"tables/{name}.csv",
                column.name,
                _kind(table, column.name),
                what_a_column_is(name, column.name),
            )


def _kind(table: Table, column: str) -> str:
    return {"int": "whole number", "bool": "True or False", "float": "number", "str": "text"}[
        table.columns[column].type.python_type.__name__
    ]


def _new(path: Path) -> IO[str]:
    """A text file that reaches the disk when it is closed whole; line ends stay as they are written."""
    return path.open("x", encoding="utf-8", newline="")


def _whole(file: IO[bytes], content: bytes) -> None:
    file.write(content)
    file.flush()
    os.fsync(file.fileno())


def sha256_of(path: Path) -> str:
    """SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
