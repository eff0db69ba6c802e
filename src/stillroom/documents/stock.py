"""The page of a lot: what it is, where it stands, what was read of it, and everything written about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Unpack

from stillroom.documents.blocks import (
    Block,
    Empty,
    Facts,
    Heading,
    Link,
    Mark,
    Numbers,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    ScanCode,
    Shown,
    Table,
)
from stillroom.documents.making import when
from stillroom.documents.showing import show
from stillroom.documents.tracing import LotAccount, amount_text, in_words
from stillroom.evidence.answer import from_trail
from stillroom.records.entries import (
    AnswerKept,
    BatchBegun,
    CeilingStated,
    ConditionNoted,
    ControlTestRead,
    DeviationNoted,
    Entry,
    IdentityDecided,
    LotOpened,
    LotReceived,
    Moved,
    OutageNoted,
    PriceNoted,
    ReadingTaken,
    ReagentAllowed,
    ResultReckoned,
    StatusDecided,
    StepDone,
    StockCounted,
    UnitsFilled,
)


@dataclass(frozen=True, slots=True)
class LotFacts:
    """What the page of a lot is made from."""

    account: LotAccount
    entries: tuple[Entry[Any], ...]
    results: tuple[Entry[ResultReckoned], ...]
    tests: tuple[Entry[ControlTestRead], ...]
    to_do: tuple[str, ...]
    plants: tuple[str, ...] = ()
    """Plants that spirit came back from."""
    keeps: tuple[str, ...] = ()
    """Rules of a reagent's life, the earliest first."""


def lot_page(facts: LotFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """The page of one lot."""
    lot, account = facts.account.lot, facts.account
    pairs: list[tuple[str, Any]] = [
        ("What", f"{lot.name} ({lot.kind})"),
        ("Owner", lot.owner),
        (
            "Came from",
            Link(f"batch {lot.made_by}", f"/make/{lot.made_by}")
            if lot.made_by
            else lot.supplier or "not stated",
        ),
        ("Came", amount_text(account.came, account.counted_in)),
        ("On the shelf", amount_text(account.shelf, account.counted_in)),
        *((in_words(where), amount_text(amount, account.counted_in)) for where, amount in account.went),
    ]
    if lot.stated:
        pairs.append(("Label says", lot.stated))
    if facts.plants:
        pairs.append(("Remembers", f"{' and '.join(facts.plants)}: used for that plant only"))
    if lot.denatured_with:
        pairs.append(("Denatured with", lot.denatured_with))
    if lot.use_by:
        pairs.append(("Use by", lot.use_by))
    blocks: list[Block] = [Facts(tuple(pairs))]
    if facts.to_do:
        blocks += [Heading("What it waits for"), Points(facts.to_do, "missing")]
    if facts.keeps:
        blocks += [Heading("How long it keeps"), Points(facts.keeps)]
    standing = [entry for entry in facts.results if entry.corrected_by is None]
    if standing:
        blocks += [Heading("Results"), Numbers(tuple(result_shown(entry) for entry in standing))]
        blocks += [
            Prose(f"{entry.body.what}: {entry.body.because}", quiet=True)
            for entry in standing
            if entry.body.because
        ]
    if facts.tests:
        blocks += [
            Heading("Tests with controls"),
            Table(
                ("Test", "Sample", "Blank", "Positive control", "Reagent", "Outcome"),
                tuple(
                    (
                        one.body.test,
                        one.body.sample,
                        one.body.blank,
                        one.body.positive_control,
                        one.body.reagent_lot,
                        Mark(one.body.outcome),
                    )
                    for one in facts.tests
                ),
            ),
            *(Prose(one.body.because, quiet=True) for one in facts.tests),
        ]
    blocks += [Heading("Everything written about it"), entries_table(facts.entries)]
    blocks += [ScanCode(lot.code, "the code on the jar"), PenLines(("Shelf", "Opened on"))]
    return Page(
        title=f"{lot.code}, {lot.name}",
        kind="lot",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=account.status.value,
        lead="",
        href=f"/stock/{lot.code}",
    )


def stock_page(
    accounts: Sequence[LotAccount],
    *,
    title: str,
    href: str,
    **page_facts: Unpack[PageFacts],
) -> Page:
    """Every lot with what stands on the shelf."""
    rows = tuple(
        (
            Link(one.lot.code, f"/stock/{one.lot.code}"),
            one.lot.name,
            one.lot.kind.value,
            amount_text(one.shelf, one.counted_in),
            one.lot.use_by or "",
            Mark(one.status.value),
        )
        for one in accounts
    )
    blocks: tuple[Block, ...] = (
        (Table(("Lot", "Name", "Kind", "On the shelf", "Use by", "Status"), rows, (3,)),)
        if rows
        else (Empty("No lot is on the shelf yet.", "Receive the first: the plant, the spirit, the bottles."),)
    )
    return Page(title, "stock", "", blocks, href=href, **page_facts)


def result_shown(entry: Entry[ResultReckoned]) -> Shown:
    """A result of the book as a number with its reason."""
    answer = from_trail(entry.body.trail)
    shown = show(
        answer, label=entry.body.what, k=entry.body.coverage_factor or 2.0, href=f"/why/{entry.entry_no}"
    )
    if entry.body.counts:
        return shown
    from dataclasses import replace

    return replace(
        shown, label=f"{entry.body.what} (does not count)", how=f"{entry.body.because} {shown.how}"
    )


def entries_table(entries: Sequence[Entry[Any]]) -> Table:
    """Entries as written, corrected ones kept in sight."""
    rows = tuple(
        (
            Link(str(one.entry_no), f"/entries/{one.entry_no}"),
            when(one.done_at),
            one.by,
            one.kind,
            told(one.body),
            f"corrected by {one.corrected_by}"
            if one.corrected_by
            else (f"corrects {one.corrects}: {one.why}" if one.corrects else ""),
        )
        for one in entries
    )
    return Table(("Entry", "Done", "By", "Kind", "What", "Correction"), rows)


def told(body: object) -> str:
    """An entry's body in half a sentence."""
    match body:
        case LotReceived(lot=lot, as_written=text):
            return f"{text or 'some'} of {lot.name}"
        case IdentityDecided(accepted=accepted, evidence=evidence):
            return f"{'accepted' if accepted else 'not accepted'}: {evidence}"
        case ReadingTaken(what=what, as_written=text):
            return f"{what} {text}"
        case ResultReckoned(what=what, counts=counts):
            return f"{what}{'' if counts else ' (does not count)'}"
        case ControlTestRead(test=test, outcome=outcome):
            return f"{test}: {outcome}"
        case StatusDecided(to=to, meaning=meaning):
            return f"{to.value}: {meaning}"
        case BatchBegun(procedure=procedure):
            return f"batch of {procedure}"
        case StepDone(step=step, weighings=weighings):
            return f"{step}: " + ", ".join(f"{one.line} {one.as_written}" for one in weighings)
        case DeviationNoted(what=what):
            return what
        case CeilingStated(as_written=text, product_type=product_type, source=source):
            return f"at most {text} in {product_type}, by {source}"
        case OutageNoted(what=what, is_back=is_back):
            return f"{what} {'back' if is_back else 'off'}"
        case ConditionNoted(what=what, as_written=text):
            return f"{what} {text}"
        case PriceNoted(of=of, as_written=text):
            return f"{of} {text}"
        case UnitsFilled(units=units):
            return f"{units} bottles filled"
        case Moved(why=why):
            return why
        case AnswerKept(title=text):
            return text
        case StockCounted(as_written=text):
            return f"{text} found on the shelf"
        case LotOpened(note=note):
            return f"opened{': ' + note if note else ''}"
        case ReagentAllowed(allowed=allowed, why=why):
            return f"{'may be made here' if allowed else 'not made here any more'}: {why}"
    return ""
