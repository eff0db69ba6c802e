"""What stands in the book as tables for other programs: CSV and XLSX, whole, whatever a page shows of it.

Promises plain numbers with their unit in the head of the column, times as they were written, and that no text of the
book is taken for a formula by a program that opens the table. Corrected entries are left out. Contact data is not taken
out: it stands outside the journal.
"""

import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.spirit_account import account_of_month
from stillroom.documents.blocks import Page
from stillroom.errors import UnknownName
from stillroom.records.lots import grams
from stillroom.store.open_files import write_csv
from stillroom.store.reader import Reader

Value: TypeAlias = str | int | float | None
Rows: TypeAlias = Iterator[tuple[Value, ...]]
ENDINGS = ("csv", "xlsx")


@dataclass(frozen=True, slots=True)
class TableOut:
    """One table."""

    says: str
    """What it holds, in a few words."""
    head: tuple[str, ...]
    """Names of the columns, with their units."""
    rows: Callable[[Reader, str], Rows]
    """Takes the book and a month ("2027-03", "" where the table knows none), gives the rows."""


def _stock(look: Reader, _: str) -> Rows:
    found = look.standing("lot", most=None)
    lots = look.lots_of(found.codes)
    for one in found.rows:
        lot = lots[one.code]
        yield (
            one.code, one.kind, lot.name, lot.substance, lot.owner, lot.supplier, lot.stated,
            *_amount(one.amount, one.counted_in), one.state, lot.use_by or "", lot.made_by or "", one.entry_no,
        )  # fmt: skip


def _movements(look: Reader, _: str) -> Rows:
    for one in look.every_movement():
        move = one.movement
        yield (
            one.entry_no, one.done_at, one.by, move.lot, move.out_of, move.into, *_amount(move.amount, move.counted_in),
        )  # fmt: skip


def _results(look: Reader, _: str) -> Rows:
    yield from look.every_result()


def _batches(look: Reader, _: str) -> Rows:
    found = look.standing("batch", most=None)
    coming, why = look.next_steps(found.codes), look.why_given_up(found.codes)
    for one in found.rows:
        title, step = coming[one.code]
        yield (
            one.code,
            one.kind,
            title,
            one.name,
            one.state,
            step if one.ahead else "",
            one.day,
            why.get(one.code, ""),
        )


def _orders(look: Reader, _: str) -> Rows:
    found = look.standing("order", most=None)
    orders = {one.code: one for one in look.orders_of(found.codes)}
    for one in found.rows:
        order = orders[one.code]
        yield (
            one.code,
            order.customer,
            order.product,
            order.units,
            order.content.amount,
            order.content.unit,
            order.due,
            one.amount,
            one.state,
        )


def _spirit(look: Reader, month: str) -> Rows:
    for one in account_of_month(look, month).account.flows:
        yield one.on, one.kind, one.name, one.batch, one.ethanol_g / 1000.0, one.says, one.entry_no


def _plans(look: Reader, _: str) -> Rows:
    for code in look.standing("order", most=None).codes:
        for plan in look.plans(code):
            for name, value in plan.body.answers.items():
                if isinstance(value, int | float):
                    yield code, plan.entry_no, plan.done_at, name, value


TABLES = {
    "stock": TableOut(
        "every lot and what stands of it on the shelf",
        ("lot", "kind", "name", "substance", "owner", "from", "label says", "on the shelf", "unit", "status", "use by",
         "made by", "entry"),
        _stock,
    ),
    "movements": TableOut(
        "every movement", ("entry", "done at", "by", "lot", "out of", "into", "amount", "unit"), _movements
    ),
    "results": TableOut(
        "every result",
        ("entry", "done at", "by", "of", "what", "value", "standard uncertainty", "k", "unit", "basis", "method",
         "counts", "because"),
        _results,
    ),
    "batches": TableOut(
        "every batch and where it stands",
        ("batch", "procedure", "title", "order", "state", "next step", "last written", "given up because"),
        _batches,
    ),
    "orders": TableOut(
        "every order",
        ("order", "customer", "product", "bottles", "nominal content", "of content", "due", "delivered", "state"),
        _orders,
    ),
    "spirit": TableOut(
        "ethanol of a month, line by line",
        ("at", "what", "lot or loss", "batch", "ethanol kg", "from", "entry"),
        _spirit,
    ),
    "plans": TableOut("every figure of every plan", ("order", "entry", "planned at", "figure", "value"), _plans),
}  # fmt: skip


FROM_PAGES = {
    "stock": "stock", "products": "stock", "batches": "batches", "orders": "orders", "tests": "results",
    "trace": "movements", "spirit account": "spirit", "plan": "plans",
}  # fmt: skip
"""Kind of a page, and the table that is taken out whole from it."""


def tables_from(page: Page) -> tuple[tuple[str, str], ...]:
    """Name and address of the files that can be taken out from a page."""
    name = FROM_PAGES.get(page.kind, "")
    month = f"?month={page.code}" if name == "spirit" else ""
    return tuple((f"{name}.{ending}", f"/export/{name}.{ending}{month}") for ending in ENDINGS if name)


def table_out(lab: Laboratory, name: str, ending: str, month: str = "") -> bytes:
    """A table as a file.

    Parameters
    ----------
    name : str
        Key of ``TABLES``.
    ending : str
        "csv" or "xlsx".
    month : str
        "2027-03", for the spirit; the month of today when empty.

    Raises
    ------
    UnknownName
        There is no such table, or no such ending.
    """
    if name not in TABLES:
        raise UnknownName.among(name, "a table", TABLES)
    table = TABLES[name]
    with lab.look() as look:
        rows = table.rows(look, month or lab.today().isoformat()[:7])
        return as_file(name, ending, table.head, rows)


def as_file(name: str, ending: str, head: tuple[str, ...], rows: Iterable[tuple[Value, ...]]) -> bytes:
    """Rows under a head, as a file.

    Parameters
    ----------
    name : str
        Of the sheet.
    ending : str
        "csv" or "xlsx".

    Raises
    ------
    UnknownName
        There is no such ending.
    """
    if ending not in ENDINGS:
        raise UnknownName.among(ending, "a kind of file", ENDINGS)
    return _csv(head, rows) if ending == "csv" else _xlsx(name, head, rows)


def _csv(head: tuple[str, ...], rows: Iterable[tuple[Value, ...]]) -> bytes:
    told = io.StringIO(newline="")
    write_csv(told, head, rows)
    return told.getvalue().encode()


def _xlsx(name: str, head: tuple[str, ...], rows: Iterable[tuple[Value, ...]]) -> bytes:
    """As ISO/IEC 29500 has it; every text is a text, whatever it begins with."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    book = Workbook(write_only=True)
    sheet = book.create_sheet(name)
    sheet.freeze_panes = "A2"
    sheet.append(head)
    for row in rows:
        cells = []
        for one in row:
            cell = WriteOnlyCell(
                sheet, value=ILLEGAL_CHARACTERS_RE.sub("", one) if isinstance(one, str) else one
            )
            if isinstance(one, str):
                cell.data_type = "s"
            cells.append(cell)
        sheet.append(cells)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _amount(amount: int, counted_in: str) -> tuple[Value, Value]:
    return (amount, "pieces") if counted_in == "piece" else (grams(amount), "g")
