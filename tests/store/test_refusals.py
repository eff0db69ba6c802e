"""What cannot be written, and that nothing is written then."""

from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from stillroom.errors import BadEntry, BookTrouble, NotEnough, StillroomError, UnknownName
from stillroom.records.entries import (
    BatchBegun,
    ControlTestRead,
    DeviationNoted,
    DoseDecided,
    IdentityDecided,
    LotReceived,
    Moved,
    OrderTaken,
    PlanMade,
    PlantDescribed,
    ProcedureWritten,
    ReadingTaken,
    ResultReckoned,
    StatusDecided,
    StepDone,
    StockCounted,
    UnitsFilled,
)
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Movement, Status
from stillroom.store import Book
from tests.store.practice import AT, ORDER, PROCEDURE, moved, received, write

TAKE = Moved((moved("CIN-01", "shelf", "waste", 1.0),), "taken")
REFUSED: list[tuple[str, Any, type[StillroomError], str]] = [
    ("a lot nobody knows", Moved((moved("CIM-01", "shelf", "waste", 1.0),), "w"), UnknownName, "'CIN-01'"),
    (
        "less than nothing",
        Moved((Movement("CIN-01", "shelf", "waste", -5),), "w"),
        BadEntry,
        "more than nothing",
    ),
    ("nothing", Moved((Movement("CIN-01", "shelf", "waste", 0),), "w"), BadEntry, "more than nothing"),
    ("to itself", Moved((Movement("CIN-01", "shelf", "shelf", 5),), "w"), BadEntry, "must go somewhere"),
    ("a strange account", Moved((moved("CIN-01", "shelf", "cellar", 1.0),), "w"), BadEntry, "'cellar'"),
    ("a nameless account", Moved((moved("CIN-01", "shelf", "batch/", 1.0),), "w"), BadEntry, "'batch/'"),
    ("a batch nobody knows", Moved((moved("CIN-01", "shelf", "batch/E9", 1.0),), "w"), UnknownName, "'E1'"),
    ("a lot twice", received("CIN-01", 5.0), BadEntry, "'CIN-01', which entry 11 has brought in"),
    ("an order twice", OrderTaken(ORDER), BadEntry, "'O-1'"),
    ("a version twice", ProcedureWritten(PROCEDURE), BadEntry, "version 1 of 'bark-extract'"),
    ("a batch twice", BatchBegun("E1", "bark-extract", 1, 5.0), BadEntry, "'E1'"),
    ("a procedure nobody wrote", BatchBegun("E2", "bark-extrct", 1, 5.0), UnknownName, "'bark-extract'"),
    (
        "a version nobody wrote",
        BatchBegun("E2", "bark-extract", 3, 5.0),
        UnknownName,
        "no version 3.*newest is 1",
    ),
    ("an order nobody took", BatchBegun("E2", "bark-extract", 1, 5.0, "O-7"), UnknownName, "'O-1'"),
    ("a plan for no order", PlanMade("O-7", {}, {}), UnknownName, "'O-1'"),
    ("a step of no batch", StepDone("E7", "percolate", (), ()), UnknownName, "'E1'"),
    ("a deviation of no batch", DeviationNoted("E7", "percolate", "w", "d"), UnknownName, "'E1'"),
    ("a dose into no batch", DoseDecided("E7", "CIN-01", 5.0, 1.0, {}), UnknownName, "'E1'"),
    ("a dose of no lot", DoseDecided("E1", "CIN-7", 5.0, 1.0, {}), UnknownName, "'CIN-01'"),
    (
        "bottles of no batch",
        UnitsFilled("E7", Lot("E7", LotKind.PRODUCT, "t", "t"), 1, 1.0, 1.0, 1.0, ()),
        UnknownName,
        "'E1'",
    ),
    (
        "a result of nothing",
        ResultReckoned("CIN-7", "ash", 1.0, "%", "as is", 0.1, 2.0, "m", True, "", {}, ()),
        UnknownName,
        "'CIN-01'",
    ),
    (
        "a test of nothing",
        ControlTestRead("CIN-7", "a", "REA-01", "", "", "", "absent", ""),
        UnknownName,
        "'CIN-01'",
    ),
    ("a count of no lot", StockCounted("CIN-7", 1, "ug", "1"), UnknownName, "'CIN-01'"),
    ("an identity of no lot", IdentityDecided("CIN-7", True, "e"), UnknownName, "'CIN-01'"),
    ("a card of no lot", PlantDescribed("CIN-7", "dry"), UnknownName, "'CIN-01'"),
    ("a decision on nothing", StatusDecided("CIN-7", Status.RELEASED, "m"), UnknownName, "'CIN-01'"),
    ("a reading of nothing", ReadingTaken("CIN-7", "mass", 1.0, "g", "1"), UnknownName, "'CIN-01'"),
    (
        "a test by no reagent",
        ControlTestRead("CIN-01", "a", "REA-7", "", "", "", "absent", ""),
        UnknownName,
        "REA",
    ),
    (
        "two lots of one code",
        StepDone("E1", "percolate", (), (), lots_made=(Lot("N", LotKind.WATER, "w", "w"),) * 2),
        BadEntry,
        "a code each",
    ),
]


@pytest.fixture
def shelf(book: Book) -> Book:
    """Half a kilogram of bark, and a batch that has begun."""
    write(
        book,
        ProcedureWritten(PROCEDURE),
        OrderTaken(ORDER),
        BatchBegun("E1", "bark-extract", 1, 200.0),
        received("SPI-01", 100.0, LotKind.SPIRIT),
        received("REA-01", 100.0, LotKind.REAGENT),
        received("BARK-2", 100.0),
        received("BARK-3", 100.0),
        received("CIN-01", 500.0),
    )
    return book


def test_what_the_book_refuses_leaves_it_as_it_was(shelf: Book) -> None:
    before = shelf.digest()

    for what, body, kind, words in REFUSED:
        with pytest.raises(kind, match=words):
            write(shelf, TAKE, body)
        assert shelf.digest() == before, what


def test_a_part_of_something_in_the_book_can_be_read(shelf: Book) -> None:
    (number,) = write(shelf, ReadingTaken("E1/percolate/extract", "mass", 1.0, "g", "1"))

    with shelf.look() as look:
        assert look.entry(number).body.subject == "E1/percolate/extract"
    with pytest.raises(UnknownName, match="'E7' is not a code"):
        write(shelf, ReadingTaken("E7/percolate/extract", "mass", 1.0, "g", "1"))


def test_a_lot_never_gives_more_than_it_holds(shelf: Book) -> None:
    write(shelf, Moved((moved("CIN-01", "shelf", "waste", 88.0),), "w"))
    before = shelf.digest()

    with pytest.raises(
        NotEnough, match=r"Lot CIN-01 holds 412 g \(shelf\)\. Got 530 g asked\. 118 g is missing"
    ):
        write(shelf, Moved((moved("CIN-01", "shelf", "batch/E1", 530.0),), "w"))
    with pytest.raises(NotEnough, match=r"holds 412 g \(shelf\)\. Got 412\.000001 g asked\. 0\.000001 g is"):
        write(shelf, Moved((Movement("CIN-01", "shelf", "waste", 412_000_001),), "w"))
    assert shelf.digest() == before
    write(shelf, Moved((moved("CIN-01", "shelf", "waste", 412.0),), "w"))


def test_what_is_taken_and_given_back_in_one_request_counts_together(shelf: Book) -> None:
    write(
        shelf,
        Moved((moved("CIN-01", "shelf", "waste", 600.0),), "too much"),
        Moved((moved("CIN-01", "waste", "shelf", 100.0),), "put back"),
    )

    with shelf.look() as look:
        assert look.balance_ug("CIN-01") == 0


@pytest.mark.parametrize("account", ["retained", "batch/E1", "customer/O-1", "testing/CIN-01", "waste"])
def test_no_account_of_the_laboratory_gives_what_it_has_not(shelf: Book, account: str) -> None:
    with pytest.raises(NotEnough, match=rf"holds 0 g \({account}\)\. Got 5 g asked\. 5 g is missing"):
        write(shelf, Moved((moved("CIN-01", account, "shelf", 5.0),), "w"))


def test_only_the_lot_a_batch_makes_comes_out_of_it_from_nothing(shelf: Book) -> None:
    def made(code: str, made_by: str | None) -> StepDone:
        lot = Lot(code, LotKind.EXTRACT, "bark extract", "extract", made_by=made_by)
        return StepDone("E1", "percolate", (), (moved(code, "batch/E1", "shelf", 40.0),), lots_made=(lot,))

    with pytest.raises(NotEnough, match=r"Lot X holds 0 g \(batch/E1\)\. Got 40 g asked"):
        write(shelf, made("X", None))
    write(shelf, made("E1", "E1"))


def test_a_correction_may_not_take_away_what_was_used_since(shelf: Book) -> None:
    write(shelf, Moved((moved("CIN-01", "shelf", "waste", 400.0),), "w"))
    before = shelf.digest()

    def correct(body: LotReceived) -> None:
        with shelf.pen(by="MA", at=AT, entered_at=AT) as pen:
            pen.enter(body, corrects=11, why="read again")

    with pytest.raises(
        NotEnough, match=r"holds 300 g \(shelf\)\. Got 400 g taken already\. 100 g is missing"
    ):
        correct(received("CIN-01", 300.0))
    with pytest.raises(BadEntry, match="A lot that was moved must stay in the book"):
        correct(received("CIN-1", 500.0))
    assert shelf.digest() == before
    correct(received("CIN-01", 450.0))
    with shelf.look() as look:
        assert look.balance_ug("CIN-01") == 50_000_000


def test_a_correction_of_what_was_taken_gives_it_back(shelf: Book) -> None:
    (number,) = write(shelf, Moved((moved("CIN-01", "shelf", "waste", 500.0),), "w"))
    with shelf.pen(by="MA", at=AT, entered_at=AT) as pen:
        pen.enter(Moved((moved("CIN-01", "shelf", "waste", 5.0),), "w"), corrects=number, why="5, not 500")

        assert pen.look.balance_ug("CIN-01") == 495_000_000


def test_a_code_given_free_by_a_correction_can_be_used(shelf: Book) -> None:
    with shelf.pen(by="MA", at=AT, entered_at=AT) as pen:
        pen.enter(received("CIN-11", 500.0), corrects=11, why="the other jar")
        pen.enter(received("CIN-01", 20.0))

    with shelf.look() as look:
        assert (look.balance_ug("CIN-11"), look.balance_ug("CIN-01")) == (500_000_000, 20_000_000)


def test_pieces_and_grams_of_a_lot_are_counted_apart(shelf: Book) -> None:
    bottles = LotReceived(
        Lot("BOT-1", LotKind.PACKAGING, "bottle", "bottles"),
        (Movement("BOT-1", "outside/x", "shelf", 60, "piece"),),
    )
    write(shelf, bottles)

    with shelf.look() as look:
        assert (look.balance_pieces("BOT-1"), look.balance_ug("BOT-1")) == (60, 0)
    with pytest.raises(NotEnough, match=r"holds 60 pieces .*61 pieces asked.* 1 pieces is missing"):
        write(shelf, Moved((Movement("BOT-1", "shelf", "waste", 61, "piece"),), "broken"))
    with pytest.raises(NotEnough, match="holds 0 g"):
        write(shelf, Moved((Movement("BOT-1", "shelf", "waste", 1, "ug"),), "broken"))


def test_an_error_halfway_takes_everything_back(shelf: Book) -> None:
    before = shelf.digest()

    with pytest.raises(UnknownName, match="'NOBODY'"):
        write(shelf, TAKE, TAKE, replace(TAKE, movements=(moved("NOBODY", "shelf", "waste", 1.0),)))
    assert shelf.digest() == before


def test_a_pen_whose_entry_failed_in_the_database_keeps_nothing(shelf: Book) -> None:
    before = shelf.digest()
    too_much = replace(TAKE, movements=(Movement("CIN-01", "shelf", "waste", 10**30),))

    def torn() -> None:
        with shelf.pen(by="MA", at=AT, entered_at=AT) as pen:
            pen.enter(TAKE)
            with pytest.raises((OverflowError, DBAPIError), match=r"too large|out of range"):
                pen.enter(too_much)

    with pytest.raises(BookTrouble, match="Half an entry is never kept"):
        torn()
    assert shelf.digest() == before
