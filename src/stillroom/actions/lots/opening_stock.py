"""What stood on the shelf when the book was begun, or came in at once: a table of lots, looked at before it is taken.

Promises an error for each cell that cannot be taken, and that a table is taken whole or not at all: every lot is
received as ``receive_lot`` receives it, and waits for a decision.
"""

import csv
import io
from dataclasses import dataclass
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.lots.receiving import lot_code_must_fit, receipt, refuse_taken_code
from stillroom.actions.lots.table_read import TableRead, read_table
from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.records.entries import LotReceived
from stillroom.records.lot_kinds import LotKind, kinds_that
from stillroom.records.lots import Lot
from stillroom.records.written_values import code as code_in
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

COLUMNS = (
    "lot", "kind", "substance", "amount", "name", "owner", "from", "label says", "use by", "denatured with", "scale",
)  # fmt: skip
NEEDED = ("lot", "kind", "substance", "amount")
_CELL_OF = {
    "code": "lot", "stated": "label says", "denatured-with": "denatured with", "use-by": "use by", "supplier": "from",
}  # fmt: skip
_MAY_BE_EMPTY = ("use by", "label says", "denatured with", "name", "owner", "from")
KINDS = tuple(one.value for one in kinds_that(lambda one: one.comes_in == "received"))
EXAMPLE = (
    ("LOT-1", "plant material", "calendula flower", "1.250 kg", "", "ours", "an invented grower", "", "2027-09-30",
     "", ""),
    ("LOT-2", "spirit", "spirit 96 %", "5 L at 20 °C", "", "ours", "an invented merchant", "96.0 % v/v at 20 °C", "",
     "", ""),
    ("LOT-3", "packaging", "bottle 100 mL", "120", "", "ours", "", "", "", "", ""),
)  # fmt: skip
"""Invented lines of the template."""


@dataclass(frozen=True, slots=True)
class CellTrouble:
    """A cell that cannot be taken."""

    row: int
    """Row of the file, the head being row 1. [1]"""
    column: str
    """Name of the column; "" where it is of the whole row."""
    got: str
    """What stands in it."""
    says: str
    """Why, in one sentence."""


@dataclass(frozen=True, slots=True)
class Opening:
    """A table of lots that was looked at."""

    receipts: tuple[LotReceived, ...]
    """What would be written."""
    troubles: tuple[CellTrouble, ...]
    """Each cell that cannot be taken; where there is one, nothing is."""
    csv: str
    """The table as text, to be sent again when it is taken."""


def opening_of(lab: Laboratory, content: bytes) -> Opening:
    """Look at a table of lots. Nothing is written.

    Parameters
    ----------
    content : bytes
        A CSV file in UTF-8, or an XLSX file, with the columns of ``COLUMNS`` in any order.

    Raises
    ------
    BadEntry
        It is no such table, a column is missing or stands twice, or it has no row.
    UnknownName
        A column has another name.
    """
    table = read_table(content)
    for one in table.head:
        if one not in COLUMNS:
            raise UnknownName.among(one, "a column of a table of lots", COLUMNS)
    if twice := [one for one in COLUMNS if table.head.count(one) > 1]:
        raise BadEntry("A column stands in a table once", twice[0])
    if lacking := [one for one in NEEDED if one not in table.head]:
        raise BadEntry(
            "A table of lots says what it is and how much", worded("no column {name!r}", name=lacking[0])
        )
    if not table.rows:
        raise BadEntry("A table of lots has a row for each lot", "none", "Fill in the template")
    receipts, troubles = [], []
    codes: set[str] = set()
    with lab.look() as look:
        for number, row in zip(table.numbers, table.rows, strict=True):
            cells = dict.fromkeys(COLUMNS, "") | dict(zip(table.head, row, strict=True))
            found = _checked(look, cells, codes)
            codes.add(cells["lot"])
            if isinstance(found, LotReceived):
                receipts.append(found)
            else:
                troubles += [CellTrouble(number, one, cells.get(one, ""), says) for one, says in found]
    return Opening(tuple(receipts), tuple(troubles), _as_csv(table))


def take_opening(lab: Laboratory, content: bytes, **sign: Unpack[Signed]) -> Done:
    """Receive every lot of a table, or none.

    Parameters
    ----------
    content : bytes
        As for ``opening_of``.

    Raises
    ------
    BadEntry
        A cell cannot be taken.
    """
    asked = {"table": _as_csv(read_table(content))}
    with lab.act("receive a table of lots", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        opening = opening_of(lab, content)
        if opening.troubles:
            first = opening.troubles[0]
            raise BadEntry(
                "A table of lots is taken when every cell can be",
                worded(
                    "{count} that cannot, the first in row {row}: {says}",
                    count=len(opening.troubles), row=first.row, says=first.says,
                ),
                "Correct them in the file, and send it again",
            )  # fmt: skip
        for one in opening.receipts:
            refuse_taken_code(pen.look, one.lot.code)
        numbers = tuple(pen.enter(one) for one in opening.receipts)
        return Done(numbers, t("{lots} lots are on the shelf and waiting.", lots=len(numbers)))


def template(ending: str) -> bytes:
    """A table to be filled in, with invented lines that show how.

    Parameters
    ----------
    ending : str
        "csv" or "xlsx".
    """
    from stillroom.actions.lots.tables_out import as_file

    return as_file("lots", ending, COLUMNS, iter(EXAMPLE))


def _checked(look: Reader, cells: dict[str, str], codes: set[str]) -> LotReceived | list[tuple[str, str]]:
    """The receipt of a row, or each column that cannot be taken with why."""
    troubles: dict[str, str] = {}

    def note(error: StillroomError, otherwise: str) -> str:
        column = _CELL_OF.get(error.where.replace(" ", "-"), error.where)
        column = column if column in COLUMNS else otherwise
        troubles.setdefault(column, type(error)(error.must, error.got, error.do).sentence)
        return column

    try:
        lot_code_must_fit(code_in(cells["lot"], "lot"))
        refuse_taken_code(look, cells["lot"])
        if cells["lot"] in codes:
            raise BadEntry("Every lot has a code of its own", "one that stands above already", where="lot")
    except StillroomError as error:
        note(error, "lot")
        cells = cells | {"lot": "X"}
    try:
        if cells["kind"].lower() not in KINDS:
            raise UnknownName.among(cells["kind"], "a kind of lot that is received", KINDS)
    except StillroomError as error:
        note(error, "kind")
    if cells["scale"]:
        try:
            look.apparatus(cells["scale"])
        except StillroomError as error:
            note(error, "scale")
    for _ in _MAY_BE_EMPTY:
        try:
            body = receipt(_lot(cells, "kind" not in troubles), cells["amount"], cells["scale"])
        except StillroomError as error:
            column = note(error, "amount")
            if column not in _MAY_BE_EMPTY:
                break
            cells = cells | {column: ""}  # what else is wrong with the row is found without it
        else:
            return list(troubles.items()) if troubles else body
    return list(troubles.items())


def _lot(cells: dict[str, str], kind_is_known: bool) -> Lot:
    return Lot(
        code=cells["lot"],
        kind=LotKind(cells["kind"].lower() if kind_is_known else KINDS[0]),
        substance=cells["substance"],
        name=cells["name"] or cells["substance"],
        owner=cells["owner"] or "ours",
        supplier=cells["from"],
        stated=cells["label says"],
        use_by=cells["use by"] or None,
        denatured_with=cells["denatured with"],
    )


def _as_csv(table: TableRead) -> str:
    told = io.StringIO(newline="")
    csv.writer(told, lineterminator="\n").writerows((table.head, *table.rows))
    return told.getvalue()
