"""The book kept safe: verified, copied, brought back, moved as open files, fingerprinted."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from stillroom.actions.book.clock import doubt_of, must_be_right
from stillroom.actions.book.laboratory import (
    BOOK_FILE,
    FILES_FOLDER,
    Laboratory,
    holds_a_book,
    keep_address,
    made_folder,
    open_laboratory,
)
from stillroom.errors import BookTrouble, worded
from stillroom.store.brought_in import read_in
from stillroom.store.looking import Head
from stillroom.store.mending import Mended
from stillroom.store.mending import mend as mend_book
from stillroom.store.restoring import restore
from stillroom.store.verify import VerifyReport

VERIFIED = "verified"
"""File of a laboratory that names the entry up to which its book held when it was verified last."""


def verify(
    folder: Path, *, new_only: bool = False, progress: Callable[[int, int], None] = lambda _, __: None
) -> VerifyReport:
    """Prove the chain of the journal and compare every entry with the index made from it.

    Parameters
    ----------
    folder : Path
        Of the laboratory.
    new_only : bool
        Whether only what was written since it was verified last is looked at; whole where it never was.
    progress : callable
        Told how many entries were looked at, and how many there are.
    """
    with open_laboratory(folder) as lab:
        report = lab.book.verify(_verified_last(folder) if new_only else None, progress)
    if report.holds:
        with suppress(OSError):  # a medium that cannot be written is verified whole each time
            (folder / VERIFIED).write_text(f"{report.entries} {report.digest}\n")
    return report


def _verified_last(folder: Path) -> Head | None:
    try:
        number, digest = (folder / VERIFIED).read_text().split()
        return Head(int(number), digest)
    except (OSError, ValueError):
        return None


def mend(folder: Path) -> Mended:
    """Make everything of the book again from its journal; the file as it was found is kept aside.

    Raises
    ------
    BookTrouble
        There is no book, or its journal itself is hurt.
    """
    if not (folder / BOOK_FILE).exists() and holds_a_book(folder):
        raise BookTrouble(
            "A book in a file is mended in its file",
            "one on a server",
            "Go on from a copy: stillroom book restore",
        )
    return mend_book(folder / BOOK_FILE)


def back_up(lab: Laboratory, into: Path) -> Path:
    """Copy the book, and verify the copy.

    Parameters
    ----------
    into : Path
        A file that is not there yet.

    Raises
    ------
    BookTrouble
        Something stands there, or the copy does not hold.
    """
    if not into.name or into.is_dir():
        raise BookTrouble(
            "A copy is a file", worded("the folder {into}", into=into), "Give the name of a new file"
        )
    made_folder(into.parent)
    return lab.book.backup(into)


def bring_back(
    copy: Path,
    to: Path,
    *,
    by: str,
    at_server: str = "",
    clock: Callable[[], datetime] = lambda: datetime.now(UTC).astimezone(),
) -> Path:
    """Go on from a copy in another folder, or on a server; a book already there is never overwritten.

    Parameters
    ----------
    copy : Path
        File that ``back_up`` made.
    to : Path
        Folder of the laboratory that goes on.
    by : str
        Code of a person of the book.
    at_server : str
        ``postgresql+psycopg://...`` of an empty database the book stands in; "" for a file in the folder.
    clock : callable
        Gives the time now.

    Raises
    ------
    BookTrouble
        A book stands there already, or the copy cannot be trusted.
    BadEntry
        The clock cannot be right, and nobody said that it is.
    """
    now = clock()
    with _empty_place(to, at_server) as (where, files):
        restore(
            copy,
            where,
            by=by,
            at=now.isoformat(timespec="seconds"),
            files=files,
            doubt=lambda look: must_be_right(doubt_of(look, now, now)),
        ).close()
    return to / BOOK_FILE if not at_server else to


@contextmanager
def _empty_place(to: Path, at_server: str) -> Iterator[tuple[str | Path, Path | None]]:
    """Where a book is to stand, and its files; the folder names the server once the book stands there."""
    if holds_a_book(to):
        raise BookTrouble("A book is never overwritten", str(to / BOOK_FILE), "Name an empty folder")
    made_folder(to)
    yield (at_server, to / FILES_FOLDER) if at_server else (to / BOOK_FILE, None)
    if at_server:
        keep_address(to, at_server)


def export_everything(
    folder: Path, into: Path, progress: Callable[[int, int], None] = lambda _, __: None
) -> int:
    """Write the whole book as open files into a new folder, and tell how many entries went out.

    Raises
    ------
    BookTrouble
        Something stands there already, or the disk does not take it.
    """
    made_folder(into.absolute().parent)
    with open_laboratory(folder) as lab:
        return lab.book.write_out(into.absolute(), progress)


def import_everything(
    given: Path,
    to: Path,
    progress: Callable[[int, int], None] = lambda _, __: None,
    *,
    at_server: str = "",
) -> str:
    """Make the laboratory again that went out as open files; its fingerprint comes back, the same as of the old one.

    Parameters
    ----------
    given : Path
        Folder that ``export_everything`` made.
    to : Path
        Folder of the new laboratory; a book already there is never overwritten.
    progress : callable
        Told how many entries were read, and how many there are.
    at_server : str
        ``postgresql+psycopg://...`` of an empty database the book stands in; "" for a file in the folder.

    Raises
    ------
    BookTrouble
        What is given was changed or is not whole, or a book stands there already.
    """
    with (
        _empty_place(to, at_server) as (where, files),
        read_in(given, where, files=files, progress=progress) as book,
    ):
        return book.digest()


def digest(folder: Path) -> str:
    """Fingerprint of journal and index together."""
    with open_laboratory(folder) as lab:
        return lab.book.digest()
