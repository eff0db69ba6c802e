"""The trace report: from any code up to the plant and down to the bottles, and where every gram and bottle is."""

from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Caution,
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
from stillroom.documents.rivers import as_expected, river
from stillroom.planning.outcome import Bend
from stillroom.records.lots import RETAINED, CountedIn, LotKind, Status
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class Leg:
    """One movement of the trace, in words."""

    lot: str
    amount: int
    counted_in: CountedIn
    out_of: str
    into: str


@dataclass(frozen=True, slots=True)
class TraceReport:
    """Everything the trace of a code found."""

    start: str
    is_batch: bool
    up: tuple[LotAccount, ...]
    down: tuple[LotAccount, ...]
    legs: tuple[Leg, ...]
    customers: tuple[tuple[str, str, int], ...]
    """Order, lot and bottles with that customer."""
    extract: str = ""
    """The extract the bottles hold, or that the trace began at."""
    bends: tuple[Bend, ...] = ()
    """The active from the plant into that extract."""
    names: tuple[tuple[str, str], ...] = ()
    """Order and the name of its customer."""
    otherwise: tuple[tuple[str, str, str, str, str], ...] = ()
    """Batch, step, what went otherwise, what was done about it, by whom."""
    late: tuple[tuple[str, str, str, str], ...] = ()
    """Batch, step, when it was done and when it was entered, where these differ."""
    events: tuple[tuple[str, str, str, str], ...] = ()
    """Lot, when, what was decided, changed, told or came back, by whom."""
    unbalanced: tuple[tuple[str, float], ...] = ()
    """Batches whose mass does not close, with what is missing [%]; below zero where more came out."""

    @property
    def products(self) -> tuple[LotAccount, ...]:
        """Lots of product below, in bottles."""
        return tuple(one for one in self.down if one.lot.kind is LotKind.PRODUCT)

    @property
    def units_made(self) -> int:
        """Bottles filled of every product below."""
        return sum(one.came for one in self.products)

    @property
    def units_with_customers(self) -> int:
        """Bottles delivered."""
        return sum(one.standing("customer/") for one in self.products)

    @property
    def units_retained(self) -> int:
        """Bottles kept back."""
        return sum(one.standing(RETAINED) for one in self.products)

    @property
    def units_on_shelf(self) -> int:
        """Bottles on the shelf by the book."""
        return sum(one.shelf for one in self.products)

    @property
    def bottles_close(self) -> bool:
        """Whether every bottle is with a customer, retained, on the shelf or in a named account."""
        return all(one.closes and not one.beyond for one in self.products)

    @property
    def closes(self) -> bool:
        """Whether bottles and masses close, and nothing was used that the book did not have."""
        everything = (*self.up, *self.down)
        return self.bottles_close and not self.unbalanced and not any(one.beyond for one in everything)


def trace_page(report: TraceReport, **page_facts: Unpack[PageFacts]) -> Page:
    """The trace report as a page.

    Parameters
    ----------
    report : TraceReport
    practice : bool
    laboratory, date, book : str
    """
    blocks: list[Block] = []
    if report.bends:
        ends = (
            t("tracing.in_what_was_made")
            if report.products
            else t("tracing.in_extract", extract=report.extract)
        )
        blocks += [river(report.bends, ends=ends, opens=""), as_expected()]
    if report.products:
        blocks += _bottles(report)
    if report.unbalanced:
        said = tuple(
            t(
                "tracing.more_came_out" if missing < 0 else "tracing.less_came_out",
                batch=batch,
                percent=abs(missing),
            )
            for batch, missing in report.unbalanced
        )
        blocks.append(Points(said, "missing"))
    blocks += _masses(t("tracing.down_from_here"), report.down)
    blocks += _masses(t("tracing.up_to_the_plant"), report.up)
    if report.legs:
        bottled = {one.lot.code for one in report.products}
        rows = tuple(
            (
                Link(leg.lot, f"/stock/{leg.lot}"),
                _moved(leg, bottled),
                in_words(leg.out_of),
                in_words(leg.into),
            )
            for leg in report.legs
        )
        blocks += [
            Heading(t("tracing.every_movement_way"), folded=True),
            Table(
                (t("tracing.lot"), t("tracing.amount"), t("tracing.out_of"), t("tracing.into")), rows, (1,)
            ),
        ]
    if report.otherwise:
        blocks += [
            Heading(t("tracing.went_otherwise_way")),
            Table(
                (
                    t("tracing.batch"),
                    t("tracing.step"),
                    t("tracing.what"),
                    t("tracing.done_about_it"),
                    "By",
                ),
                report.otherwise,
            ),
        ]
    if report.events:
        head = ("lot", "when", "what", "by")
        blocks += [
            Heading(t("recall.events")),
            Table(tuple(t(f"recall.{name}") for name in head), report.events),
        ]
    if report.late:
        blocks += [
            Heading(t("tracing.entered_later_than_done")),
            Table(
                (t("tracing.batch"), t("tracing.step"), t("tracing.done"), t("tracing.entered")), report.late
            ),
        ]
    blocks += [
        Heading(t("tracing.if_this_is_a")),
        Caution(
            t("tracing.product_may_harm"),
            t("tracing.complaint_doubt"),
            t("tracing.stop_use_keep_sample"),
        ),
        PenLines(
            (
                t("tracing.decided_by"),
                t("tracing.customers_told_on"),
                t("tracing.bottles_back"),
                t("tracing.closed_on"),
            )
        ),
    ]
    return Page(
        title=t("tracing.trace_of", start=report.start),
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
        return t("tracing.no_bottles_been_filled")
    closes = t("tracing.the_account_closes") if report.closes else t("tracing.account_does_not_close")
    return t(
        "tracing.bottles_customers_shelf_retained",
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
        for one in report.products
    )
    total = (
        t("tracing.together"),
        str(report.units_made),
        str(report.units_with_customers),
        str(report.units_retained),
        str(report.units_on_shelf),
        "closes" if report.bottles_close else t("tracing.does_not_close"),
    )
    blocks: list[Block] = [
        Heading(t("tracing.bottles")),
        Table(
            (
                t("tracing.lot"),
                t("tracing.filled"),
                t("tracing.with_customers"),
                t("tracing.retained"),
                t("tracing.on_the_shelf"),
                t("tracing.status"),
            ),
            (*rows, total),
            (1, 2, 3, 4),
        ),
    ]
    if report.customers:
        blocks += [
            Heading(t("tracing.who_has_them"), 3),
            Table(
                (t("tracing.order"), t("tracing.customer"), t("tracing.lot"), t("tracing.bottles")),
                tuple(
                    (Link(order, f"/orders/{order}"), dict(report.names).get(order, ""), lot, str(units))
                    for order, lot, units in report.customers
                ),
                (3,),
            ),
        ]
    blocked = sum(one.shelf for one in report.products if one.status in (Status.STOPPED, Status.SUSPENDED))
    if blocked:
        blocks.append(Prose(t("tracing.bottles_shelf_blocked_lots", blocked=blocked)))
    return blocks


def _masses(title: str, accounts: tuple[LotAccount, ...]) -> list[Block]:
    shown = [
        one for one in accounts if one.lot.kind is not LotKind.PRODUCT and one.lot.kind is not LotKind.SPENT
    ]
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
                t("tracing.not_counted") if one.found is None else amount_text(one.found, one.counted_in),
                "" if unexplained is None else share_unexplained(one, unexplained),
                Mark(one.status.value),
            )
        )
    blocks: list[Block] = [
        Heading(title),
        Table(
            (
                t("tracing.lot"),
                t("tracing.what"),
                t("tracing.came"),
                t("tracing.book_says_on_shelf"),
                t("tracing.found"),
                t("tracing.unexplained"),
                t("tracing.status"),
            ),
            tuple(rows),
            (2, 3, 4, 5),
        ),
    ]
    went = tuple(
        (Link(one.lot.code, f"/stock/{one.lot.code}"), amount_text(amount, one.counted_in), in_words(account))
        for one in shown
        for account, amount in one.went
    )
    if went:
        blocks.append(
            Table(
                (t("tracing.lot"), t("tracing.amount"), t("tracing.went_into")),
                went,
                (1,),
                t("tracing.what_left_the_shelf", title=title),
            )
        )
    out = (
        *(gap_words(one) for one in shown if one.beyond),
        *(unexplained_words(one, one.unexplained) for one in shown if one.unexplained),
    )
    if out:
        blocks.append(Points(out, "missing"))
    return blocks
