"""A book older than what was acknowledged in its place is recognised; what is calculated may stand beside it."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from stillroom.errors import BookTrouble
from stillroom.store import Book
from stillroom.store.halves import ACKNOWLEDGED
from stillroom.store.mending import mend
from stillroom.store.reckoned import Reckoned
from stillroom.store.restoring import restore
from tests.store.practice import AT, begun, received, write


def test_a_book_whose_log_was_lost_says_which_entry_it_lacks_and_is_not_written_on(tmp_path: Path) -> None:
    where, elsewhere = tmp_path / "lab.book", tmp_path / "copy.book"
    with begun(where) as book, book.look() as look:
        look.codes()
        write(book, received("LOT-1", 1.0))  # it stays in the log while somebody looks
        shutil.copyfile(where, elsewhere)
    elsewhere.replace(where)

    with Book.open(where) as old:
        report = old.verify()
        with pytest.raises(
            BookTrouble, match=r"Entry 4, acknowledged here, is not in this file.*book restore"
        ):
            write(old, received("LOT-2", 1.0))
    assert [one[:39] for one in report.troubles] == ["Entry 4, acknowledged here, is not in t"]
    assert "book mend" not in report.advice
    made = mend(where)
    assert (made.lacks, made.advice) == (report.troubles, report.advice)
    with Book.open(where) as mended:
        assert not mended.verify().holds  # its journal is whole, and still an old one


def test_what_waited_in_the_log_for_somebody_who_read_is_folded_in_once_nobody_reads(tmp_path: Path) -> None:
    """It stayed there until the next entry, or the end of the pages."""
    where, alone = tmp_path / "lab.book", tmp_path / "alone.book"
    with begun(where) as book:
        with book.look() as look:
            look.codes()
            write(book, received("LOT-1", 1.0))
        shutil.copyfile(where, alone)
        entries = book.verify().entries

    with Book.open(alone) as copied:
        assert copied.verify().entries == entries


def test_what_is_written_while_a_book_is_verified_is_no_entry_that_it_lacks(tmp_path: Path) -> None:
    """Found with two servers at one book: verified beside them, it was told to have lost its log."""
    with begun(tmp_path / "lab.book") as book:
        beside = Book.open(tmp_path / "lab.book")
        written: list[int] = []

        def meanwhile(*_: int) -> None:
            if not written:
                written.extend(write(beside, received("LOT-1", 1.0)))

        report = book.verify(progress=meanwhile)
        beside.close()

        assert written == [report.entries + 1]
        assert (report.troubles, report.lacks) == ((), ())
        assert book.verify().entries == written[0]


def in_its_place(where: Path) -> None:
    copy = shutil.copyfile(where, where.with_name("copy.book"))
    copy.replace(where)


@pytest.mark.parametrize("happens", [mend, Path.unlink, in_its_place])
def test_what_is_still_served_when_the_file_is_mended_or_replaced_writes_nothing_into_the_old_one(
    happens: Callable[[Path], object], tmp_path: Path
) -> None:
    """Two receipts were acknowledged and lay in the file that mending had put aside."""
    where = tmp_path / "lab.book"
    with begun(where) as served:
        write(served, received("LOT-1", 1.0))
        happens(where)
        with pytest.raises(BookTrouble, match="End the pages, and start them again"):
            write(served, received("LOT-2", 1.0))
        with pytest.raises(BookTrouble, match="End the pages, and start them again"):
            served.keep_contact("MA", "telephone", "7")


def test_a_book_restored_in_the_place_of_a_later_one_is_written_on(tmp_path: Path) -> None:
    where = tmp_path / "lab.book"
    with begun(where) as book:
        copy = book.backup(tmp_path / "copy.book")
        write(book, received("LOT-1", 1.0))
        write(book, received("LOT-2", 1.0))
    where.unlink()

    with restore(copy, where, by="MA", at=AT) as again:
        write(again, received("LOT-3", 1.0))
        assert again.verify().holds


@pytest.mark.parametrize("stands", [b"", b"no number", b"\x00" * 76, b"0000000007"])
def test_where_the_file_of_the_head_is_damaged_it_is_said_until_the_next_entry(
    tmp_path: Path, stands: bytes
) -> None:
    where = tmp_path / "lab.book"
    with begun(where) as book:
        assert book.verify().untold == ""
        where.with_name(where.name + ACKNOWLEDGED).write_bytes(stands)
        report = book.verify()
        assert report.holds
        assert "Whether it is the newest cannot be told: no lab.book.head" in report.untold
        write(book, received("LOT-1", 1.0))
        assert book.verify().untold == ""


def test_a_file_that_was_carried_off_alone_while_somebody_read_does_not_pass_for_the_newest(
    tmp_path: Path,
) -> None:
    (tmp_path / "elsewhere").mkdir()
    where, elsewhere = tmp_path / "lab.book", tmp_path / "elsewhere" / "lab.book"
    with begun(where) as book, book.look() as look:
        look.codes()
        write(book, received("LOT-1", 1.0))
        shutil.copyfile(where, elsewhere)
        entries = book.verify().entries

    with Book.open(elsewhere) as carried:
        report = carried.verify()
    assert report.entries < entries
    assert report.holds
    assert "cannot be told" in report.untold
    with restore(elsewhere, tmp_path / "on.book", by="MA", at=AT) as again:
        assert again.verify().untold == ""


def test_what_was_calculated_is_found_again_until_what_it_rests_on_changes_or_its_file_is_damaged(
    tmp_path: Path,
) -> None:
    beside = Reckoned(tmp_path / "lab.reckoned")
    assert beside.found("ethanol in E1", ["request", 1.0]) is None
    beside.keep("ethanol in E1", ["request", 1.0], "0.25")

    assert beside.found("ethanol in E1", ["request", 1.0]) == "0.25"
    assert beside.found("ethanol in E1", ["request", 1.5]) is None
    whole = beside.path.read_bytes()
    beside.path.write_bytes(whole.replace(b"0.25", b"0.26"))
    assert beside.found("ethanol in E1", ["request", 1.0]) is None
    beside.path.write_bytes(b"no database" * 400)
    assert beside.found("ethanol in E1", ["request", 1.0]) is None
    beside.keep("ethanol in E1", ["request", 1.0], "0.25")
    assert beside.found("ethanol in E1", ["request", 1.0]) == "0.25"


@pytest.mark.parametrize("path", [None, Path("nowhere/at/all")])
def test_where_nothing_can_be_kept_nothing_is_found_and_nothing_breaks(path: Path | None) -> None:
    beside = Reckoned(path)
    beside.keep("ethanol in E1", [], "0.25")
    assert beside.found("ethanol in E1", []) is None
