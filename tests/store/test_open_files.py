"""A whole book goes out as open files that anybody can read, and comes in again with the same digest, or not at all."""

import csv
import hashlib
import json
import os
import random
import re
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from stillroom.errors import BookTrouble
from stillroom.store import Book
from stillroom.store import tables as t
from stillroom.store.brought_in import read_in
from stillroom.store.open_files import what_a_column_is
from tests.long_form import SEED, studied
from tests.store.practice import received, write

KILLS = studied(150, 12, 12)


def out(book: Book, tmp_path: Path) -> Path:
    book.keep_contact("CUST-1", "telephone", "000\u2028111")
    book.write_out(tmp_path / "out")
    return tmp_path / "out"


def test_a_book_comes_in_with_the_digest_it_went_out_with(told: Book, tmp_path: Path) -> None:
    given = out(told, tmp_path)

    with read_in(given, tmp_path / "again.book") as again:
        assert again.digest() == told.digest() == json.loads((given / "about.json").read_text())["digest"]
        assert again.verify().troubles == ()
        assert again.contact("CUST-1") == {"telephone": "000\u2028111"}
        with again.look() as ours, told.look() as theirs:
            assert ours.entries(corrected=True) == theirs.entries(corrected=True)
            (seal,) = ours.attachments()
        assert again.attachment(seal) == b"photograph of a jar"
        write(again, received("CIN-09", 1.0))
    assert not list(tmp_path.glob("*.half"))


def test_a_book_moves_to_a_server_by_open_files(told: Book, tmp_path: Path, postgres_url: str) -> None:
    given = out(told, tmp_path)

    with read_in(given, postgres_url, files=tmp_path / "again.files") as again:
        assert again.digest() == told.digest()


def test_the_chain_is_checked_with_nothing_but_the_lines(told: Book, tmp_path: Path) -> None:
    given = out(told, tmp_path)
    before = "0" * 64
    for line in (given / "journal.jsonl").read_bytes().split(b"\n")[:-1]:
        before = hashlib.sha256(before.encode() + b"\n" + line).hexdigest()

    with told.look() as look:
        assert before == look.head.digest


def test_every_column_says_what_it_is_and_every_table_has_its_rows(told: Book, tmp_path: Path) -> None:
    given = out(told, tmp_path)
    with (given / "columns.csv").open(newline="") as file:
        described = {(row["file"], row["column"]) for row in csv.DictReader(file) if row["what it is"]}
    rows = 0
    for name, table in t.PROJECTED.items():
        with (given / "tables" / f"{name}.csv").open(newline="") as file:
            head, *found = csv.reader(file)
        rows += len(found)
        assert head == [one.name for one in table.columns]
        assert {(f"tables/{name}.csv", one) for one in head} <= described
    for line in (given / "journal.jsonl").read_text().split("\n")[:-1]:
        assert {("journal.jsonl", key) for key in json.loads(line)} <= described

    assert rows == told.verify().rows


def test_a_number_of_a_measure_names_its_unit() -> None:
    ends = {"_g": "[g]", "_ml": "[mL]", "_c": "[°C]", "_m": "[m]", "_min": "[min]", "_days": "[d]"}
    for name, table in t.PROJECTED.items():
        for column in table.columns:
            for end, unit in ends.items():
                if column.name.endswith(end):
                    assert what_a_column_is(name, column.name).endswith(unit), (name, column.name)


def _altered(path: Path, change: Callable[[str], str]) -> None:
    path.write_text(change(path.read_text()))


@pytest.mark.parametrize(
    ("hurt", "says"),
    [
        (
            lambda at: _altered(at / "journal.jsonl", lambda x: x.replace("500000000", "400000000")),
            "as it went out",
        ),
        (lambda at: _altered(at / "journal.jsonl", lambda x: x[: len(x) // 2]), "as it went out"),
        (lambda at: _altered(at / "contacts.jsonl", lambda x: x + x), "as it went out"),
        (lambda at: (at / "about.json").write_text("{}"), "export everything"),
        (lambda at: (at / "about.json").write_text("[" * 100_000), "export everything"),
        (
            lambda at: _altered(
                at / "about.json", lambda x: re.sub(r'"entries": *\d+', f'"entries": {10**30}', x)
            ),
            "Every line of the journal must be an entry",
        ),
        (lambda at: (at / "journal.jsonl").unlink(), "export everything"),
        (lambda at: next((at / "attachments").iterdir()).unlink(), "Every file that an entry names"),
        (
            lambda at: next((at / "attachments").iterdir()).write_bytes(b"another"),
            "A file must be as it went out",
        ),
    ],
)
def test_what_was_changed_on_the_way_is_refused(
    told: Book, tmp_path: Path, hurt: Callable[[Path], object], says: str
) -> None:
    given = out(told, tmp_path)
    hurt(given)

    with pytest.raises(BookTrouble, match=says):
        read_in(given, tmp_path / "again.book")
    assert not (tmp_path / "again.book").exists()


def test_a_journal_rewritten_together_with_its_seal_is_refused_by_the_chain(
    told: Book, tmp_path: Path
) -> None:
    given = out(told, tmp_path)
    _altered(given / "journal.jsonl", lambda x: x.replace("500000000", "400000000"))
    about = json.loads((given / "about.json").read_text())
    about["sha256"]["journal.jsonl"] = hashlib.sha256((given / "journal.jsonl").read_bytes()).hexdigest()
    (given / "about.json").write_text(json.dumps(about))

    with pytest.raises(BookTrouble, match="must have the digest of the one that went out"):
        read_in(given, tmp_path / "again.book")


def test_nothing_is_overwritten(told: Book, tmp_path: Path) -> None:
    given = out(told, tmp_path)
    read_in(given, tmp_path / "again.book").close()

    with pytest.raises(BookTrouble, match="overwrites nothing"):
        told.write_out(given)
    with pytest.raises(BookTrouble, match="overwrites nothing"):
        read_in(given, tmp_path / "again.book")


def _killed(does: Callable[[], object], after_s: float) -> None:
    child = os.fork()
    if not child:
        try:
            does()
        finally:
            os._exit(0)
    deadline = time.monotonic() + after_s
    while time.monotonic() < deadline:
        pass
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore:This process .* is multi-threaded:DeprecationWarning")
def test_killed_anywhere_the_next_try_works(told: Book, tmp_path: Path) -> None:
    if told.place.path is None:
        pytest.skip("a connection to a server is not forked; the file shows it")
    given, digest = out(told, tmp_path), told.digest()
    where = told.place.path
    told.close()
    chance = random.Random(SEED)
    for number in range(KILLS):
        into, again = tmp_path / f"out-{number}", tmp_path / f"again-{number}.book"
        _killed(lambda into=into: Book.open(where).write_out(into), chance.uniform(0.0, 0.25))
        if not into.exists():
            with Book.open(where) as book:
                book.write_out(into)
        _killed(lambda again=again: read_in(given, again), chance.uniform(0.0, 0.25))
        if not again.exists():
            read_in(into, again).close()
        with Book.open(again) as opened:
            assert opened.digest() == digest
        assert not list(tmp_path.glob(f"out-{number}*.half")) + list(tmp_path.glob(f"again-{number}*.half"))
