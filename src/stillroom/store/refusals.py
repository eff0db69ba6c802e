"""What the book refuses to take up, whoever asks: unknown names, codes it has, stocks below nothing.

These are the rules without which its sums and traces would be wrong. Rules of the laboratory (who may
release, which lot may be used) belong to the actions.
"""

from collections.abc import Iterable
from datetime import datetime

from stillroom.errors import BadEntry, NotEnough, Phrase, UnknownName, worded
from stillroom.records import entries as body
from stillroom.records.entries import Body
from stillroom.records.entry_subjects import lots_of, movements_of
from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import Movement, grams
from stillroom.store import tables as t
from stillroom.store.reader import Reader
from stillroom.store.stocks import Balances

PLAIN_ACCOUNTS = ("shelf", "retained", "waste", "returned")
NAMED_ACCOUNTS = ("batch/", "outside/", "customer/", "loss/", "testing/")
BELOW_ZERO_ALLOWED = ("outside/", "loss/")


def refuse_moment(name: str, moment: str) -> None:
    """A time must be ISO with its offset from universal time."""
    try:
        read = datetime.fromisoformat(moment)
    except ValueError as trouble:
        raise BadEntry(
            worded("{called} must be a time", called=name),
            repr(moment),
            "Write it like 2026-05-12T09:30:00+02:00",
        ) from trouble
    if read.tzinfo is None:
        raise BadEntry(
            worded("{called} must carry its offset", called=name),
            repr(moment),
            "Write it like 2026-05-12T09:30:00+02:00",
        )


def refuse_signature(look: Reader, by: str, content: Body) -> None:
    """Only people of the book write; the first person is signed in by whoever began it, or by themselves."""
    if look.holder(t.people, by) is not None:
        return
    people = [one.code for one in look.people()]
    if (
        not people
        and isinstance(content, body.PersonJoined)
        and by in (content.person.code, look.entry(1).by)
    ):
        return
    raise UnknownName.among(by, "a person", people)


def refuse_correction(look: Reader, corrects: int, kind: str, why: str) -> None:
    """A correction names an entry of its own kind, which nobody corrected before, and says why."""
    if not why.strip():
        raise BadEntry(
            "A correction must say why",
            worded("no reason for replacing entry {corrects}", corrects=corrects),
            "Give a reason",
        )
    old = look.entry(corrects)
    if old.corrected_by is not None:
        raise BadEntry(
            "An entry is corrected once",
            worded(
                "entry {corrects}, which entry {corrected_by} has replaced",
                corrects=corrects,
                corrected_by=old.corrected_by,
            ),
            worded("Correct entry {corrected_by} instead", corrected_by=old.corrected_by),
        )
    if old.kind != kind:
        raise BadEntry(
            "A correction must be of the kind of the entry it replaces",
            worded(
                "{kind!r} for entry {corrects}, which is {kind_two!r}",
                kind=kind,
                corrects=corrects,
                kind_two=old.kind,
            ),
        )


def refuse_unknown(look: Reader, content: Body) -> None:
    """Lots, batches, procedures, orders and subjects an entry leans on must be in the book."""
    made = {one.code for one in lots_of(content)}
    moving = movements_of(content)
    for movement in moving:
        _refuse_movement(movement)
    for code in dict.fromkeys(one.lot for one in moving if one.lot not in made):
        if look.holder(t.lots, code) is None:
            look.lot(code)
    for account in dict.fromkeys(account for one in moving for account in (one.out_of, one.into)):
        _refuse_account(look, account)
    match content:
        case body.PlanMade(order=order):
            look.order(order)
        case body.DutiesGiven(person=person):
            look.person(person)
        case body.OfferEnded(code=code, order=order):
            look.offer(code)
            if order:
                look.order(order)
        case body.LotReceived(goods=goods):
            if goods:
                look.goods(goods)
        case body.AnswerKept(order=order) | body.GoodsOrdered(order=order):
            if order:
                look.order(order)
        case body.BatchBegun(procedure=procedure, version=version, order=order):
            look.procedure(procedure, version)
            if order:
                look.order(order)
        case (
            body.StepDone(batch=batch)
            | body.DeviationNoted(batch=batch)
            | body.UnitsFilled(batch=batch)
            | body.BatchGivenUp(batch=batch)
        ):
            look.batch(batch)
        case body.OutageNoted(batches=batches):
            for batch in batches:
                look.batch(batch)
        case body.DoseDecided(batch=batch, extract_lot=extract):
            look.batch(batch)
            look.lot(extract)
        case body.IdentityDecided(lot=lot) | body.StockCounted(lot=lot) | body.LotOpened(lot=lot):
            look.lot(lot)
        case body.PlantDescribed(lot=lot):
            look.lot(lot)
        case body.StatusDecided(subject=subject):
            look.status(subject)
        case body.ReadingTaken(subject=subject) | body.ResultReckoned(subject=subject):
            _refuse_subject(look, subject)
        case body.LineDecided(subject=subject) | body.EvidenceShown(subject=subject):
            _refuse_subject(look, subject)
        case body.CertificateIssued(subject=lot) | body.RecallRehearsed(subject=lot):
            _refuse_subject(look, lot)
        case (
            body.PeopleTold(subject=subject, order=order) | body.ComplaintHeard(subject=subject, order=order)
        ):
            _refuse_subject(look, subject)
            if order:
                look.order(order)
        case body.ControlTestRead(subject=subject, reagent_lot=reagent):
            _refuse_subject(look, subject)
            if reagent:
                look.lot(reagent)


def refuse_taken_codes(look: Reader, content: Body, corrects: int | None) -> None:
    """A lot, batch, order or version of a procedure is brought in once."""
    codes = [(t.lots, one.code, "lot") for one in lots_of(content)]
    match content:
        case body.BatchBegun(code=code):
            codes.append((t.batches, code, "batch"))
        case body.OrderTaken(order=order):
            codes.append((t.orders, order.code, "order"))
    if len(set(codes)) < len(codes):
        raise BadEntry("Lots made together must have a code each", ", ".join(code for _, code, _ in codes))
    for table, code, what in codes:
        holder = look.holder(table, code)
        if holder is not None and holder != corrects:
            raise BadEntry(
                worded("Every {what} must have a code of its own", what=Phrase(what)),
                worded("{code!r}, which entry {holder} has brought in", code=code, holder=holder),
                "Choose another code, or correct that entry",
            )
    if isinstance(content, body.ProcedureWritten):
        procedure = content.procedure
        holder = look.holder(t.procedures, procedure.code, t.procedures.c.version == procedure.version)
        if holder is not None and holder != corrects:
            raise BadEntry(
                "A version of a procedure is written once",
                worded(
                    "version {version} of {procedure_code!r}, which stands in entry {holder}",
                    version=procedure.version,
                    procedure_code=procedure.code,
                    holder=holder,
                ),
                "Give it the next version",
            )


def refuse_stocks_below_zero(look: Reader, lots: Iterable[str], since: int) -> None:
    """No account of a lot may hold less than nothing, corrections taken into account.

    ``outside/...`` and ``loss/...`` may; a lot comes out of the batch that made it without having gone in.

    Parameters
    ----------
    lots : iterable of str
        Codes to look at.
    since : int
        Number of the last entry before the request that is being written.

    Raises
    ------
    NotEnough
        Names the lot, what it holds, what is asked, and the gap.
    BadEntry
        A correction took away the lot that other entries move.
    """
    for code in dict.fromkeys(lots):
        if look.holder(t.lots, code) is not None:
            for must, got, do in stocks_below_zero(look, code, since):
                raise NotEnough(must, got, do)
        elif look.moves(code):
            raise BadEntry(
                "A lot that was moved must stay in the book",
                worded("a correction that takes away {code!r}", code=code),
                "Correct the entries that move it first",
            )


def stocks_below_zero(
    look: Reader, code: str, since: int | None = None, *, balances: Balances | None = None
) -> list[tuple[str, str, str]]:
    """What is wrong with the stocks of a lot, as the parts of a sentence: must, got, do."""
    found: list[tuple[str, str, str]] = []
    below = {
        where: amount
        for where, amount in (look.balances(code) if balances is None else balances).items()
        if amount < 0 and not where[0].startswith(BELOW_ZERO_ALLOWED)
    }
    if not below:
        return found
    made_by = look.lot(code).made_by
    for (account, counted_in), balance in below.items():
        if account == f"batch/{made_by}":
            continue
        taken = [
            (one.entry_no, one.movement.amount)
            for one in look.movements(code, account)
            if one.movement.out_of == account and one.movement.counted_in == counted_in
        ]
        asked = sum(amount for number, amount in taken if since is not None and number > since)
        whole = asked or sum(amount for _, amount in taken)
        held, wanted, gap = (_amount(one, counted_in) for one in (balance + whole, whole, -balance))
        when = "asked" if asked else "taken already"
        found.append(
            (
                f"Lot {code} holds {held} ({account})",
                f"{wanted} {when}",
                f"{gap} is missing: take less, or the rest from another lot",
            )
        )
    return found


def _amount(amount: int, counted_in: CountedIn) -> str:
    return (
        f"{amount} pieces"
        if counted_in == "piece"
        else f"{grams(amount):,.6f}".rstrip("0").rstrip(".") + " g"
    )


def _refuse_movement(movement: Movement) -> None:
    if movement.amount <= 0:
        raise BadEntry(
            "What is moved must be more than nothing",
            worded(
                "{amount} of lot {lot}",
                amount=_amount(movement.amount, movement.counted_in),
                lot=movement.lot,
            ),
            "Swap the accounts if it goes the other way",
        )
    if movement.out_of == movement.into:
        raise BadEntry("A movement must go somewhere", worded("from {into!r} to itself", into=movement.into))


def _refuse_account(look: Reader, account: str) -> None:
    kind, slash, name = account.partition("/")
    if account not in PLAIN_ACCOUNTS and (f"{kind}{slash}" not in NAMED_ACCOUNTS or not name):
        raise BadEntry(
            "An account must be one of the book's",
            repr(account),
            worded(
                "Write {plain_accounts}, or a name after {named_accounts}",
                plain_accounts=", ".join(PLAIN_ACCOUNTS),
                named_accounts=", ".join(NAMED_ACCOUNTS),
            ),
        )
    if kind == "batch" and look.holder(t.batches, name) is None:
        look.batch(name)


def _refuse_subject(look: Reader, subject: str) -> None:
    code = subject.partition("/")[0]
    if not look.knows(code):
        raise UnknownName.among(code, "a code", look.codes())
