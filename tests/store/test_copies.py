"""A copy is a whole book, checked; going on from one is told, so that a fork is seen."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from stillroom.errors import BookTrouble, UnknownName
from stillroom.records.entries import BookRestored
from stillroom.store import Book, restore
from tests.store.practice import AT, FIRST, behind_its_back, received, write


def test_a_copy_is_one_file_with_the_same_digest(told: Book, tmp_path: Path) -> None:
    told.keep_contact("CUST-1", "telephone", "000")
    copy = told.backup(tmp_path / "monday.book")

    assert not copy.with_name("monday.book-wal").exists()
    with Book.open(copy) as opened:
        assert opened.digest() == told.digest()
        assert opened.verify().troubles == ()
        assert opened.contact("CUST-1") == {"telephone": "000"}
        with opened.look() as look:
            (seal,) = look.attachments()
        assert opened.attachment(seal) == b"photograph of a jar"


def test_a_copy_overwrites_nothing(told: Book, tmp_path: Path) -> None:
    told.backup(tmp_path / "monday.book")

    with pytest.raises(BookTrouble, match=r"overwrites nothing.*monday\.book"):
        told.backup(tmp_path / "monday.book")
    with pytest.raises(BookTrouble, match=r"overwrites nothing.*monday\.book"):
        restore(tmp_path / "monday.book", tmp_path / "monday.book", by="MA", at=AT)


def test_a_book_that_does_not_hold_is_not_copied(told: Book, tmp_path: Path) -> None:
    with behind_its_back(told) as connection:
        connection.execute(
            "UPDATE journal SET text = replace(text, '500000000', '400000000') WHERE entry_no = 8"
        )

    if told.place.path is not None:
        with pytest.raises(BookTrouble, match=r"hold in every entry.*Entry 8 was altered"):
            told.backup(tmp_path / "monday.book")
        assert not (tmp_path / "monday.book").exists()
        assert not (tmp_path / "monday.book.half").exists()


def test_a_book_goes_on_from_a_copy_and_says_so(told: Book, tmp_path: Path) -> None:
    copy = told.backup(tmp_path / "monday.book")
    with told.look() as look:
        at_the_copy, epoch = look.head, look.book().epoch
    write(told, received("CIN-09", 10.0))

    with restore(copy, tmp_path / "again.book", by="JO", at=AT) as again:
        with again.look() as look:
            last = look.entry(look.head.entry_no)
            assert last.body == BookRestored(FIRST.book_id, epoch + 1, at_the_copy.digest)
            assert (last.entry_no, last.by) == (at_the_copy.entry_no + 1, "JO")
            assert look.book().epoch == epoch + 1
            assert "CIN-09" not in look.lot_codes()
            (seal,) = look.attachments()
        assert again.attachment(seal) == b"photograph of a jar"
        assert again.verify().troubles == ()
        write(again, received("CIN-09", 20.0))
    assert told.verify().holds


def test_a_book_moves_between_a_file_and_a_server(told: Book, tmp_path: Path, postgres_url: str) -> None:
    copy = told.backup(tmp_path / "monday.book")
    target = postgres_url if told.place.path is not None else str(tmp_path / "again.book")

    with restore(copy, target, by="MA", at=AT, files=tmp_path / "again.files") as again:
        assert again.verify().troubles == ()
        with again.look() as ours, told.look() as theirs:
            assert ours.entries(corrected=True)[:-1] == theirs.entries(corrected=True)


def test_only_somebody_of_the_book_goes_on_with_it(told: Book, tmp_path: Path) -> None:
    copy = told.backup(tmp_path / "monday.book")

    with pytest.raises(UnknownName, match="'ZZ' is not a person"):
        restore(copy, tmp_path / "again.book", by="ZZ", at=AT)
    assert not (tmp_path / "again.book").exists()
    restore(copy, tmp_path / "again.book", by="MA", at=AT).close()


def test_a_copy_that_was_altered_is_not_gone_on_with(told: Book, tmp_path: Path) -> None:
    copy = told.backup(tmp_path / "monday.book")
    with Book.open(copy) as opened, behind_its_back(opened) as connection:
        connection.execute("UPDATE movements SET amount = amount + 1 WHERE entry_no = 8")

    with pytest.raises(BookTrouble, match=r"hold in every entry.*amount is 500000001"):
        restore(copy, tmp_path / "again.book", by="MA", at=AT)
    assert not (tmp_path / "again.book").exists()


def test_what_is_no_copy_is_refused(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection:
        connection.execute("CREATE TABLE notes (words TEXT)")

    with pytest.raises(BookTrouble, match="A copy must be a book"):
        restore(tmp_path / "other.db", tmp_path / "again.book", by="MA", at=AT)
    with pytest.raises(BookTrouble, match="nothing at"):
        restore(tmp_path / "absent.book", tmp_path / "again.book", by="MA", at=AT)


def test_contacts_can_be_altered_and_erased_without_touching_the_book(told: Book) -> None:
    before = told.digest()
    told.keep_contact("CUST-1", "telephone", "000 unmistakable")
    told.keep_contact("CUST-1", "telephone", "111 unmistakable")
    told.keep_contact("CUST-1", "street", "nowhere 1")

    assert told.contact("CUST-1") == {"street": "nowhere 1", "telephone": "111 unmistakable"}
    assert told.erase_contact("CUST-1") == 2
    assert told.contact("CUST-1") == {}
    assert told.digest() == before
    if told.place.path is not None:
        told.close()
        assert b"unmistakable" not in told.place.path.read_bytes()


def test_a_file_that_no_entry_names_is_swept_and_no_other(told: Book) -> None:
    with told.look() as look:
        (named,) = look.attachments()
    orphan = told.attach(b"photograph nobody wanted")

    assert told.sweep() == 1
    assert told.sweep() == 0
    assert told.attachment(named) == b"photograph of a jar"
    with pytest.raises(UnknownName, match="not a file beside this book"):
        told.attachment(orphan)
    with pytest.raises(UnknownName, match="64 hexadecimal digits"):
        told.attachment("../../etc/passwd")


def test_an_entry_names_only_files_that_are_there(told: Book) -> None:
    from stillroom.errors import BadEntry

    before = told.digest()
    for seal in ("0" * 64, "../secret", ""):
        with (
            pytest.raises(BadEntry, match="kept before an entry names it"),
            told.pen(by="MA", at=AT, entered_at=AT) as pen,
        ):
            pen.enter(received("CIN-09", 1.0), attachments=(seal,))
    assert told.digest() == before


def test_a_book_its_copies_and_its_files_are_for_their_owner_only(told: Book, tmp_path: Path) -> None:
    copy = told.backup(tmp_path / "monday.book")
    restored = tmp_path / "again.book"
    restore(copy, restored, by="MA", at=AT)
    place = told.place.path or copy  # a book on a server is no file; its copies are
    kept = [place, *place.parent.glob(f"{place.name}-*"), copy, restored]
    kept += [one for one in place.with_name(f"{place.name}.files").rglob("*") if one.is_file()]

    assert len(kept) >= 3
    assert [one.name for one in kept if one.stat().st_mode & 0o077] == []
