"""Looking at lots: what they are, where they stand, and how much of them is where."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias, cast, get_args

from sqlalchemy import ColumnElement, Select, bindparam, exists, func, or_, select

from stillroom.records.entries import Entry, StockCounted
from stillroom.records.lot_kinds import MADE_AS, CountedIn, LotKind
from stillroom.records.lots import OURS, SHELF, Lot, Movement, Status
from stillroom.store import tables as t
from stillroom.store.looking import Looking, answered, live, once, parts

Balances: TypeAlias = dict[tuple[str, CountedIn], int]


@dataclass(frozen=True, slots=True)
class Moving:
    """A movement with the entry that made it."""

    entry_no: int
    movement: Movement
    by: str
    done_at: str


class Stocks(Looking):
    """Lots, their status, their movements and what these sum up to."""

    @once
    def lot(self, code: str) -> Lot:
        """The lot of that code."""
        found = self._records(Lot, t.lots, code=code)
        if not found:
            self._unknown(code, "a lot", self.lot_codes())
        return found[-1]

    @once
    def lots(
        self,
        kinds: tuple[LotKind, ...] | None = None,
        status: Status | None = None,
        *,
        substances: frozenset[str] | None = None,
        made_by: str | None = None,
        on_shelf: bool = False,
        of_customers: bool = False,
    ) -> tuple[Lot, ...]:
        """Every lot, or those of a status, of kinds, substances or a batch, still on the shelf, of customers."""
        wanted: list[ColumnElement[bool]] = [t.lots.c.owner != OURS] if of_customers else []
        if status is not None or on_shelf:
            self.settle()
            wanted.append(_stands(status, on_shelf=on_shelf))
        named = None if kinds is None else [one.value for one in kinds]
        of = None if substances is None else sorted(substances)
        found = self._records(Lot, t.lots, *wanted, kind=named, substance=of, made_by=made_by)
        if on_shelf:
            for one in found:
                answered(self, Stocks.lot, one, one.code)
            self._stand_so([one.code for one in found])
        return found

    @once
    def received_of(self, kinds: tuple[LotKind, ...]) -> dict[str, int]:
        """How many lots of some kinds there were of each substance. [1]."""
        l = t.lots.c  # noqa: E741
        mine = l.kind.in_([one.value for one in kinds])
        asked = select(l.substance, func.count()).where(mine, live(t.lots)).group_by(l.substance)
        return {row[0]: row[1] for row in self._connection.execute(asked)}

    @once
    def newest_of(self, kinds: tuple[LotKind, ...], substance: str, most: int) -> tuple[str, ...]:
        """Codes of the newest lots of a substance, the newest last."""
        l = t.lots.c  # noqa: E741
        mine = (l.kind.in_([one.value for one in kinds]), l.substance == substance)
        asked = select(l.code).where(*mine, live(t.lots)).order_by(l.entry_no.desc(), l.line.desc())
        return tuple(reversed(self._connection.execute(asked.limit(most)).scalars().all()))

    def lots_ahead(self, codes: Sequence[str]) -> None:
        """Some lots and how they stand, known before it is asked of one after another."""
        for code, one in self.lots_of(codes).items():
            answered(self, Stocks.lot, one, code)
        self._stand_so(codes)

    def _stand_so(self, codes: Sequence[str]) -> None:
        """How some lots stand and how much of each is on the shelf, known before it is asked of one after another."""
        known = cast("set[str]", self.kept.setdefault("stands so", set()))
        codes = [one for one in codes if one not in known]
        known.update(codes)
        for code, status in self.statuses_of(codes).items():
            answered(self, Stocks.status, status, code)
        sums = self._sums(codes, on_shelf=True)
        for code in codes:
            for unit in get_args(CountedIn):
                amount = sums.get(code, {}).get((SHELF, unit), 0)
                answered(self, Stocks._balance, amount, code, SHELF, unit)

    def still_on_shelf(self, codes: Sequence[str]) -> frozenset[str]:
        """Those of some lots of which something stands on the shelf."""
        self._stand_so(codes)
        units = get_args(CountedIn)
        return frozenset(one for one in codes if any(self._balance(one, SHELF, unit) > 0 for unit in units))

    def lots_of(self, codes: Sequence[str]) -> dict[str, Lot]:
        """The lots of some codes; what is no lot is left out."""
        return {one.code: one for one in self._records(Lot, t.lots, code=tuple(codes))}

    def statuses_of(self, codes: Sequence[str]) -> dict[str, Status]:
        """Where some lots or batches stand; waiting until somebody decides."""
        stands = dict.fromkeys(codes, Status.WAITING)
        for part in parts(codes):
            rows = self._connection.execute(_decided(), {"subjects": part})
            stands |= {row.subject: Status(row.to) for row in rows}
        return stands

    def counted_of(self, lots: Sequence[str]) -> dict[str, tuple[int, str]]:
        """What was found last of some lots, and what it was counted in."""
        return {
            lot: (found, counted_in)
            for part in parts(lots)
            for lot, found, counted_in in self._connection.execute(_counted(), {"lots": part})
        }

    @once
    def lot_codes(self) -> tuple[str, ...]:
        """Codes of every lot."""
        return self._codes(t.lots)

    @once
    def status(self, code: str) -> Status:
        """Where a lot or batch stands; waiting until somebody decides."""
        decided = self._connection.execute(_decided(), {"subjects": [code]}).all()
        if decided:
            return Status(decided[-1].to)
        self._must_be_lot_or_batch(code)
        return Status.WAITING

    @once
    def received_at(self, lot: str) -> str:
        """When the lot came or was made (ISO)."""
        found = self._connection.execute(_received(), {"lots": [lot]}).first()
        if found is None:
            self._unknown(lot, "a lot", self.lot_codes())
        return str(found.done_at)

    def received_ahead(self, lots: Sequence[str]) -> None:
        """When some lots came or were made, known before it is asked of one after another."""
        for part in parts(lots):
            for code, done_at in self._connection.execute(_received(), {"lots": part}):
                answered(self, Stocks.received_at, done_at, code)

    def balance_ug(self, lot: str, account: str = SHELF) -> int:
        """Mass [ug] of a lot in an account: the sum of its movements, as it runs along with them."""
        return self._balance(lot, account, "ug")

    def balance_pieces(self, lot: str, account: str = SHELF) -> int:
        """Pieces of a lot in an account: the sum of its movements, as it runs along with them."""
        return self._balance(lot, account, "piece")

    @once
    def balances(self, lot: str) -> Balances:
        """What the movements of a lot sum up to, for each account and way of counting."""
        found = self.balances_of((lot,)).get(lot)
        if found is None:
            self.lot(lot)
        return found or {}

    def largest_balances(self, lot: str, most: int) -> tuple[Balances, dict[CountedIn, tuple[int, int]]]:
        """What came of a lot and what stands on the shelf, with the largest amounts elsewhere, and the rest in one sum.

        Parameters
        ----------
        most : int
            How many amounts elsewhere are told one by one, for each way of counting. [1]

        Returns
        -------
        tuple
            The balances; and for each way of counting, in how many other accounts how much stands. [1, ug or pieces]
        """
        b = t.balances.c
        elsewhere = (b.lot == lot, b.amount > 0, b.account != SHELF)
        few = select(b.account, b.counted_in, b.amount).where(
            b.lot == lot, or_(b.amount < 0, b.account == SHELF)
        )
        found: Balances = {(row[0], row[1]): row[2] for row in self._connection.execute(few)}
        sums = select(b.counted_in, func.count(), func.sum(b.amount)).where(*elsewhere).group_by(b.counted_in)
        rest: dict[CountedIn, tuple[int, int]] = {}
        for unit, count, amount in self._connection.execute(sums):
            largest = select(b.account, b.amount).where(*elsewhere, b.counted_in == unit)
            told = self._connection.execute(largest.order_by(b.amount.desc(), b.account).limit(most)).all()
            found |= {(row[0], unit): row[1] for row in told}
            rest[unit] = count - len(told), int(amount) - sum(row[1] for row in told)
        return found, rest

    def all_balances(self) -> dict[str, Balances]:
        """What the movements sum up to for every lot that was moved."""
        return self.balances_of(None)

    def balances_of(self, lots: Sequence[str] | None) -> dict[str, Balances]:
        """What the movements of some lots sum up to, in the order of their codes; of every lot that was moved.

        Parameters
        ----------
        lots : sequence of str or None
            Codes; every lot when None.
        """
        return self._sums(lots)

    def _sums(self, lots: Sequence[str] | None, *, on_shelf: bool = False) -> dict[str, Balances]:
        asked, sums = _summed(of_some=lots is not None, on_shelf=on_shelf), dict[str, Balances]()
        for given in [{}] if lots is None else [{"lots": part} for part in parts(lots)]:
            for code, account, counted_in, amount in self._connection.execute(asked, given):
                sums.setdefault(code, {})[account, counted_in] = amount
        return sums

    @once
    def bottles_in(self, account: str) -> tuple[tuple[str, int], ...]:
        """Lots and pieces of each that stand in an account, in the order in which they were made."""
        asked = _bottles().where(t.balances.c.account == account)
        return tuple((lot, amount) for _, lot, amount in self._connection.execute(asked))

    def bottles_ahead(self, accounts: Sequence[str]) -> None:
        """Lots and pieces in some accounts, known before they are asked for one after another."""
        found: dict[str, list[tuple[str, int]]] = {one: [] for one in accounts}
        for account, lot, amount in self._connection.execute(
            _bottles().where(t.balances.c.account.in_(accounts))
        ):
            found[account].append((lot, amount))
        for account, bottles in found.items():
            answered(self, Stocks.bottles_in, tuple(bottles), account)

    @once
    def put_away_on(self, account: str) -> dict[str, str]:
        """Lots that were moved into an account, and the first day on which each was. [ISO day]."""
        m, e = t.movements, t.entries.c
        asked = (
            select(m.c.lot, func.min(func.substr(e.done_at, 1, 10)))
            .join(t.entries, e.entry_no == m.c.entry_no)
            .where(m.c.into == account, e.kind == "moved", live(m))
            .group_by(m.c.lot)
            .order_by(func.min(m.c.entry_no))
        )
        return {lot: str(day) for lot, day in self._connection.execute(asked)}

    @once
    def through(self, account: str) -> tuple[int, int]:
        """Mass of all lots that ever went into an account, and out of it. [ug]."""
        into, out_of = self._connection.execute(_through(), {"account": account}).one()
        return int(into or 0), int(out_of or 0)

    def through_ahead(self, accounts: Sequence[str]) -> None:
        """Mass that went into some accounts and out of them, known before it is asked of one after another."""
        m = t.movements
        sums = {one: [0, 0] for one in accounts}
        for part in parts(accounts):
            for at, side in enumerate((m.c.into, m.c.out_of)):
                asked = select(side, func.sum(m.c.amount)).where(
                    side.in_(part), m.c.counted_in == "ug", live(m)
                )
                for account, amount in self._connection.execute(asked.group_by(side)):
                    sums[account][at] = int(amount)
        for account, (into, out_of) in sums.items():
            answered(self, Stocks.through, (into, out_of), account)

    @once
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

    @once
    def stock_counts(self, lot: str, *, corrected: bool = False) -> tuple[Entry[StockCounted], ...]:
        """What was found standing on the shelf."""
        return self._bodies(StockCounted, t.stock_counts, lot=lot, corrected=corrected)

    @once
    def moves(self, lot: str) -> bool:
        """Whether any movement names the lot."""
        m = t.movements
        return bool(self._connection.scalar(select(exists().where(m.c.lot == lot, live(m)))))

    def _must_be_lot_or_batch(self, code: str) -> None:
        if all(self.holder(table, code) is None for table in (t.lots, t.batches)):
            self._unknown(code, "a lot or batch", (*self.lot_codes(), *self._codes(t.batches)))

    @once
    def _balance(self, lot: str, account: str, counted_in: CountedIn) -> int:
        found = self._connection.scalar(_amount(), {"lot": lot, "account": account, "counted_in": counted_in})
        if found is None:
            self.lot(lot)
        return found or 0


@cache
def _stands(status: Status | None, *, on_shelf: bool) -> ColumnElement[bool]:
    s = t.standings.c
    stands = [*([s.state == status.value] if status else []), *([s.ahead] if on_shelf else [])]
    return t.lots.c.code.in_(select(s.code).where(s.what == "lot", *stands))


@cache
def _decided() -> Select[str, str]:
    c = t.decisions.c
    of_some = c.subject.in_(bindparam("subjects", expanding=True))
    return select(c.subject, c.to).where(live(t.decisions), of_some).order_by(c.entry_no)


@cache
def _counted() -> Select[str, int, str]:
    c = t.stock_counts.c
    of_some = c.lot.in_(bindparam("lots", expanding=True))
    return select(c.lot, c.found, c.counted_in).where(live(t.stock_counts), of_some).order_by(c.entry_no)


@cache
def _received() -> Select[str, str]:
    l, e = t.lots, t.entries.c  # noqa: E741
    asked = select(l.c.code, e.done_at).join(t.entries, l.c.entry_no == e.entry_no)
    return asked.where(live(l), l.c.code.in_(bindparam("lots", expanding=True)))


@cache
def _amount() -> Select[int]:
    b = t.balances.c
    return select(b.amount).where(*(b[one] == bindparam(one) for one in ("lot", "account", "counted_in")))


@cache
def _summed(*, of_some: bool, on_shelf: bool) -> Select[str, str, CountedIn, int]:
    b = t.balances.c
    some = [b.lot.in_(bindparam("lots", expanding=True))] if of_some else []
    there = [b.account == SHELF] if on_shelf else []
    return (
        select(b.lot, b.account, b.counted_in, b.amount)
        .where(*some, *there)
        .order_by(b.lot, b.account, b.counted_in)
    )


@cache
def _through() -> Select[int, int]:
    """Mass that went into an account, and out of it."""
    m = t.movements
    return select(
        *(
            select(func.sum(m.c.amount))
            .where(side == bindparam("account"), m.c.counted_in == "ug", live(m))
            .scalar_subquery()
            for side in (m.c.into, m.c.out_of)
        )
    )


@cache
def _bottles() -> Select[str, str, int]:
    """Account, lot and pieces of every lot of bottles, in the order in which they were made."""
    b, l = t.balances.c, t.lots.c  # noqa: E741
    return (
        select(b.account, b.lot, b.amount)
        .join(t.lots, (l.code == b.lot) & (l.kind == MADE_AS["formula"].value) & live(t.lots))
        .where(b.counted_in == "piece", b.amount != 0)
        .order_by(l.entry_no, l.line)
    )
