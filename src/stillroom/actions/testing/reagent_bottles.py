"""What is done with a bottle of reagent: opened, tried before use, sold."""

from datetime import datetime
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.lots.receiving import amount_of
from stillroom.actions.shelf.lots_in_use import must_be_released
from stillroom.actions.shelf.reagent_dates import care_of_substance, opened_on, use_by_of
from stillroom.answers.control_test import read_control_test
from stillroom.errors import BadEntry, NotAllowed, NotEnough, worded
from stillroom.quantities.money import Money
from stillroom.records.entries import ControlTestRead, LotOpened, Moved
from stillroom.records.lots import SHELF, Movement
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def open_lot(lab: Laboratory, lot: str, *, note: str = "", **sign: Unpack[Signed]) -> Done:
    """Write that a bottle of reagent was opened: its opened life runs from now.

    Raises
    ------
    NotAllowed
        It is no reagent.
    BadEntry
        It was opened before.
    """
    with lab.act("open lot", {"lot": lot, "note": note}, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if pen.look.lot(lot).kind.traits.spoils != "by its rules":
            raise NotAllowed("Opening is written of a reagent", lot, "Choose a reagent")
        before = opened_on(pen.look, lot)
        if before:
            raise BadEntry(
                "A bottle is opened once",
                worded("{lot}, opened on {before}", lot=lot, before=before),
                "Its opened life runs since then",
            )
        number = pen.enter(LotOpened(lot, note.strip()))
        rule = use_by_of(pen.look, pen.look.lot(lot))
        return Done(
            (number,),
            f"{lot} is open. Use by {rule.last_day}: {rule.says}."
            if rule
            else f"{lot} is open. It has no use-by date.",
        )


def try_reagent(
    lab: Laboratory,
    lot: str,
    *,
    blank: str,
    positive_control: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Try a reagent on a blank and a positive control before it is used; the lot itself is the subject.

    Parameters
    ----------
    blank, positive_control : str
        What was seen: "precipitate" (or the colour of a positive), "clear", "unclear" or "not done".

    Raises
    ------
    NotAllowed
        It is no reagent the reference knows.
    BadEntry
        What was seen is none of the four words.
    """
    asked = {"lot": lot, "blank": blank, "positive": positive_control}
    with lab.act("try reagent", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        held = pen.look.lot(lot)
        care = care_of_substance(held.substance)
        if care is None or held.kind.traits.released_on != "trial":
            raise NotAllowed(
                "Only a reagent the reference knows is tried", lot, "Choose a reagent of the list"
            )
        rule = use_by_of(pen.look, held)
        found = read_control_test(
            care.reagent,
            sample=positive_control,
            blank=blank,
            positive_control=positive_control,
            reagent_released=True,
            reagent_use_by=rule.last_day if rule else None,
            use_by_rule=rule.says if rule else "",
            tested_on=(at or lab.clock()).date().isoformat(),
        )
        works = found.counts
        says = (
            "It works: the blank stayed clear and the positive control answered."
            if works
            else f"It does not serve. {found.because}"
        )
        body = ControlTestRead(
            lot,
            care.reagent,
            lot,
            "not done",
            blank,
            positive_control,
            "present" if works else "no result",
            says,
        )
        return Done((pen.enter(body),), f"{lot}: {says}")


def failed_before_use(look: Reader, lot: str) -> bool:
    """Whether the last trial of a reagent on its controls failed."""
    trials = [one.body for one in look.tests(lot) if one.body.reagent_lot == lot]
    return bool(trials) and trials[-1].outcome == "no result"


def sell_reagent(
    lab: Laboratory,
    lot: str,
    *,
    amount: str,
    packs: str,
    price: str,
    buyer: str,
    permit_looked_at: bool = False,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Sell reagent of a released lot: how much, in which packs, for how much, to whom.

    Raises
    ------
    NotAllowed
        The lot is no reagent of ours, not released, out of date, or its permit was not looked at.
    NotEnough
        The shelf holds less.
    BadEntry
        Amount, price or buyer cannot be taken.
    """
    asked = {
        "lot": lot,
        "amount": amount,
        "packs": packs,
        "price": price,
        "buyer": buyer,
        "permit": permit_looked_at,
    }
    mass_ug, counted_in = amount_of(amount)
    money = Money.typed(price, where="price")
    if counted_in != "ug" or money.amount < 0:
        raise BadEntry(
            "Reagent is sold by mass, for a price of zero or more", f"{amount}, {price}", where="amount"
        )
    if not buyer.strip() or "/" in buyer or not buyer.isprintable() or len(buyer) > 80:
        raise BadEntry(
            "A sale names its buyer in a few words", repr(buyer[:40]), "Write the name", where="buyer"
        )
    if not packs.strip():
        raise BadEntry("A sale names its packs", "none", "Write how many bottles of how much", where="packs")
    with lab.act("sell reagent", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look, held = pen.look, pen.look.lot(lot)
        if "bottle" not in held.kind.traits.papers or held.owner != "ours":
            raise NotAllowed(
                "Only a reagent of ours is sold here",
                worded("{lot}, {kind} of {owner}", lot=lot, kind=held.kind, owner=held.owner),
            )
        on = (at or lab.clock()).date().isoformat()
        must_be_released(look, held, on=on)
        rule, care = use_by_of(look, held), care_of_substance(held.substance)
        if rule is None or on > rule.last_day:
            raise NotAllowed(
                "A reagent is sold in date",
                f"{lot}, {rule.last_day}" if rule else worded("{lot}, without a date", lot=lot),
                "Make it fresh",
            )
        if care is not None and care.permit and not permit_looked_at:
            raise NotAllowed(
                "A permit may be needed here",
                care.permit,
                "Ask the authority, then say that it was looked at",
                where="permit",
            )
        if look.balance_ug(lot) < mass_ug:
            raise NotEnough("The shelf must hold what is sold", amount, "Sell less", where="amount")
        why = f"sold to {buyer.strip()}: {packs.strip()}, {price}"
        moved = Moved((Movement(lot, SHELF, f"customer/{buyer.strip()}", mass_ug),), why)
        return Done((pen.enter(moved),), t("{amount} of {lot} is {why}.", amount=amount, lot=lot, why=why))
