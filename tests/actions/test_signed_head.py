"""A line kept elsewhere shows whether a book was rewritten."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import BOOK_FILE, Laboratory
from stillroom.actions.book.signing import KEY_FILE, check_line, signed_head
from stillroom.errors import BookTrouble
from stillroom.store import head_line
from stillroom.store.journal import digest_of
from tests.practice import lab as lab


@pytest.fixture
def copy(lab: Laboratory, tmp_path: Path) -> Path:
    return lab.book.backup(tmp_path / "copy.book")


def test_a_copy_of_the_book_matches_its_line(lab: Laboratory, copy: Path) -> None:
    line = signed_head(lab)

    assert check_line(line, copy).startswith("The copy is the book that was signed, up to entry")
    assert signed_head(lab).split()[10] == line.split()[10]
    assert (lab.folder / KEY_FILE).stat().st_mode & 0o77 == 0


def test_the_checker_is_a_program_of_its_own(lab: Laboratory, copy: Path, tmp_path: Path) -> None:
    alone = Path(shutil.copy(head_line.__file__, tmp_path / "check.py"))
    away = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}

    def asked(line: str, of: Path = copy) -> subprocess.CompletedProcess[str]:
        words = [sys.executable, "-P", str(alone), line, str(of)]
        return subprocess.run(words, capture_output=True, text=True, env=away, cwd=tmp_path, check=False)

    line = signed_head(lab)
    assert "import stillroom" not in alone.read_text()
    assert "from stillroom" not in alone.read_text()
    assert (asked(line).returncode, asked(line[:-1]).returncode) == (0, 1)
    for none in (tmp_path / "nowhere", tmp_path, alone):
        told = asked(line, none)
        assert (told.returncode, told.stderr.startswith("The copy cannot be read: ")) == (1, True)


@pytest.mark.parametrize("at", range(12))
def test_a_letter_changed_in_the_line_is_seen(lab: Laboratory, copy: Path, at: int) -> None:
    line = signed_head(lab)
    place = at * len(line) // 12
    other = "0" if line[place] != "0" else "1"

    with pytest.raises(BookTrouble, match=r"line|copy is of another book"):
        check_line(line[:place] + other + line[place + 1 :], copy)


def test_a_book_rewritten_with_a_whole_new_chain_does_not_match(lab: Laboratory, copy: Path) -> None:
    line = signed_head(lab)
    with closing(sqlite3.connect(copy)) as book, book:
        for (name,) in book.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            book.execute(f"DROP TRIGGER {name}")
        before = "0" * 64
        for number, text in book.execute("SELECT entry_no, text FROM journal ORDER BY entry_no").fetchall():
            told = text.replace("37.6", "47.6")
            digest = digest_of(before, told)
            book.execute(
                "UPDATE journal SET text = ?, before = ?, digest = ? WHERE entry_no = ?",
                (told, before, digest, number),
            )
            before = digest

    with pytest.raises(BookTrouble, match="rewritten"):
        check_line(line, copy)


def test_a_copy_that_is_too_short_or_of_another_book_does_not_match(lab: Laboratory, copy: Path) -> None:
    line = signed_head(lab)
    with closing(sqlite3.connect(copy)) as book, book:
        for (name,) in book.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            book.execute(f"DROP TRIGGER {name}")
        book.execute("DELETE FROM journal WHERE entry_no > 100")

    with pytest.raises(BookTrouble, match="ends with entry 100"):
        check_line(line, copy)


def test_a_copy_carries_no_key(lab: Laboratory, copy: Path) -> None:
    signed_head(lab)
    key = (lab.folder / KEY_FILE).read_bytes().strip()

    assert key not in copy.read_bytes()
    assert not (copy.parent / KEY_FILE).exists()
    assert (lab.folder / BOOK_FILE).exists()
