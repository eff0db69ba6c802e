"""The account of spirit of a month: read off movements and weighings, never written down a second time.

Promises that every kilogram opens to a lot, a batch or a named loss with its own model, that what does not close is
told and asked about, and that a strength nobody knows is asked for and not filled in.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.product_made import left_over_after
from stillroom.actions.lots.ethanol_known import EthanolKnown, courses_ahead, ethanol_of_middle_g
from stillroom.actions.shelf.lot_strength import READ_STRENGTH
from stillroom.errors import BadEntry
from stillroom.records.lot_kinds import LotKind, kinds_that
from stillroom.records.lots import SHELF, batch_account, grams
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.store.stocks import Moving
from stillroom.stream.components import whole_mass
from stillroom.stream.ethanol_month import ASKED_ABOVE, EthanolMonth, Flow, FlowKind, Standing, ethanol_month
from stillroom.texts.catalogue import t

BATCH = batch_account("")
COUNTED = kinds_that(lambda one: bool(one.spirit))
"""Kinds of lot whose ethanol is counted."""


@dataclass(frozen=True, slots=True)
class SpiritMonth:
    """The account of a month with what it asks."""

    account: EthanolMonth
    unknown: tuple[str, ...]
    """Sentences about lots whose strength nobody says."""
    counts: tuple[tuple[str, float], ...]
    """Lots counted in the month, and the ethanol missing there. [kg]"""
    by_model: tuple[str, ...]
    """Lots on the shelf whose strength is only reckoned."""
    months: tuple[str, ...]
    """Months in which spirit moved."""

    @property
    def questions(self) -> tuple[str, ...]:
        """What the account asks; none when it closes."""
        asked = [
            t(
                "Batch {batch}, ethanol: {sentence} More than {asked_above:g} %: where is it?",
                batch=one.batch,
                sentence=one.whole.sentence,
                asked_above=100 * ASKED_ABOVE,
            )
            for one in self.account.batches
            if one.whole is not None and one.is_asked_about
        ]
        asked += [
            t(
                "{lot}: {kg:.3f} kg of ethanol {which} was found than the book says",
                lot=lot,
                kg=abs(kg),
                which=t("less") if kg > 0 else t("more"),
            )
            for lot, kg in self.counts
        ]
        return (*asked, *self.unknown)


def spirit_account(lab: Laboratory, month: str = "") -> SpiritMonth:
    """The account of a month.

    Parameters
    ----------
    month : str
        "2027-03"; the month of today when empty.

    Raises
    ------
    BadEntry
        It is no month, or one that has not begun.
    """
    today = lab.today()
    month = month_of(month, today)
    with lab.look() as look:
        return account_of_month(look, month)


def spirit_months(look: Reader) -> tuple[str, ...]:
    """Months in which a lot of spirit moved, the earliest first."""
    return look.months_moved(kinds_that(lambda one: one.spirit == "stock"))


def month_of(text: str, today: date) -> str:
    """A month as it is written in an address.

    Parameters
    ----------
    text : str
        "2027-03"; the month of today when empty.

    Raises
    ------
    BadEntry
        It is no month, or one that has not begun.
    """
    if not text:
        return today.isoformat()[:7]
    if not re.fullmatch(r"[12]\d{3}-(?:0[1-9]|1[0-2])", text):
        raise BadEntry("A month is written 2027-03", repr(text[:20]), "Year, dash, two digits", where="month")
    if text > today.isoformat()[:7]:
        raise BadEntry("A month that has begun has an account", text, "Ask for an earlier one", where="month")
    return text


@once
def account_of_month(look: Reader, month: str) -> SpiritMonth:
    """The same, from a book already open."""
    known = EthanolKnown(look)
    shelf, moved = look.shelf_over(month, COUNTED), look.moved_in(month, COUNTED)
    met = tuple(dict.fromkeys(one for one in (*look.in_hand_in(month), *map(_batch_of, moved)) if one))
    done_on = look.ended_on(met)
    in_hand = {batch: None for batch in met if not done_on.get(batch, "9999") < month}
    earlier = look.moved_with(tuple(in_hand), month, COUNTED)
    open_or_now = {batch for one in (*moved, *earlier) if (batch := _batch_of(one)) in in_hand}
    lots = look.lots_of(tuple(dict.fromkeys((*shelf, *(one.movement.lot for one in (*earlier, *moved))))))
    made_by = (one.made_by for one in lots.values() if one.made_by)
    courses_ahead(look, tuple(lots), tuple(dict.fromkeys((*open_or_now, *made_by))))
    flows = [flow for one in (*earlier, *moved) for flow in _flow(known, one, lots[one.movement.lot].kind)]
    for batch in sorted(open_or_now):
        flows += [one for one in _within(known, batch, done_on.get(batch, "")) if one.on[:7] <= month]
    flows.sort(key=lambda one: one.on)
    here = dict.fromkeys(
        (*(lot for lot, (_, end) in shelf.items() if end), *(one.movement.lot for one in moved))
    )
    unknown = tuple(
        dict.fromkeys(
            share.says
            for lot in here
            if lots[lot].kind.traits.holds_spirit and (share := known.share(lot)).by_mass is None
        )
    )
    standing = [_standing(known, lot, *over) for lot, over in shelf.items()]
    return SpiritMonth(
        ethanol_month(
            month,
            [one for one in standing if one],
            flows,
            {one: done_on[one] for one in open_or_now & done_on.keys()},
        ),
        unknown=unknown,
        counts=tuple(_counted(look, known, shelf, moved, month)),
        by_model=_by_model(known, standing),
        months=look.months_moved(COUNTED),
    )


def _flow(known: EthanolKnown, moving: Moving, kind: LotKind) -> Iterator[Flow]:
    """What a movement of a lot means for the account; nothing where it holds no ethanol."""
    move = moving.movement
    share = known.share(move.lot)
    if not share.by_mass:
        return
    mass_g = grams(move.amount)
    says = f"{mass_g:.6g} g at {100 * share.by_mass:.2f} % by mass; {share.says}"
    out, into = move.out_of, move.into

    ethanol_g = mass_g * share.by_mass

    def flow(what: FlowKind, name: str, batch: str, sign: float = 1.0) -> Flow:
        return Flow(what, name, batch, sign * ethanol_g, moving.done_at, says, moving.entry_no)

    if kind.traits.spirit == "spent":
        yield flow("in marc and waste", move.lot, out.removeprefix(BATCH))
    elif into == SHELF and out.startswith("outside/"):
        yield flow("bought", move.lot, "")
    elif out == SHELF and into.startswith(BATCH):
        yield flow("used", move.lot, into.removeprefix(BATCH))
    elif into == SHELF and out.startswith(BATCH):
        batch = out.removeprefix(BATCH)
        made = known.look.lot(move.lot).made_by == batch
        yield flow("recovered", move.lot, batch) if made else flow("used", move.lot, batch, -1.0)
    elif out == SHELF:
        yield flow("left the shelf", f"{move.lot} to {into}", "")
    elif into == SHELF:
        yield flow("left the shelf", f"{move.lot} back from {out}", "", -1.0)


def _within(known: EthanolKnown, batch: str, done_on: str) -> Iterator[Flow]:
    """Named losses of the steps that are done, what stayed behind unweighed, and what went into bottles."""
    look = known.look
    procedure = look.procedure_of(batch)
    steps = {entry.body.step: entry for entry in look.steps(batch) if not entry.body.not_done}
    account = known.account(batch) if procedure.purpose == "extraction" else None
    bulk_share = 0.0
    for name, entry in steps.items():
        if account:
            step = account.step(name) if account.reaches(name) else None
        else:
            step = known.step_of_formula(batch, name)
        if step is None:
            continue
        for loss, stream in step.losses.items():
            lost_g = ethanol_of_middle_g(stream)
            if lost_g > 0.0:
                yield Flow("lost", loss, batch, lost_g, entry.done_at, f"the model of {name}", entry.entry_no)
        if not account:
            out = next(iter(step.given.values()))
            bulk_share = ethanol_of_middle_g(out) / max(whole_mass(out).item(), 1e-30)
    if account and done_on:
        weighed = {one.line for entry in steps.values() for one in entry.body.weighings}
        for name, stream in account.outs.items():
            left_g = ethanol_of_middle_g(stream)
            if name not in weighed and left_g > 0.0:
                says = "the model; nobody weighed it"
                yield Flow("in marc and waste", name, batch, left_g, done_on, says)
    for filling, more_left_g in left_over_after(look, batch):
        says = f"{filling.body.filled_g:.6g} g filled at {100 * bulk_share:.2f} % by mass; the bulk as it was blended"
        if bulk_share:
            on, number = filling.done_at, filling.entry_no
            filled_g, left_g = (mass_g * bulk_share for mass_g in (filling.body.filled_g, more_left_g))
            yield Flow("in products", filling.body.lot.code, batch, filled_g, on, says, number)
            says = "weighed when the bottles were filled"
            yield Flow("in marc and waste", "bulk left over", batch, left_g, on, says, number)


def _batch_of(moving: Moving) -> str:
    for account in (moving.movement.into, moving.movement.out_of):
        if account.startswith(BATCH):
            return account.removeprefix(BATCH)
    return ""


def _standing(known: EthanolKnown, lot: str, begin_ug: int, end_ug: int) -> Standing | None:
    share = known.share(lot)
    if not share.by_mass:
        return None
    return Standing(lot, grams(begin_ug) * share.by_mass, grams(end_ug) * share.by_mass, share.says)


def _counted(
    look: Reader,
    known: EthanolKnown,
    shelf: Mapping[str, tuple[int, int]],
    moved: Sequence[Moving],
    month: str,
) -> Iterator[tuple[str, float]]:
    """Lots that were counted in the month and are not what the book says, with the ethanol that is missing. [kg]."""
    for lot, last in look.counted_in(month, COUNTED).items():
        share = known.share(lot).by_mass
        if not share:
            continue
        book = shelf.get(lot, (0, 0))[0] + sum(
            one.movement.amount * ((one.movement.into == SHELF) - (one.movement.out_of == SHELF))
            for one in moved
            if one.movement.lot == lot and one.done_at <= last.done_at
        )
        missing_kg = grams(book - last.body.found) * share / 1000.0
        if missing_kg:
            yield lot, missing_kg


def _by_model(known: EthanolKnown, standing: list[Standing | None]) -> tuple[str, ...]:
    """Lots on the shelf whose strength is only reckoned."""
    return tuple(
        one.lot
        for one in standing
        if one
        and one.end_g
        and not known.look.lot(one.lot).stated
        and not known.look.readings(one.lot, READ_STRENGTH)
    )
