"""A table of lots is looked at cell by cell, and taken whole or not at all."""

import io
import random
import zipfile
from contextlib import suppress

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.formula import ArrayFormula

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.opening_stock import COLUMNS, EXAMPLE, opening_of, take_opening, template
from stillroom.actions.lots.table_read import MOST_ROWS
from stillroom.errors import BadEntry, StillroomError, UnknownName
from tests.practice import lab as lab

HEAD = "lot,kind,substance,amount,label says,use by\n"
GOOD = "NEW-01,plant material,calendula flower,1.250 kg,,2027-09-30\n"


def xlsx(*rows: tuple[object, ...]) -> bytes:
    book, kept = Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(kept)
    return kept.getvalue()


def as_xlsx(text: str) -> bytes:
    return xlsx(*(tuple(line.split(",")) for line in text.splitlines()))


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_template_is_taken_as_it_is(lab: Laboratory, ending: str) -> None:
    opening = opening_of(lab, template(ending))
    done = take_opening(lab, template(ending), by="TO")

    assert opening.troubles == ()
    assert len(done.entries) == len(EXAMPLE)
    # 5 L of 96.0 % v/v at 20 °C: 807.4 kg/m3 (OIML R 22, practice table at 20 °C; recalled from memory)
    with lab.look() as look:
        assert look.balance_ug("LOT-1") == 1_250_000_000
        assert look.balance_ug("LOT-2") / 1e6 == pytest.approx(5 * 807.4, rel=1e-4)
        assert look.lot("LOT-1").use_by == "2027-09-30"


def test_looking_writes_nothing_and_the_same_key_takes_once(lab: Laboratory) -> None:
    before = lab.book.digest()
    opening_of(lab, (HEAD + GOOD).encode())
    assert lab.book.digest() == before
    first = take_opening(lab, (HEAD + GOOD).encode(), by="TO", request_key="table-0001")
    again = take_opening(lab, as_xlsx(HEAD + GOOD), by="TO", request_key="table-0001")

    assert first.entries == again.entries


@pytest.mark.parametrize(
    ("row", "column", "says"),
    [
        ("NEW-02,plant material,calendula flower,1.250,,", "amount", "unit"),
        ("NEW-02,plant material,calendula flower,nan kg,,", "amount", ""),
        ("NEW-02,plant material,calendula flower,-1 kg,,", "amount", ""),
        ("NEW-02,plant material,calendula flower,1 g g,,", "amount", ""),
        ("NEW-02,plant material,calendula flower,1e308 kg,,", "amount", ""),
        ("NEW-02,plant material,calendula flower,,,", "amount", ""),
        ("NEW-02,plant material,,1 kg,,", "substance", ""),
        ("NEW-02,plnt,calendula flower,1 kg,,", "kind", "kind of lot"),
        ("NEW-02,extract,calendula extract,1 kg,,", "kind", "kind of lot"),
        ("NEW-02,packaging,bottle,1 kg,,", "amount", "counted in pieces"),
        ("NEW-02,spirit,spirit 96 %,5 L,96.0 % v/v,", "amount", "temperature"),
        ("NEW-02,spirit,spirit 96 %,5 kg,960 %,", "label says", ""),
        ("NEW-02,ingredient,glycerin,5 kg,,2027-13-01", "use by", "calendar"),
        ("NEW 2,ingredient,glycerin,5 kg,,", "lot", "code"),
        (",ingredient,glycerin,5 kg,,", "lot", ""),
        ("NEW-02,plant material,calendula flower,1 kg,a\u202eb,", "label says", "can be seen"),
        ("NEW-02,plant material,calendula flower,1 kg," + "x" * 201 + ",", "label says", "200 characters"),
        ("NEW-01,ingredient,glycerin,5 kg,,", "lot", "stands above already"),
        ("CIN-01,ingredient,glycerin,5 kg,,", "lot", "in the book already"),
    ],
)
def test_a_cell_that_cannot_be_taken_is_named_and_nothing_is_taken(
    lab: Laboratory, row: str, column: str, says: str
) -> None:
    content = (HEAD + GOOD + "\n" + row + "\n").encode()
    (trouble,) = opening_of(lab, content).troubles
    before = lab.book.digest()

    assert (trouble.row, trouble.column) == (4, column)
    assert says in trouble.says
    assert opening_of(lab, as_xlsx(HEAD + GOOD + row)).troubles[0].says == trouble.says
    with pytest.raises(BadEntry, match="every cell"):
        take_opening(lab, content, by="TO")
    assert lab.book.digest() == before


def test_every_wrong_cell_of_a_row_is_named_at_once(lab: Laboratory) -> None:
    found = opening_of(lab, (HEAD + "X Y,packaging,bottle,2 kg,,soon\n").encode()).troubles

    assert [one.column for one in found] == ["lot", "use by", "amount"]


@pytest.mark.parametrize(
    ("content", "kind", "says"),
    [
        (b"", BadEntry, "names of its columns"),
        (b"lot,kind,substance\nA,water,water\n", BadEntry, "no column 'amount'"),
        (b"lot,kind,substance,amount,amont\nA,water,water,1 kg,\n", UnknownName, "'amount'"),
        (b"lot,lot,kind,substance,amount\n", BadEntry, "once"),
        (HEAD.encode(), BadEntry, "a row for each lot"),
        (HEAD.encode() + b"A,water,water,1 kg,,,more\n", BadEntry, "row 2"),
        (HEAD.encode() + b"A,water,w\xe4ter,1 kg,,\n", BadEntry, "UTF-8"),
        (HEAD.encode() + b"A,water," + b"w" * 500 + b",1 kg,,\n", BadEntry, "letters at most"),
        (HEAD.encode() + b"A,water,water,1 kg,,\n" * (MOST_ROWS + 1), BadEntry, "at most 2000 rows"),
        (b"x" * 2_000_001, BadEntry, "2 MB"),
        (b"PK\x03\x04 no package", BadEntry, "XLSX file that can be read"),
        (xlsx(tuple(COLUMNS), ("=1+1", *[""] * 10)), BadEntry, "not a formula"),
        (xlsx(tuple(COLUMNS), (ArrayFormula("A2:A3", "=1+1"), *[""] * 10)), BadEntry, "not a formula"),
        (xlsx(tuple(COLUMNS), ("A", "ingredient", "#REF!", *[""] * 8)), BadEntry, "#REF! in row 2"),
        (HEAD.encode() + b"A,ingredient,#N/A,1 kg,,\n", BadEntry, "#N/A in row 2"),
    ],
)
def test_what_is_no_table_of_lots_is_refused_in_a_sentence(
    lab: Laboratory, content: bytes, kind: type[StillroomError], says: str
) -> None:
    with pytest.raises(kind, match=says):
        opening_of(lab, content)


def test_a_package_that_unpacks_to_too_much_is_not_unpacked(lab: Laboratory) -> None:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b" " * 31_000_000)

    with pytest.raises(BadEntry, match="30 MB"):
        opening_of(lab, kept.getvalue())


@pytest.mark.parametrize("coding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("letters_before", [0, 5_000])
def test_a_part_that_declares_what_it_unpacks_to_is_not_read(
    lab: Laboratory, coding: str, letters_before: int
) -> None:
    """Behind twenty million letters, one of a few hundred bytes took 102 s and 300 MB."""
    declares = '<!DOCTYPE a [<!ENTITY b "calendula"><!ENTITY c "&b; flower">]>'
    kept = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(template("xlsx"))) as whole, zipfile.ZipFile(kept, "w") as packed:
        for name in whole.namelist():
            part = whole.read(name)
            if name.endswith("sheet1.xml"):
                told = part.decode().partition("?>")[2] or part.decode()
                told = told.replace("calendula flower", "&c;")
                begins = f'<?xml version="1.0" encoding="{coding}"?><!--{"x" * letters_before}-->'
                part = f"{begins}{declares}{told}".encode(coding)
            packed.writestr(name, part)

    with pytest.raises(BadEntry, match="declarations of its own"):
        opening_of(lab, kept.getvalue())


def test_no_bytes_make_anything_but_a_sentence(lab: Laboratory) -> None:
    chance = random.Random(20261130)
    whole = [template("csv"), template("xlsx")]
    for _ in range(150):
        content = bytearray(chance.choice(whole))
        for _ in range(chance.randint(1, 6)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        with suppress(StillroomError):
            opening_of(lab, bytes(content))


def test_a_table_taken_out_is_read_back_as_it_was_written(lab: Laboratory) -> None:
    sheet = load_workbook(io.BytesIO(template("xlsx"))).active

    assert sheet is not None
    assert [tuple(one or "" for one in row) for row in sheet.iter_rows(values_only=True)] == [
        COLUMNS,
        *EXAMPLE,
    ]
