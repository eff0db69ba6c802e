"""Going on from a copy: the book says so in its next entry, so that a fork is seen."""

from collections.abc import Callable
from pathlib import Path

from stillroom.errors import BookTrouble, worded
from stillroom.records.entries import BookRestored
from stillroom.store.acknowledged import Acknowledged
from stillroom.store.attachments import Attachments
from stillroom.store.book import Book
from stillroom.store.book_writer import BookWriter
from stillroom.store.copies import carry_over, check_copy, copy_files
from stillroom.store.engines import Place, reading_engine, told, writing_engine
from stillroom.store.halves import made_whole, refuse_standing
from stillroom.store.looking import Head
from stillroom.store.reader import Reader


def restore(
    copy: Path,
    to: str | Path,
    *,
    by: str,
    at: str,
    files: Path | None = None,
    doubt: Callable[[Reader], str] = lambda _: "",
) -> Book:
    """Make a book from a copy and open it. Its epoch is one higher, and it names the digest it goes on from.

    Parameters
    ----------
    copy : Path
        File that ``backup`` made.
    to : str or Path
        File to be made, or ``postgresql+psycopg://...`` of an empty database; nothing is overwritten.
    by : str
        Code of a person of the book.
    at : str
        Time (ISO with offset).
    files : Path, optional
        Folder of attachments, for a book on a server.
    doubt : callable, optional
        What the entry keeps of a doubt about its time, by what stands in the copy; may refuse.

    Raises
    ------
    BookTrouble
        The copy is absent or does not hold, or something stands there already.
    """
    if not copy.is_file():
        raise BookTrouble("A copy must be there to be restored", worded("nothing at {copy}", copy=copy))
    if (there := Place.of(to).path) is not None:
        refuse_standing(there)
    source, target = Place.of(copy), Place.of(to, files)
    check_copy(source, Attachments(source.files))
    if target.path is None:
        head = _go_on(source, target, by, at, doubt)
    else:
        with made_whole(target.path) as half:
            head = _go_on(source, Place.of(half, target.files), by, at, doubt)
    Acknowledged.of(target).keep(head)
    return Book.open(to, files=files)


def _go_on(source: Place, target: Place, by: str, at: str, doubt: Callable[[Reader], str]) -> Head:
    kept = Attachments(target.files)
    reading, writing = reading_engine(source), writing_engine(target)
    try:
        with told(target), reading.begin() as ours, writing.begin() as theirs:
            carry_over(ours, theirs, target.name)
            look = Reader(theirs)
            pen = BookWriter(theirs, kept, by=by, at=at, entered_at=at)
            book, pen.doubt = look.book(), doubt(look)
            pen.enter(BookRestored(book.book_id, book.epoch + 1, look.head.digest))
            pen.finish()
            copy_files(Attachments(source.files), kept, look.attachments())
            return Reader(theirs).head
    finally:
        reading.dispose()
        writing.dispose()
