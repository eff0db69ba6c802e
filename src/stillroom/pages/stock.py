"""The shelf, and the page of a lot: what it is, where it stands, what was read of it, and all written about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Unpack

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.lots.spirit_lots import plants_of
from stillroom.actions.releasing.lot_waits import how_long_it_keeps, waits_for
from stillroom.actions.releasing.tracing import account_of
from stillroom.actions.shelf.lot_strength import last_read, strength_of_spirit
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
from stillroom.documents.entry_words import told
from stillroom.documents.lot_accounts import LotAccount, amount_text, gap_words, in_words
from stillroom.documents.numbers_shown import show
from stillroom.documents.put_right import when
from stillroom.evidence.trails import from_trail
from stillroom.records.entries import (
    ControlTestRead,
    Entry,
    ResultReckoned,
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
    strength: str = ""
    """How strong spirit was read to be, in words."""


def lot_page(facts: LotFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """The page of one lot."""
    lot, account = facts.account.lot, facts.account
    pairs: list[tuple[str, Any]] = [
        (t("What"), f"{lot.name} ({lot.kind})"),
        (t("Owner"), lot.owner),
        (
            t("Came from"),
            Link(t("batch {made_by}", made_by=lot.made_by), f"/make/{lot.made_by}")
            if lot.made_by
            else lot.supplier or t("not stated"),
        ),
        (t("Came"), amount_text(account.came, account.counted_in)),
        (t("On the shelf"), amount_text(account.shelf, account.counted_in)),
        *((in_words(where), amount_text(amount, account.counted_in)) for where, amount in account.went),
    ]
    if lot.stated:
        pairs.append((t("Label says"), lot.stated))
    if facts.strength:
        pairs.append((t("Strength"), facts.strength))
    if facts.plants:
        pairs.append(
            (t("Remembers"), t("{plants}: used for that plant only", plants=" and ".join(facts.plants)))
        )
    if lot.denatured_with:
        pairs.append((t("Denatured with"), lot.denatured_with))
    if lot.use_by:
        pairs.append((t("Use by"), lot.use_by))
    blocks: list[Block] = [Facts(tuple(pairs))]
    if account.beyond:
        blocks.append(Points((gap_words(account),), "missing"))
    if facts.to_do:
        blocks += [Heading(t("What it waits for")), Points(facts.to_do, "missing")]
    if facts.keeps:
        blocks += [Heading(t("How long it keeps")), Points(facts.keeps)]
    standing = [entry for entry in facts.results if entry.corrected_by is None]
    if standing:
        blocks += [Heading(t("Results")), Numbers(tuple(result_shown(entry) for entry in standing))]
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
            Heading(t("Tests with controls")),
            Table(
                (
                    t("Test"),
                    t("Sample"),
                    t("Blank"),
                    t("Positive control"),
                    t("Reagent"),
                    t("Outcome"),
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
    blocks += [Heading(t("Everything written about it"), folded=True), entries_table(facts.entries)]
    blocks += [ScanCode(lot.code, t("the code on the jar")), PenLines((t("Shelf"), t("Opened on")))]
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
                    t("Lot"),
                    t("Name"),
                    t("Kind"),
                    t("On the shelf"),
                    t("Use by"),
                    t("Status"),
                ),
                rows,
                (3,),
            ),
        )
        if rows
        else (
            Empty(
                t("No lot is on the shelf yet."), t("Receive the first: the plant, the spirit, the bottles.")
            ),
        )
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
        shown,
        label=t("{what} (does not count)", what=entry.body.what),
        how=f"{entry.body.because} {shown.how}",
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
            t("corrected by {corrected_by}", corrected_by=one.corrected_by)
            if one.corrected_by
            else (
                t("corrects {corrects}: {why}", corrects=one.corrects, why=one.why) if one.corrects else ""
            ),
        )
        for one in entries
    )
    return Table(
        (t("Entry"), t("Done"), "By", t("Kind"), t("What"), t("Correction")),
        rows,
    )


def show_stock(lab: Laboratory, *, products: bool = False) -> Page:
    """Every lot on the shelf; products alone when asked."""
    with lab.look() as look:
        accounts = [
            account_of(look, lot.code)
            for lot in look.lots()
            if (made := lot.kind.traits.made_as) != "waste" and (made == "formula") == products
        ]
        title, href = (t("Products"), "/products") if products else (t("Stock"), "/stock")
        return stock_page(accounts, title=title, href=href, **facts_of(look))


def show_lot(lab: Laboratory, code: str) -> Page:
    """One lot with everything written about it."""
    with lab.look() as look:
        account = account_of(look, code)
        return lot_page(
            LotFacts(
                account,
                look.entries(subject=code, corrected=True),
                look.results(code),
                look.tests(code),
                waits_for(look, code),
                plants_of(look, code) if account.lot.kind.traits.spirit == "recovered" else (),
                how_long_it_keeps(look, code),
                strength_of_spirit(look, account.lot).says if last_read(look, code) else "",
            ),
            **facts_of(look),
        )
