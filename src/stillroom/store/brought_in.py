"""A book made from the open files it went out in: the same entries, the same chain, the same digest.

Promises that nothing is added, that every word of journal, contacts and attachments is proved before the book gets its
name, and that a killed try leaves none. The tables of an export are not read: they are made again from the journal.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

from sqlalchemy import insert

from stillroom.errors import BookTrouble, worded
from stillroom.evidence.seal import seal
from stillroom.store import tables as t
from stillroom.store.attachments import Attachments
from stillroom.store.book import Book
from stillroom.store.building import index_digest, make_empty, make_index_again
from stillroom.store.copies import check_copy, named_files
from stillroom.store.engines import Place, told, writing_engine
from stillroom.store.halves import made_whole, refuse_standing
from stillroom.store.journal import BEFORE_THE_FIRST, Row, digest_of
from stillroom.store.open_files import (
    ABOUT,
    CONTACTS,
    FILES,
    FORM,
    FORM_NUMBER,
    JOURNAL,
    READ_BACK,
    sha256_of,
)

_AT_ONCE = 500


def read_in(
    folder: Path,
    to: str | Path,
    *,
    files: Path | None = None,
    progress: Callable[[int, int], None] = lambda _, __: None,
) -> Book:
    """Make the book that went out into a folder, and open it: nothing is added, so its digest is the same.

    Parameters
    ----------
    folder : Path
        What ``write_out`` made.
    to : str or Path
        File to be made, or ``postgresql+psycopg://...`` of an empty database; nothing is overwritten.
    files : Path, optional
        Folder of attachments, for a book on a server.
    progress : callable
        Told how many entries were read, and how many there are.

    Raises
    ------
    BookTrouble
        The folder is no such export, something in it was changed or is missing, or a book stands there already.
    """
    about = _about(folder)
    target = Place.of(to, files)
    if target.path is None:
        _make(folder, about, target, progress)
    else:
        refuse_standing(target.path)
        with made_whole(target.path) as half:
            there = Place.of(half, target.files)
            _make(folder, about, there, progress)
            check_copy(there, Attachments(target.files))
    return Book.open(to, files=files)


def _about(folder: Path) -> dict[str, Any]:
    try:
        about: dict[str, Any] = json.loads((folder / ABOUT).read_text(encoding="utf-8"))
        form = about["form"]
        changed = [one for one in READ_BACK if sha256_of(folder / one) != about["sha256"][one]]
        int(about["entries"]), str(about["head"]), str(about["digest"]), str(about["shape"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as trouble:
        raise _no_export(folder, trouble) from trouble
    if form != FORM or about["form_number"] != FORM_NUMBER:
        raise _no_export(folder, form)
    if changed:
        raise BookTrouble(
            "What is brought in must be as it went out",
            worded("{names}, which was changed", names=", ".join(changed)),
            "Export it again, or copy the folder whole",
        )
    return about


def _no_export(folder: Path, found: object) -> BookTrouble:
    return BookTrouble(
        "What is brought in must be a folder that 'stillroom export everything' made",
        f"{folder}: {found}",
        "Export it again, or copy the folder whole",
    )


def _make(folder: Path, about: dict[str, Any], target: Place, progress: Callable[[int, int], None]) -> None:
    kept, given = Attachments(target.files), folder / FILES
    engine = writing_engine(target)
    try:
        with told(target), engine.begin() as connection:
            make_empty(connection, target.name)
            last = BEFORE_THE_FIRST
            together: list[Row] = []
            for row in _rows(folder / JOURNAL):
                _keep_files(given, kept, row)
                together.append(row)
                last = row.digest
                if len(together) == _AT_ONCE:
                    connection.execute(insert(t.journal), [asdict(one) for one in together])
                    progress(row.entry_no, about["entries"])
                    together = []
            if together:
                connection.execute(insert(t.journal), [asdict(one) for one in together])
            if last != about["head"]:
                raise _broken(about["entries"])
            connection.execute(insert(t.head), [{"one": 1, "entry_no": about["entries"], "digest": last}])
            for line in (folder / CONTACTS).read_text(encoding="utf-8").split("\n"):
                if line:
                    connection.execute(insert(t.contacts), [json.loads(line)])
            make_index_again(connection)
            digest = seal([last, index_digest(connection)])
            if about["shape"] == t.shape() and digest != about["digest"]:
                raise _broken(about["entries"])
    except (KeyError, TypeError, ValueError, OverflowError, RecursionError) as trouble:
        raise BookTrouble(
            "Every line of the journal must be an entry", str(trouble), "Export it again"
        ) from trouble
    finally:
        engine.dispose()


def _rows(journal: Path) -> Iterator[Row]:
    before = BEFORE_THE_FIRST
    with journal.open(encoding="utf-8", newline="\n") as file:
        for line in file:
            text = line.removesuffix("\n")
            content = json.loads(text)
            row = Row(content["entry_no"], content["corrects"], text, before, digest_of(before, text))
            before = row.digest
            yield row


def _keep_files(given: Path, kept: Attachments, row: Row) -> None:
    for one in named_files([row.text]):
        kept.path(one)  # refuses what is no seal
        try:
            content = (given / one).read_bytes()
        except OSError as trouble:
            raise BookTrouble(
                "Every file that an entry names must be brought in with it",
                worded(
                    "no {name} in {folder}, which entry {number} names",
                    name=one[:12],
                    folder=given,
                    number=row.entry_no,
                ),
                "Copy the folder whole",
            ) from trouble
        if kept.keep(content) != one:
            raise BookTrouble(
                "A file must be as it went out",
                worded("{name} of entry {number}, which was changed", name=one[:12], number=row.entry_no),
                "Copy the folder whole",
            )


def _broken(entries: int) -> BookTrouble:
    return BookTrouble(
        "The book that is made must have the digest of the one that went out",
        worded("another after {entries} entries", entries=entries),
        "Export it again, or copy the folder whole",
    )
