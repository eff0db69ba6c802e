"""Looking at lots: what they are, where they stand, and how much of them is where."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias, cast, get_args

from sqlalchemy import ColumnElement, Select, exists, func, or_, select

from stillroom.records.entries import Entry, StockCounted
from stillroom.records.lot_kinds import MADE_AS, CountedIn, LotKind
from stillroom.records.lots import SHELF, Lot, Movement, Status
from stillroom.store import tables as t
from stillroom.store.looking import Looking, answered, live, once

Balances: TypeAlias = dict[tuple[str, CountedIn], int]
_AT_ONCE = 400


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
    ) -> tuple[Lot, ...]:
        """Every lot, or those of some kinds, of a status, of some substances, made by a batch, still on the shelf."""
        l, wanted = t.lots.c, list[ColumnElement[bool]]()  # noqa: E741
        if kinds is not None:
            wanted.append(l.kind.in_([one.value for one in kinds]))
        if substances is not None:
            wanted.append(l.substance.in_(sorted(substances)))
        if made_by is not None:
            wanted.append(l.made_by == made_by)
        if status is not None or on_shelf:
            self.settle()
            s = t.standings.c
            stands = [
                s.what == "lot",
                *([s.state == status.value] if status else []),
                *([s.ahead] if on_shelf else []),
            ]
            wanted.append(l.code.in_(select(s.code).where(*stands)))
        found = self._records(Lot, t.lots, *wanted)
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
        b = t.balances.c
        query = select(b.lot, b.counted_in, b.amount).where(b.account == SHELF)
        for part in _parts(codes):
            rows = self._connection.execute(query.where(b.lot.in_(part)))
            amounts = {(lot, counted_in): amount for lot, counted_in, amount in rows}
            for code in part:
                for unit in get_args(CountedIn):
                    answered(self, Stocks._balance, amounts.get((code, unit), 0), code, SHELF, unit)

    def lots_of(self, codes: Sequence[str]) -> dict[str, Lot]:
        """The lots of some codes; what is no lot is left out."""
        found = (one for part in _parts(codes) for one in self._records(Lot, t.lots, t.lots.c.code.in_(part)))
        return {one.code: one for one in found}

    def statuses_of(self, codes: Sequence[str]) -> dict[str, Status]:
        """Where some lots or batches stand; waiting until somebody decides."""
        stands = dict.fromkeys(codes, Status.WAITING)
        for part in _parts(codes):
            stands |= {code: Status(to) for code, to in self._decided(t.decisions.c.subject.in_(part))}
        return stands

    def counted_of(self, lots: Sequence[str]) -> dict[str, tuple[int, str]]:
        """What was found last of some lots, and what it was counted in."""
        c = t.stock_counts.c
        query = select(c.lot, c.found, c.counted_in).where(live(t.stock_counts)).order_by(c.entry_no)
        return {
            lot: (found, counted_in)
            for part in _parts(lots)
            for lot, found, counted_in in self._connection.execute(query.where(c.lot.in_(part)))
        }

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
        self._must_be_lot_or_batch(code)
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

    def received_ahead(self, lots: Sequence[str]) -> None:
        """When some lots came or were made, known before it is asked of one after another."""
        l, e = t.lots, t.entries.c  # noqa: E741
        asked = select(l.c.code, e.done_at).join(t.entries, l.c.entry_no == e.entry_no).where(live(l))
        for part in _parts(lots):
            for code, done_at in self._connection.execute(asked.where(l.c.code.in_(part))):
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
        b = t.balances.c
        query = select(b.lot, b.account, b.counted_in, b.amount).order_by(b.lot, b.account, b.counted_in)
        sums: dict[str, Balances] = {}
        for part in [[]] if lots is None else _parts(lots):
            wanted = [] if lots is None else [b.lot.in_(part)]
            for code, account, counted_in, amount in self._connection.execute(query.where(*wanted)):
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
        m = t.movements
        into, out_of = (
            int(
                self._connection.scalar(
                    select(func.sum(m.c.amount)).where(side == account, m.c.counted_in == "ug", live(m))
                )
                or 0
            )
            for side in (m.c.into, m.c.out_of)
        )
        return into, out_of

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

    def _decided(self, *wanted: ColumnElement[bool]) -> list[tuple[str, str]]:
        c = t.decisions.c
        query = select(c.subject, c.to).where(live(t.decisions), *wanted).order_by(c.entry_no)
        return [(row.subject, row.to) for row in self._connection.execute(query)]

    @once
    def _balance(self, lot: str, account: str, counted_in: CountedIn) -> int:
        b = t.balances.c
        asked = select(b.amount).where(b.lot == lot, b.account == account, b.counted_in == counted_in)
        found = self._connection.scalar(asked)
        if found is None:
            self.lot(lot)
        return found or 0


def _bottles() -> Select[str, str, int]:
    """Account, lot and pieces of every lot of bottles, in the order in which they were made."""
    b, l = t.balances.c, t.lots.c  # noqa: E741
    return (
        select(b.account, b.lot, b.amount)
        .join(t.lots, (l.code == b.lot) & (l.kind == MADE_AS["formula"].value) & live(t.lots))
        .where(b.counted_in == "piece", b.amount != 0)
        .order_by(l.entry_no, l.line)
    )


def _parts(codes: Sequence[str]) -> list[Sequence[str]]:
    return [codes[at : at + _AT_ONCE] for at in range(0, len(codes), _AT_ONCE)]
