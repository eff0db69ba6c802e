"""The shelf, and the page of a lot: what it is, where it stands, what was read of it, and all written about it."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Unpack
from urllib.parse import quote

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.book.results_kept import DRYING
from stillroom.actions.lots.lots_made import is_plant_water
from stillroom.actions.lots.spirit_lots import plants_of
from stillroom.actions.releasing.lot_waits import how_long_it_keeps, waits_for
from stillroom.actions.releasing.tracing import account_in_short, accounts_of
from stillroom.actions.shelf.extracts_at_hand import blend_address
from stillroom.actions.shelf.lot_strength import last_read, strength_of_spirit
from stillroom.actions.shelf.plant_described import described
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
from stillroom.documents.plant_dots import plant_href
from stillroom.documents.plant_words import card_facts
from stillroom.documents.put_right import when
from stillroom.evidence.trails import from_trail
from stillroom.pages.paging import EVERYTHING, Wanted, finder, kind_said
from stillroom.records.entries import (
    ControlTestRead,
    Entry,
    ResultReckoned,
)
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import Status
from stillroom.records.plant_entries import PlantDescribed
from stillroom.store.lists import Found
from stillroom.texts.catalogue import t

STOCKED = tuple(
    one.value for one in kinds_that(lambda one: one.made_as != "waste" and one.made_as != "formula")
)
"""Kinds that stand on the page of the shelf."""
MOST_GAPS = 20
MOST_ENTRIES = 30
"""Entries on the page of a lot; the rest stands under their own address. [1]"""
MOST_ACCOUNTS = 20


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
    entries_count: int = 0
    """How many entries there are about it."""
    like: PlantDescribed = field(default_factory=lambda: PlantDescribed(""))
    """What a lot of plant is like."""
    blends: str = ""
    """Address of the question that blends an extract with its like on the shelf."""


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
        *_went(account),
    ]
    if lot.kind.traits.carrier == "plant":
        dried = any(
            one.body.what == DRYING and one.body.counts and not one.corrected_by for one in facts.results
        )
        pairs += card_facts(replace(facts.like, moisture_percent=None) if dried else facts.like)
        pairs.append((t("What this plant gave here"), Link(lot.substance, plant_href(lot.substance))))
    if facts.blends:
        pairs.append((t("Blend it to a strength"), Link(t("with its like on the shelf"), facts.blends)))
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
    if facts.entries_count > len(facts.entries):
        rest = Link(
            t("all {count} entries about it", count=f"{facts.entries_count:,}"),
            f"/entries?about={quote(lot.code)}",
        )
        blocks.append(Facts(((t("Shown are the newest"), rest),)))
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


def _went(account: LotAccount) -> list[tuple[str, Any]]:
    """Where it went, the most first where there are many, and the rest in one sum."""
    others, amount_there = account.in_others
    went = sorted(account.went, key=lambda one: -one[1] if others else one[0])
    pairs: list[tuple[str, Any]] = [
        (in_words(where), amount_text(amount, account.counted_in)) for where, amount in went
    ]
    if others:
        together = amount_text(amount_there, account.counted_in)
        pairs.append(
            (t("in {count} other places", count=others), Link(together, f"/trace/{account.lot.code}"))
        )
    return pairs


def stock_page(
    found: Found,
    wanted: Wanted,
    gaps: Sequence[LotAccount],
    **page_facts: Unpack[PageFacts],
) -> Page:
    """A part of all lots: what stands on the shelf first, the newest before the older."""
    rows = tuple(
        (
            Link(one.code, f"/stock/{one.code}"),
            one.name,
            one.kind,
            amount_text(one.amount, one.counted_in),
            one.day,
            Mark(one.state),
        )
        for one in found.rows
    )
    head = (t("Lot"), t("Name"), t("Kind"), t("On the shelf"), t("Use by"), t("Status"))
    blocks: list[Block] = []
    if gaps:
        blocks.append(Points(tuple(gap_words(one) for one in gaps), "missing"))
    states = tuple(one.value for one in Status)
    blocks += finder(
        wanted, "/stock", len(rows), found.count, kinds=STOCKED, states=states, spellings=found.spellings
    )
    if rows:
        blocks.append(Table(head, rows, (3,)))
    elif not wanted.asks:
        blocks.append(
            Empty(
                t("No lot is on the shelf yet."), t("Receive the first: the plant, the spirit, the bottles.")
            )
        )
    return Page(t("Stock"), "stock", "", tuple(blocks), href=wanted.address("/stock"), **page_facts)


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
            kind_said(one.kind),
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


def show_stock(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """What stands on the shelf, a page at a time; products have a page of their own."""
    kinds = tuple(one for one in wanted.kinds if one in STOCKED) or STOCKED
    with lab.look() as look:
        found = look.standing(
            "lot", kinds=kinds, states=wanted.states, words=wanted.words, first=wanted.first
        )
        beyond = accounts_of(look, look.beyond_the_book()[:MOST_GAPS])
        gaps = [one for one in beyond if one.lot.kind.value in STOCKED]
        return stock_page(found, wanted, gaps, **facts_of(look))


def show_lot(lab: Laboratory, code: str) -> Page:
    """One lot with everything written about it."""
    with lab.look() as look:
        account = account_in_short(look, code, MOST_ACCOUNTS)
        newest, count = look.entries_page(about=code, most=MOST_ENTRIES)
        return lot_page(
            LotFacts(
                account,
                newest[::-1],
                look.results(code),
                look.tests(code),
                waits_for(look, code),
                plants_of(look, code)
                if account.lot.kind.traits.spirit == "recovered" and not is_plant_water(account.lot)
                else (),
                how_long_it_keeps(look, code),
                strength_of_spirit(look, account.lot).says if last_read(look, code) else "",
                count,
                described(look, code),
                blend_address(look, account.lot),
            ),
            **facts_of(look),
        )
