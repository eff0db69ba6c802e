"""The trace report: from any code up to the plant and down to the bottles, and where every gram and bottle is."""

from dataclasses import dataclass
from typing import Literal, Unpack

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
from stillroom.documents.rivers import AS_EXPECTED, river
from stillroom.planning.outcome import Bend
from stillroom.records.lots import RETAINED, SHELF, CountedIn, Lot, LotKind, Status, grams


@dataclass(frozen=True, slots=True)
class LotAccount:
    """Where all of one lot is.

    Attributes
    ----------
    lot : Lot
    status : Status
    counted_in : "ug" or "piece"
    came : int
        Received or made.
    went : tuple of (str, int)
        Account and amount now standing there, the shelf left out.
    shelf : int
        What the book says is on the shelf.
    found : int or None
        What was last counted there.
    """

    lot: Lot
    status: Status
    counted_in: CountedIn
    came: int
    went: tuple[tuple[str, int], ...]
    shelf: int
    found: int | None = None

    @property
    def unexplained(self) -> int | None:
        """Book less shelf; None when nothing was counted."""
        return None if self.found is None else self.shelf - self.found

    @property
    def unexplained_percent(self) -> float | None:
        """Share of the whole lot [%]."""
        return None if self.unexplained is None or not self.came else 100 * self.unexplained / self.came

    @property
    def closes(self) -> bool:
        """Whether everything that came is somewhere."""
        return self.came == self.shelf + sum(amount for _, amount in self.went)

    def standing(self, start: str) -> int:
        """Amount standing in the accounts that begin with ``start``."""
        return sum(amount for account, amount in self.went if account.startswith(start))


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
    def closes(self) -> bool:
        """Whether every bottle is with a customer, retained, on the shelf or in a named account."""
        return all(one.closes for one in self.products)


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
        ends = "in what was made" if report.products else f"in {report.extract}"
        blocks += [river(report.bends, ends=ends, opens=""), AS_EXPECTED]
    if report.products:
        blocks += _bottles(report)
    blocks += _masses("Down from here", report.down)
    blocks += _masses("Up to the plant", report.up)
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
            Heading("Every movement on the way"),
            Table(("Lot", "Amount", "Out of", "Into"), rows, (1,)),
        ]
    if report.otherwise:
        blocks += [
            Heading("What went otherwise on the way"),
            Table(("Batch", "Step", "What", "Done about it", "By"), report.otherwise),
        ]
    if report.late:
        blocks += [
            Heading("Entered later than done"),
            Table(("Batch", "Step", "Done", "Entered"), report.late),
        ]
    blocks += [
        Heading("If this is a recall"),
        Caution(
            "a product that may harm",
            "on a complaint or a doubt",
            "Stop use, keep the sample, note the facts, advise medical help where somebody reacted, look whether your "
            "authority must be told and how fast.",
        ),
        PenLines(("Decided by", "Customers told on", "Bottles back", "Closed on")),
    ]
    return Page(
        title=f"Trace of {report.start}",
        kind="trace report",
        code=report.start,
        blocks=tuple(blocks),
        **page_facts,
        lead=_lead(report),
        href=f"/trace/{report.start}",
    )


def amount_text(amount: int, counted_in: Literal["ug", "piece"]) -> str:
    """Grams to the milligram's worth that matters, or pieces."""
    if counted_in == "piece":
        return f"{amount}"
    mass_g = grams(amount)
    if abs(mass_g) >= 1000:
        return f"{mass_g / 1000:.3f} kg"
    return f"{mass_g:.2f} g" if abs(mass_g) >= 0.1 or mass_g == 0 else f"{mass_g * 1000:.1f} mg"


def in_words(account: str) -> str:
    """An account as a person says it."""
    head, _, tail = account.partition("/")
    if account == "outside/made here":
        return "made here"
    return {
        "batch": f"batch {tail}",
        "customer": f"customer, order {tail}",
        "outside": f"from {tail}",
        "loss": f"lost: {tail}",
        "testing": f"used for tests of {tail}",
        SHELF: "the shelf",
        RETAINED: "retained samples",
        "waste": "waste",
    }.get(head, account)


def _moved(leg: Leg, bottled: set[str]) -> str:
    text = amount_text(leg.amount, leg.counted_in)
    return text if leg.counted_in == "ug" else f"{text} {'bottles' if leg.lot in bottled else 'pieces'}"


def _lead(report: TraceReport) -> str:
    if not report.products:
        return "No bottles have been filled from this."
    closes = (
        "The account closes." if report.closes else "The account does not close: some bottles are nowhere."
    )
    return (
        f"{report.units_made} bottles: {report.units_with_customers} with customers, "
        f"{report.units_on_shelf} on the shelf, "
        f"{report.units_retained} retained. {closes}"
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
        "Together",
        str(report.units_made),
        str(report.units_with_customers),
        str(report.units_retained),
        str(report.units_on_shelf),
        "closes" if report.closes else "does not close",
    )
    blocks: list[Block] = [
        Heading("Bottles"),
        Table(
            ("Lot", "Filled", "With customers", "Retained", "On the shelf", "Status"),
            (*rows, total),
            (1, 2, 3, 4),
        ),
    ]
    if report.customers:
        blocks += [
            Heading("Who has them", 3),
            Table(
                ("Order", "Customer", "Lot", "Bottles"),
                tuple(
                    (Link(order, f"/orders/{order}"), dict(report.names).get(order, ""), lot, str(units))
                    for order, lot, units in report.customers
                ),
                (3,),
            ),
        ]
    blocked = sum(one.shelf for one in report.products if one.status is Status.STOPPED)
    if blocked:
        blocks.append(Prose(f"{blocked} bottles on the shelf are blocked: their lots are stopped."))
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
                "not counted" if one.found is None else amount_text(one.found, one.counted_in),
                ""
                if unexplained is None
                else f"{amount_text(unexplained, one.counted_in)} ({one.unexplained_percent:.2f} %)",
                Mark(one.status.value),
            )
        )
    blocks: list[Block] = [
        Heading(title),
        Table(
            ("Lot", "What", "Came", "Book says on shelf", "Found", "Unexplained", "Status"),
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
        blocks.append(Table(("Lot", "Amount", "Went into"), went, (1,), f"{title}: what left the shelf"))
    out = tuple(_unexplained(one, one.unexplained) for one in shown if one.unexplained)
    if out:
        blocks.append(Points(out, "missing"))
    return blocks


def _unexplained(one: LotAccount, amount: int) -> str:
    if amount < 0:
        more = amount_text(-amount, one.counted_in)
        return f"{one.lot.code}: {more} more are in the jar than on paper. Look for a weighing read or written wrongly."
    return (
        f"{one.lot.code}: {amount_text(amount, one.counted_in)} are on paper but not in the jar. Look for an unwritten "
        "test portion, a spill, or drying; write it as a movement with its reason, or leave it open."
    )
