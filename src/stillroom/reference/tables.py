"""Published tables: every row with its source, every numeric column with its unit.

A table is read once, when first asked for, and never changes afterwards. An empty cell is ``None``: a figure
that nobody printed is never guessed. Says nothing about which of two disagreeing rows is right; the row's
``source`` and ``seen`` are there to judge by.
"""

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from io import StringIO
from types import MappingProxyType

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.reference.files import table_names, text_of, toml_of

Cell = str | float | None


@dataclass(frozen=True, slots=True)
class Passport:
    """What a table is, in which units, from whom, and how far it reaches."""

    title: str
    what: str
    key: str
    units: Mapping[str, str]
    text: tuple[str, ...]
    sources: tuple[str, ...]
    read_twice: bool
    validity: str
    notes: str


class Row(Mapping[str, Cell]):
    """One published row. Columns are read by name: ``row["molar_mass_g_mol"]``."""

    __slots__ = ("_cells", "key", "table")

    def __init__(self, table: str, key: str, cells: Mapping[str, Cell]) -> None:
        self.table = table
        self.key = key
        self._cells = MappingProxyType(dict(cells))

    def __getitem__(self, column: str) -> Cell:
        try:
            return self._cells[column]
        except KeyError:
            raise UnknownName.among(column, f"a column of the table {self.table!r}", self._cells) from None

    def __contains__(self, column: object) -> bool:
        return column in self._cells

    def __iter__(self) -> Iterator[str]:
        return iter(self._cells)

    def __len__(self) -> int:
        return len(self._cells)

    def __repr__(self) -> str:
        return f"Row({self.table!r}, {self.key!r})"

    def number(self, column: str) -> float:
        """The figure in a numeric column.

        Parameters
        ----------
        column : str
            Name of the column.

        Returns
        -------
        float
            The figure, in the unit of the table's passport.

        Raises
        ------
        BadEntry
            When the cell is empty or holds words.
        """
        cell = self[column]
        if isinstance(cell, float):
            return cell
        must = f"The table {self.table!r} has no figure for {column!r} of {self.key!r}"
        raise BadEntry(
            must, "an empty cell" if cell is None else repr(cell), "Measure it, or enter it with its source"
        )

    def words(self, column: str) -> str:
        """The words in a text column.

        Parameters
        ----------
        column : str
            Name of the column.

        Returns
        -------
        str
            The words; empty when nothing was printed.
        """
        cell = self[column]
        return "" if cell is None else str(cell)


@dataclass(frozen=True, slots=True)
class Table:
    """A published table with its passport."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    passport: Passport


@cache
def table(name: str) -> Table:
    """One published table.

    Parameters
    ----------
    name : str
        The table's name, for example ``"markers"``.

    Returns
    -------
    Table
        Its rows and its passport.

    Raises
    ------
    UnknownName
        When no such table is shipped; the nearest names are offered.
    """
    if name not in table_names():
        raise UnknownName.among(name, "a table of the reference", table_names())
    note = toml_of("tables", f"{name}.toml")
    passport = Passport(
        title=note["title"],
        what=note["what"],
        key=note["key"],
        units=MappingProxyType(dict(note.get("units", {}))),
        text=tuple(note["text"]),
        sources=tuple(note["sources"]),
        read_twice=note["read_twice"],
        validity=note.get("validity", ""),
        notes=note.get("notes", ""),
    )
    reader = csv.DictReader(StringIO(text_of("tables", f"{name}.csv")))
    columns = tuple(reader.fieldnames or ())
    rows = tuple(_row(name, passport, line) for line in reader)
    return Table(name, columns, rows, passport)


def row(name: str, key: str) -> Row:
    """One row of a published table.

    Parameters
    ----------
    name : str
        The table's name.
    key : str
        The row's key: the cell in the column the passport calls ``key``.

    Returns
    -------
    Row
        The row.

    Raises
    ------
    UnknownName
        When the table or the row does not exist; the nearest names are offered.
    """
    rows = _rows_by_key(name)
    if key not in rows:
        raise UnknownName.among(key, f"a row of the table {name!r}", rows)
    return rows[key]


@cache
def _rows_by_key(name: str) -> Mapping[str, Row]:
    found: dict[str, Row] = {}
    for one in table(name).rows:
        if one.key in found:
            raise BadEntry(
                worded("Every row of the table {called!r} has its own key", called=name),
                worded("{key!r} twice", key=one.key),
                "Name them apart",
            )
        found[one.key] = one
    return MappingProxyType(found)


def _row(name: str, passport: Passport, line: Mapping[str, str]) -> Row:
    cells: dict[str, Cell] = {}
    for column, written in line.items():
        if written == "":
            cells[column] = None
        elif column in passport.units:
            cells[column] = float(written)
        else:
            cells[column] = written
    return Row(name, line[passport.key], cells)
