"""What follows a release: a complaint is heard, bottles come back, people are told, and a recall is rehearsed.

Promises that a rehearsal is marked as one: it stops nothing and tells nobody, and says how many bottles it found and in
how many minutes.
"""

from dataclasses import dataclass

from stillroom.actions.book.acts import Act, Acts
from stillroom.actions.book.laboratory import Done
from stillroom.actions.lots.receiving import amount_of_lot
from stillroom.actions.releasing.tracing import traced
from stillroom.asking.entries import Flag, maybe, needed, taken
from stillroom.asking.readers import Number, OneOf, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.records.entries import ComplaintHeard, Moved, PeopleTold, RecallRehearsed
from stillroom.records.lots import RETAINED, RETURNED, Movement
from stillroom.records.written_values import note, one_line
from stillroom.store.book_writer import BookWriter
from stillroom.texts.catalogue import later, t

RECALLS = Acts({
    "complaint": "releasing.recalling:hear_complaint",
    "told": "releasing.recalling:tell_people",
    "returned": "releasing.recalling:take_back",
    "rehearse": "releasing.recalling:rehearse_recall",
})  # fmt: skip
"""Each by its verb, in the order in which a trace offers them."""
WHERE_TO = {
    RETURNED: later("set apart as returned"),
    RETAINED: later("kept as a sample"),
    "waste": later("thrown away"),
}
"""Where a bottle goes that came back; never on the shelf."""
SERIOUS = later(
    "Advise medical help where it is needed, keep the retained sample, and look at once whether your authority must be "
    "told: in the EU a serious effect without delay."
)
LONGEST_REHEARSAL_MIN = 60.0 * 24 * 7


@dataclass(frozen=True, slots=True, kw_only=True)
class CameBack(Said):
    """Some of a lot came back from the customer of an order."""

    order: str = needed(
        Words(), label=later("Customer's order"), offers="order it went out on",
        help="Customer's order it was delivered on.",
    )  # fmt: skip
    amount: str = needed(Words(), label=later("How much"), hint=later("2 bottles"), argument=True)
    into: str = taken(
        RETURNED,
        OneOf(
            WHERE_TO, must=worded("What came back goes to {told}", told=", ".join(WHERE_TO)),
            do=later("It is not sold again"),
        ),
        label=later("Where it stands now"), usual=RETURNED, help="Where it stands now; never on the shelf.",
    )  # fmt: skip
    why: str = needed(
        Words(long=True), label=later("Why it came back"), must=later("What comes back has a reason"),
        do=later("Write why it came back"), help="Why it came back.",
    )  # fmt: skip


def _take_back(pen: BookWriter, lot: str, said: CameBack) -> Done:
    number, counted_in = amount_of_lot(pen.look, lot, said.amount, where="amount")
    out_of = f"customer/{said.order}"
    pen.look.order(said.order)
    held = pen.look.balances(lot).get((out_of, counted_in), 0)
    if held < number:
        raise NotEnough(
            worded("{order} has {held} of {lot} by the book", order=said.order, held=held, lot=lot),
            said.amount,
            "Look at the trace: who has which lot",
            where="amount",
        )
    moved = (Movement(lot, out_of, said.into, number, counted_in),)
    says = t(
        "{amount} of {lot} came back from {order}: {into}. It is not sold again.",
        amount=said.amount, lot=lot, order=said.order, into=said.into,
    )  # fmt: skip
    return Done((pen.enter(Moved(moved, note(said.why, "why"), said.order)),), says)


take_back = Act(
    name="returned",
    action="take back",
    said=CameBack,
    writes=_take_back,
    help='AMOUNT ("2 bottles") of LOT came back from the customer of an order.',
    title=later("Some of {lot} came back"),
    lead=later("What came back is never put on the shelf again."),
    button=later("Save"),
    address="/trace/{code}/returned",
    then="/trace/{code}",
    called=later("A bottle came back"),
    needs="checker",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint(Said):
    """What somebody complains of; contact data stand outside the journal."""

    who: str = needed(Words(), label=later("Who complains"), argument=True)
    what: str = needed(Words(long=True), label=later("What they say"), help="What they say of it.")
    reacted: str | None = maybe(
        OneOf({"yes": later("skin, eyes or body reacted")}), label=later("Did somebody react to it?"),
        left_out=later("nobody did, or nobody knows"),
        flags={"reacted": Flag("yes", "Somebody's skin, eyes or body reacted to it.")},
    )  # fmt: skip
    order: str = taken(
        "", Words(), label=later("Customer's order"), offers="order, if any", help="Order of the customer."
    )


def _hear(pen: BookWriter, lot: str, said: Complaint) -> Done:
    """The complaint; a released lot is suspended with it until a named person has looked."""
    reacted = said.reacted is not None
    body = ComplaintHeard(lot, one_line(said.who, "who"), note(said.what, "what"), said.order, reacted)
    pen.look.lot(lot)
    says = t("The complaint of {who} about {lot} is written.", who=body.who, lot=lot)
    return Done((pen.enter(body),), f"{says} {t(SERIOUS)}" if reacted else says)


hear_complaint = Act(
    name="complaint",
    action="hear a complaint",
    said=Complaint,
    writes=_hear,
    help="WHO complains of LOT; a released lot is suspended until a named person has looked.",
    title=later("A complaint about {lot}"),
    lead=later("A released lot is suspended with it until a named person has looked."),
    button=later("Save"),
    address="/trace/{code}/complaint",
    then="/trace/{code}",
    called=later("Somebody complained"),
    cautions=("reaction-reported",),
    needs="checker",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told(Said):
    """Customer or authority who was told, when (``at``), and what they will do; contact data stand outside."""

    who: str = needed(Words(), label=later("Who"), argument=True)
    how: str = needed(
        Words(), label=later("How"), hint=later("by telephone, letter of 2026-11-25"),
        help='"by telephone", "letter of 2026-11-25".',
    )  # fmt: skip
    said: str = taken("", Words(long=True), label=later("What they answered"), help="What they answered.")
    order: str = taken(
        "", Words(), label=later("Customer's order"), offers="order, if any", help="Order of the customer."
    )


def _tell(pen: BookWriter, lot: str, said: Told) -> Done:
    answered = note(said.said, "said") if said.said else ""
    body = PeopleTold(lot, one_line(said.who, "who"), one_line(said.how, "how"), answered, said.order)
    pen.look.lot(lot)
    says = t("{who} was told about {lot}, {how}.", who=body.who, lot=lot, how=body.how)
    return Done((pen.enter(body),), says)


tell_people = Act(
    name="told",
    action="tell people",
    said=Told,
    writes=_tell,
    help="WHO was told about LOT: when (--at), how, and what they answered.",
    title=later("Who was told about {lot}"),
    lead=later("Say below when it was, if it was earlier than now."),
    button=later("Save"),
    address="/trace/{code}/told",
    then="/trace/{code}",
    called=later("Somebody was told"),
    needs="checker",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehearsed(Said):
    """How long a rehearsed recall took, and what was learned."""

    minutes: float = needed(
        Number("min"), label=later("From the question to the last bottle"),
        help="From the question to the last bottle.",
    )  # fmt: skip
    found: str = needed(Words(long=True), label=later("What was learned"), help="What was learned.")


def _rehearse(pen: BookWriter, code: str, said: Rehearsed) -> Done:
    if said.minutes > LONGEST_REHEARSAL_MIN:
        raise BadEntry(
            "A rehearsal ends within days", said.text["minutes"], "Write the minutes", where="minutes"
        )
    report = traced(pen.look, code)
    accounted = sum(one.shelf + sum(amount for _, amount in one.went) for one in report.products)
    body = RecallRehearsed(code, said.minutes, note(said.found, "found"), report.units_made, accounted)
    says = t(
        "Rehearsal, nothing was stopped: from {code} {accounted} of {bottles} bottles were found in {minutes} min.",
        code=code, minutes=f"{said.minutes:g}", accounted=accounted, bottles=report.units_made,
    )  # fmt: skip
    return Done((pen.enter(body),), says)


rehearse_recall = Act(
    name="rehearse",
    action="rehearse recall",
    said=Rehearsed,
    writes=_rehearse,
    help="A recall was rehearsed from CODE; nothing is stopped and nobody is told.",
    of="CODE",
    title=later("Rehearsal of a recall of {code}"),
    lead=later(
        "Marked as a rehearsal: it stops nothing and tells nobody. The book counts the bottles it finds."
    ),
    button=later("Save"),
    address="/trace/{code}/rehearsal",
    then="/trace/{code}",
    called=later("A recall was rehearsed"),
    needs="checker",
)
