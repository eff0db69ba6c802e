"""Reading the book: records and entries out of one snapshot.

Lists have the newest last. An entry that was corrected is left out, unless ``corrected=True`` asks for both; then
``corrected_by`` tells which entry replaced it. A code that is not in the book raises ``UnknownName`` with the nearest.
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import Any, NoReturn, TypeVar, cast

from sqlalchemy import ColumnElement, Connection, Select, Table, and_, exists, func, or_, select

from stillroom.errors import BookTrouble, UnknownName
from stillroom.records.entries import (
    AnyBody,
    BatchBegun,
    BookBegun,
    ControlTestRead,
    DeviationNoted,
    DoseDecided,
    Entry,
    IdentityDecided,
    OrderTaken,
    PlanMade,
    ProcedureWritten,
    ReadingTaken,
    ResultReckoned,
    StatusDecided,
    StepDone,
    StockCounted,
    UnitsFilled,
)
from stillroom.records.lots import SHELF, CountedIn, Lot, LotKind, Movement, Status
from stillroom.records.orders import Order
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Procedure
from stillroom.store import tables as t
from stillroom.store.genealogy import Trace, made_from, went_into
from stillroom.store.journal import written_of

Record = TypeVar("Record")
_correction = t.journal.alias("correction")


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry of the book: its number and its digest, which stands for everything before it."""

    entry_no: int
    digest: str


@dataclass(frozen=True, slots=True)
class Moving:
    """A movement with the entry that made it."""

    entry_no: int
    movement: Movement
    by: str
    done_at: str


def live(table: Table) -> ColumnElement[bool]:
    """True for rows whose entry was not corrected."""
    return ~exists().where(_correction.c.corrects == table.c.entry_no)


class Reader:
    """What the book says, within one transaction.

    Parameters
    ----------
    connection : Connection
        Inside a transaction already.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    # The book itself

    @property
    def head(self) -> Head:
        """Number and digest of the last entry."""
        row = self._connection.execute(select(t.head.c.entry_no, t.head.c.digest)).one()
        return Head(row.entry_no, row.digest)

    def book(self) -> BookBegun:
        """Whose book this is; its epoch counts how often it went on from a copy."""
        begun = next(iter(self._records(BookBegun, t.books)))
        epoch = self._connection.scalar(select(func.max(t.restorations.c.epoch)))
        return begun if epoch is None else replace(begun, epoch=epoch)

    def entry(self, entry_no: int) -> Entry:
        """One entry, corrected or not.

        Raises
        ------
        UnknownName
            The book has no entry of that number.
        """
        found = self._load(select(t.journal.c.entry_no).where(t.journal.c.entry_no == entry_no))
        if not found:
            raise UnknownName(
                f"{entry_no} is not an entry of this book", do=f"The last entry is {self.head.entry_no}"
            )
        return found[0]

    def entries(
        self, kind: str | None = None, subject: str | None = None, *, corrected: bool = False
    ) -> tuple[Entry, ...]:
        """Entries of a kind, about a subject, or both."""
        return self._load(self._entry_numbers(kind, subject, corrected=corrected))

    def latest(self, kind: str, subject: str) -> Entry | None:
        """The newest entry of a kind about a subject that was not corrected."""
        numbers = self._entry_numbers(kind, subject, corrected=False)
        newest = self._connection.scalar(numbers.order_by(t.entries.c.entry_no.desc()).limit(1))
        return None if newest is None else self.entry(newest)

    # Lots and stocks

    def lot(self, code: str) -> Lot:
        """The lot of that code."""
        found = self._records(Lot, t.lots, t.lots.c.code == code)
        if not found:
            self._unknown(code, "a lot", self.lot_codes())
        return found[-1]

    def lots(self, kind: LotKind | None = None, status: Status | None = None) -> tuple[Lot, ...]:
        """Every lot, or those of a kind, of a status."""
        wanted = () if kind is None else (t.lots.c.kind == kind.value,)
        found = self._records(Lot, t.lots, *wanted)
        if status is None:
            return found
        stands = {code: Status(to) for code, to in self._decided()}
        return tuple(one for one in found if stands.get(one.code, Status.WAITING) is status)

    def lot_codes(self) -> tuple[str, ...]:
        """Codes of every lot."""
        return self._codes(t.lots)

    def status(self, code: str) -> Status:
        """Where a lot or batch stands; waiting until somebody decides."""
        decided = self._decided(t.decisions.c.subject == code)
        if decided:
            return Status(decided[-1][1])
        if code not in (known := (*self.lot_codes(), *self._codes(t.batches))):
            self._unknown(code, "a lot or batch", known)
        return Status.WAITING

    def received_at(self, lot: str) -> str:
        """When the lot came or was made (ISO)."""
        found: str | None = self._connection.scalar(
            select(t.entries.c.done_at)
            .join(t.lots, t.lots.c.entry_no == t.entries.c.entry_no)
            .where(t.lots.c.code == lot, live(t.lots))
        )
        if found is None:
            self._unknown(lot, "a lot", self.lot_codes())
        return found

    def balance_ug(self, lot: str, account: str = SHELF) -> int:
        """Mass of a lot in an account, as the sum of its movements. [ug]"""
        return self._balance(lot, account, "ug")

    def balance_pieces(self, lot: str, account: str = SHELF) -> int:
        """Pieces of a lot in an account, as the sum of its movements."""
        return self._balance(lot, account, "piece")

    def balances(self, lot: str) -> dict[tuple[str, CountedIn], int]:
        """What the movements of a lot sum up to, for each account and way of counting."""
        sums: dict[tuple[str, CountedIn], int] = {}
        m = t.movements.c
        for account, sign in ((m.into, 1), (m.out_of, -1)):
            rows = self._connection.execute(
                select(account, m.counted_in, func.sum(m.amount))
                .where(m.lot == lot, live(t.movements))
                .group_by(account, m.counted_in)
            )
            for name, counted_in, amount in rows:
                sums[name, counted_in] = sums.get((name, counted_in), 0) + sign * int(amount)
        if not sums:
            self.lot(lot)
        return sums

    def movements(self, lot: str | None = None, account: str | None = None) -> tuple[Moving, ...]:
        """Movements of a lot, of an account (either way), or both."""
        m = t.movements.c
        query = (
            select(t.movements, t.entries.c.by, t.entries.c.done_at)
            .join(t.entries, t.entries.c.entry_no == m.entry_no)
            .where(live(t.movements))
            .order_by(m.entry_no, m.line)
        )
        if lot is not None:
            self.lot(lot)
            query = query.where(m.lot == lot)
        if account is not None:
            query = query.where(or_(m.out_of == account, m.into == account))
        return tuple(
            Moving(
                row.entry_no,
                Movement(row.lot, row.out_of, row.into, row.amount, row.counted_in),
                row.by,
                row.done_at,
            )
            for row in self._connection.execute(query)
        )

    def stock_counts(self, lot: str, *, corrected: bool = False) -> tuple[Entry[StockCounted], ...]:
        """What was found standing on the shelf."""
        return self._bodies(StockCounted, t.stock_counts, t.stock_counts.c.lot == lot, corrected=corrected)

    # People, apparatus, procedures, orders

    def person(self, code: str) -> Person:
        """The person of that code, as last written."""
        people = {one.code: one for one in self.people()}
        return people[code] if code in people else self._unknown(code, "a person", people)

    def people(self) -> tuple[Person, ...]:
        """Everybody, as last written."""
        return tuple({one.code: one for one in self._records(Person, t.people)}.values())

    def apparatus(self, code: str) -> Apparatus:
        """The apparatus of that code, as last written."""
        known = {one.code: one for one in self.apparatus_list()}
        return known[code] if code in known else self._unknown(code, "an apparatus", known)

    def apparatus_list(self) -> tuple[Apparatus, ...]:
        """Every apparatus, as last written."""
        return tuple({one.code: one for one in self._records(Apparatus, t.apparatus)}.values())

    def procedure(self, code: str, version: int | None = None) -> Procedure:
        """A procedure: the version asked for, or the newest."""
        c = t.procedures.c
        wanted = [c.code == code, *([c.version == version] if version is not None else [])]
        found = self._bodies(ProcedureWritten, t.procedures, *wanted)
        if found:
            return max((one.body.procedure for one in found), key=lambda one: one.version)
        known = {one.code: one for one in self.procedures()}
        if code in known:
            raise UnknownName(
                f"{code!r} has no version {version} here", do=f"The newest is {known[code].version}"
            )
        return self._unknown(code, "a procedure", known)

    def procedures(self) -> tuple[Procedure, ...]:
        """The newest version of every procedure."""
        newest: dict[str, Procedure] = {}
        for one in self._bodies(ProcedureWritten, t.procedures):
            procedure = one.body.procedure
            if procedure.code not in newest or newest[procedure.code].version < procedure.version:
                newest[procedure.code] = procedure
        return tuple(newest.values())

    def order(self, code: str) -> Order:
        """The customer's order of that code."""
        found = self._bodies(OrderTaken, t.orders, t.orders.c.code == code)
        return found[-1].body.order if found else self._unknown(code, "an order", self._codes(t.orders))

    def orders(self) -> tuple[Order, ...]:
        """Every order."""
        return tuple(one.body.order for one in self._bodies(OrderTaken, t.orders))

    def plans(self, order: str, *, corrected: bool = False) -> tuple[Entry[PlanMade], ...]:
        """Plans kept for an order."""
        return self._bodies(PlanMade, t.plans, t.plans.c.order == order, corrected=corrected)

    # Making

    def batch(self, code: str) -> BatchBegun:
        """The making of that code."""
        found = self._bodies(BatchBegun, t.batches, t.batches.c.code == code)
        return found[-1].body if found else self._unknown(code, "a batch", self._codes(t.batches))

    def batches(self, order: str | None = None) -> tuple[BatchBegun, ...]:
        """Every batch, or those made for an order."""
        wanted = () if order is None else (t.batches.c.order == order,)
        return tuple(one.body for one in self._bodies(BatchBegun, t.batches, *wanted))

    def steps(self, batch: str, *, corrected: bool = False) -> tuple[Entry[StepDone], ...]:
        """Steps done in a batch."""
        return self._bodies(StepDone, t.steps, t.steps.c.batch == batch, corrected=corrected)

    def deviations(self, batch: str, *, corrected: bool = False) -> tuple[Entry[DeviationNoted], ...]:
        """What went otherwise than written."""
        return self._bodies(DeviationNoted, t.deviations, t.deviations.c.batch == batch, corrected=corrected)

    def doses(self, batch: str, *, corrected: bool = False) -> tuple[Entry[DoseDecided], ...]:
        """Doses decided for a batch."""
        return self._bodies(DoseDecided, t.doses, t.doses.c.batch == batch, corrected=corrected)

    def fillings(self, batch: str, *, corrected: bool = False) -> tuple[Entry[UnitsFilled], ...]:
        """Fillings of a batch into bottles."""
        return self._bodies(UnitsFilled, t.fillings, t.fillings.c.batch == batch, corrected=corrected)

    # Testing and deciding

    def readings(
        self, subject: str, what: str | None = None, series: str | None = None, *, corrected: bool = False
    ) -> tuple[Entry[ReadingTaken], ...]:
        """Numbers read off an instrument for a subject."""
        c = t.readings.c
        wanted = [column == name for column, name in ((c.what, what), (c.series, series)) if name is not None]
        return self._bodies(ReadingTaken, t.readings, c.subject == subject, *wanted, corrected=corrected)

    def results(
        self, subject: str, what: str | None = None, *, corrected: bool = False
    ) -> tuple[Entry[ResultReckoned], ...]:
        """Results reckoned for a subject, counting or not."""
        c = t.results.c
        wanted = [] if what is None else [c.what == what]
        return self._bodies(ResultReckoned, t.results, c.subject == subject, *wanted, corrected=corrected)

    def tests(self, subject: str, *, corrected: bool = False) -> tuple[Entry[ControlTestRead], ...]:
        """Present-or-absent tests of a subject."""
        c = t.control_tests.c
        return self._bodies(ControlTestRead, t.control_tests, c.subject == subject, corrected=corrected)

    def identities(self, lot: str, *, corrected: bool = False) -> tuple[Entry[IdentityDecided], ...]:
        """What was decided about the identity of a lot."""
        return self._bodies(IdentityDecided, t.identities, t.identities.c.lot == lot, corrected=corrected)

    def decisions(self, subject: str, *, corrected: bool = False) -> tuple[Entry[StatusDecided], ...]:
        """What was decided about a lot or batch."""
        return self._bodies(StatusDecided, t.decisions, t.decisions.c.subject == subject, corrected=corrected)

    # Where it comes from and where it went

    def made_from(self, code: str) -> Trace:
        """Every lot and batch that a lot or batch was made from."""
        self._must_be_traceable(code)
        return made_from(self._connection, code)

    def went_into(self, code: str) -> Trace:
        """Every batch, lot and customer that a lot or batch went into."""
        self._must_be_traceable(code)
        return went_into(self._connection, code)

    def holder(self, table: Table, code: str, *wanted: ColumnElement[bool]) -> int | None:
        """Number of the entry that brought a code into a table of the index, if any."""
        query = select(table.c.entry_no).where(table.c.code == code, live(table), *wanted)
        return self._connection.scalar(query.order_by(table.c.entry_no.desc()).limit(1))

    def moves(self, lot: str) -> bool:
        """Whether any movement names the lot."""
        m = t.movements
        return bool(self._connection.scalar(select(exists().where(m.c.lot == lot, live(m)))))

    def knows(self, code: str) -> bool:
        """Whether any lot, batch, order, apparatus, procedure or person has this code."""
        named = (t.lots, t.batches, t.orders, t.apparatus, t.procedures, t.people)
        return any(self.holder(one, code) is not None for one in named)

    def codes(self) -> tuple[str, ...]:
        """Every code of the book."""
        named = (t.lots, t.batches, t.orders, t.apparatus, t.procedures, t.people)
        return tuple(dict.fromkeys(code for one in named for code in self._codes(one)))

    def attachments(self) -> tuple[str, ...]:
        """Seals of every file an entry names, corrected or not."""
        return tuple(self._connection.scalars(select(t.attachments.c.seal).distinct()))

    # How it is done

    def _load(self, numbers: Select[int]) -> tuple[Entry, ...]:
        j = t.journal
        query = (
            select(j.c.text, _correction.c.entry_no)
            .outerjoin(_correction, _correction.c.corrects == j.c.entry_no)
            .where(j.c.entry_no.in_(numbers))
            .order_by(j.c.entry_no)
        )
        return tuple(written_of(text, by).entry for text, by in self._connection.execute(query))

    def _entry_numbers(self, kind: str | None, subject: str | None, *, corrected: bool) -> Select[int]:
        query = select(t.entries.c.entry_no)
        if kind is not None:
            query = query.where(t.entries.c.kind == kind)
        if subject is not None:
            about = and_(t.subjects.c.entry_no == t.entries.c.entry_no, t.subjects.c.subject == subject)
            query = query.where(exists().where(about))
        return query if corrected else query.where(live(t.entries))

    def _bodies(
        self, body: type[AnyBody], table: Table, *wanted: ColumnElement[bool], corrected: bool = False
    ) -> tuple[Entry[AnyBody], ...]:
        query = select(table.c.entry_no).where(*wanted)
        found = self._load(query if corrected else query.where(live(table)))
        if not all(isinstance(one.body, body) for one in found):
            raise BookTrouble(
                f"The table {table.name} must tell of {body.__name__} only", do="Verify the book"
            )
        return cast("tuple[Entry[AnyBody], ...]", found)

    def _records(
        self, record: type[Record], table: Table, *wanted: ColumnElement[bool]
    ) -> tuple[Record, ...]:
        """Records built from the columns of a table that mirrors them whole."""
        names = [one.name for one in fields(record)]  # type: ignore[arg-type]
        query = (
            select(*(table.c[one] for one in names))
            .where(live(table), *wanted)
            .order_by(*table.primary_key.columns)
        )
        return tuple(record(**_typed(record, row._asdict())) for row in self._connection.execute(query))

    def _codes(self, table: Table) -> tuple[str, ...]:
        query = select(table.c.code).where(live(table)).order_by(*table.primary_key.columns)
        return tuple(dict.fromkeys(self._connection.execute(query).scalars()))

    def _decided(self, *wanted: ColumnElement[bool]) -> list[tuple[str, str]]:
        c = t.decisions.c
        query = select(c.subject, c.to).where(live(t.decisions), *wanted).order_by(c.entry_no)
        return [(row.subject, row.to) for row in self._connection.execute(query)]

    def _balance(self, lot: str, account: str, counted_in: CountedIn) -> int:
        m = t.movements.c
        total = 0
        for column, sign in ((m.into, 1), (m.out_of, -1)):
            found = self._connection.scalar(
                select(func.sum(m.amount)).where(
                    m.lot == lot, column == account, m.counted_in == counted_in, live(t.movements)
                )
            )
            total += sign * int(found or 0)
        if total == 0:
            self.lot(lot)
        return total

    def _must_be_traceable(self, code: str) -> None:
        known = (*self.lot_codes(), *self._codes(t.batches))
        if code not in known:
            self._unknown(code, "a lot or batch", known)

    def _unknown(self, code: str, what: str, known: Iterable[str]) -> NoReturn:
        raise UnknownName.among(code, what, known)


def _typed(record: type, row: dict[str, Any]) -> dict[str, Any]:
    return row | {"kind": LotKind(row["kind"])} if record is Lot else row
