"""What is written stays word for word, once, in turn."""

import hashlib
import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest

from stillroom.errors import BadEntry, BookTrouble, UnknownName
from stillroom.records.entries import Body, BookBegun, PersonJoined, ReadingTaken, StockCounted
from stillroom.records.people import Person
from stillroom.store import Book, BookWriter
from stillroom.store.journal import Written, row_of, written_of
from tests.store.practice import AT, FIRST, LATER, address, begun, received, write


def test_anybody_can_check_the_chain_with_sha_256_alone(told: Book) -> None:
    if told.place.path is None:
        pytest.skip("read with the library of the file")
    with closing(sqlite3.connect(told.place.path)) as connection:
        rows = connection.execute("SELECT text, before, digest FROM journal ORDER BY entry_no").fetchall()

    before = "0" * 64
    for text, said_before, digest in rows:
        assert said_before == before
        before = hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()
        assert digest == before
    with told.look() as look:
        assert look.head.digest == before
        assert look.head.entry_no == len(rows)


def test_an_entry_comes_back_as_it_was_written(told: Book) -> None:
    with told.look() as look:
        for entry in look.entries(corrected=True):
            again = written_of(row_of(Written(entry), "0" * 64).text).entry

            assert replace(again, corrected_by=entry.corrected_by) == entry


def test_when_it_was_done_and_when_it_was_entered_are_two_times(book: Book) -> None:
    with book.pen(by="JO", at=AT, entered_at=LATER) as pen:
        first = pen.enter(received("CIN-01", 10.0))
        second = pen.enter(received("CIN-02", 10.0), done_at="2026-05-11T23:00:00+02:00")

    with book.look() as look:
        assert (look.entry(first).done_at, look.entry(first).entered_at, look.entry(first).by) == (
            AT,
            LATER,
            "JO",
        )
        assert look.entry(second).done_at == "2026-05-11T23:00:00+02:00"
        assert look.received_at("CIN-02") == "2026-05-11T23:00:00+02:00"


@pytest.mark.parametrize("moment", ["2026-05-12T09:00:00", "12 May", ""])
def test_a_time_without_offset_is_refused(book: Book, moment: str) -> None:
    before = book.digest()

    with pytest.raises(BadEntry, match=r"offset|must be a time"), book.pen(by="MA", at=moment, entered_at=AT):
        pass
    with (
        pytest.raises(BadEntry, match=r"offset|must be a time"),
        book.pen(by="MA", at=AT, entered_at=AT) as pen,
    ):
        pen.enter(received("CIN-01", 10.0), done_at=moment or "never")
    assert book.digest() == before


def test_the_same_request_is_carried_out_once(book: Book) -> None:
    again = {"by": "MA", "at": AT, "entered_at": LATER, "request_key": "key-1", "asked": "receive CIN-01"}
    with book.pen(**again) as pen:
        assert pen.earlier == ()
        numbers = (pen.enter(received("CIN-01", 10.0)), pen.enter(received("CIN-02", 10.0)))
    before = book.digest()
    with book.pen(**again) as pen:
        assert pen.earlier == numbers

    assert book.digest() == before
    with pytest.raises(BadEntry, match=r"carried out once.*entry 4, 5"), book.pen(**again) as pen:
        pen.enter(received("CIN-03", 10.0))
    with (
        pytest.raises(BadEntry, match=r"A request key stands for one request.*entry 4 with other words"),
        book.pen(**(again | {"asked": "receive CIN-09"})),
    ):
        pass
    assert book.digest() == before


def test_a_request_that_failed_can_be_made_again(book: Book) -> None:
    again = {"by": "MA", "at": AT, "entered_at": LATER, "request_key": "key-1", "asked": "receive"}
    with pytest.raises(BadEntry, match="finite"), book.pen(**again) as pen:
        write_two(pen, received("CIN-01", 10.0), ReadingTaken("CIN-01", "mass", float("nan"), "g", "?"))

    with book.pen(**again) as pen:
        assert pen.earlier == ()
        pen.enter(received("CIN-01", 10.0))
    with book.look() as look:
        assert look.lot_codes() == ("CIN-01",)


def write_two(pen: BookWriter, first: Body, second: Body) -> None:
    pen.enter(first)
    pen.enter(second)


def test_a_request_key_is_remembered_when_the_index_is_made_again(book: Book) -> None:
    again = {"by": "MA", "at": AT, "entered_at": LATER, "request_key": "key-1", "asked": "receive"}
    with book.pen(**again) as pen:
        number = pen.enter(received("CIN-01", 10.0))
    book.rebuild()

    with book.pen(**again) as pen:
        assert pen.earlier == (number,)


def test_a_correction_replaces_its_entry_and_both_can_be_seen(book: Book) -> None:
    (old,) = write(book, received("CIN-01", 500.0))
    with book.pen(by="JO", at=AT, entered_at=LATER) as pen:
        new = pen.enter(received("CIN-01", 50.0), corrects=old, why="a nought too many")

    with book.look() as look:
        assert look.balance_ug("CIN-01") == 50_000_000
        assert [one.entry_no for one in look.entries("lot received")] == [new]
        both = look.entries("lot received", "CIN-01", corrected=True)
        assert [(one.entry_no, one.corrects, one.corrected_by) for one in both] == [
            (old, None, new),
            (new, old, None),
        ]
        assert both[1].why == "a nought too many"
        assert look.latest("lot received", "CIN-01") == both[1]
    assert book.verify().troubles == ()


def test_an_entry_is_corrected_once_by_its_own_kind_and_with_a_reason(book: Book) -> None:
    (old,) = write(book, received("CIN-01", 500.0))
    with book.pen(by="MA", at=AT, entered_at=LATER) as pen:
        new = pen.enter(received("CIN-01", 50.0), corrects=old, why="a nought too many")
    before = book.digest()

    def correct(number: int, why: str = "again", body: object = None) -> None:
        with book.pen(by="MA", at=AT, entered_at=LATER) as pen:
            pen.enter(body or received("CIN-01", 60.0), corrects=number, why=why)

    with pytest.raises(BadEntry, match=rf"corrected once.*entry {old}, which entry {new} has replaced"):
        correct(old)
    with pytest.raises(BadEntry, match="must say why"):
        correct(new, why="  ")
    with pytest.raises(BadEntry, match="of the kind of the entry"):
        correct(new, body=StockCounted("CIN-01", 5, "ug", "5"))
    with pytest.raises(UnknownName, match="99 is not an entry"):
        correct(99)
    assert book.digest() == before
    correct(new)
    assert book.digest() != before


def test_only_people_of_the_book_write_in_it(book: Book) -> None:
    before = book.digest()

    with pytest.raises(UnknownName, match=r"'JOO' is not a person.*'JO'"):
        write(book, received("CIN-01", 5.0), by="JOO")
    assert book.digest() == before


def test_the_first_person_is_signed_in_by_whoever_began_the_book(where: object) -> None:
    with Book.begin(where, FIRST, by="MA", at=AT) as book:  # type: ignore[arg-type]
        with pytest.raises(UnknownName, match="'ZZ' is not a person"):
            write(book, PersonJoined(Person("MA", "Mara")), by="ZZ")
        with pytest.raises(UnknownName, match="None has been entered yet"):
            write(book, received("CIN-01", 5.0), by="MA")
        write(book, PersonJoined(Person("ZZ", "Zoe")), by="ZZ")
        with pytest.raises(UnknownName, match="'MA' is not a person"):
            write(book, PersonJoined(Person("MA", "Mara")), by="MA")


def test_a_book_begins_once(book: Book) -> None:
    with pytest.raises(BadEntry, match="begins with its first entry, once"):
        write(book, BookBegun("b", 1, "again", practice=False))
    with pytest.raises(BookTrouble, match=r"empty place.*a book stands"):
        begun(address(book))


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(book: Book, value: float) -> None:
    write(book, received("CIN-01", 5.0))
    before = book.digest()

    with pytest.raises(BadEntry, match="finite"):
        write(book, ReadingTaken("CIN-01", "mass", value, "g", "nan"))
    assert book.digest() == before


@pytest.mark.parametrize("letter", ["\x00", chr(0xD800), chr(0xDFFF)])
def test_a_letter_that_cannot_be_kept_is_refused(book: Book, letter: str) -> None:
    write(book, received("CIN-01", 5.0))
    before = book.digest()

    with pytest.raises(BadEntry, match="letters that can be written"):
        write(book, ReadingTaken("CIN-01", f"mass{letter}", 1.0, "g", "1"))
    assert book.digest() == before


def test_every_other_letter_is_kept(book: Book) -> None:
    words = "Löß – ½ µg „Ω“ 🌿 ' \" \\ % \n\t%s :name"
    write(book, received("CIN-01", 5.0))
    (number,) = write(book, ReadingTaken("CIN-01", words, 1.0, "g", words))

    with book.look() as look:
        assert look.readings("CIN-01", words)[0].body.as_written == words
        assert look.entry(number).body == ReadingTaken("CIN-01", words, 1.0, "g", words)
    assert book.verify().troubles == ()


def test_an_entry_of_a_newer_version_is_not_guessed_at() -> None:
    text = (
        '{"attachments":[],"body":{"lot":"a","found":1,"counted_in":"ug","as_written":""},"by":"MA",'
        '"corrects":null,'
        '"done_at":"","entered_at":"",'
        '"entry_no":7,"kind":"stock counted","request":null,"version":99,"why":""}'
    )

    with pytest.raises(BookTrouble, match="entry 7 of kind 'stock counted', version 99"):
        written_of(text)
    with pytest.raises(BookTrouble, match="known kind"):
        written_of(text.replace("stock counted", "spell cast"))
    with pytest.raises(BookTrouble, match="must tell of an entry"):
        written_of("{}")
