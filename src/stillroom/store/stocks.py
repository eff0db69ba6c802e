"""Looking at lots: what they are, where they stand, and how much of them is where."""

from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from sqlalchemy import BindParameter, ColumnElement, Select, bindparam, case, exists, func, or_, select

from stillroom.records.entries import Entry, StockCounted
from stillroom.records.lot_kinds import CountedIn, LotKind
from stillroom.records.lots import SHELF, Lot, Movement, Status
from stillroom.store import tables as t
from stillroom.store.looking import Looking, live, once

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
        found = self._records(Lot, t.lots, t.lots.c.code == code)
        if not found:
            self._unknown(code, "a lot", self.lot_codes())
        return found[-1]

    @once
    def lots(self, kinds: tuple[LotKind, ...] | None = None, status: Status | None = None) -> tuple[Lot, ...]:
        """Every lot, or those of some kinds, of a status."""
        wanted = () if kinds is None else (t.lots.c.kind.in_([one.value for one in kinds]),)
        found = self._records(Lot, t.lots, *wanted)
        if status is None:
            return found
        stands = {code: Status(to) for code, to in self._decided()}
        return tuple(one for one in found if stands.get(one.code, Status.WAITING) is status)

    @once
    def lot_codes(self) -> tuple[str, ...]:
        """Codes of every lot."""
        return self._codes(t.lots)

    @once
    def status(self, code: str) -> Status:
        """Where a lot or batch stands; waiting until somebody decides."""
        decided = self._decided(t.decisions.c.subject == code)
        if decided:
            return Status(decided[-1][1])
        if code not in (known := (*self.lot_codes(), *self._codes(t.batches))):
            self._unknown(code, "a lot or batch", known)
        return Status.WAITING

    @once
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

    @once
    def balance_ug(self, lot: str, account: str = SHELF) -> int:
        """Mass [ug] of a lot in an account, as the sum of its movements."""
        return self._balance(lot, account, "ug")

    @once
    def balance_pieces(self, lot: str, account: str = SHELF) -> int:
        """Pieces of a lot in an account, as the sum of its movements."""
        return self._balance(lot, account, "piece")

    @once
    def balances(self, lot: str) -> Balances:
        """What the movements of a lot sum up to, for each account and way of counting."""
        sums = self.all_balances(lot)
        if not sums:
            self.lot(lot)
        return sums.get(lot, {})

    def all_balances(self, lot: str | None = None) -> dict[str, Balances]:
        """What the movements sum up to for every lot that was moved, or for one."""
        m = t.movements.c
        of_lot = [] if lot is None else [m.lot == lot]
        sums: dict[str, Balances] = {}
        for account, sign in ((m.into, 1), (m.out_of, -1)):
            rows = self._connection.execute(
                select(m.lot, account, m.counted_in, func.sum(m.amount))
                .where(live(t.movements), *of_lot)
                .group_by(m.lot, account, m.counted_in)
            )
            for code, name, counted_in, amount in rows:
                balances = sums.setdefault(code, {})
                balances[name, counted_in] = balances.get((name, counted_in), 0) + sign * int(amount)
        return sums

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
        return self._bodies(StockCounted, t.stock_counts, t.stock_counts.c.lot == lot, corrected=corrected)

    @once
    def moves(self, lot: str) -> bool:
        """Whether any movement names the lot."""
        m = t.movements
        return bool(self._connection.scalar(select(exists().where(m.c.lot == lot, live(m)))))

    def _decided(self, *wanted: ColumnElement[bool]) -> list[tuple[str, str]]:
        c = t.decisions.c
        query = select(c.subject, c.to).where(live(t.decisions), *wanted).order_by(c.entry_no)
        return [(row.subject, row.to) for row in self._connection.execute(query)]

    def _balance(self, lot: str, account: str, counted_in: CountedIn) -> int:
        row = {"lot": lot, "account": account, "counted_in": counted_in}
        total = int(self._connection.scalar(_sum_in_account(), row) or 0)
        if total == 0:
            self.lot(lot)
        return total


@cache
def _sum_in_account() -> Select[int]:
    m = t.movements.c
    account: BindParameter[str] = bindparam("account")
    signed = m.amount * (case((m.into == account, 1), else_=0) - case((m.out_of == account, 1), else_=0))
    return select(func.sum(signed)).where(
        m.lot == bindparam("lot"),
        or_(m.into == account, m.out_of == account),
        m.counted_in == bindparam("counted_in"),
        live(t.movements),
    )
