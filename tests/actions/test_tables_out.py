"""Tables are taken out whole, with plain numbers, and no text of the book becomes a formula."""

import csv
import io

import pytest
from openpyxl import load_workbook

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.tables_out import ENDINGS, FROM_PAGES, TABLES, table_out
from stillroom.errors import UnknownName
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.practice import lab as lab
from tests.practice import told as told


def as_csv(lab: Laboratory, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(table_out(lab, name, "csv", "2026-11").decode())))


def as_xlsx(lab: Laboratory, name: str) -> list[tuple[object, ...]]:
    sheet = load_workbook(io.BytesIO(table_out(lab, name, "xlsx", "2026-11"))).active
    assert sheet is not None
    return list(sheet.iter_rows(values_only=True))


@pytest.mark.parametrize("name", TABLES)
def test_both_kinds_of_file_say_the_same(told: Laboratory, name: str) -> None:
    head, *rows = as_xlsx(told, name)
    found = as_csv(told, name)

    assert head == TABLES[name].head
    assert found
    assert len(rows) == len(found)
    for row, other in zip(rows, found, strict=True):
        for one, words in zip(row, other.values(), strict=True):
            if isinstance(one, int | float) and not isinstance(one, bool):
                assert float(words) == pytest.approx(one, rel=1e-12)
            else:
                assert str(one if one is not None else "") == words.removeprefix("'")


def test_every_lot_and_every_movement_is_there(told: Laboratory) -> None:
    with told.look() as look:
        lots = set(look.lot_codes())
        moved = len(look.movements())
        spirit_g = look.balance_ug("SPI-01") / 1e6
    stock = {row["lot"]: row for row in as_csv(told, "stock")}

    assert set(stock) == lots
    assert float(stock["SPI-01"]["on the shelf"]) == pytest.approx(spirit_g)
    assert len(as_csv(told, "movements")) == moved


def test_a_text_that_looks_like_a_formula_stays_a_text(lab: Laboratory) -> None:
    name = "=HYPERLINK(1)"
    receive_lot(lab, Lot("ODD-1", LotKind.INGREDIENT, "glycerin", name), "5 g", by="TO")
    stock = {row["lot"]: row for row in as_csv(lab, "stock")}
    sheet = load_workbook(io.BytesIO(table_out(lab, "stock", "xlsx"))).active

    assert stock["ODD-1"]["name"] == f"'{name}"
    assert sheet is not None
    (cell,) = [one for row in sheet.iter_rows() for one in row if one.value == name]
    assert cell.data_type == "s"


def test_what_is_no_table_is_said(told: Laboratory) -> None:
    with pytest.raises(UnknownName, match="stok"):
        table_out(told, "stok", "csv")
    with pytest.raises(UnknownName, match="kind of file"):
        table_out(told, "stock", "pdf")


def test_pages_name_tables_that_are_there() -> None:
    assert set(FROM_PAGES.values()) <= set(TABLES)
    assert ENDINGS == ("csv", "xlsx")
