"""Looking at what is made: procedures, orders, plans, batches and their steps."""

from collections.abc import Iterable, Sequence
from typing import TypeVar

from sqlalchemy import exists, func, select, tuple_

from stillroom.errors import UnknownName, worded
from stillroom.records.entries import (
    AnswerKept,
    BatchBegun,
    BatchGivenUp,
    BenchNoted,
    CeilingStated,
    DayPlanned,
    DeviationNoted,
    DoseDecided,
    Entry,
    GoodsOrdered,
    LotReceived,
    OfferEnded,
    OfferMade,
    OrderTaken,
    OutageNoted,
    PlanMade,
    ProcedureWritten,
    StepDone,
    UnitsFilled,
)
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure
from stillroom.store import tables as t
from stillroom.store.looking import Looking, answered, live, once, parts

OfBatch = TypeVar("OfBatch", BatchGivenUp, DeviationNoted, DoseDecided, StepDone, UnitsFilled)


class Makings(Looking):
    """Procedures, orders and batches."""

    @once
    def procedure(self, code: str, version: int | None = None) -> Procedure:
        """A procedure: the version asked for, or the newest."""
        found = self._bodies(ProcedureWritten, t.procedures, code=code, version=version)
        if found:
            newest = max((one.body.procedure for one in found), key=lambda one: one.version)
            if version is None:
                answered(self, Makings.procedure, newest, code, newest.version)
                answered(self, Looking.latest, found[-1], "procedure written", code)
            return newest
        known = {one.code: one for one in self.procedures()}
        if code in known:
            raise UnknownName(
                worded("{code!r} has no version {version} here", code=code, version=version),
                do=worded("The newest is {version}", version=known[code].version),
            )
        return self._unknown(code, "a procedure", known)

    def procedure_of(self, batch: str) -> Procedure:
        """The procedure a batch is made by, in the version it was begun with."""
        begun = self.batch(batch)
        return self.procedure(begun.procedure, begun.version)

    def procedures_of(self, codes: Sequence[str]) -> tuple[Procedure, ...]:
        """Some procedures in their newest version, in the order they are given."""
        found: dict[str, Procedure] = {}
        for one in self._bodies(ProcedureWritten, t.procedures, code=tuple(codes)):
            procedure = one.body.procedure
            if procedure.code not in found or found[procedure.code].version < procedure.version:
                found[procedure.code] = procedure
        return tuple(found[code] for code in codes)

    @once
    def procedures(self) -> tuple[Procedure, ...]:
        """The newest version of every procedure; then every version is known without asking again."""
        newest: dict[str, Procedure] = {}
        for one in self._bodies(ProcedureWritten, t.procedures):
            procedure = one.body.procedure
            answered(self, Makings.procedure, procedure, procedure.code, procedure.version)
            if procedure.code not in newest or newest[procedure.code].version < procedure.version:
                newest[procedure.code] = procedure
        return tuple(newest.values())

    @once
    def order(self, code: str) -> Order:
        """The customer's order of that code."""
        found = self._bodies(OrderTaken, t.orders, code=code)
        if not found:
            self._unknown(code, "an order", self._codes(t.orders))
        answered(self, Looking.latest, found[-1], "order taken", code)
        return found[-1].body.order

    @once
    def orders(self) -> tuple[Order, ...]:
        """Every order."""
        return tuple(one.body.order for one in self._bodies(OrderTaken, t.orders))

    def orders_of(self, codes: Sequence[str]) -> tuple[Order, ...]:
        """Some orders, in the order in which they were taken."""
        found = tuple(one.body.order for one in self._bodies(OrderTaken, t.orders, code=tuple(codes)))
        for one in found:
            answered(self, Makings.order, one, one.code)
        return found

    @once
    def plans(self, order: str, *, corrected: bool = False) -> tuple[Entry[PlanMade], ...]:
        """Plans kept for an order."""
        return self._bodies(PlanMade, t.plans, order=order, corrected=corrected)

    @once
    def begun(self, code: str) -> Entry[BatchBegun]:
        """The entry that began the making of that code."""
        found = self._bodies(BatchBegun, t.batches, code=code)
        return found[-1] if found else self._unknown(code, "a batch", self._codes(t.batches))

    def begun_of(self, codes: Sequence[str]) -> frozenset[str]:
        """Which of some codes are batches."""
        b = t.batches.c
        asked = (select(b.code).where(b.code.in_(part), live(t.batches)) for part in parts(codes))
        return frozenset(code for one in asked for code in self._connection.execute(one).scalars())

    def batch(self, code: str) -> BatchBegun:
        """The making of that code."""
        return self.begun(code).body

    @once
    def batches(self, order: str | None = None) -> tuple[BatchBegun, ...]:
        """Every batch, or those made for an order."""
        return tuple(one.body for one in self._bodies(BatchBegun, t.batches, order=order))

    @once
    def ways(self) -> tuple[tuple[str, str, int], ...]:
        """Code, procedure and its version of every batch, in the order in which they were begun."""
        b = t.batches
        asked = select(b.c.code, b.c.procedure, b.c.version).where(live(b)).order_by(b.c.entry_no)
        return tuple((row.code, row.procedure, row.version) for row in self._connection.execute(asked))

    @once
    def ways_taken(self) -> tuple[tuple[str, int], ...]:
        """Procedure and version by which any batch was begun."""
        b = t.batches
        asked = (
            select(b.c.procedure, b.c.version).where(live(b)).distinct().order_by(b.c.procedure, b.c.version)
        )
        return tuple((row.procedure, row.version) for row in self._connection.execute(asked))

    @once
    def begun_by(self, ways: tuple[tuple[str, int], ...]) -> tuple[str, ...]:
        """Every batch by some procedures of some version, in the order in which they were begun."""
        b = t.batches
        mine = tuple_(b.c.procedure, b.c.version).in_(ways)
        return tuple(
            self._connection.execute(select(b.c.code).where(mine, live(b)).order_by(b.c.entry_no)).scalars()
        )

    def ended_ahead(self, ways: Sequence[tuple[tuple[str, int], ...]]) -> None:
        """Which batches by each of some ways have ended, known before it is asked of one after another."""
        self.settle()
        b, s = t.batches, t.standings.c
        done = (s.what == "batch", s.state == "done", s.code == b.c.code)
        asked = select(b.c.procedure, b.c.version, s.day, s.code).where(*done, live(b))
        found: dict[tuple[str, int], list[tuple[str, str]]] = {}
        for procedure, version, day, code in self._connection.execute(asked):
            found.setdefault((procedure, version), []).append((day, code))
        for some in ways:
            ended = sorted(one for way in some for one in found.get(way, ()))
            answered(self, Makings.ended_by, tuple(code for _, code in ended), some)

    @once
    def ended_by(self, ways: tuple[tuple[str, int], ...]) -> tuple[str, ...]:
        """The same, those that have ended, the last to end last."""
        self.settle()
        b, s = t.batches, t.standings.c
        mine = tuple_(b.c.procedure, b.c.version).in_(ways)
        done = (s.what == "batch", s.state == "done", s.code == b.c.code)
        rows = self._connection.execute(select(s.day, s.code).where(*done, mine, live(b)))
        return tuple(code for _, code in sorted(tuple(row) for row in rows))

    def batches_ahead(self, codes: Sequence[str]) -> None:
        """How some batches stand, known before it is asked of one after another."""
        codes = tuple(codes)
        for begun in self._bodies(BatchBegun, t.batches, code=codes):
            answered(self, Makings.begun, begun, begun.body.code)
        ended = _by_batch(self._bodies(BatchGivenUp, t.batches_given_up, batch=codes), codes)
        steps = _by_batch(self._bodies(StepDone, t.steps, batch=codes, corrected=True), codes)
        for code in codes:
            answered(self, Makings.given_up, _where_it_stands(ended[code]), code)
            for corrected in (False, True):
                told = _as_first_written(steps[code], corrected=corrected)
                answered(self, Makings.steps, told, code, **({"corrected": True} if corrected else {}))

    def orders_ahead(self, codes: Sequence[str]) -> None:
        """What is asked of some orders and their batches, known before it is asked of one after another."""
        planned = self.planned_of(codes)
        begun: dict[str, list[BatchBegun]] = {code: [] for code in codes}
        for one in self._bodies(BatchBegun, t.batches, order=tuple(codes)):
            begun[one.body.order].append(one.body)
        for code, found in begun.items():
            answered(self, Makings.batches, tuple(found), order=code)
            answered(self, Makings.is_planned, code in planned, code)
        self.batches_ahead([one.code for found in begun.values() for one in found])

    @once
    def is_planned(self, order: str) -> bool:
        """Whether an order has a plan."""
        return order in self.planned_of((order,))

    def planned_of(self, orders: Sequence[str]) -> frozenset[str]:
        """Orders that have a plan."""
        p = t.plans
        return frozenset(self._connection.scalars(select(p.c.order).where(p.c.order.in_(orders), live(p))))

    @once
    def batches_by(self, procedure: str) -> tuple[str, ...]:
        """Codes of the batches that were made by a procedure."""
        b = t.batches
        asked = select(b.c.code).where(b.c.procedure == procedure, live(b)).order_by(b.c.entry_no)
        return tuple(self._connection.scalars(asked))

    @once
    def given_up(self, batch: str) -> Entry[BatchGivenUp] | None:
        """The entry that gave a batch up, where that stands."""
        found = self._bodies(BatchGivenUp, t.batches_given_up, batch=batch)
        return _where_it_stands(found)

    @once
    def steps(self, batch: str, *, corrected: bool = False) -> tuple[Entry[StepDone], ...]:
        """Steps of a batch, in the order they were first written; a step put right keeps its place."""
        every = self._bodies(StepDone, t.steps, batch=batch, corrected=True)
        return _as_first_written(every, corrected=corrected)

    @once
    def deviations(self, batch: str, *, corrected: bool = False) -> tuple[Entry[DeviationNoted], ...]:
        """What changed than written."""
        return self._bodies(DeviationNoted, t.deviations, batch=batch, corrected=corrected)

    def deviations_ahead(self, batches: Sequence[str]) -> None:
        """What changed in some batches, known before it is asked of one after another."""
        found = _by_batch(self._bodies(DeviationNoted, t.deviations, batch=tuple(batches)), batches)
        for code, of_it in found.items():
            answered(self, Makings.deviations, of_it, code)

    @once
    def ceilings(self) -> tuple[Entry[CeilingStated], ...]:
        """Every ceiling that was stated, the oldest first."""
        return self._bodies(CeilingStated, t.ceilings)

    @once
    def outages(self) -> tuple[Entry[OutageNoted], ...]:
        """Every time water or power went off or came back, whatever was in hand."""
        return self._bodies(OutageNoted, t.outages)

    @once
    def day_planned(self) -> Entry[DayPlanned] | None:
        """The schedule kept last, None where nobody kept one."""
        newest = self._connection.scalar(
            select(func.max(t.days_planned.c.entry_no)).where(live(t.days_planned))
        )
        if newest is None:
            return None
        return self._bodies(DayPlanned, t.days_planned, entry_no=newest)[0]

    @once
    def bench_notes(self) -> tuple[Entry[BenchNoted], ...]:
        """What was tapped at the bench or went otherwise, the oldest first; what was taken back is left out."""
        found = self._bodies(BenchNoted, t.bench_notes)
        back = {one.body.subject for one in found if one.body.what == "taken back"}
        return tuple(one for one in found if one.body.what != "taken back" and str(one.entry_no) not in back)

    @once
    def doses(self, batch: str, *, corrected: bool = False) -> tuple[Entry[DoseDecided], ...]:
        """Doses decided for a batch."""
        return self._bodies(DoseDecided, t.doses, batch=batch, corrected=corrected)

    def doses_ahead(self, batches: Sequence[str]) -> None:
        """Doses of some batches, known before they are asked for one after another."""
        found = self._bodies(DoseDecided, t.doses, batch=tuple(batches))
        for code, of_it in _by_batch(found, batches).items():
            answered(self, Makings.doses, of_it, code)

    @once
    def fillings(self, batch: str, *, corrected: bool = False) -> tuple[Entry[UnitsFilled], ...]:
        """Fillings of a batch into bottles."""
        return self._bodies(UnitsFilled, t.fillings, batch=batch, corrected=corrected)

    def fillings_ahead(self, batches: Sequence[str]) -> None:
        """Fillings of some batches, known before they are asked for one after another."""
        found = self._bodies(UnitsFilled, t.fillings, batch=tuple(batches))
        for code, of_it in _by_batch(found, batches).items():
            answered(self, Makings.fillings, of_it, code)

    @once
    def answers_kept(self) -> tuple[Entry[AnswerKept], ...]:
        """Answers that were worked out without a book and kept in this one."""
        return self._bodies(AnswerKept, t.answers_kept)

    @once
    def offers(self) -> tuple[Entry[OfferMade], ...]:
        """Every offer, as it was told."""
        return self._bodies(OfferMade, t.offers)

    def offers_ahead(self, codes: Sequence[str]) -> None:
        """What some offers told and how they ended, known before it is asked of one after another."""
        for one in self._bodies(OfferMade, t.offers, code=tuple(codes)):
            answered(self, Makings.offer, one, one.body.code)
        ended = dict.fromkeys(codes) | {
            one.body.code: one
            for one in reversed(self._bodies(OfferEnded, t.offers_ended, code=tuple(codes)))
        }
        for code, entry in ended.items():
            answered(self, Makings.offer_ended, entry, code)

    @once
    def offer_ended(self, code: str) -> Entry[OfferEnded] | None:
        """How an offer ended; None while it did not."""
        return next(iter(self._bodies(OfferEnded, t.offers_ended, code=code)), None)

    @once
    def offer(self, code: str) -> Entry[OfferMade]:
        """The offer of that code."""
        found = self._bodies(OfferMade, t.offers, code=code)
        return found[-1] if found else self._unknown(code, "an offer", self._codes(t.offers))

    @once
    def offers_ended(self) -> tuple[Entry[OfferEnded], ...]:
        """Offers that were taken or withdrawn."""
        return self._bodies(OfferEnded, t.offers_ended)

    @once
    def goods(self, code: str) -> Entry[GoodsOrdered]:
        """What was ordered under that code."""
        found = self._bodies(GoodsOrdered, t.goods_ordered, code=code)
        return (
            found[-1]
            if found
            else self._unknown(code, "goods that were ordered", self._codes(t.goods_ordered))
        )

    def goods_of(self, codes: Sequence[str]) -> tuple[Entry[GoodsOrdered], ...]:
        """What was ordered under some codes, in the order they are given."""
        found = {one.body.code: one for one in self._bodies(GoodsOrdered, t.goods_ordered, code=tuple(codes))}
        return tuple(found[code] for code in codes)

    @once
    def goods_ordered(self) -> tuple[Entry[GoodsOrdered], ...]:
        """Everything that was ordered from a supplier."""
        return self._bodies(GoodsOrdered, t.goods_ordered)

    @once
    def goods_under_way(self) -> tuple[Entry[GoodsOrdered], ...]:
        """What was ordered, was not called off, and of which nothing came yet, the next day first."""
        g, r = t.goods_ordered.c, t.receipts
        came = exists().where(r.c.goods == g.code, live(r))
        asked = select(g.entry_no).where(~came, g.called_off.is_(False))
        found = self._bodies(GoodsOrdered, t.goods_ordered, entry_no=tuple(self._connection.scalars(asked)))
        return tuple(sorted(found, key=lambda one: (one.body.comes, one.entry_no)))

    @once
    def receipts_of(self, goods: str) -> tuple[Entry[LotReceived], ...]:
        """What came of goods that were ordered."""
        return self._bodies(LotReceived, t.receipts, goods=goods)

    @once
    def own_things(self) -> tuple[Entry, ...]:
        """Markers, plants and ingredients of one's own, as they were stated, the newest last."""
        query = select(t.own_things.c.entry_no).where(live(t.own_things))
        return self._load(query)


def _by_batch(
    some: Iterable[Entry[OfBatch]], batches: Iterable[str]
) -> dict[str, tuple[Entry[OfBatch], ...]]:
    found: dict[str, list[Entry[OfBatch]]] = {code: [] for code in batches}
    for one in some:
        found[one.body.batch].append(one)
    return {code: tuple(of_it) for code, of_it in found.items()}


def _where_it_stands(ends: Sequence[Entry[BatchGivenUp]]) -> Entry[BatchGivenUp] | None:
    return ends[-1] if ends and not ends[-1].body.taken_up_again else None


def _as_first_written(
    every: Sequence[Entry[StepDone]], *, corrected: bool = False
) -> tuple[Entry[StepDone], ...]:
    """Steps in the order they were first written; a step put right keeps its place."""
    first: dict[int, int] = {}
    for one in every:
        first[one.entry_no] = first.get(one.corrects or 0, one.entry_no)
    standing = every if corrected else [one for one in every if one.corrected_by is None]
    return tuple(sorted(standing, key=lambda one: (first[one.entry_no], one.entry_no)))
