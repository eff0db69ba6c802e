"""What every way of looking leans on: entries and records out of one transaction, corrected ones left out."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache, wraps
from threading import Lock
from typing import Any, Concatenate, NoReturn, ParamSpec, TypeAlias, TypeVar, cast

from sqlalchemy import ColumnElement, Connection, Select, Table, bindparam, exists, func, select

from stillroom.errors import BookTrouble, UnknownName, worded
from stillroom.records.entries import AnyBody, BookBegun, Entry
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.store import tables as t
from stillroom.store.journal import entry_of
from stillroom.store.reckoned import Reckoned
from stillroom.substances.own import now_known
from stillroom.texts.catalogue import language

Record = TypeVar("Record")
Found = TypeVar("Found")
Look = TypeVar("Look", bound="Looking")
Asked = ParamSpec("Asked")
Code = TypeVar("Code")
_NOT_YET = object()
_correction = t.journal.alias("correction")
_CODED = (t.lots, t.batches, t.orders, t.apparatus, t.procedures, t.people)


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry of the book: its number and its digest, which stands for everything before it."""

    entry_no: int
    digest: str


class KeptAtHeads:
    """What was found of a book, by the head it was found at: a new entry begins anew, whoever wrote it.

    Parameters
    ----------
    heads : int
        How many heads are kept; who still looks at an earlier one finds again for itself. [1]
    most : int
        How much is kept of one; what was found first goes first. [1]
    """

    def __init__(self, heads: int = 2, most: int = 8192) -> None:
        self._heads, self._most = heads, most
        self._found: dict[Head, dict[object, object]] = {}
        self._one_at_a_time = Lock()

    def at(self, head: "Head") -> dict[object, object]:
        """What was found with the book as it stands at that entry."""
        with self._one_at_a_time:
            kept = self._found.pop(head, {})
            self._found[head] = kept
            while len(self._found) > self._heads:
                del self._found[next(iter(self._found))]
            for old in list(kept)[: -self._most]:
                del kept[old]
        return kept

    def forget(self) -> None:
        """Begin anew."""
        with self._one_at_a_time:
            self._found.clear()


def once(ask: Callable[Concatenate[Look, Asked], Found]) -> Callable[Concatenate[Look, Asked], Found]:
    """Ask the book once while it stands still: kept with the head of the book, let go of by whoever writes.

    Parameters
    ----------
    ask : callable
        Takes the look first; what it gives is never changed by whoever asked.
    """

    @wraps(ask)
    def asked(look: Look, /, *given: Asked.args, **named: Asked.kwargs) -> Found:
        key = _key(ask, given, named)
        found = look.kept.get(key, _NOT_YET)
        if found is _NOT_YET:
            found = look.kept[key] = ask(look, *given, **named)
        return cast(Found, found)

    return asked


def answered(
    look: Look,
    asked: Callable[Concatenate[Look, Asked], Found],
    found: Found,
    /,
    *given: Asked.args,
    **named: Asked.kwargs,
) -> None:
    """Keep an answer that came along with another, so that nobody asks for it by itself: a list asks once for all.

    Parameters
    ----------
    asked : callable
        What would be asked, marked ``once``.
    found : object
        What it would give.
    *given, **named
        What it would be asked with, as whoever asks gives it.
    """
    look.kept[_key(getattr(asked, "__wrapped__"), given, named)] = found  # noqa: B009


def _key(ask: object, given: tuple[object, ...], named: Mapping[str, object]) -> object:
    return (ask, language(), now_known(), given, tuple(named.items()))


@cache
def live(table: Table) -> ColumnElement[bool]:
    """True for rows whose entry was not corrected."""
    return ~exists().where(_correction.c.corrects == table.c.entry_no)


def _settled() -> None:
    """What is only read stands as it was written."""


_AT_ONCE = 400
_MOST_ENTRIES = 2**31 - 1
"""The largest number that every database takes for an entry."""


class Looking:
    """The book itself, its entries, and whether a code is in it.

    Parameters
    ----------
    connection : Connection
        Inside a transaction already.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self.kept: dict[object, object] = {}
        self.reckoned = Reckoned(None)
        """What long calculations found, beside the book."""
        self.settle: Callable[[], None] = _settled
        """Brings the standings up to what was written; whoever writes sets it."""

    @property
    @once
    def head(self) -> Head:
        """Number and digest of the last entry."""
        row = self._connection.execute(_HEAD).one()
        return Head(row.entry_no, row.digest)

    @once
    def book(self) -> BookBegun:
        """Whose book this is; its epoch counts how often it went on from a copy."""
        begun = next(iter(self._records(BookBegun, t.books)))
        epoch = self._connection.scalar(_EPOCH)
        return begun if epoch is None else replace(begun, epoch=epoch)

    @once
    def entry(self, entry_no: int) -> Entry:
        """One entry, corrected or not.

        Raises
        ------
        UnknownName
            The book has no entry of that number.
        """
        in_range = 0 < entry_no <= _MOST_ENTRIES
        found = in_range and self._told(
            _texts_where(t.journal, (("entry_no", False),), True), {"entry_no": entry_no}
        )
        if not found:
            raise UnknownName(
                worded("{entry_no} is not an entry of this book", entry_no=entry_no),
                do=worded("The last entry is {entry_no}", entry_no=self.head.entry_no),
            )
        return found[0]

    @once
    def entries(
        self, kind: str | None = None, subject: str | None = None, *, corrected: bool = False
    ) -> tuple[Entry, ...]:
        """Entries of a kind, about a subject, or both."""
        about = {name: one for name, one in (("kind", kind), ("subject", subject)) if one is not None}
        return self._told(_texts_about(tuple(about), corrected), about)

    def entries_ahead(self, subjects: Sequence[str], kind: str | None = None) -> None:
        """Entries about some subjects, of a kind or all, known before it is asked of one after another."""
        found: dict[str, list[Entry]] = {one: [] for one in subjects}
        s, j = t.subjects, t.journal.c
        asked = (
            select(s.c.subject, j.text)
            .join(t.journal, j.entry_no == s.c.entry_no)
            .where(live(s), *([] if kind is None else [s.c.kind == kind]))
            .order_by(j.entry_no)
        )
        for part in parts(list(found)):
            for subject, text in self._connection.execute(asked.where(s.c.subject.in_(part))):
                found[subject].append(entry_of(text, None))
        for subject, entries in found.items():
            if kind is None:
                answered(self, Looking.entries, tuple(entries), subject=subject)
            else:
                answered(self, Looking.entries, tuple(entries), kind=kind, subject=subject)

    @once
    def corrections(self) -> Mapping[int, int]:
        """Number of every entry that was corrected, and of the entry that did it."""
        j = t.journal.c
        rows = self._connection.execute(select(j.corrects, j.entry_no).where(j.corrects.is_not(None)))
        return {int(old): int(new) for old, new in rows}

    def holds(self, code: str) -> tuple[bool, bool]:
        """Whether a code is a lot, and whether it is a batch."""
        return self.holder(t.lots, code) is not None, self.holder(t.batches, code) is not None

    @once
    def latest(self, kind: str, subject: str) -> Entry | None:
        """The newest entry of a kind about a subject that was not corrected."""
        found = self._told(_newest_text(), {"kind": kind, "subject": subject})
        if not found:
            return None
        answered(self, Looking.entry, found[0], found[0].entry_no)
        return found[0]

    def holder(self, table: Table, code: str, *wanted: ColumnElement[bool]) -> int | None:
        """Number of the entry that brought a code into a table of the index, if any."""
        asked = _holder(table)
        return self._connection.scalar(asked.where(*wanted) if wanted else asked, {"code": code})

    @once
    def knows(self, code: str) -> bool:
        """Whether any lot, batch, order, apparatus, procedure or person has this code."""
        return any(self.holder(one, code) is not None for one in _CODED)

    @once
    def codes(self) -> tuple[str, ...]:
        """Every code of the book."""
        return tuple(dict.fromkeys(code for one in _CODED for code in self._codes(one)))

    def attachments(self) -> tuple[str, ...]:
        """Seals of every file an entry names, corrected or not."""
        return tuple(self._connection.scalars(select(t.attachments.c.seal).distinct()))

    def _load(self, numbers: Select[int]) -> tuple[Entry, ...]:
        return self._told(_texts(numbers), {})

    def _told(self, query: Select[str, int], given: Mapping[str, object]) -> tuple[Entry, ...]:
        return tuple(entry_of(text, by) for text, by in self._connection.execute(query, given))

    def _bodies(
        self,
        body: type[AnyBody],
        table: Table,
        *,
        corrected: bool = False,
        **named: object,
    ) -> tuple[Entry[AnyBody], ...]:
        """Entries that a table of the index tells of: those whose columns are as named, or one of those named."""
        found = [
            one
            for given in _in_parts(named)
            for one in self._told(_texts_where(table, _names(given), corrected), given)
        ]
        if not all(isinstance(one.body, body) for one in found):
            raise BookTrouble(
                worded(
                    "The table {table_name} must tell of {called} only",
                    table_name=table.name,
                    called=body.__name__,
                ),
                do="Verify the book",
            )
        return cast("tuple[Entry[AnyBody], ...]", tuple(found))

    def _records(
        self, record: type[Record], table: Table, *wanted: ColumnElement[bool], **named: object
    ) -> tuple[Record, ...]:
        """Records built from the columns of a table that mirrors them whole; what is wanted besides is built once."""
        names = tuple(one.name for one in fields(record))  # type: ignore[arg-type]
        return tuple(
            record(**_typed(record, row._asdict()))
            for given in _in_parts(named)
            for row in self._connection.execute(_columns(table, names, _names(given), wanted), given)
        )

    def _codes(self, table: Table) -> tuple[str, ...]:
        query = select(table.c.code).where(live(table)).order_by(*table.primary_key.columns)
        return tuple(dict.fromkeys(self._connection.execute(query).scalars()))

    def _unknown(self, code: str, what: str, known: Iterable[str]) -> NoReturn:
        raise UnknownName.among(code, what, known)


# Statements are built once: building one takes as long as asking it.

_HEAD = select(t.head.c.entry_no, t.head.c.digest)
_EPOCH = select(func.max(t.restorations.c.epoch))
_Names: TypeAlias = tuple[tuple[str, bool], ...]
"""Columns by which a statement asks, and whether for one of several."""


def parts(codes: Sequence[Code]) -> list[list[Code]]:
    """Some codes, no more at once than every database takes."""
    return [list(codes[at : at + _AT_ONCE]) for at in range(0, len(codes), _AT_ONCE)]


def _in_parts(named: Mapping[str, object]) -> list[dict[str, object]]:
    """What is asked for, in as many statements as the longest list takes; None asks for nothing of a column."""
    given = {
        name: list(value) if isinstance(value, (list, tuple)) else value
        for name, value in named.items()
        if value is not None
    }
    lists = {name: value for name, value in given.items() if isinstance(value, list)}
    if not lists:
        return [given]
    longest = max(lists, key=lambda name: len(lists[name]))
    return [{**given, longest: part} for part in parts(lists[longest])]


def _names(given: Mapping[str, object]) -> _Names:
    return tuple((name, isinstance(value, list)) for name, value in given.items())


def _are_as_named(table: Table, names: _Names) -> list[ColumnElement[bool]]:
    return [
        table.c[one].in_(bindparam(one, expanding=True)) if several else table.c[one] == bindparam(one)
        for one, several in names
    ]


def _texts(numbers: Select[int]) -> Select[str, int]:
    j = t.journal
    return (
        select(j.c.text, _correction.c.entry_no)
        .outerjoin(_correction, _correction.c.corrects == j.c.entry_no)
        .where(j.c.entry_no.in_(numbers))
        .order_by(j.c.entry_no)
    )


@cache
def _texts_where(table: Table, names: _Names, corrected: bool) -> Select[str, int]:
    query = select(table.c.entry_no).where(*_are_as_named(table, names))
    return _texts(query if corrected else query.where(live(table)))


def _numbers_about(about: tuple[str, ...], corrected: bool) -> Select[int]:
    """Numbers of entries; those about a subject are found by it, so that no database has to guess."""
    table = t.subjects if "subject" in about else t.entries
    query = select(table.c.entry_no).where(*(table.c[one] == bindparam(one) for one in about))
    return query if corrected else query.where(live(table))


@cache
def _texts_about(about: tuple[str, ...], corrected: bool) -> Select[str, int]:
    return _texts(_numbers_about(about, corrected))


@cache
def _newest_text() -> Select[str, int]:
    numbers = _numbers_about(("kind", "subject"), corrected=False)
    return _texts(numbers.order_by(t.subjects.c.entry_no.desc()).limit(1))


@cache
def _columns(
    table: Table, names: tuple[str, ...], asked: _Names, wanted: tuple[ColumnElement[bool], ...]
) -> Select[Any]:
    query = select(*(table.c[one] for one in names)).where(live(table), *_are_as_named(table, asked), *wanted)
    return query.order_by(*table.primary_key.columns)


@cache
def _holder(table: Table) -> Select[int]:
    query = select(table.c.entry_no).where(table.c.code == bindparam("code"), live(table))
    return query.order_by(table.c.entry_no.desc()).limit(1)


def _typed(record: type, row: dict[str, Any]) -> dict[str, Any]:
    return row | {"kind": LotKind(row["kind"])} if record is Lot else row
