"""The trace report: from any code up to the plant and down to the bottles, and where every gram and bottle is."""

from itertools import islice
from typing import Unpack

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of, page_facts
from stillroom.actions.releasing.tracing import MOST_TOLD, Leg, TraceReport, trace
from stillroom.documents.blocks import (
    Block,
    Caution,
    Empty,
    Heading,
    Link,
    Mark,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Table,
)
from stillroom.documents.lot_accounts import (
    LotAccount,
    amount_text,
    gap_words,
    in_words,
    share_unexplained,
    unexplained_words,
)
from stillroom.documents.stream_diagram import as_expected, river
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import RETAINED, Status
from stillroom.texts.catalogue import t


def trace_page(report: TraceReport, **page_facts: Unpack[PageFacts]) -> Page:
    """The trace report as a page."""
    blocks: list[Block] = []
    if not report.is_whole:
        blocks.append(
            Points(
                (
                    t(
                        "{lots} lots and {batches} batches are connected with this. Sums are of all of them; tables, "
                        "deviations, events and balances of the last {told}. Trace one of them for its whole "
                        "report, or take everything out as a table.",
                        lots=f"{len(report.down) + len(report.up):,}",
                        batches=f"{report.batches:,}",
                        told=MOST_TOLD,
                    ),
                ),
                "missing",
            )
        )
    if report.held_behind:
        held = tuple(
            t(
                "{code}, {name}, stands behind this and is {status}: {why}",
                code=one.lot.code, name=one.lot.name, status=t(one.status.value), why=why,
            )
            for one, why in report.held_behind
        )  # fmt: skip
        blocks.append(Points(held, "missing"))
    if report.bends:
        ends = t("in what was made") if report.products else t("in {extract}", extract=report.extract)
        blocks += [river(report.bends, ends=ends, opens=""), as_expected()]
    if report.products:
        blocks += _bottles(report)
    if report.unbalanced:
        said = tuple(
            t(
                (
                    "{batch}: {percent:.2f} % more came out than went in. The account does "
                    "not close: look for a weighing that is wrong."
                )
                if missing < 0
                else (
                    "{batch}: {percent:.2f} % of what went in did not come out. The "
                    "account does not close: look for what was not weighed."
                ),
                batch=batch,
                percent=abs(missing),
            )
            for batch, missing in report.unbalanced
        )
        blocks.append(Points(said, "missing"))
    bottles = bool(report.products)  # who has them is the answer, where there are any
    blocks += _masses(t("Down from here"), report.down, folded=bottles)
    blocks += _masses(t("Up to the plant"), report.up, folded=bottles)
    if report.legs:
        bottled = {one.lot.code for one in report.products}
        rows = tuple(
            (
                Link(leg.lot, f"/stock/{leg.lot}"),
                _moved(leg, bottled),
                in_words(leg.out_of),
                in_words(leg.into),
            )
            for leg in report.legs[-3 * MOST_TOLD :]
        )
        blocks += [
            Heading(t("Every movement on the way"), folded=True),
            Table((t("Lot"), t("Amount"), t("Out of"), t("Into")), rows, (1,)),
        ]
    if report.otherwise:
        blocks += [
            Heading(t("Deviations on the way")),
            Table(
                (
                    t("Batch"),
                    t("Step"),
                    t("What"),
                    t("Done about it"),
                    "By",
                ),
                report.otherwise,
            ),
        ]
    if report.events:
        head = (t("Lot"), t("When"), t("What"), t("By"))
        blocks += [
            Heading(t("Released, suspended, told, returned")),
            Table(head, report.events),
        ]
    if report.late:
        blocks += [
            Heading(t("Entered later than done"), folded=True),
            Table((t("Batch"), t("Step"), t("Done"), t("Entered")), report.late),
        ]
    blocks += [
        Heading(t("If this is a recall")),
        Caution(
            t("a product that may harm"),
            t("on a complaint or a doubt"),
            t(
                "Stop use, keep the sample, note the facts, advise medical help where somebody "
                "reacted, look whether your authority must be told and how fast."
            ),
        ),
        PenLines(
            (
                t("Decided by"),
                t("Customers told on"),
                t("Bottles back"),
                t("Closed on"),
            )
        ),
    ]
    return Page(
        title=t("Trace of {start}", start=report.start),
        kind="trace report",
        code=report.start,
        blocks=tuple(blocks),
        **page_facts,
        lead=_lead(report),
        href=f"/trace/{report.start}",
    )


def _moved(leg: Leg, bottled: set[str]) -> str:
    text = amount_text(leg.amount, leg.counted_in)
    return text if leg.counted_in == "ug" else f"{text} {'bottles' if leg.lot in bottled else 'pieces'}"


def _lead(report: TraceReport) -> str:
    if not report.products:
        return t("No bottles have been filled from this.")
    stands = [one for one in report.products if one.status is not Status.RELEASED]
    held = "".join(
        t("{lot} is {status}. ", lot=one.lot.code, status=one.status.value) for one in stands[-MOST_TOLD:]
    )
    closes = t("The account closes.") if report.closes else t("The account does not close.")
    gone = report.units_made - report.units_with_customers - report.units_on_shelf - report.units_retained
    return held + t(
        "{units_made} filled: {units_with_customers} with customers, {units_on_shelf} on "
        "the shelf, {units_retained} retained{elsewhere}. {closes}",
        elsewhere=t(", {gone} came back or thrown away", gone=gone) if gone > 0 and report.closes else "",
        units_made=report.units_made,
        units_with_customers=report.units_with_customers,
        units_on_shelf=report.units_on_shelf,
        units_retained=report.units_retained,
        closes=closes,
    )


def _bottles(report: TraceReport) -> list[Block]:
    rows = tuple(
        (
            Link(one.lot.code, f"/stock/{one.lot.code}"),
            str(one.came),
            str(one.standing("customer/")),
            str(one.standing(RETAINED)),
            str(one.shelf),
            Mark(one.status.value),
        )
        for one in report.products[-MOST_TOLD:]
    )
    total = (
        t("Together"),
        str(report.units_made),
        str(report.units_with_customers),
        str(report.units_retained),
        str(report.units_on_shelf),
        "closes" if report.bottles_close else t("does not close"),
    )
    blocks: list[Block] = [
        Heading(t("Bottles")),
        Table(
            (
                t("Lot"),
                t("Filled"),
                t("With customers"),
                t("Retained"),
                t("On the shelf"),
                t("Status"),
            ),
            (*rows, total),
            (1, 2, 3, 4),
        ),
    ]
    if report.returned:
        blocks += _who_had_them(report)
    elif report.customers:
        blocks += [
            Heading(t("Who has them"), 3),
            Table(
                (t("Order"), t("Customer"), t("Lot"), t("Bottles")),
                tuple(
                    (Link(order, f"/orders/{order}"), dict(report.names).get(order, ""), lot, str(units))
                    for order, lot, units in report.customers[-MOST_TOLD:]
                ),
                (3,),
            ),
        ]
    blocked = sum(one.shelf for one in report.products if one.status in (Status.STOPPED, Status.SUSPENDED))
    if blocked:
        blocks.append(
            Prose(t("Blocked on the shelf, for their lots are stopped: {blocked}.", blocked=blocked))
        )
    return blocks


def _who_had_them(report: TraceReport) -> list[Block]:
    """Who had bottles, how many came back and how many are there now, where any came back."""
    has = {(order, lot): units for order, lot, units in report.customers}
    back = {(order, lot): units for order, lot, units in report.returned}
    names = dict(report.names)
    rows = tuple(
        (
            Link(order, f"/orders/{order}"),
            names.get(order, ""),
            lot,
            str(has.get((order, lot), 0) + back.get((order, lot), 0)),
            str(back.get((order, lot), 0)),
            str(has.get((order, lot), 0)),
        )
        for order, lot in dict.fromkeys((*has, *back))
    )
    head = (t("Order"), t("Customer"), t("Lot"), t("Had"), t("Came back"), t("Has now"))
    return [
        Heading(t("Who had them, and how many came back"), 3),
        Table(head, rows, (3, 4, 5)),
    ]


def _masses(title: str, accounts: tuple[LotAccount, ...], *, folded: bool) -> list[Block]:
    shown = [one for one in accounts if one.lot.kind.traits.made_as not in ("formula", "waste")]
    shown = shown[:1] + shown[1:][-MOST_TOLD:]
    if not shown:
        return []
    rows = []
    for one in shown:
        unexplained = one.unexplained
        rows.append(
            (
                Link(one.lot.code, f"/stock/{one.lot.code}"),
                one.lot.name,
                amount_text(one.came, one.counted_in),
                amount_text(one.shelf, one.counted_in),
                t("not counted") if one.found is None else amount_text(one.found, one.counted_in),
                "" if unexplained is None else share_unexplained(one, unexplained),
                Mark(one.status.value),
            )
        )
    out = (
        *(gap_words(one) for one in shown if one.beyond),
        *(unexplained_words(one, one.unexplained) for one in shown if one.unexplained),
    )
    blocks: list[Block] = [
        *([Points(out, "missing")] if out else []),
        Heading(title, folded=folded),
        Table(
            (
                t("Lot"),
                t("What"),
                t("Came"),
                t("Book says on shelf"),
                t("Found"),
                t("Unexplained"),
                t("Status"),
            ),
            tuple(rows),
            (2, 3, 4, 5),
        ),
    ]
    told = ((one, account, amount) for one in shown for account, amount in one.went[-MOST_TOLD:])
    went = tuple(
        (Link(one.lot.code, f"/stock/{one.lot.code}"), amount_text(amount, one.counted_in), in_words(account))
        for one, account, amount in islice(told, 3 * MOST_TOLD)
    )
    if went:
        blocks.append(
            Table(
                (t("Lot"), t("Amount"), t("Went into")),
                went,
                (1,),
                t("{title}: what left the shelf", title=title),
            )
        )
    return blocks


def show_trace(lab: Laboratory, code: str) -> Page:
    """The trace of a code as a page."""
    return trace_page(trace(lab, code), **page_facts(lab))


TRACED = tuple(one.value for one in kinds_that(lambda one: one.traced))
"""Kinds that stand where a trace begins."""


def show_tracing(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Where a trace begins: any code leads up to the plant and down to the bottles."""
    kinds = tuple(one for one in wanted.kinds if one in TRACED) or TRACED
    with lab.look() as look:
        found = look.standing(
            "lot", kinds=kinds, states=wanted.states, words=wanted.words, first=wanted.first
        )
        rows = tuple(
            (Link(one.code, f"/trace/{one.code}"), one.name, one.kind, Mark(one.state)) for one in found.rows
        )
        states = tuple(one.value for one in Status)
        blocks: list[Block] = [
            *finder(
                wanted,
                "/trace",
                len(rows),
                found.count,
                kinds=TRACED,
                states=states,
                spellings=found.spellings,
            )
        ]
        if rows:
            blocks.append(Table((t("Code"), t("Name"), t("Kind"), t("Status")), rows))
        elif not wanted.asks:
            blocks.append(
                Empty(
                    t("There is nothing to trace yet."),
                    t("Every lot that is received or made can be traced from then on."),
                )
            )
        lead = t("From any code up to the plant and down to the bottles.")
        href = wanted.address("/trace")
        return Page(t("Trace"), "trace", "", tuple(blocks), **facts_of(look), lead=lead, href=href)
