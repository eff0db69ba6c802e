"""A book with a whole journal is mended whatever happened to the rest; what is made is whole or not there at all."""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from stillroom.errors import BookTrouble, StillroomError
from stillroom.store import Book
from stillroom.store.engines import Place
from stillroom.store.mending import mend
from stillroom.store.restoring import restore
from tests.long_form import SEED, studied
from tests.store.practice import AT, FIRST, begun, received, write

FLIPS = 40
KILLS = studied(100, 6, 6)
REPLACED = "CREATE TRIGGER {name} BEFORE DELETE ON contacts WHEN 0 BEGIN SELECT 1; END"


@pytest.fixture
def told_file(written_once: Callable[[str], Path], tmp_path: Path) -> Path:
    """A book of its own, closed, as a file."""
    where = tmp_path / "lab.book"
    shutil.copyfile(written_once("told"), where)
    shutil.copytree(f"{written_once('told')}.files", f"{where}.files", dirs_exist_ok=True)
    return where


def digest(where: Path) -> str:
    with Book.open(where) as book:
        assert book.verify().troubles == ()
        return book.digest()


def behind_its_back(where: Path, *statements: str) -> None:
    with closing(sqlite3.connect(where)) as connection:
        for words in statements:
            connection.execute(words)
        connection.commit()


@pytest.mark.parametrize("name", ["entries", "movements", "results", "index_made", "head", "contacts"])
def test_a_table_that_is_gone_is_made_again_and_the_file_as_found_is_kept(told_file: Path, name: str) -> None:
    before = digest(told_file)
    behind_its_back(told_file, "PRAGMA foreign_keys = OFF", f'DROP TABLE "{name}"')
    found = told_file.read_bytes()

    mended = mend(told_file)

    assert digest(told_file) == before
    assert mended.aside.read_bytes() == found


def test_a_pin_that_is_damaged_keeps_no_book_from_being_mended_and_the_others_stay(told_file: Path) -> None:
    """Found among 2,000 flips of a byte."""
    before = digest(told_file)
    with Book.open(told_file) as book:
        book.keep_contact("MA", "telephone", "7")
        book.keep_contact("TO", "telephone", "8")
    behind_its_back(
        told_file,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_master SET sql = replace(sql, 'NOT NULL', '') WHERE name = 'contacts'",
    )
    behind_its_back(told_file, "UPDATE contacts SET value = NULL WHERE about = 'MA'", "DROP TABLE movements")

    assert mend(told_file).unread == ("contacts",)
    assert digest(told_file) == before
    with Book.open(told_file) as mended:
        assert (mended.contact("MA"), mended.contact("TO")) == ({}, {"telephone": "8"})


def test_a_file_that_does_not_begin_as_a_database_any_more_is_mended(told_file: Path) -> None:
    before = digest(told_file)
    told_file.write_bytes(b"SQXite" + told_file.read_bytes()[6:])

    with pytest.raises(BookTrouble, match="another kind of file"):
        Book.open(told_file)
    mend(told_file)
    assert digest(told_file) == before


@pytest.mark.parametrize(
    ("name", "called"),
    [("pins", ("PINs",)), ("passwords", ("passwords",)), ("contacts", ("contacts",)), ("tries", ())],
)
def test_what_no_entry_tells_and_is_gone_is_said_when_the_book_opens_and_when_it_is_mended(
    told_file: Path, name: str, called: tuple[str, ...]
) -> None:
    """A list of PINs that was dropped was made empty without a word, and whoever had one signed without."""
    before = digest(told_file)
    behind_its_back(told_file, f"DROP TABLE {name}")

    with pytest.raises(BookTrouble, match=f"no such table: {name}.*book mend"):
        Book.open(told_file)
    assert mend(told_file).unread == called
    assert digest(told_file) == before


OPENED = """
import sys
from stillroom.store import Book
with Book.open(sys.argv[1]) as book:
    book.verify()
    print("open", flush=True)
    sys.stdin.read()
"""
LOOKED = """
import fcntl, sys
from stillroom.store.engines import _HELD_BY_WHOEVER_HAS_IT_OPEN
with open(sys.argv[1], "rb") as file:
    try:
        fcntl.lockf(file, fcntl.LOCK_SH | fcntl.LOCK_NB, *_HELD_BY_WHOEVER_HAS_IT_OPEN)
    except BlockingIOError:
        print("kept out")
"""


def test_a_book_that_another_process_has_open_is_not_mended(told_file: Path) -> None:
    """What was acknowledged while it was mended would have lain in the file put aside."""
    words = [sys.executable, "-c", OPENED, str(told_file)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout.readline() == "open\n"
        with pytest.raises(BookTrouble, match=r"nobody else has it open.*End the pages"):
            mend(told_file)
        assert list(told_file.parent.glob("*.damaged-*")) == []
        other.communicate("")

    assert mend(told_file).aside.exists()


def test_nobody_comes_in_until_the_mended_book_stands_there(
    told_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def looked() -> str:
        words = [sys.executable, "-c", LOOKED, str(told_file)]
        return subprocess.run(words, capture_output=True, text=True, check=True).stdout

    found: list[str] = []
    puts = Path.replace
    monkeypatch.setattr(Path, "replace", lambda one, to: (found.append(looked()), puts(one, to))[1])

    mend(told_file)
    assert found == ["kept out\n"]
    assert looked() == ""


@pytest.mark.parametrize("content", [b"", b"no book", b"no book" * 10_000])
def test_what_never_was_a_book_is_not_mended_and_stays_as_it_is(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_bytes(content)

    with pytest.raises(BookTrouble, match="mended from its journal"):
        mend(tmp_path / "notes.txt")
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("notes.txt", content)]


def test_an_entry_whose_text_is_no_text_any_more_is_named_and_breaks_nothing(told_file: Path) -> None:
    """A flipped byte in the head of a row made nothing of it."""
    behind_its_back(
        told_file,
        "DROP TRIGGER journal_keeps_update",
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_master SET sql = replace(sql, 'NOT NULL', '') WHERE name = 'journal'",
    )
    behind_its_back(told_file, "UPDATE journal SET text = NULL WHERE entry_no = 5")

    with Book.open(told_file) as book:
        troubles = book.verify().troubles
    assert any("Entry 5 cannot be read" in one for one in troubles)
    with pytest.raises(BookTrouble, match="broken at entry 5"):
        mend(told_file)


@pytest.mark.parametrize("number", ["NULL", "'eleven'"])
def test_an_index_whose_number_is_damaged_is_made_again_when_the_book_opens(
    told_file: Path, number: str
) -> None:
    before = digest(told_file)
    behind_its_back(
        told_file,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_master SET sql = replace(sql, 'NOT NULL', '') WHERE name = 'index_made'",
    )
    behind_its_back(
        told_file, "DROP TRIGGER index_made_keeps_update", f"UPDATE index_made SET index_number = {number}"
    )

    assert digest(told_file) == before


def test_every_guard_that_was_replaced_is_named_and_mended(told_file: Path) -> None:
    with closing(sqlite3.connect(told_file)) as connection:
        names = [
            one for (one,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ]
        for one in names:
            connection.execute(f"DROP TRIGGER {one}")
            connection.execute(REPLACED.format(name=one))
        connection.commit()

    with Book.open(told_file) as book:
        troubles = book.verify().troubles
    mend(told_file)

    assert [
        one for one in names if not any(f"The guard {one} was replaced" in said for said in troubles)
    ] == []
    digest(told_file)


def test_a_table_whose_making_is_no_text_any_more_is_a_sentence_and_no_traceback(told_file: Path) -> None:
    """The database quotes what it cannot read, letter for letter: found among 550 flips of a bit."""
    before = digest(told_file)
    told_file.write_bytes(
        told_file.read_bytes().replace(b"CREATE TABLE offers", b"CREA\xd4E TABLE offers", 1)
    )

    with pytest.raises(BookTrouble, match="malformed"):
        Book.open(told_file)
    mend(told_file)
    assert digest(told_file) == before


def test_a_hurt_journal_is_refused_and_nothing_is_changed(told_file: Path) -> None:
    behind_its_back(
        told_file,
        "DROP TRIGGER journal_keeps_update",
        "UPDATE journal SET text = text || ' ' WHERE entry_no = 5",
    )
    before = told_file.read_bytes()

    with pytest.raises(BookTrouble, match=r"broken at entry 5.*lacks what came after"):
        mend(told_file)

    assert told_file.read_bytes() == before
    assert list(told_file.parent.glob("*.damaged-*")) == []


def test_a_flipped_bit_is_found_or_harmless_and_what_can_be_mended_is_the_same_book(told_file: Path) -> None:
    good, whole = digest(told_file), told_file.read_bytes()
    chance = random.Random(20261129)
    missed = []
    for _ in range(FLIPS):
        at, bit = (
            chance.choice((chance.randrange(len(whole)), chance.randrange(3 * 4096))),
            chance.randrange(8),
        )
        damaged = bytearray(whole)
        damaged[at] ^= 1 << bit
        told_file.write_bytes(damaged)
        try:
            with Book.open(told_file) as book:
                troubles, stands = book.verify().troubles, book.digest()
        except StillroomError:
            continue
        if not troubles and stands != good:
            missed.append((at, bit))

    assert missed == []


def killed_somewhere(work: Callable[[], object], seconds: float) -> None:
    child = os.fork()
    if child == 0:
        work()
        os._exit(0)
    time_left = time.monotonic() + seconds
    while time.monotonic() < time_left:
        if os.waitpid(child, os.WNOHANG)[0]:
            return
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


@pytest.mark.slow
def test_what_is_killed_while_it_begins_restores_or_copies_is_there_whole_or_can_be_tried_again(
    told_file: Path, tmp_path: Path
) -> None:
    with Book.open(told_file) as book:
        copy = book.backup(tmp_path / "copy.book")
    makers: dict[str, Callable[[Path], Book | None]] = {
        "begin": lambda where: Book.begin(where, FIRST, by="MA", at=AT).close(),
        "restore": lambda where: restore(copy, where, by="MA", at=AT).close(),
        "copy": lambda where: shutil.copyfile(
            Book.open(told_file).backup(where), where.with_suffix(".twice")
        ),
    }
    chance = random.Random(SEED)
    for name, make in makers.items():
        for number in range(KILLS):
            where = tmp_path / f"{name}-{number}.book"
            killed_somewhere(lambda make=make, where=where: make(where), chance.uniform(0.0, 0.25))
            if not where.exists():
                make(where)
            digest(where)
            assert list(tmp_path.glob(f"{where.name}*.half*")) == []


def test_what_a_killed_writer_left_beside_a_whole_book_is_gone_when_it_opens(
    told_file: Path, tmp_path: Path
) -> None:
    child = os.fork()
    if child == 0:
        os._exit(0)
    os.waitpid(child, 0)
    left, at_work = (told_file.with_name(f"{told_file.name}.{pid}-0a1b.half") for pid in (child, os.getpid()))
    left.hardlink_to(told_file)
    at_work.hardlink_to(told_file)

    with Book.open(told_file) as opened:
        assert opened.verify().troubles == ()
    assert not left.exists()
    assert at_work.exists()


def test_a_copy_of_the_file_alone_taken_while_it_is_open_holds_what_was_acknowledged(tmp_path: Path) -> None:
    with begun(tmp_path / "lab.book") as book:
        for number in range(10):
            write(book, received(f"LOT-{number}", 1.0))
        entries = book.verify().entries
        shutil.copyfile(tmp_path / "lab.book", tmp_path / "alone.book")

    with Book.open(tmp_path / "alone.book") as alone:
        report = alone.verify()
    assert (report.troubles, report.entries) == ((), entries)


def test_a_closed_book_that_cannot_be_written_is_read_verified_and_copied(
    told_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = digest(told_file)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.setattr(Place, "is_read_only", property(lambda place: place.path == told_file))

    with Book.open(told_file) as book:
        assert book.verify().troubles == ()
        assert book.digest() == before
        book.backup(tmp_path / "elsewhere" / "copy.book")
        with (
            pytest.raises(BookTrouble, match="which can only be read"),
            book.pen(by="MA", at=AT, entered_at=AT),
        ):
            pass
    assert [one.name for one in tmp_path.glob("lab.book-*")] == []
