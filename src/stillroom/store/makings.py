"""Looking at what is made: procedures, orders, plans, batches and their steps."""

from collections.abc import Sequence

from sqlalchemy import func, select

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
from stillroom.store.looking import Looking, live, once

_AT_ONCE = 400


class Makings(Looking):
    """Procedures, orders and batches."""

    @once
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
                worded("{code!r} has no version {version} here", code=code, version=version),
                do=worded("The newest is {version}", version=known[code].version),
            )
        return self._unknown(code, "a procedure", known)

    @once
    def procedures(self) -> tuple[Procedure, ...]:
        """The newest version of every procedure."""
        newest: dict[str, Procedure] = {}
        for one in self._bodies(ProcedureWritten, t.procedures):
            procedure = one.body.procedure
            if procedure.code not in newest or newest[procedure.code].version < procedure.version:
                newest[procedure.code] = procedure
        return tuple(newest.values())

    @once
    def order(self, code: str) -> Order:
        """The customer's order of that code."""
        found = self._bodies(OrderTaken, t.orders, t.orders.c.code == code)
        return found[-1].body.order if found else self._unknown(code, "an order", self._codes(t.orders))

    @once
    def orders(self) -> tuple[Order, ...]:
        """Every order."""
        return tuple(one.body.order for one in self._bodies(OrderTaken, t.orders))

    def orders_of(self, codes: Sequence[str]) -> tuple[Order, ...]:
        """Some orders, in the order in which they were taken."""
        return tuple(one.body.order for one in self._bodies(OrderTaken, t.orders, t.orders.c.code.in_(codes)))

    @once
    def plans(self, order: str, *, corrected: bool = False) -> tuple[Entry[PlanMade], ...]:
        """Plans kept for an order."""
        return self._bodies(PlanMade, t.plans, t.plans.c.order == order, corrected=corrected)

    @once
    def begun(self, code: str) -> Entry[BatchBegun]:
        """The entry that began the making of that code."""
        found = self._bodies(BatchBegun, t.batches, t.batches.c.code == code)
        return found[-1] if found else self._unknown(code, "a batch", self._codes(t.batches))

    def begun_of(self, codes: Sequence[str]) -> frozenset[str]:
        """Which of some codes are batches."""
        b = t.batches.c
        parts = (codes[at : at + _AT_ONCE] for at in range(0, len(codes), _AT_ONCE))
        asked = (select(b.code).where(b.code.in_(part), live(t.batches)) for part in parts)
        return frozenset(code for one in asked for code in self._connection.execute(one).scalars())

    def batch(self, code: str) -> BatchBegun:
        """The making of that code."""
        return self.begun(code).body

    @once
    def batches(self, order: str | None = None) -> tuple[BatchBegun, ...]:
        """Every batch, or those made for an order."""
        wanted = () if order is None else (t.batches.c.order == order,)
        return tuple(one.body for one in self._bodies(BatchBegun, t.batches, *wanted))

    @once
    def batches_by(self, procedure: str) -> tuple[str, ...]:
        """Codes of the batches that were made by a procedure."""
        b = t.batches
        asked = select(b.c.code).where(b.c.procedure == procedure, live(b)).order_by(b.c.entry_no)
        return tuple(self._connection.scalars(asked))

    @once
    def given_up(self, batch: str) -> Entry[BatchGivenUp] | None:
        """The entry that gave a batch up, where that stands."""
        found = self._bodies(BatchGivenUp, t.batches_given_up, t.batches_given_up.c.batch == batch)
        return found[-1] if found and not found[-1].body.taken_up_again else None

    @once
    def steps(self, batch: str, *, corrected: bool = False) -> tuple[Entry[StepDone], ...]:
        """Steps of a batch, in the order they were first written; a step put right keeps its place."""
        every = self._bodies(StepDone, t.steps, t.steps.c.batch == batch, corrected=True)
        first: dict[int, int] = {}
        for one in every:
            first[one.entry_no] = first.get(one.corrects or 0, one.entry_no)
        standing = every if corrected else tuple(one for one in every if one.corrected_by is None)
        return tuple(sorted(standing, key=lambda one: (first[one.entry_no], one.entry_no)))

    @once
    def deviations(self, batch: str, *, corrected: bool = False) -> tuple[Entry[DeviationNoted], ...]:
        """What changed than written."""
        return self._bodies(DeviationNoted, t.deviations, t.deviations.c.batch == batch, corrected=corrected)

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
        return self._bodies(DayPlanned, t.days_planned, t.days_planned.c.entry_no == newest)[0]

    @once
    def bench_notes(self) -> tuple[Entry[BenchNoted], ...]:
        """What was tapped at the bench or went otherwise, the oldest first; what was taken back is left out."""
        found = self._bodies(BenchNoted, t.bench_notes)
        back = {one.body.subject for one in found if one.body.what == "taken back"}
        return tuple(one for one in found if one.body.what != "taken back" and str(one.entry_no) not in back)

    @once
    def doses(self, batch: str, *, corrected: bool = False) -> tuple[Entry[DoseDecided], ...]:
        """Doses decided for a batch."""
        return self._bodies(DoseDecided, t.doses, t.doses.c.batch == batch, corrected=corrected)

    @once
    def fillings(self, batch: str, *, corrected: bool = False) -> tuple[Entry[UnitsFilled], ...]:
        """Fillings of a batch into bottles."""
        return self._bodies(UnitsFilled, t.fillings, t.fillings.c.batch == batch, corrected=corrected)

    @once
    def answers_kept(self) -> tuple[Entry[AnswerKept], ...]:
        """Answers that were worked out without a book and kept in this one."""
        return self._bodies(AnswerKept, t.answers_kept)

    @once
    def offers(self) -> tuple[Entry[OfferMade], ...]:
        """Every offer, as it was told."""
        return self._bodies(OfferMade, t.offers)

    @once
    def offer(self, code: str) -> Entry[OfferMade]:
        """The offer of that code."""
        found = self._bodies(OfferMade, t.offers, t.offers.c.code == code)
        return found[-1] if found else self._unknown(code, "an offer", self._codes(t.offers))

    @once
    def offers_ended(self) -> tuple[Entry[OfferEnded], ...]:
        """Offers that were taken or withdrawn."""
        return self._bodies(OfferEnded, t.offers_ended)

    @once
    def own_things(self) -> tuple[Entry, ...]:
        """Markers, plants and ingredients of one's own, as they were stated, the newest last."""
        query = select(t.own_things.c.entry_no).where(live(t.own_things))
        return self._load(query)
