"""A full disk costs what was not acknowledged yet and nothing else: a sentence, nothing half; the next try works."""

import os
import resource
import signal
import traceback
from collections.abc import Callable
from pathlib import Path

import pytest

from stillroom.errors import BookTrouble
from stillroom.store import Book
from stillroom.store.mending import mend
from stillroom.store.restoring import restore
from tests.store.practice import AT, FIRST, begun, received, write


def on_a_full_disk(most_bytes: int, do: Callable[[], object]) -> str:
    """What happens in a process that may write no file beyond so many bytes."""
    read, said = os.pipe()
    child = os.fork()
    if child == 0:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
        try:
            do()
            told = "done"
        except BookTrouble as trouble:
            told = f"refused: {trouble}"
        except BaseException:  # noqa: BLE001  whatever it is, it is told
            told = traceback.format_exc()
        os.write(said, told.encode())
        os._exit(0)
    os.close(said)
    with os.fdopen(read) as told_here:
        found = told_here.read()
    os.waitpid(child, 0)
    return found


@pytest.mark.parametrize("share", [0.02, 0.99])
def test_what_is_begun_copied_restored_or_mended_on_a_full_disk_is_whole_or_not_there(
    share: float, written_once: Callable[[str], Path], tmp_path: Path
) -> None:
    """The log took the entries, the file could not be made longer, and half a book got its name."""
    begun(tmp_path / "first.book").close()
    with Book.open(tmp_path / "first.book") as book:
        copy = book.backup(tmp_path / "copy.book")
        before = book.digest()
    most = int(share * copy.stat().st_size)
    made: dict[str, Callable[[Path], object]] = {
        "begun": lambda to: Book.begin(to, FIRST, by="MA", at=AT).close(),
        "copied": lambda to: Book.open(copy).backup(to),
        "restored": lambda to: restore(copy, to, by="MA", at=AT).close(),
    }
    for name, make in made.items():
        to = tmp_path / f"{name}.book"
        assert on_a_full_disk(most, lambda make=make, to=to: make(to)).startswith("refused"), name
        assert [one.name for one in tmp_path.glob(f"{name}.book*")] == [], name
        make(to)
        with Book.open(to) as whole:
            assert whole.verify().holds, name
    assert on_a_full_disk(most, lambda: mend(tmp_path / "first.book")).startswith("refused")
    with Book.open(tmp_path / "first.book") as stands:
        assert stands.digest() == before


def test_an_entry_and_a_photograph_on_a_full_disk_are_refused_and_leave_nothing(tmp_path: Path) -> None:
    with begun(tmp_path / "lab.book") as book:
        entries = book.verify().entries

        assert on_a_full_disk(100, lambda: book.attach(b"a photograph" * 100)).startswith("refused")
        assert on_a_full_disk(
            100, lambda: write(Book.open(book.place.path), received("LOT-1", 1.0))
        ).startswith("refused")
        assert [one for one in tmp_path.rglob("*") if one.is_file() and one.name.endswith(".half")] == []
        write(book, received("LOT-1", 1.0))
        assert book.verify().entries == entries + 1
