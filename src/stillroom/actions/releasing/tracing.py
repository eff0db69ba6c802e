"""From any code up to the plant and down to the bottles, with the account of every gram and bottle."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillroom.actions.bench.outages import cut_lines
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.batch_mass import mass_of_batch
from stillroom.actions.orders.forecasting import bends_now
from stillroom.documents.entry_words import told as told_of
from stillroom.documents.lot_accounts import (
    LotAccount,
    amount_text,
    in_words,
)
from stillroom.documents.put_right import when
from stillroom.planning.outcome import Bend, Elsewhere
from stillroom.records.entries import Entry, Moved, ReadingTaken
from stillroom.records.entry_subjects import looks_again
from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import BEYOND_THE_BOOK, RETAINED, SHELF, Lot, Status, batch_account
from stillroom.store.reader import Reader
from stillroom.store.stocks import Balances
from stillroom.stream.kinds.drying import SET_ASIDE
from stillroom.texts.catalogue import t

MOST_TOLD = 100
"""Lots and batches of a trace that are looked through one by one; of more the last, and the report says so. [1]"""


@dataclass(frozen=True, slots=True)
class Leg:
    """One movement of the trace, in words."""

    lot: str
    amount: int
    counted_in: CountedIn
    out_of: str
    into: str


@dataclass(frozen=True, slots=True)
class TraceReport:
    """Everything the trace of a code found."""

    start: str
    is_batch: bool
    up: tuple[LotAccount, ...]
    down: tuple[LotAccount, ...]
    legs: tuple[Leg, ...]
    customers: tuple[tuple[str, str, int], ...]
    """Order, lot and bottles with that customer."""
    extract: str = ""
    """The extract the bottles hold, or that the trace began at."""
    bends: tuple[Bend, ...] = ()
    """The active from the plant into that extract."""
    names: tuple[tuple[str, str], ...] = ()
    """Order and the name of its customer."""
    otherwise: tuple[tuple[str, str, str, str, str], ...] = ()
    """Batch, step, what went otherwise, what was done about it, by whom."""
    late: tuple[tuple[str, str, str, str], ...] = ()
    """Batch, step, when it was done and when it was entered, where these differ."""
    events: tuple[tuple[str, str, str, str], ...] = ()
    """Lot, when, what was decided, changed, told or came back, by whom."""
    unbalanced: tuple[tuple[str, float], ...] = ()
    """Batches whose mass does not close, with what is missing [%]; below zero where more came out."""
    returned: tuple[tuple[str, str, int], ...] = ()
    """Order, lot and how many of it came back from there."""
    held_behind: tuple[tuple[LotAccount, str], ...] = ()
    """Lots it was made from, by whatever way, that are stopped, suspended or rejected, and why."""
    batches: int = 0
    """Batches on the way; of more than ``MOST_TOLD`` the last are looked through."""

    @property
    def products(self) -> tuple[LotAccount, ...]:
        """Lots of product below, in bottles."""
        return tuple(one for one in self.down if one.lot.kind.traits.made_as == "formula")

    @property
    def units_made(self) -> int:
        """Bottles filled of every product below."""
        return sum(one.came for one in self.products)

    @property
    def units_with_customers(self) -> int:
        """Bottles delivered."""
        return sum(one.standing("customer/") for one in self.products)

    @property
    def units_retained(self) -> int:
        """Bottles kept back."""
        return sum(one.standing(RETAINED) for one in self.products)

    @property
    def units_on_shelf(self) -> int:
        """Bottles on the shelf by the book."""
        return sum(one.shelf for one in self.products)

    @property
    def bottles_close(self) -> bool:
        """Whether every bottle is with a customer, retained, on the shelf or in a named account."""
        return all(one.closes and not one.beyond for one in self.products)

    @property
    def is_whole(self) -> bool:
        """Whether every batch and lot on the way was looked through."""
        return self.batches <= MOST_TOLD and len(self.down) <= MOST_TOLD

    @property
    def closes(self) -> bool:
        """Whether bottles and masses close, and nothing was used that the book did not have."""
        everything = (*self.up, *self.down)
        return self.bottles_close and not self.unbalanced and not any(one.beyond for one in everything)


def trace(lab: Laboratory, code: str) -> TraceReport:
    """Trace a lot or a batch both ways.

    Parameters
    ----------
    code : str
        Any lot or batch.

    Raises
    ------
    UnknownName
        The book does not know the code; the nearest codes are offered.
    """
    with lab.look() as look:
        return traced(look, code)


def traced(look: Reader, code: str) -> TraceReport:
    """The same, from an open book."""
    up = look.made_from(code)
    down = look.went_into(code, MOST_TOLD)
    above = tuple(accounts_of(look, [lot for lot in up.lots if lot != code]))
    below = tuple(accounts_of(look, list(dict.fromkeys((*look.lots_of((code,)), *down.lots)))))
    legs = tuple(
        Leg(flow.lot, flow.amount, flow.counted_in, flow.out_of, flow.into)
        for flow in (*up.flows, *down.flows)
    )
    listed = below[-MOST_TOLD:]
    customers = tuple(
        (account.removeprefix("customer/"), one.lot.code, amount)
        for one in below
        for account, amount in one.went
        if account.startswith("customer/")
    )
    _papers_ahead(look, listed)
    returned = _came_back(look, listed)
    known = look.begun_of((code, *(one.lot.code for one in (*above, *below))))
    is_batch = code in known
    batches = tuple(dict.fromkeys(one.lot.code for one in (*above, *below) if one.lot.code in known))
    if is_batch and code not in batches:
        batches = (*batches, code)
    on_the_way, batches = len(batches), batches[-MOST_TOLD:]
    look.batches_ahead(batches)
    look.deviations_ahead(batches)
    look.fillings_ahead(batches)
    look.through_ahead([batch_account(one) for one in batches])
    asked_for = tuple(dict.fromkeys(one for one, _, _ in (*customers, *returned)))
    names = tuple((one.code, one.customer) for one in look.orders_of(asked_for))
    extracts = [one for one in (*above, *below) if one.lot.kind.traits.made_as == "extraction"]
    extract = ""
    bends: tuple[Bend, ...] = ()
    if len(extracts) == 1:
        extract = extracts[0].lot.code
        bends = _stream(look, extracts[0])
    return TraceReport(
        code,
        is_batch,
        above,
        below,
        tuple(dict.fromkeys(legs)),
        customers,
        extract=extract,
        bends=bends,
        names=names,
        otherwise=_otherwise(look, batches),
        late=_entered_later(look, batches),
        events=_events(look, code, listed),
        unbalanced=_unbalanced(look, batches),
        returned=returned,
        held_behind=_held(look, above),
        batches=on_the_way,
    )


def _held(look: Reader, above: tuple[LotAccount, ...]) -> tuple[tuple[LotAccount, str], ...]:
    """What is held of the lots above, with the words of its last decision."""
    held = (one for one in above if one.status in (Status.STOPPED, Status.SUSPENDED, Status.REJECTED))
    return tuple((one, look.decisions(one.lot.code)[-1].body.meaning) for one in held)


def _papers_ahead(look: Reader, below: tuple[LotAccount, ...]) -> None:
    """What happened to the lots below, known before it is asked of one after another."""
    lots = [one.lot for one in below if one.lot.kind.traits.on_release_list]
    codes = [one.code for one in lots]
    look.decided_ahead(codes)
    look.entries_ahead(codes, kind="moved")
    released = [one for one in lots if _released_by(look, one.code) is not None]
    look.entries_ahead(
        list(dict.fromkeys(code for one in released for code in (one.code, one.made_by) if code))
    )


def _released_by(look: Reader, lot: str) -> int | None:
    """The entry that released a lot first; None where none did."""
    return next((one.entry_no for one in look.decisions(lot) if one.body.to is Status.RELEASED), None)


def _otherwise(look: Reader, batches: tuple[str, ...]) -> tuple[tuple[str, str, str, str, str], ...]:
    """What went otherwise in these batches: deviations, and cuts of water or power."""
    found = []
    for batch in batches:
        for one in look.deviations(batch):
            body = one.body
            by = f"{one.by}, {when(one.done_at)}"
            found.append((batch, body.step, body.what, body.done_about_it or "open", by))
        found += [(batch, *line) for line in cut_lines(look, batch)]
        ended = look.given_up(batch)
        if ended is not None:
            by = f"{ended.by}, {when(ended.done_at)}"
            found.append((batch, "", t("the batch was given up"), ended.body.why, by))
    return tuple(found)


def _events(look: Reader, start: str, below: tuple[LotAccount, ...]) -> tuple[tuple[str, str, str, str], ...]:
    """What was decided, issued, told, and came back of what is below, in its order of time."""
    found: list[tuple[str, int, tuple[str, str, str, str]]] = []

    def add(entry: Entry, lot: str, what: str) -> None:
        found.append((entry.done_at, entry.entry_no, (lot, when(entry.done_at), what, entry.by)))

    made_by = {one.lot.code: one.lot.made_by for one in below if one.lot.kind.traits.on_release_list}
    lots = tuple(made_by)
    for lot in lots:
        for decided in look.decisions(lot):
            changed = "; ".join(decided.body.changed)
            add(decided, lot, f"{decided.body.to.value}: {changed or decided.body.meaning}")
        for entry in _looked_again(look, lot, made_by[lot]):
            what = t(
                "looked at again, nothing printed moved: {told} (entry {no})",
                told=told_of(entry.body) or entry.kind,
                no=entry.entry_no,
            )
            add(entry, lot, what)
        for issued in look.certificates(lot):
            if issued.body.revision > 1:
                add(
                    issued,
                    lot,
                    t(
                        "certificate, revision {revision}: {why}",
                        revision=issued.body.revision,
                        why=issued.body.why,
                    ),
                )
        for entry in look.entries(kind="moved", subject=lot):
            if isinstance(entry.body, Moved):
                for one in entry.body.movements:
                    if one.lot == lot and one.out_of.startswith("customer/"):
                        amount = amount_text(one.amount, one.counted_in)
                        order = one.out_of.removeprefix("customer/")
                        says = t(
                            "came back from {order}: {amount}, {why}",
                            order=order,
                            amount=amount,
                            why=entry.body.why,
                        )
                        add(entry, lot, says)
    for told in look.people_told(*lots):
        body = told.body
        add(told, body.subject, t("told: {who}, {how}. {said}", who=body.who, how=body.how, said=body.said))
    for heard in look.complaints(*lots):
        add(heard, heard.body.subject, told_of(heard.body))
    for held in look.rehearsals(*dict.fromkeys((start, *lots))):
        rehearsed = held.body
        says = t(
            "rehearsal of a recall, nothing was stopped: {accounted} of {bottles} bottles found "
            "in {minutes} min. {found}",
            accounted=rehearsed.accounted,
            bottles=rehearsed.bottles,
            minutes=f"{rehearsed.took_min:g}",
            found=rehearsed.found,
        )
        add(held, rehearsed.subject, says)
    return tuple(line for _, _, line in sorted(found, key=lambda one: one[:2]))


def _came_back(look: Reader, below: tuple[LotAccount, ...]) -> tuple[tuple[str, str, int], ...]:
    """Order, lot and how many bottles came back from there."""
    found: dict[tuple[str, str], int] = {}
    for lot in (one.lot.code for one in below if one.lot.kind.traits.made_as == "formula"):
        for entry in look.entries(kind="moved", subject=lot):
            for one in entry.body.movements if isinstance(entry.body, Moved) else ():
                order = one.out_of.removeprefix("customer/")
                if one.lot == lot and order != one.out_of and not one.into.startswith("customer/"):
                    found[order, lot] = found.get((order, lot), 0) + one.amount
    return tuple((order, lot, units) for (order, lot), units in found.items())


def _looked_again(look: Reader, lot: str, made_by: str | None) -> tuple[Entry, ...]:
    """What was read or tested of a released lot afterwards, and changed nothing that was printed."""
    first = _released_by(look, lot)
    if first is None:
        return ()
    moved = {number for one in look.decisions(lot) for number in one.body.because_of}
    about = {one.entry_no: one for code in (lot, made_by) if code for one in look.entries(subject=code)}
    late = (one for one in about.values() if one.entry_no > first and one.entry_no not in moved)
    return tuple(one for one in late if looks_again(one) and not isinstance(one.body, ReadingTaken))


def _entered_later(look: Reader, batches: tuple[str, ...]) -> tuple[tuple[str, str, str, str], ...]:
    """Steps that were entered on another minute than they were done."""
    return tuple(
        (batch, one.body.step, when(one.done_at), when(one.entered_at))
        for batch in batches
        for one in look.steps(batch, corrected=True)
        if one.corrects is None and one.done_at[:16] != one.entered_at[:16]
    )


def _unbalanced(look: Reader, batches: tuple[str, ...]) -> tuple[tuple[str, float], ...]:
    """Batches whose mass does not close."""
    masses = ((batch, mass_of_batch(look, batch)) for batch in batches)
    return tuple((batch, mass.missing_percent) for batch, mass in masses if not mass.closes)


def _stream(look: Reader, extract: LotAccount) -> tuple[Bend, ...]:
    """The active from the plant into the extract, and from the extract into what was made of it."""
    bends = bends_now(look, extract.lot.made_by or extract.lot.code)
    if not bends or not extract.came:
        return ()
    last = bends[-1]
    used = extract.standing("batch/") / extract.came
    rest = [(in_words(where), amount) for where, amount in extract.went if not where.startswith("batch/")]
    rest.append(("on the shelf", extract.shelf))
    elsewhere = tuple(
        Elsewhere(
            name, *(part * amount / extract.came for part in (last.out_g, last.out_low_g, last.out_high_g))
        )
        for name, amount in rest
        if amount > 0
    )
    shared = Bend(
        last.procedure,
        f"{extract.lot.code} is used",
        SET_ASIDE.name,
        last.out_g,
        last.out_g * used,
        last.out_low_g * used,
        last.out_high_g * used,
        elsewhere,
    )
    return (*bends, shared) if used else bends


def account_of(look: Reader, code: str) -> LotAccount:
    """Where all of a lot is: what came, what stands in which account, what was found on the shelf."""
    return accounts_of(look, (look.lot(code).code,))[0]


def account_in_short(look: Reader, code: str, most: int) -> LotAccount:
    """The same, with the largest amounts elsewhere alone and the others in one sum, however many batches took of it.

    Parameters
    ----------
    most : int
        How many amounts elsewhere are told one by one. [1]
    """
    lot, status, count = look.lot(code), look.status(code), look.counted_of((code,)).get(code)
    standing, rest = look.largest_balances(code, most)
    account = _account(lot, standing, status, count)
    return replace(account, in_others=rest.get(account.counted_in, (0, 0)))


def accounts_of(look: Reader, codes: Sequence[str]) -> list[LotAccount]:
    """The same of several lots, in their order, asked once for all of them."""
    lots, balances = look.lots_of(codes), look.balances_of(codes)
    statuses, counts = look.statuses_of(codes), look.counted_of(codes)
    return [_account(lots[code], balances.get(code, {}), statuses[code], counts.get(code)) for code in codes]


def _account(lot: Lot, standing: Balances, status: Status, last: tuple[int, str] | None) -> LotAccount:
    counted_in: CountedIn = "piece" if any(unit == "piece" for _, unit in standing) else "ug"
    here = {account: amount for (account, unit), amount in standing.items() if unit == counted_in}
    return LotAccount(
        lot=lot,
        status=status,
        counted_in=counted_in,
        came=-sum(amount for amount in here.values() if amount < 0),
        went=tuple((account, amount) for account, amount in here.items() if amount > 0 and account != SHELF),
        shelf=here.get(SHELF, 0),
        found=last[0] if last is not None and last[1] == counted_in else None,
        beyond=max(-here.get(BEYOND_THE_BOOK, 0), 0),
    )
