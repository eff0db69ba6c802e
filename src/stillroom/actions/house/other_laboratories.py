"""Laboratories that lie beside each other: folders with a book, next to the one that is open.

A new one is begun beside it, never inside it, and never over anything. Practice and earnest differ in every page and
print, since the book itself says which it is.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from stillroom.actions.book.laboratory import (
    BOOK_FILE,
    Laboratory,
    begin_laboratory,
    holds_a_book,
    open_laboratory,
)
from stillroom.errors import UnknownName
from stillroom.evidence.rests_on import THE_MOMENT, rests_on
from stillroom.records.people import Person, signature_of
from stillroom.records.written_values import code as code_in
from stillroom.records.written_values import one_line
from stillroom.store.book_header import peek

MOST_LOOKED_AT = 200


@dataclass(frozen=True, slots=True)
class OtherLaboratory:
    """A laboratory beside the open one."""

    folder: Path
    name: str
    """What the laboratory is called; "" where its book cannot be read."""
    practice: bool
    entries: int
    is_open: bool


def laboratories_beside(home: Path, *, opened: Path | None = None) -> tuple[OtherLaboratory, ...]:
    """Every folder with a book beside a folder, itself included.

    Parameters
    ----------
    home : Path
        The folder of a laboratory, or where one would be begun.
    opened : Path or None
        The one that is served.
    """
    rests_on(THE_MOMENT)
    around = home.resolve().parent
    found = []
    for folder in sorted(around.iterdir())[:MOST_LOOKED_AT]:
        book = folder / BOOK_FILE
        if not book.is_file():
            continue
        seen = peek(book)
        is_open = opened is not None and folder.resolve() == opened.resolve()
        found.append(
            OtherLaboratory(
                folder,
                seen.begun.laboratory if seen else "",
                seen.begun.practice if seen else False,
                seen.entry_no if seen else 0,
                is_open,
            )
        )
    return tuple(found)


def laboratory_beside(home: Path, name: str) -> OtherLaboratory:
    """The laboratory in a folder of that name beside a folder.

    Raises
    ------
    UnknownName
        There is none.
    """
    known = {one.folder.name: one for one in laboratories_beside(home)}
    if name not in known:
        raise UnknownName.among(name[:60], "a folder with a laboratory", known).at("folder")
    return known[name]


def begin_beside(
    home: Path, name: str, person: str, code: str = "", *, beside: Laboratory | None
) -> Laboratory:
    """Begin an empty laboratory, and open it.

    Parameters
    ----------
    home : Path
        Where it is begun when nothing is open and no book is there; otherwise it is begun beside that folder.
    name : str
        Printed on every document.
    person : str
        Name of who begins it.
    code : str
        What they sign as; from the initials where it is left empty.
    beside : Laboratory or None
        The one that is open; the new one is kept by the same clock.
    """
    called = one_line(name, "name")
    full = one_line(person, "person")
    signs = code_in(code, "code") if code else signature_of(full)
    folder = home
    if beside is not None or holds_a_book(home):
        folder = _free(home.resolve().parent, called)
    first = Person(signs, full, may_release=True)
    if beside is None:
        return begin_laboratory(folder, called, first)
    return begin_laboratory(folder, called, first, clock=beside.clock)


def open_beside(home: Path, name: str, *, beside: Laboratory | None) -> Laboratory:
    """Open the laboratory in a folder of that name beside a folder.

    Raises
    ------
    UnknownName
        There is none.
    """
    folder = laboratory_beside(home, name).folder
    return open_laboratory(folder) if beside is None else open_laboratory(folder, clock=beside.clock)


def _free(around: Path, name: str) -> Path:
    words = re.sub(r"[^\w]+", "-", name.casefold()).strip("-_")[:60] or "laboratory"
    tried = [around / words, *(around / f"{words}-{number}" for number in range(2, 100))]
    return next((one for one in tried if not one.exists()), around / words)
