"""What follows a release: a complaint is heard, bottles come back, people are told, and a recall is rehearsed.

Promises that a rehearsal is marked as one: it stops nothing and tells nobody, and says how many bottles it found and in
how many minutes.
"""

from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.lots.receiving import amount_of_lot
from stillroom.actions.releasing.tracing import trace
from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.quantities.parse import parse
from stillroom.records.entries import ComplaintHeard, Moved, PeopleTold, RecallRehearsed
from stillroom.records.entry_json import body_to_json
from stillroom.records.lots import RETAINED, RETURNED, Movement
from stillroom.records.written_values import note, one_line
from stillroom.texts.catalogue import later, t

WHERE_TO = (RETURNED, RETAINED, "waste")
"""Where a bottle goes that came back: set apart as returned, kept as a sample, or thrown away; never on the shelf."""
SERIOUS = later(
    "Advise medical help where it is needed, keep the retained sample, and look at once whether your authority must be "
    "told: in the EU a serious effect without delay."
)
LONGEST_REHEARSAL_MIN = 60.0 * 24 * 7


def take_back(
    lab: Laboratory,
    lot: str,
    order: str,
    amount: str,
    *,
    why: str,
    into: str = RETURNED,
    **sign: Unpack[Signed],
) -> Done:
    """Write that some of a lot came back from a customer, where it stands now, and why.

    Parameters
    ----------
    lot, order : str
        What came back, and of which order it was.
    amount : str
        "2 bottles".

    Raises
    ------
    NotEnough
        That customer has fewer of them by the book.
    BadEntry
        There is no reason, or it would go back on the shelf.
    """
    if not why.strip():
        raise BadEntry("What comes back has a reason", "none", "Write why it came back", where="why")
    if into not in WHERE_TO:
        raise BadEntry(
            worded("What came back goes to {told}", told=", ".join(WHERE_TO)),
            repr(into[:30]),
            "It is not sold again",
            where="into",
        )
    number, counted_in = amount_of_lot(lab, lot, amount, where="amount")
    out_of = f"customer/{order}"
    body = Moved((Movement(lot, out_of, into, number, counted_in),), note(why, "why"), order)
    with lab.act("take back", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.order(order)
        held = pen.look.balances(lot).get((out_of, counted_in), 0)
        if held < number:
            raise NotEnough(
                worded("{order} has {held} of {lot} by the book", order=order, held=held, lot=lot),
                amount,
                "Look at the trace: who has which lot",
                where="amount",
            )
        return Done(
            (pen.enter(body),),
            t(
                "{amount} of {lot} came back from {order}: {into}. It is not sold again.",
                amount=amount,
                lot=lot,
                order=order,
                into=into,
            ),
        )


def hear_complaint(
    lab: Laboratory,
    lot: str,
    who: str,
    *,
    what: str,
    order: str = "",
    reacted: bool = False,
    **sign: Unpack[Signed],
) -> Done:
    """Write what somebody complains of; a released lot is suspended with it until a named person has looked.

    Parameters
    ----------
    lot : str
        What they had.
    who : str
        Customer or user; contact data stand outside the journal.
    what : str
        What they say of it.
    order : str
        Of the customer, where it is known.
    reacted : bool
        Whether somebody's skin, eyes or body reacted to it.
    """
    body = ComplaintHeard(lot, one_line(who, "who"), note(what, "what"), order.strip(), reacted)
    with lab.act("hear a complaint", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        says = t("The complaint of {who} about {lot} is written.", who=body.who, lot=lot)
        if reacted:
            says = f"{says} {t(SERIOUS)}"
        return Done((pen.enter(body),), says)


def tell_people(
    lab: Laboratory, lot: str, who: str, *, how: str, said: str = "", order: str = "", **sign: Unpack[Signed]
) -> Done:
    """Write who was told about a lot, when (``at``), how, and what they answered.

    Parameters
    ----------
    who : str
        Customer or authority; contact data stand outside the journal.
    how : str
        "by telephone", "letter of 2026-11-25".
    said : str
        What they answered, or what they will do.
    order : str
        Of the customer, where it is one.
    """
    body = PeopleTold(
        lot,
        one_line(who, "who"),
        one_line(how, "how"),
        note(said, "said") if said.strip() else "",
        order.strip(),
    )
    with lab.act("tell people", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        return Done(
            (pen.enter(body),), t("{who} was told about {lot}, {how}.", who=body.who, lot=lot, how=body.how)
        )


def rehearse_recall(lab: Laboratory, code: str, minutes: str, *, found: str, **sign: Unpack[Signed]) -> Done:
    """Write that a recall was rehearsed with a lot: how long it took, and which bottles were found.

    Parameters
    ----------
    code : str
        Lot or batch the rehearsal began at.
    minutes : str
        From the question to the last bottle: "12 min", "12".
    found : str
        What was learned.
    """
    text = minutes.strip()
    took_min = parse(f"{text} min" if text.replace(".", "").replace(",", "").isdigit() else text, want="time",
                     zero_allowed=False, where="minutes").in_unit("min")  # fmt: skip
    if took_min > LONGEST_REHEARSAL_MIN:
        raise BadEntry("A rehearsal ends within days", minutes, "Write the minutes", where="minutes")
    report = trace(lab, code)
    accounted = sum(one.shelf + sum(amount for _, amount in one.went) for one in report.products)
    body = RecallRehearsed(code, took_min, note(found, "found"), report.units_made, accounted)
    with lab.act("rehearse recall", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done(
            (pen.enter(body),),
            t(
                "Rehearsal, nothing was stopped: from {code} {accounted} of {bottles} bottles were "
                "found in {minutes} min.",
                code=code,
                minutes=f"{took_min:g}",
                accounted=accounted,
                bottles=report.units_made,
            ),
        )
