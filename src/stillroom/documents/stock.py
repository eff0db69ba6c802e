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
from stillroom.documents.lot_accounts import LotAccount, amount_text, gap_words, in_words
from stillroom.documents.put_right import when
from stillroom.documents.showing import show
from stillroom.evidence.answer import from_trail
from stillroom.records.entries import (
    AnswerKept,
    BatchBegun,
    BatchGivenUp,
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
from stillroom.texts.catalogue import t


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
        (t("stock.what"), f"{lot.name} ({lot.kind})"),
        (t("stock.owner"), lot.owner),
        (
            t("stock.came_from"),
            Link(t("stock.batch_made_by", made_by=lot.made_by), f"/make/{lot.made_by}")
            if lot.made_by
            else lot.supplier or t("stock.not_stated"),
        ),
        (t("stock.came"), amount_text(account.came, account.counted_in)),
        (t("stock.on_the_shelf"), amount_text(account.shelf, account.counted_in)),
        *((in_words(where), amount_text(amount, account.counted_in)) for where, amount in account.went),
    ]
    if lot.stated:
        pairs.append((t("stock.label_says"), lot.stated))
    if facts.plants:
        pairs.append((t("stock.remembers"), t("stock.used_plant_only", plants=" and ".join(facts.plants))))
    if lot.denatured_with:
        pairs.append((t("stock.denatured_with"), lot.denatured_with))
    if lot.use_by:
        pairs.append((t("stock.use_by"), lot.use_by))
    blocks: list[Block] = [Facts(tuple(pairs))]
    if account.beyond:
        blocks.append(Points((gap_words(account),), "missing"))
    if facts.to_do:
        blocks += [Heading(t("stock.what_it_waits_for")), Points(facts.to_do, "missing")]
    if facts.keeps:
        blocks += [Heading(t("stock.how_long_it_keeps")), Points(facts.keeps)]
    standing = [entry for entry in facts.results if entry.corrected_by is None]
    if standing:
        blocks += [Heading(t("stock.results")), Numbers(tuple(result_shown(entry) for entry in standing))]
        reasons: dict[str, list[str]] = {}
        for entry in standing:
            reasons.setdefault(entry.body.because, []).append(entry.body.what)
        blocks += [
            Prose(f"{'; '.join(said_of)}: {because}", quiet=True)
            for because, said_of in reasons.items()
            if because
        ]
    if facts.tests:
        blocks += [
            Heading(t("stock.tests_with_controls")),
            Table(
                (
                    t("stock.test"),
                    t("stock.sample"),
                    t("stock.blank"),
                    t("stock.positive_control"),
                    t("stock.reagent"),
                    t("stock.outcome"),
                ),
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
    blocks += [Heading(t("stock.everything_written_about_it"), folded=True), entries_table(facts.entries)]
    blocks += [ScanCode(lot.code, t("stock.code_jar")), PenLines((t("stock.shelf"), t("stock.opened_on")))]
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
        (
            Table(
                (
                    t("stock.lot"),
                    t("stock.name"),
                    t("stock.kind"),
                    t("stock.on_the_shelf"),
                    t("stock.use_by"),
                    t("stock.status"),
                ),
                rows,
                (3,),
            ),
        )
        if rows
        else (Empty(t("stock.no_lot_shelf_yet"), t("stock.receive_first_plant_spirit")),)
    )
    gaps = tuple(gap_words(one) for one in accounts if one.beyond)
    blocks = (Points(gaps, "missing"), *blocks) if gaps else blocks
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
        shown, label=t("stock.does_not_count", what=entry.body.what), how=f"{entry.body.because} {shown.how}"
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
            t("stock.corrected_by", corrected_by=one.corrected_by)
            if one.corrected_by
            else (
                t("stock.corrects_corrects_why", corrects=one.corrects, why=one.why) if one.corrects else ""
            ),
        )
        for one in entries
    )
    return Table(
        (t("stock.entry"), t("stock.done"), "By", t("stock.kind"), t("stock.what"), t("stock.correction")),
        rows,
    )


def told(body: object) -> str:
    """An entry's body in half a sentence."""
    match body:
        case LotReceived(lot=lot, as_written=text):
            return t("stock.told_lot_name", told=text or "some", lot_name=lot.name)
        case IdentityDecided(accepted=accepted, evidence=evidence):
            return f"{t('stock.accepted') if accepted else t('stock.not_accepted')}: {evidence}"
        case ReadingTaken(what=what, as_written=text):
            return f"{what} {text}"
        case ResultReckoned(what=what, counts=counts):
            return f"{what}{'' if counts else t('stock.does_not_count_after')}"
        case ControlTestRead(test=test, outcome=outcome):
            return f"{test}: {outcome}"
        case StatusDecided(to=to, meaning=meaning):
            return f"{to.value}: {meaning}"
        case BatchBegun(procedure=procedure):
            return t("stock.batch_of", procedure=procedure)
        case BatchGivenUp(why=why, taken_up_again=again):
            return t("stock.taken_up_again") if again else t("stock.given_up", why=why)
        case StepDone(step=step, not_done=True):
            return t("stock.step_not_done", step=step)
        case StepDone(step=step, weighings=weighings):
            return f"{step}: " + ", ".join(f"{one.line} {one.as_written}" for one in weighings)
        case DeviationNoted(what=what):
            return what
        case CeilingStated(as_written=text, product_type=product_type, source=source):
            return t("stock.at_most_in_by", text=text, product_type=product_type, source=source)
        case OutageNoted(what=what, is_back=is_back):
            return f"{what} {'back' if is_back else 'off'}"
        case ConditionNoted(what=what, as_written=text):
            return f"{what} {text}"
        case PriceNoted(of=of, as_written=text):
            return f"{of} {text}"
        case UnitsFilled(units=units):
            return t("stock.bottles_filled", units=units)
        case Moved(why=why):
            return why
        case AnswerKept(title=text):
            return text
        case StockCounted(as_written=text):
            return t("stock.found_on_the_shelf", text=text)
        case LotOpened(note=note):
            return t("stock.opened_which", which=": " + note if note else "")
        case ReagentAllowed(allowed=allowed, why=why):
            return f"{t('stock.may_be_made_here') if allowed else t('stock.not_made_here')}: {why}"
    return ""
