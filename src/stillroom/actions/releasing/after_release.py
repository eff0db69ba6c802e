"""A change after release is an event: whatever an act wrote, released lots that it reaches are suspended with it.

Called once at the end of every act, inside its transaction, so that no action can forget it. A lot is reached when an
entry speaks of it, of its batch, or of anything it was made from. What is only read or tested again suspends where a
verdict or a printed figure comes out otherwise: a reading inside the ± that was printed confirms it, and is a line of
the trace. Reads the book as it stood before beside the book as it stands now, and names what changed.
"""

import json
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from stillroom.actions.releasing.issuing import issue_certificate
from stillroom.actions.releasing.printed_of_lot import Printed, differences, is_verdict, printed
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.documents.entry_words import told
from stillroom.documents.numbers_shown import show
from stillroom.evidence.trails import from_trail
from stillroom.records.entries import (
    AnswerKept,
    ApparatusAdded,
    BatchBegun,
    BenchNoted,
    Body,
    BookBegun,
    BookRestored,
    CertificateIssued,
    ComplaintHeard,
    ConditionNoted,
    ControlTestRead,
    DayPlanned,
    DutiesGiven,
    Entry,
    EvidenceShown,
    GoodsOrdered,
    HouseDescribed,
    IdentityDecided,
    LineDecided,
    LotOpened,
    LotReceived,
    Moved,
    OfferEnded,
    OfferMade,
    OrderTaken,
    OutageNoted,
    PeopleTold,
    PersonJoined,
    PlanMade,
    PlantDescribed,
    PriceNoted,
    ProcedureWritten,
    ReagentAllowed,
    RecallRehearsed,
    ResultReckoned,
    StatusDecided,
    StockCounted,
)
from stillroom.records.entry_json import body_to_json
from stillroom.records.entry_subjects import looks_again, subjects_of
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import Status
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Laboratory

LET_GO = (Status.RELEASED, Status.SUSPENDED)
NEVER = (
    AnswerKept, BenchNoted, BookBegun, BookRestored, CertificateIssued, ConditionNoted, DayPlanned, DutiesGiven,
    GoodsOrdered, HouseDescribed, LineDecided, LotOpened, Moved, OfferEnded, OfferMade, PeopleTold, PersonJoined,
    PlanMade, PlantDescribed, PriceNoted, ReagentAllowed, RecallRehearsed, StockCounted,
)  # fmt: skip
"""Kinds that say nothing about what is in a bottle, new or corrected."""
ONLY_CORRECTED = (ApparatusAdded, BatchBegun, OrderTaken, ProcedureWritten)
"""Kinds that reach what was made before only where they correct an entry, or where the paper comes out otherwise."""
AS_NUMBERS = frozenset({"actual_g", "value", "percent"})
"""Fields that say in figures what ``as_written`` says in words."""
LONGEST = 12
SKIPPED = frozenset({"movements", "trail", "readings", "lots_made", "planned", "answers", "request"})


def look_after(lab: "Laboratory", pen: BookWriter) -> tuple[str, ...]:
    """Suspend every released lot that the entries of this act reach; the codes of these lots.

    Parameters
    ----------
    lab : Laboratory
        To read the book as it stood before the act.
    pen : BookWriter
        At the end of the act.
    """
    written = pen.written()
    spoiled = tuple(code for entry in written for code in _spoiled(pen, entry))
    reached: dict[str, list[Entry]] = {}
    sure: set[str] = set()
    for entry in written:
        for lot, surely in _reached(pen.look, entry).items():
            reached.setdefault(lot, []).append(entry)
            if surely:
                sure.add(lot)
    if not reached:
        return spoiled
    with lab.look() as before:
        known = before.lots_of(tuple(reached))
        were = {lot: printed(before, lot) for lot in reached if lot in known and before.status(lot) in LET_GO}
    listed = tuple(
        lot for lot, old in were.items() if _changed(pen, lot, old, reached[lot], surely=lot in sure)
    )
    return *spoiled, *listed


def _spoiled(pen: BookWriter, entry: Entry) -> Iterator[str]:
    """Suspend what is released on papers, a hydrosol or a water, whose own paper failed afterwards."""
    body, look = entry.body, pen.look
    if not isinstance(body, EvidenceShown) or body.outcome != "fails" or not look.holds(body.subject)[0]:
        return
    lot = look.lot(body.subject)
    if lot.kind.traits.on_release_list or look.status(lot.code) is not Status.RELEASED:
        return
    said = tuple(_said(look, entry))
    why = t("suspended: {why}", why="; ".join(said))
    pen.enter(StatusDecided(lot.code, Status.SUSPENDED, why, changed=said, because_of=(entry.entry_no,)))
    yield lot.code


def _changed(
    pen: BookWriter, lot: str, old: Mapping[str, Printed], because: list[Entry], *, surely: bool
) -> bool:
    """Suspend one lot where it must be, and issue the next revision of its certificate."""
    new = printed(pen.look, lot)
    moved = differences(old, new, looked_again=all(looks_again(one) for one in because))
    if not surely and not moved:
        return False
    if not surely and all(isinstance(one.body, EvidenceShown) for one in because) and _still_holds(pen, lot):
        return False
    said = tuple(dict.fromkeys(line for entry in because for line in _said(pen.look, entry)))
    verdicts = tuple(one for one in moved if is_verdict(one))
    # The cause first, then what the paper says otherwise for it, then what else was calculated again.
    changed = tuple(dict.fromkeys((*verdicts, *said[:1], *moved, *said[1:])))[: 2 * LONGEST]
    numbers = tuple(entry.entry_no for entry in because)
    status = pen.look.status(lot)
    why = t("suspended: {why}", why="; ".join((*said[:1], *moved, *said[1:])[:3]))
    if status in LET_GO:
        pen.enter(StatusDecided(lot, Status.SUSPENDED, why, changed=changed, because_of=numbers))
    else:
        why = t("{status}: {why}", status=status.value, why="; ".join(said[:3]))
    issue_certificate(pen, lot, why=why, changed=changed, suspended=why, at=pen.at)
    return True


def _still_holds(pen: BookWriter, lot: str) -> bool:
    """Whether a paper that came late leaves nothing open."""
    return not standing_list(pen.look, lot).missing


def _reached(look: Reader, entry: Entry) -> dict[str, bool]:
    """Lots made here that an entry reaches, and whether surely or only where something comes out otherwise."""
    body, surely = entry.body, False
    bodies = [body, *([look.entry(entry.corrects).body] if entry.corrects is not None else [])]
    if isinstance(body, NEVER) or (isinstance(body, ProcedureWritten) and entry.corrects is None):
        return {}  # a batch keeps the version it was begun with
    if isinstance(body, StatusDecided):
        if body.to not in (Status.STOPPED, Status.REJECTED) and entry.corrects is None:
            return {}
        surely = True
    starts = dict.fromkeys(code for one in bodies for code in _starts(look, one))
    known = {code: held for code in starts if any(held := look.holds(code))}
    if not known:
        return dict.fromkeys(_every_lot_let_go(look), False)
    found: dict[str, bool] = {}
    for code, (_, is_batch) in known.items():
        sure = surely or (is_batch and not looks_again(entry))
        if isinstance(body, ComplaintHeard):
            sure = True
        if isinstance(body, IdentityDecided):
            sure = not body.accepted or entry.corrects is not None
        if isinstance(body, ONLY_CORRECTED) and entry.corrects is None:
            sure = False
        if isinstance(body, EvidenceShown):
            sure = body.outcome == "fails"
        for lot in _downwards(look, code, *known[code]):
            found[lot] = found.get(lot, False) or sure
    return found


def _starts(look: Reader, body: Body) -> Iterator[str]:
    """Codes from which an entry reaches downwards."""
    match body:
        case OutageNoted(batches=batches):
            yield from batches
        case ControlTestRead(subject=subject):
            yield subject.partition("/")[0]
        case EvidenceShown(subject=subject):
            yield subject
            yield from look.batches_by(subject)
        case StatusDecided(subject=subject):
            yield subject
            yield from _tested_with(look, subject)
        case LotReceived(lot=lot):
            yield lot.code
        case _:
            yield from (code.partition("/")[0] for code in subjects_of(body)[:1])


def _tested_with(look: Reader, reagent: str) -> Iterator[str]:
    """Lots whose tests or results were made with a reagent or a titrant."""
    if not look.holds(reagent)[0] or look.lot(reagent).kind.traits.used_to != "test":
        return
    for entry in look.entries(kind="control test read", subject=reagent):
        if isinstance(entry.body, ControlTestRead):
            yield entry.body.subject.partition("/")[0]
    for one in look.results_telling_of(reagent):
        subject = one.body.subject
        if one.body.trail and reagent in json.dumps(one.body.trail) and look.holds(subject)[0]:
            yield subject


def _downwards(look: Reader, code: str, is_lot: bool, is_batch: bool) -> Iterator[str]:
    """The lot itself, what its batch made, and everything that was made of it."""
    own = [code] if is_lot else []
    if is_batch:
        own += [one.code for one in look.lots(made_by=code)]
    below: dict[str, None] = {}
    for one in dict.fromkeys(own or [code]):
        below |= dict.fromkeys(look.lots_below(one))
    lots = look.lots_of(tuple(below))
    for one in below:
        if one in lots and lots[one].kind.traits.on_release_list:
            yield one


def _every_lot_let_go(look: Reader) -> tuple[str, ...]:
    listed = kinds_that(lambda one: one.on_release_list)
    return tuple(lot.code for status in LET_GO for lot in look.lots(listed, status))


def _said(look: Reader, entry: Entry) -> list[str]:
    """What an entry says, or what it says otherwise than the one it corrects."""
    subject = next(iter(subjects_of(entry.body)), "")
    if entry.corrects is None:
        return [
            t(
                "{subject}: {told} (entry {entry_no})",
                subject=subject,
                entry_no=entry.entry_no,
                told=told(entry.body) or entry.kind,
            )
        ]
    before = look.entry(entry.corrects).body
    if isinstance(entry.body, ResultReckoned) and isinstance(before, ResultReckoned):
        said = [str(show(from_trail(one.trail))) for one in (before, entry.body)]
        what = f"{subject}: {entry.body.what}: {said[0]} → {said[1]}"
        return [] if said[0] == said[1] and before.counts == entry.body.counts else [what]
    old, new = (dict(_leaves(body_to_json(one))) for one in (before, entry.body))
    found = [
        t(
            "{subject}: {name}: {old} → {new} (entry {corrects}, corrected by {entry_no})",
            subject=subject,
            name=name,
            old=old.get(name, t("nothing")),
            new=new.get(name, t("nothing")),
            corrects=entry.corrects,
            entry_no=entry.entry_no,
        )
        for name in dict.fromkeys((*old, *new))
        if old.get(name) != new.get(name)
    ]
    return found[:LONGEST]


def _leaves(content: Any, name: str = "") -> Iterator[tuple[str, str]]:
    """Every value of a body with its place; a list of records by the line or the code each names."""
    if isinstance(content, dict):
        written = AS_NUMBERS if content.get("as_written") else frozenset()
        for key, value in content.items():
            if key not in SKIPPED | written:
                yield from _leaves(value, f"{name}, {key}" if name else str(key))
    elif isinstance(content, list):
        for at, value in enumerate(content, start=1):
            own = value.get("line") or value.get("code") if isinstance(value, dict) else None
            yield from _leaves(value, f"{name}, {own or at}")
    else:
        told = f"{content:.6g}" if isinstance(content, float) else "" if content is None else str(content)
        yield name.replace("_", " "), told
