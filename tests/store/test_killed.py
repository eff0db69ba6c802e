"""Writers that are killed, and writers that want the same gram: what was acknowledged is there, once."""

import os
import random
import select
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

import pytest

from stillroom.store import Book
from tests.store.practice import address, received, write

KILLS = 50


class Writers:
    """The process of ``writing.py``: its words in, its lines out."""

    def __init__(self) -> None:
        root = Path(__file__).parents[2]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.store.writing"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            bufsize=1,
            cwd=root,
            env=os.environ | {"PYTHONPATH": f"{root / 'src'}{os.pathsep}{root}"},
        )

    def ask(self, words: str) -> None:
        self._process.stdin.write(words + "\n")
        self._process.stdin.flush()

    def line(self) -> tuple[int, list[str]]:
        words = self._process.stdout.readline().split()
        assert words, "the writers are gone"
        return int(words[0]), words[1:]

    def silent_for(self, seconds: float) -> None:
        """Let the writer get somewhere inside its next entry."""
        select.select([], [], [], seconds)

    def end(self) -> None:
        self._process.stdin.close()
        self._process.wait()
        self._process.stdout.close()


@pytest.fixture
def writers() -> Iterator[Writers]:
    running = Writers()
    yield running
    running.end()


def last_of_the_file_alone(path: Path) -> int:
    """Number of the last entry in a file without the log beside it; 0 where it cannot be read so."""
    with (
        closing(sqlite3.connect(f"{path.as_uri()}?mode=ro&immutable=1", uri=True)) as file,
        suppress(sqlite3.DatabaseError),
    ):
        return int(file.execute("SELECT max(entry_no) FROM journal").fetchone()[0])
    return 0


@pytest.mark.slow
def test_fifty_killed_writers_lose_nothing_they_acknowledged(book: Book, writers: Writers) -> None:
    chance = random.Random(20260512)
    acknowledged: list[int] = []
    alone = 0
    for _ in range(KILLS):
        writers.ask(f"receive {address(book)}")
        writer, words = writers.line()
        assert words == ["started"]
        for _ in range(chance.randint(0, 6)):
            acknowledged += [int(one) for one in writers.line()[1][1:]]
        writers.silent_for(chance.uniform(0.0, 0.02))
        os.kill(writer, signal.SIGKILL)
        writers.ask("wait -")
        while (words := writers.line()[1]) != ["gone"]:
            acknowledged += [int(one) for one in words[1:]]
        if book.place.path is not None:
            alone += last_of_the_file_alone(book.place.path) >= max(acknowledged, default=0)

    assert (
        alone >= KILLS - 5 or book.place.path is None
    )  # killed while one was folded in, the log makes it whole
    report = book.verify()
    assert report.troubles == ()
    assert len(acknowledged) > KILLS
    with book.look() as look:
        kinds = [one.kind for one in look.entries(corrected=True)]
    assert max(acknowledged) <= report.entries
    assert len(set(acknowledged)) == len(acknowledged)
    # Whole requests only: each lot has its reading. One for each kill may be written and not told of.
    assert kinds[3:] == ["lot received", "reading taken"] * ((report.entries - 3) // 2)
    assert all(kinds[one - 1] in ("lot received", "reading taken") for one in acknowledged)
    assert 0 <= report.entries - 3 - len(acknowledged) <= 2 * KILLS


@pytest.mark.slow
def test_four_writers_take_exactly_what_there_is(book: Book, writers: Writers) -> None:
    write(book, received("CIN-01", 500.0))
    for _ in range(4):
        writers.ask(f"take {address(book)} 160")
    got = []
    while len(got) < 4:
        _, words = writers.line()
        if words[0] == "got":
            got.append(int(words[1]))
    for _ in range(4):
        writers.ask("wait -")
        assert writers.line()[1] == ["gone"]

    assert sum(got) == 500
    assert min(got) > 0
    with book.look() as look:
        assert look.balance_ug("CIN-01") == 0
        assert look.balance_ug("CIN-01", "waste") == 500_000_000
    assert book.verify().troubles == ()
