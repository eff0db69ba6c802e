"""What is asked about one lot costs the book the same, however much was written about it since."""

from dataclasses import replace
from pathlib import Path

import pytest

from stillroom.records.entries import Moved
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import SHELF
from stillroom.store import Book
from stillroom.store.genealogy import customers_of
from stillroom.store.reader import Reader
from tests.store.practice import begun, moved, received, write

FEW, MANY = 30, 600


def spilled(book: Book, first: int, last: int) -> None:
    write(
        book, *(Moved((moved("BUSY", SHELF, f"loss/{n}", 0.001 * n),), "spilled") for n in range(first, last))
    )


@pytest.fixture
def busy(tmp_path: Path) -> Book:
    """A lot that was received once and poured from ever since, in a file."""
    book = begun(tmp_path / "busy.book")
    write(book, received("BUSY", 5000.0))
    spilled(book, 1, FEW)
    return book


def work(look: Reader, ask: str) -> int:
    """Tens of instructions that the database carries out for one question. [1]."""
    done: list[None] = []
    line = look._connection.connection.dbapi_connection
    assert line is not None
    line.set_progress_handler(lambda: done.append(None), 10)
    try:
        if ask == "newest of a kind":
            assert look.latest("lot received", "BUSY") is not None
        elif ask == "page of a kind":
            assert look.entries_page(about="BUSY", kind="lot received")[1] == 1
        elif ask == "customers":
            assert customers_of(look._connection, ["BUSY"]) == []
        else:
            raise AssertionError(ask)
    finally:
        line.set_progress_handler(None, 10)
    return len(done)


def test_who_has_a_busy_lot_is_found_with_no_more_work_for_each_movement(busy: Book) -> None:
    with busy.look() as look:
        few = work(look, "customers")
    spilled(busy, FEW, MANY)
    with busy.look() as look:
        many = work(look, "customers")
    busy.close()

    assert many <= few * MANY / FEW


@pytest.mark.parametrize("ask", ["newest of a kind", "page of a kind"])
def test_an_early_entry_of_a_busy_lot_is_found_with_as_much_work_after_many_as_after_few(
    busy: Book, ask: str
) -> None:
    with busy.look() as look:
        few = work(look, ask)
    spilled(busy, FEW, MANY)
    with busy.look() as look:
        many = work(look, ask)
    busy.close()

    assert 0 < many <= few + 2


def test_the_largest_amounts_of_a_lot_and_the_rest_in_one_sum_are_all_its_balances(book: Book) -> None:
    write(book, received("BUSY", 5000.0))
    spilled(book, 1, FEW)
    with book.look() as look:
        told, rest = look.largest_balances("BUSY", 5)
        every = look.balances("BUSY")

    went = [account for account, _ in told if account.startswith("loss/")]
    assert went == [f"loss/{n}" for n in range(FEW - 1, FEW - 6, -1)]
    assert told.items() <= every.items()
    assert sum(told.values()) + rest["ug"][1] == sum(every.values()) == 0
    assert rest["ug"][0] == len(every) - len(told) == FEW - 6


def test_the_months_of_some_kinds_of_lot_are_those_in_which_they_moved(book: Book) -> None:
    bought = received("SPI", 900.0)
    spirit = replace(bought, lot=replace(bought.lot, kind=LotKind.SPIRIT))
    for body, month in (
        (spirit, "2026-06"),
        (received("LEAF", 5.0), "2026-07"),
        (received("BARK", 5.0), "2026-08"),
    ):
        with book.pen(
            by="MA", at=f"{month}-03T09:00:00+02:00", entered_at="2026-10-01T09:00:00+02:00"
        ) as pen:
            pen.enter(body)
    used = Moved((moved("SPI", SHELF, "waste", 1.0),), "spilled")
    with book.pen(by="MA", at="2026-09-30T09:00:00+02:00", entered_at="2026-10-01T09:00:00+02:00") as pen:
        pen.enter(used)
    with book.look() as look:
        assert look.months_moved((LotKind.SPIRIT,)) == ("2026-06", "2026-09")
        assert look.months_moved((LotKind.PLANT,)) == ("2026-07", "2026-08")
        assert look.months_moved((LotKind.EXTRACT,)) == ()
