"""Looking at a month: what stood on the shelf when it began and ended, and what moved in it."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, case, exists, func, or_, select

from stillroom.records.entries import Entry, StockCounted
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Movement, batch_account
from stillroom.store import tables as t
from stillroom.store.looking import Looking, live, once, parts
from stillroom.store.stocks import Moving


class Months(Looking):
    """What a month did to the lots of some kinds, by mass. Months are written "2027-03", by the time it was done."""

    @once
    def months_moved(self, kinds: tuple[LotKind, ...]) -> tuple[str, ...]:
        """Months in which a lot of these kinds moved, the earliest first."""
        m = t.months.c
        next_one = select(func.min(m.month)).where(m.counted_in == "ug")
        every = next_one.cte("every", recursive=True)  # from one month to the next, whatever moved in each
        last = every.alias()
        after = next_one.where(m.month > last.c[0]).scalar_subquery()
        every = every.union_all(select(after).where(last.c[0].is_not(None)))
        month = every.c[0]
        moved = exists().where(m.month == month, m.counted_in == "ug", _is_of(m.lot, kinds))
        return tuple(self._connection.scalars(select(month).where(moved).order_by(month)))

    @once
    def shelf_over(self, month: str, kinds: tuple[LotKind, ...]) -> dict[str, tuple[int, int]]:
        """What stood on the shelf of each lot before a month and at its end, where anything did. [ug]."""
        m, l = t.months.c, t.lots.c  # noqa: E741
        before, after = func.sum(case((m.month < month, m.amount), else_=0)), func.sum(m.amount)
        asked = (
            select(m.lot, before, after)
            .join(t.lots, (l.code == m.lot) & live(t.lots) & l.kind.in_([one.value for one in kinds]))
            .where(m.month <= month, m.counted_in == "ug")
            .group_by(m.lot, l.entry_no, l.line)
            .having(or_(before != 0, after != 0))
            .order_by(l.entry_no, l.line)
        )
        return {lot: (int(begin), int(end)) for lot, begin, end in self._connection.execute(asked)}

    @once
    def moved_in(self, month: str, kinds: tuple[LotKind, ...]) -> tuple[Moving, ...]:
        """What moved in a month, each entry's portions of a lot on one way together."""
        e = t.entries.c
        of_month = select(e.entry_no).where(e.done_at >= month, e.done_at < _next(month))
        asked = _moved(kinds).where(
            t.movements.c.entry_no.in_(of_month)
        )  # found by it, not by a walk of them all
        return tuple(_moving(row) for row in self._connection.execute(asked))

    @once
    def moved_with(
        self, batches: tuple[str, ...], before: str, kinds: tuple[LotKind, ...]
    ) -> tuple[Moving, ...]:
        """What moved into and out of some batches before a month, each entry's portions together."""
        m, found = t.movements.c, list[Moving]()
        for part in parts(batches):
            accounts = [batch_account(one) for one in part]
            for side in (m.into, m.out_of):
                query = _moved(kinds).where(side.in_(accounts), t.entries.c.done_at < before)
                found += [_moving(row) for row in self._connection.execute(query)]
        return tuple(sorted(found, key=lambda one: one.entry_no))

    def counted_in(self, month: str, kinds: tuple[LotKind, ...]) -> dict[str, Entry[StockCounted]]:
        """How much was found of each lot that was counted in a month by mass, the last time."""
        c, e = t.stock_counts.c, t.entries.c
        asked = (
            select(e.entry_no)
            .join(t.stock_counts, c.entry_no == e.entry_no)
            .where(e.done_at >= month, e.done_at < _next(month), c.counted_in == "ug", live(t.stock_counts))
            .where(_is_of(c.lot, kinds))
        )
        numbers = tuple(self._connection.scalars(asked))
        found = self._bodies(StockCounted, t.stock_counts, entry_no=numbers)
        return {one.body.lot: one for one in found}

    @once
    def ended_on(self, batches: tuple[str, ...]) -> dict[str, str]:
        """When each of some batches that is done was done, or given up (ISO)."""
        self.settle()
        s, g, e, found = t.standings.c, t.batches_given_up, t.entries.c, dict[str, str]()
        for part in parts(batches):
            ended = select(s.code, s.day).where(s.what == "batch", s.state != "running", s.code.in_(part))
            found |= {str(code): str(day) for code, day in self._connection.execute(ended)}
            given_up = (
                select(g.c.batch, e.done_at)
                .join(t.entries, e.entry_no == g.c.entry_no)
                .where(
                    live(g), g.c.batch.in_(part),
                    g.c.batch.in_(select(s.code).where(s.what == "batch", s.state == "given up")),
                )
                .order_by(g.c.entry_no)
            )  # fmt: skip
            found |= {str(code): str(at) for code, at in self._connection.execute(given_up)}
        return found

    @once
    def in_hand_in(self, month: str) -> tuple[str, ...]:
        """Batches that were begun when a month ended and not done before it began."""
        self.settle()
        s, e = t.standings.c, t.entries.c
        asked = (
            select(s.code)
            .join(t.entries, e.entry_no == s.entry_no)
            .where(s.what == "batch", e.done_at < _next(month), or_(s.state == "running", s.day >= month))
            .order_by(s.entry_no)
        )
        return tuple(self._connection.scalars(asked))


def _next(month: str) -> str:
    year, number = (int(part) for part in month.split("-"))
    return f"{year + number // 12:04d}-{number % 12 + 1:02d}"


def _is_of(lot: ColumnElement[str], kinds: Sequence[LotKind]) -> ColumnElement[bool]:
    l = t.lots.c  # noqa: E741
    return exists().where(l.code == lot, l.kind.in_([one.value for one in kinds]), live(t.lots))


def _moved(kinds: Sequence[LotKind]) -> Select[Any]:
    m, e, l = t.movements.c, t.entries.c, t.lots.c  # noqa: E741
    of_kind = and_(l.code == m.lot, l.kind.in_([one.value for one in kinds]), live(t.lots))
    columns = (m.entry_no, m.lot, m.out_of, m.into, e.by, e.done_at)
    return (
        select(*columns, func.sum(m.amount).label("amount"))
        .select_from(t.entries)
        .join(t.movements, m.entry_no == e.entry_no)
        .join(t.lots, of_kind)
        .where(m.counted_in == "ug", live(t.movements))
        .group_by(*columns)
        .order_by(m.entry_no, func.min(m.line))
    )


def _moving(row: Any) -> Moving:
    return Moving(row.entry_no, Movement(row.lot, row.out_of, row.into, int(row.amount)), row.by, row.done_at)
