"""Whether a book can be trusted: chain, head, index, files and stocks, each trouble in one sentence.

It proves that the book agrees with its head digest. Somebody who can write the database file could make a
whole new chain; compare the digest with one that stands on paper (``BookTrouble`` never comes from here:
all is reported).
"""

import math
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import chain
from typing import Any

from sqlalchemy import Connection, Select, Table, bindparam, func, select

from stillroom.errors import StillroomError
from stillroom.evidence.seal import canonical
from stillroom.store import tables as t
from stillroom.store.attachments import Attachments
from stillroom.store.building import altered_tables
from stillroom.store.guards import weakened_guards
from stillroom.store.journal import BEFORE_THE_FIRST, KeptByText, Row, Written, digest_of, told_by, written_of
from stillroom.store.looking import Head
from stillroom.store.projection import IndexRow, Projection, project
from stillroom.store.reader import Reader
from stillroom.store.refusals import stocks_below_zero
from stillroom.store.running import summed, unproved

_AT_ONCE = 500
MOST_LETTERS = 1_000_000
"""Of the texts from which it is kept what follows: those of a thousand entries or so. [letters]"""
_BEFORE_ALL = -(2**31)
"""Below the number of any row, even of one that no entry brought."""


MEND = "Mend it with 'stillroom book mend'; restore a copy only where that says that the journal is hurt"
GO_ON = "Put the newest file back; or go on from this one in another folder: stillroom book restore"


@dataclass(frozen=True, slots=True)
class VerifyReport:
    """What was looked at, and every trouble found.

    ``entries``, ``rows``: entries of the journal and rows of the index that were compared.
    """

    entries: int
    rows: int
    digest: str
    """Digest of the head, for comparison with one written down elsewhere."""
    troubles: tuple[str, ...]
    lacks: tuple[str, ...] = ()
    """Those of the troubles that no mending ends: what was acknowledged and is not in this file."""
    untold: str = ""
    """That nothing here can prove that no newer state stands elsewhere; "" where that is known."""

    @property
    def advice(self) -> str:
        """What to do about the troubles; "" where there are none."""
        if not self.troubles:
            return ""
        return GO_ON if self.troubles == self.lacks else MEND

    @property
    def holds(self) -> bool:
        """True when nothing is wrong."""
        return not self.troubles


def verify(
    connection: Connection,
    attachments: Attachments,
    *,
    index: bool = True,
    since: Head | None = None,
    progress: Callable[[int, int], None] = lambda _, __: None,
) -> VerifyReport:
    """Check the whole book inside one transaction, or what was written since it was checked last.

    Parameters
    ----------
    index : bool
        False for a book whose index another version made: only journal, head and files are looked at then.
    since : Head, optional
        The entry up to which the book held: only later ones are looked at, and no sum is made again.
    progress : callable
        Told how many entries were looked at, and how many there are.
    """
    look = _Look(connection, attachments)
    look.at_the_database(guards=index, whole=since is None)
    if since is not None:
        look.goes_on_from(since)
    last = connection.scalar(select(func.max(t.journal.c.entry_no))) or 0
    with ExitStack() as stack:
        walks = [stack.enter_context(closing(one)) for one in look.walks()] if index else []
        for rows in look.journal():
            for row in rows:
                look.at_entry(row, walks)
            progress(look.entries, last)
        look.at_the_head()
        look.beyond_the_journal(walks)
    if index and since is None:
        look.at_stocks()
    return VerifyReport(look.entries, look.rows, look.digest, tuple(look.troubles))


@dataclass(frozen=True)
class _Follows:
    """What follows from a text of the journal alone: found once, and held against what stands each time."""

    written: Written
    is_canonical: bool

    @classmethod
    def of(cls, text: str) -> "_Follows":
        content = told_by(text)
        return cls(written_of(content), canonical(content) == text)

    @cached_property
    def rows(self) -> Projection:
        """What the index must hold of it."""
        return project(self.written)


_FOLLOWS = KeptByText(_Follows.of, MOST_LETTERS)


class _Look:
    def __init__(self, connection: Connection, attachments: Attachments) -> None:
        self._connection = connection
        self._attachments = attachments
        self.troubles: list[str] = []
        self.entries = self.rows = 0
        self.digest = BEFORE_THE_FIRST

    def goes_on_from(self, since: Head) -> None:
        """Begin behind an entry up to which the book held, where it still stands as it did."""
        stands = self._connection.scalar(
            select(t.journal.c.digest).where(t.journal.c.entry_no == since.entry_no)
        )
        if stands == since.digest:
            self.entries, self.digest = since.entry_no, since.digest
        else:
            self.troubles.append(
                f"Entry {since.entry_no} is not the one up to which the book was verified last"
            )

    def at_the_database(self, *, guards: bool, whole: bool = True) -> None:
        if whole and self._connection.dialect.name == "sqlite":
            said = list(self._connection.exec_driver_sql("PRAGMA integrity_check").scalars())
            self.troubles += [f"The database file is damaged: {one}" for one in said if one != "ok"]
        if not guards:
            return
        self.troubles += weakened_guards(self._connection)
        self.troubles += altered_tables(self._connection)

    def journal(self) -> Iterator[list[Row]]:
        columns = [t.journal.c[one] for one in Row.__dataclass_fields__]
        query = select(*columns).where(t.journal.c.entry_no > self.entries).order_by(t.journal.c.entry_no)
        for part in self._connection.execute(query.execution_options(yield_per=_AT_ONCE)).partitions():
            yield [Row(*one) for one in part]

    def walks(self) -> list["_Walk"]:
        """Every table of the index, to be walked beside the journal."""
        after = self.entries or _BEFORE_ALL
        return [_Walk(self._connection, table, after) for table in t.PROJECTED.values()]

    def at_entry(self, row: Row, walks: list["_Walk"]) -> None:
        follows = self._follows(row)
        stands: dict[str, list[IndexRow]] = {}
        for walk in walks:
            if walk.entry_no < row.entry_no:
                self._not_of_the_journal(walk, walk.up_to(row.entry_no - 1))
            if walk.entry_no == row.entry_no:
                stands[walk.name] = walk.up_to(row.entry_no)
        if follows is None:
            return
        expected = follows.rows if walks else {}
        for name in expected | stands:  # most tables have nothing of an entry
            self._compare(name, expected.get(name, []), stands.get(name, []))
        for one in follows.written.entry.attachments:
            self._at_attachment(row.entry_no, one)

    def _follows(self, row: Row) -> "_Follows | None":
        number, self.entries = row.entry_no, self.entries + 1
        if number != self.entries:
            self.troubles.append(f"Entry {self.entries} is missing: entry {number} comes next")
            self.entries = number
        if row.before != self.digest:
            self.troubles.append(f"Entry {number} does not follow the entry before it: the chain is broken")
        if row.digest != digest_of(row.before, row.text):
            self.troubles.append(f"Entry {number} was altered: its text does not have its digest")
        self.digest = row.digest
        try:
            follows = _FOLLOWS.of(row.text)
        except StillroomError as trouble:
            self.troubles.append(f"Entry {number} cannot be read: {trouble}")
            return None
        if not follows.is_canonical:
            self.troubles.append(f"Entry {number} is not written the canonical way")
        written = follows.written
        if written.entry.entry_no != number:
            self.troubles.append(f"Entry {number} says it is entry {written.entry.entry_no}")
            return None
        if written.entry.corrects != row.corrects:
            self.troubles.append(f"Entry {number} corrects {written.entry.corrects}, not {row.corrects}")
        return follows

    def at_the_head(self) -> None:
        head = self._connection.execute(select(t.head.c.entry_no, t.head.c.digest)).one_or_none()
        if head is None:
            self.troubles.append("The head is missing")
        elif (head.entry_no, head.digest) != (self.entries, self.digest):
            self.troubles.append(
                f"The head names entry {head.entry_no}; the journal ends with entry {self.entries}"
            )

    def beyond_the_journal(self, walks: list["_Walk"]) -> None:
        """Rows whose entry comes after the last of the journal."""
        for walk in walks:
            self._not_of_the_journal(walk, walk.up_to(math.inf))

    def _not_of_the_journal(self, walk: "_Walk", lines: list[IndexRow]) -> None:
        self.troubles += [f"{_told(walk.name, line)} is extra: there is no such entry" for line in lines]

    def at_stocks(self) -> None:
        look = Reader(self._connection)
        if not self.troubles:  # what rests on rows that were altered is altered with them
            self.troubles += unproved(self._connection)
        proved = not self.troubles
        made = {tuple(one) for one in self._connection.execute(select(t.lots.c.code, t.lots.c.made_by))}
        try:
            for code, balances in (look.all_balances() if proved else summed(self._connection)).items():
                elsewhere = {  # what a batch makes comes out of it
                    where: amount
                    for where, amount in balances.items()
                    if (code, where[0].removeprefix("batch/")) not in made
                }
                self.troubles += [" ".join(one) for one in stocks_below_zero(look, code, balances=elsewhere)]
        except StillroomError as trouble:
            self.troubles.append(f"The stocks cannot be summed: {trouble}")

    def _at_attachment(self, entry_no: int, seal: str) -> None:
        try:
            self._attachments.read(seal)
        except StillroomError as trouble:
            self.troubles.append(f"The file {seal[:12]}… of entry {entry_no} cannot be trusted: {trouble}")

    def _compare(self, name: str, expected: list[IndexRow], found: list[IndexRow]) -> None:
        self.rows += len(found)
        if expected == found:
            return
        by_line = {row.get("line", 1): row for row in found}
        for row in expected:
            stands = by_line.pop(row.get("line", 1), None)
            if stands is None:
                self.troubles.append(f"{_told(name, row)} is missing")
                continue
            for column, value in row.items():
                if stands[column] != value:
                    words = f"{column} is {stands[column]!r} and must be {value!r}"
                    self.troubles.append(f"{_told(name, row)} was altered: {words}")
        self.troubles += [
            f"{_told(name, row)} is extra: its entry does not bring it" for row in by_line.values()
        ]


def _told(name: str, row: IndexRow) -> str:
    line = f" line {row['line']}" if "line" in row else ""
    return f"The row of entry {row['entry_no']}{line} in {name}"


@cache
def _rows_after(table: Table) -> Select[Any]:
    query = select(table).where(table.c.entry_no > bindparam("after")).order_by(*table.primary_key.columns)
    return query.execution_options(yield_per=_AT_ONCE)


class _Walk:
    """One table of the index, read once from front to back: as many statements for a long book as for a short one."""

    def __init__(self, connection: Connection, table: Table, after: int) -> None:
        self.name = table.name
        self._columns = tuple(table.c.keys())
        self._found = connection.execute(_rows_after(table), {"after": after})
        self._rows = chain.from_iterable(self._found.partitions())
        self._go_on()

    def close(self) -> None:
        """Let go of what was not read: rows of no entry."""
        self._found.close()

    def _go_on(self) -> None:
        row = next(self._rows, None)
        self._line: IndexRow = {} if row is None else dict(zip(self._columns, row, strict=True))
        self.entry_no: float = math.inf if row is None else row.entry_no

    def up_to(self, entry_no: float) -> list[IndexRow]:
        """The rows of an entry and of those before it that were not read yet."""
        found = []
        while self._line and self.entry_no <= entry_no:
            found.append(self._line)
            self._go_on()
        return found
