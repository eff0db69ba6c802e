"""A table that somebody fills in another program, read as text: CSV or XLSX, bounded, cell by cell.

Promises that nothing is calculated (a cell that holds a formula is refused), that a date is read as a date and a whole
number without a decimal point, and that a file that unpacks to more than a table can be is not unpacked.
"""

import csv
import io
import zipfile
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from stillroom.errors import BadEntry, worded

LARGEST_BYTES = 2_000_000
LARGEST_UNPACKED_BYTES = 30_000_000
MOST_ROWS = 2000
MOST_COLUMNS = 40
LONGEST_CELL = 400
_DECLARES = tuple("<!DOCTYPE".encode(coding) for coding in ("utf-8", "utf-16-le", "utf-16-be"))
"""What may unpack to any size once it is read: a part may hold it behind any number of letters, in either coding."""
_ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
"""What a cell shows whose formula failed (ISO/IEC 29500, recalled)."""
_BEGINS_A_FORMULA = ("'=", "'+", "'-", "'@")


@dataclass(frozen=True, slots=True)
class TableRead:
    """Head and rows of a table, every cell as text."""

    head: tuple[str, ...]
    """In lower case, single spaces."""
    rows: tuple[tuple[str, ...], ...]
    """As long as the head; rows without any text are left out."""
    numbers: tuple[int, ...]
    """Row of the file that each row stood in, the head being row 1."""


def read_table(content: bytes) -> TableRead:
    """A table from a file, whichever of the two kinds it is.

    Parameters
    ----------
    content : bytes
        The file.

    Raises
    ------
    BadEntry
        It is neither, it is too large, or a cell holds a formula or too much text.
    """
    if len(content) > LARGEST_BYTES:
        raise BadEntry(
            "A table may weigh 2 MB at most", worded("{size} bytes", size=len(content)), "Part it in two"
        )
    lines = _from_xlsx(content) if content.startswith(b"PK") else _from_csv(content)
    head = tuple(" ".join(one.lower().split()) for one in lines[0]) if lines else ()
    while head and not head[-1]:
        head = head[:-1]
    if not head:
        raise BadEntry("A table begins with the names of its columns", "nothing", "Begin with the template")
    if len(head) > MOST_COLUMNS or len(lines) > MOST_ROWS + 1:
        raise BadEntry(
            worded(
                "A table has at most {rows} rows and {columns} columns", rows=MOST_ROWS, columns=MOST_COLUMNS
            ),
            worded("{rows} rows and {columns} columns", rows=len(lines) - 1, columns=len(head)),
            "Part it in two",
        )
    kept = []
    for number, line in enumerate(lines[1:], start=2):
        cells = [*line, *[""] * (len(head) - len(line))]
        if any(one.strip() for one in cells[len(head) :]):
            raise BadEntry(
                "Every cell stands under the name of its column",
                worded("more cells than columns in row {number}", number=number),
                "Put a cell with commas in it between quotation marks",
            )
        if any(one.strip() for one in cells):
            kept.append((number, tuple(_cell(one, number) for one in cells[: len(head)])))
    return TableRead(head, tuple(row for _, row in kept), tuple(number for number, _ in kept))


def _cell(text: str, number: int) -> str:
    if len(text) > LONGEST_CELL:
        raise BadEntry(
            worded("A cell holds {most} letters at most", most=LONGEST_CELL),
            worded("{found} in row {number}", found=len(text), number=number),
            "Shorten it",
        )
    text = text.strip()
    if text in _ERRORS:
        raise BadEntry(
            "A cell holds a text, a number or a date, not a formula",
            worded("{found} in row {number}", found=text, number=number),
            "Paste the values alone, and save it",
        )
    return text[1:] if text.startswith(_BEGINS_A_FORMULA) else text


def _from_csv(content: bytes) -> list[list[str]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise BadEntry(
            "A table is a CSV file in UTF-8, or an XLSX file",
            "letters in another coding",
            "Save it as CSV UTF-8",
        ) from trouble
    first = text.partition("\n")[0]
    parted_by = max(",;\t", key=first.count)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=parted_by, strict=True))
    except csv.Error as trouble:
        raise BadEntry(
            "A table must be CSV that can be read", str(trouble), "Save it as CSV UTF-8"
        ) from trouble


def _from_xlsx(content: bytes) -> list[list[str]]:
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            unpacked = sum(one.file_size for one in packed.infolist())
            if unpacked > LARGEST_UNPACKED_BYTES:
                raise BadEntry("A table may unpack to 30 MB at most", worded("{size} bytes", size=unpacked))
            if any(begins in packed.read(one) for one in packed.namelist() for begins in _DECLARES):
                raise BadEntry(
                    "A table must be an XLSX file that can be read", "one with declarations of its own"
                )
        sheet = load_workbook(io.BytesIO(content), read_only=True).worksheets[0]
        sheet.reset_dimensions()  # what a file says of its own size is not believed
        rows = sheet.iter_rows(values_only=True, max_row=MOST_ROWS + 2, max_col=MOST_COLUMNS + 1)
        return [[_as_text(one) for one in row] for row in rows]
    except BadEntry:
        raise
    except Exception as trouble:
        raise BadEntry(
            "A table must be an XLSX file that can be read",
            type(trouble).__name__,
            "Save it again, or save it as CSV",
        ) from trouble


def _as_text(value: Any) -> str:
    match value:
        case None:
            return ""
        case datetime() if not any((value.hour, value.minute, value.second)):
            return value.date().isoformat()
        case datetime() | date():
            return value.isoformat()
        case float() if value.is_integer() and abs(value) < 1e15:
            return str(int(value))
        case str() if not value.startswith("="):
            return value
        case bool() | int() | float():
            return str(value)
    raise BadEntry(
        "A cell holds a text, a number or a date, not a formula",
        repr(value[:40]) if isinstance(value, str) else type(value).__name__,
        "Paste the values alone, and save it",
    )
