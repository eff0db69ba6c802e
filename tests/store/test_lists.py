"""A list is asked for a page at a time: what stands ahead first, any near spelling, a fixed number of questions."""

from dataclasses import replace

import pytest
from sqlalchemy import event

from stillroom.records.entries import (
    GoodsOrdered,
    LotReceived,
    Moved,
    OfferEnded,
    OfferMade,
    ProcedureWritten,
    StatusDecided,
)
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Status
from stillroom.records.procedures import Line, Procedure
from stillroom.store import Book
from stillroom.store.searching import pieces_of, words_of
from tests.store.practice import AT, LATER, moved, received, write


@pytest.fixture
def shelf(book: Book) -> Book:
    """Thirty lots of bark, of which the first ten are used up."""
    names = ("cinchona bark, whole quills", "rosemary leaf, cut", "Écorce de quinquina")
    for number in range(30):
        one = received(f"LOT-{number:02d}", 5.0)
        write(book, replace(one, lot=replace(one.lot, name=names[number % 3], substance=names[number % 3])))
    write(
        book,
        *(Moved((moved(f"LOT-{number:02d}", "shelf", "waste", 5.0),), "used up") for number in range(10)),
    )
    write(book, StatusDecided("LOT-20", Status.RELEASED, "looked at"))
    return book


def test_what_stands_on_the_shelf_comes_first_and_the_newest_before_the_older(shelf: Book) -> None:
    with shelf.look() as look:
        codes = look.standing("lot", most=None).codes

    assert codes == (
        *(f"LOT-{one:02d}" for one in range(29, 9, -1)),
        *(f"LOT-{one:02d}" for one in range(9, -1, -1)),
    )


@pytest.fixture
def bought(book: Book) -> Book:
    """Three offers, the first of which was taken, and three things ordered, of which the second came."""
    write(
        book,
        *(OfferMade(f"OFF-{one}", "product", "Shop Invented", f"Tonic {one}", {}, {}) for one in (1, 2, 3)),
        OfferEnded("OFF-1", "withdrawn"),
        *(
            GoodsOrdered(f"BUY-{one}", "rosemary leaf", "2 kg", "A grower", f"2027-03-0{5 - one}")
            for one in (1, 2, 3)
        ),
        replace(received("ROS-01", 2000.0), goods="BUY-2"),
    )
    return book


def test_an_open_offer_and_goods_under_way_come_first(bought: Book) -> None:
    with bought.look() as look:
        offers, goods = look.standing("offer").rows, look.standing("goods").rows

    assert [(one.code, one.state, one.ahead) for one in offers] == [
        ("OFF-3", "open", True), ("OFF-2", "open", True), ("OFF-1", "withdrawn", False),
    ]  # fmt: skip
    assert [(one.code, one.state, one.day) for one in goods] == [
        ("BUY-3", "under way", "2027-03-02"), ("BUY-1", "under way", "2027-03-04"), ("BUY-2", "here", "2027-03-03"),
    ]  # fmt: skip


def test_offers_and_goods_are_found_in_any_near_spelling(bought: Book) -> None:
    with bought.look() as look:
        assert look.standing("goods", words="rosmary").count == 3
        assert look.standing("goods", words="growr", states=("here",)).codes == ("BUY-2",)
        assert look.standing("offer", words="tonic 2").codes == ("OFF-2",)
        assert look.standing("offer", words="invnted").count == 3


def test_goods_that_are_called_off_or_did_not_come_after_all_stand_so(bought: Book) -> None:
    with bought.look() as look:
        came, off = look.receipts_of("BUY-2")[0], look.goods("BUY-1")
    with bought.pen(by="MA", at=AT, entered_at=LATER) as pen:
        pen.enter(replace(came.body, goods=""), corrects=came.entry_no, why="it came of nothing ordered here")
        pen.enter(replace(off.body, called_off=True), corrects=off.entry_no, why="it comes no more")
    with bought.look() as look:
        states = {one.code: one.state for one in look.standing("goods").rows}

    assert states == {"BUY-1": "called off", "BUY-2": "under way", "BUY-3": "under way"}
    assert bought.verify().troubles == ()


def test_the_pages_of_a_list_hold_everything_once(shelf: Book) -> None:
    with shelf.look() as look:
        pages = [look.standing("lot", first=first, most=7) for first in range(0, 35, 7)]
        whole = look.standing("lot", most=None)

    assert tuple(code for page in pages for code in page.codes) == whole.codes
    assert {page.count for page in pages} == {30}


@pytest.mark.parametrize(
    ("written", "finds"),
    [("cinchona", 10), ("Cinch", 10), ("cinchna", 10), ("roesmary", 10), ("ecorce", 10), ("quinquina", 10),
     ("QUINQINA", 10), ("LOT-07", 1), ("lot 07", 1), ("bark whole", 10), ("xyzzyx", 0), ("  ", 30)],
)  # fmt: skip
def test_a_word_is_found_in_any_near_spelling(shelf: Book, written: str, finds: int) -> None:
    with shelf.look() as look:
        assert look.standing("lot", words=written).count == finds


def test_a_spelling_that_was_taken_is_told(shelf: Book) -> None:
    with shelf.look() as look:
        assert "cinchona" in look.standing("lot", words="cinchna").spellings
        assert look.standing("lot", words="cinchona").spellings == ()


def test_lists_are_filtered_by_the_book(shelf: Book) -> None:
    with shelf.look() as look:
        assert look.standing("lot", states=("released",)).codes == ("LOT-20",)
        assert look.standing("lot", ahead=False).count == 10
        assert look.standing("lot", kinds=("spirit",)).count == 0
        assert {one.code for one in look.lots(status=Status.RELEASED, on_shelf=True)} == {"LOT-20"}


def test_a_list_takes_the_same_number_of_questions_whatever_its_length(shelf: Book) -> None:
    asked: list[str] = []
    event.listen(shelf._reader, "before_cursor_execute", lambda *given: asked.append(given[2]))

    def questions() -> int:
        asked.clear()
        with shelf.look() as look:
            page = look.standing("lot", words="bark", most=None)
            look.results_of(page.codes)
            look.tests_of(page.codes)
            look.balances_of(page.codes)
        return len(asked)

    few = questions()
    for number in range(60):
        write(
            shelf,
            LotReceived(
                Lot(f"NEW-{number}", LotKind.PLANT, "bark", "bark"),
                (moved(f"NEW-{number}", "outside/x", "shelf", 1.0),),
            ),
        )
    assert questions() == few


def test_the_journal_comes_a_page_at_a_time_the_newest_first(shelf: Book) -> None:
    with shelf.look() as look:
        page, count = look.entries_page(most=5)
        about, of_it = look.entries_page(about="LOT-03")

    assert [one.entry_no for one in page] == list(range(count, count - 5, -1))
    assert count == look_head(shelf)
    assert [one.kind for one in about] == ["moved", "lot received"]
    assert of_it == 2


def look_head(book: Book) -> int:
    with book.look() as look:
        return look.head.entry_no


def test_letters_with_and_without_accents_are_one_word() -> None:
    assert words_of("Écorce", "ECORCE", "écorce!") == ("ecorce",)
    assert pieces_of("ab") == (" ab", "ab ")


def test_a_procedure_is_listed_in_its_newest_version_and_found_by_its_plant(book: Book) -> None:
    way = Procedure(
        "of-leaf",
        1,
        "Leaf in spirit",
        "extraction",
        "leaf extract",
        "leaf",
        (Line("leaf", "rosemary leaf"),),
        (),
    )
    tonic = Procedure(
        "tonic", 1, "A tonic", "formula", "tonic", "bulk", (Line("spirit", "spirit 96 %", 100.0),), ()
    )
    write(
        book,
        ProcedureWritten(way),
        ProcedureWritten(tonic),
        ProcedureWritten(replace(way, version=2, title="Anew")),
    )
    with book.look() as look:
        every = look.standing("procedure")
        found = look.standing("procedure", words="rosmary")
        of_formulas = look.standing("procedure", kinds=("formula",)).codes
        newest = look.procedures_of(every.codes)

    assert [(one.code, one.kind, one.name) for one in every.rows] == [
        ("of-leaf", "extraction", "Anew"), ("tonic", "formula", "A tonic"),
    ]  # fmt: skip
    assert (found.codes, of_formulas) == (("of-leaf",), ("tonic",))
    assert [(one.code, one.version) for one in newest] == [("of-leaf", 2), ("tonic", 1)]
    assert book.verify().troubles == ()


def test_a_plant_is_found_by_the_words_of_its_lots(shelf: Book) -> None:
    with shelf.look() as look:
        every = set(look.substances_of((LotKind.PLANT,)))
        assert every == {"cinchona bark, whole quills", "rosemary leaf, cut", "Écorce de quinquina"}
        assert look.substances_of((LotKind.PLANT,), "rosmary") == ("rosemary leaf, cut",)
        assert look.substances_of((LotKind.PLANT,), "quinquina ecorce") == ("Écorce de quinquina",)
        assert look.substances_of((LotKind.SPIRIT,)) == ()
