"""Lots on the shelf of a substance are found by any of its names, and a busy lot is told in short."""

from pathlib import Path

import pytest

from stillroom.actions.releasing.tracing import account_in_short, account_of
from stillroom.actions.shelf import lots_of_substance
from stillroom.actions.shelf.lots_of_substance import on_shelf_as
from stillroom.documents.as_text import page_text
from stillroom.pages.stock import MOST_ACCOUNTS, show_lot
from stillroom.records.entries import LotReceived, Moved
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import SHELF, Lot, Movement
from stillroom.substances.ingredients import same_substance
from tests.practice import copied, noon, opened


def test_two_names_of_a_substance_are_compared_once_however_many_lots_have_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[str, str]] = []

    def counting(one: str, other: str) -> bool:
        asked.append((one, other))
        return same_substance(one, other)

    monkeypatch.setattr(lots_of_substance, "same_substance", counting)
    with opened(copied(tmp_path)) as lab:
        now = noon().isoformat()
        with lab.book.pen(by="MA", at=now, entered_at=now) as pen:
            for number, name in enumerate(("glycerol", "glycerin") * 6):
                lot = Lot(f"MORE-{number}", LotKind.INGREDIENT, name, name)
                come = (Movement(lot.code, "outside/a shop", SHELF, 1000),)
                pen.enter(LotReceived(lot, come, "1 mg"))
        with lab.look() as look:
            found = [one.code for one in on_shelf_as(look, "glycerol")]

    assert [f"MORE-{number}" for number in range(12)] == [one for one in found if one.startswith("MORE")]
    compared = [one for one, other in asked if other == "glycerol"]
    assert len(compared) == len(set(compared)) > 0


def test_a_lot_of_which_many_took_tells_the_largest_and_the_rest_in_one_sum(tmp_path: Path) -> None:
    with opened(copied(tmp_path)) as lab:
        now = noon().isoformat()
        with lab.book.pen(by="MA", at=now, entered_at=now) as pen:
            for number in range(1, 41):
                pen.enter(Moved((Movement("SPI-01", SHELF, f"loss/spill {number}", number),), "spilled"))
        with lab.look() as look:
            whole, short = account_of(look, "SPI-01"), account_in_short(look, "SPI-01", MOST_ACCOUNTS)
        said = page_text(show_lot(lab, "SPI-01"))

    places, amount = short.in_others
    assert len(short.went) == MOST_ACCOUNTS
    assert set(short.went) <= set(whole.went)
    assert places == len(whole.went) - MOST_ACCOUNTS > 0
    assert sum(there for _, there in short.went) + amount == sum(there for _, there in whole.went)
    assert (short.came, short.shelf, short.closes) == (whole.came, whole.shelf, whole.closes)
    assert f"in {places} other places" in said
