"""Pages of the house itself: bench, a cut of water or power, tests, products, sources, laboratory."""

from datetime import datetime

from stillroom.actions.dosing import work_out_dose
from stillroom.actions.in_hand import MADE_HERE, NextUp, next_of
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.outages import Outage, open_outages
from stillroom.actions.page_facts import facts_of, page_facts
from stillroom.actions.showing_questions import to_find_out_blocks
from stillroom.actions.timers import timers_of
from stillroom.documents.blocks import (
    Block,
    Caution,
    Cell,
    Empty,
    Facts,
    Heading,
    Link,
    Mark,
    Page,
    Points,
    Prose,
    Table,
)
from stillroom.documents.dosing import dose_page
from stillroom.documents.making import when
from stillroom.documents.tracing import amount_text
from stillroom.documents.when_it_stops import when_it_stops
from stillroom.records.lots import LotKind, Status
from stillroom.reference.cautions import caution, cautions
from stillroom.reference.files import table_names
from stillroom.reference.sources import sources
from stillroom.reference.tables import table
from stillroom.store.reader import Reader
from stillroom.store.verify import VerifyReport

WHEN_IT_STOPS = (
    "water-or-power-off",
    "leaving-the-room",
    "bumping",
    "heat-without-cooling",
    "pressure-in-funnel",
    "flammable-vapour",
)
TESTED = (LotKind.PLANT, LotKind.EXTRACT, LotKind.PRODUCT)


def show_bench(lab: Laboratory) -> Page:
    """What is in hand: batches, lots that wait, orders without a plan."""
    now = lab.clock()
    with lab.look() as look:
        running = [
            one for one in (next_of(look, batch.code) for batch in look.batches()) if one.does != "done"
        ]
        waiting = [
            lot
            for lot in look.lots(status=Status.WAITING)
            if lot.kind is not LotKind.SPENT and look.moves(lot.code)
        ]
        unplanned = [order for order in look.orders() if not look.plans(order.code)]
        blocks: list[Block] = []
        rows: tuple[tuple[Cell, ...], ...]
        if running:
            rows = tuple(
                (
                    Link(one.batch, f"/make/{one.batch}"),
                    one.title,
                    when(one.last_done),
                    _by_the_clock(look, one, now),
                )
                for one in running
            )
            blocks += [Heading("Being made"), Table(("Batch", "Of", "Last written", "By the clock"), rows)]
        if waiting:
            rows = tuple(
                (
                    Link(lot.code, f"/stock/{lot.code}"),
                    lot.name,
                    when(look.received_at(lot.code)),
                    Mark("waiting"),
                )
                for lot in waiting
            )
            blocks += [Heading("Lots that wait"), Table(("Lot", "Name", "Since", "Status"), rows)]
        if unplanned:
            rows = tuple(
                (
                    Link(one.code, f"/orders/{one.code}"),
                    one.product,
                    f"{one.units} × {one.nominal_ml:g} mL",
                    one.due,
                )
                for one in unplanned
            )
            blocks += [Heading("Orders without a plan"), Table(("Order", "Product", "Bottles", "Due"), rows)]
        if not blocks:
            blocks.append(_empty_bench(look))
        blocks += to_find_out_blocks(look)
        return Page(
            "Bench", "bench", "", tuple(blocks), **facts_of(look), lead=_bench_lead(running), href="/bench"
        )


def show_power_off(lab: Laboratory) -> Page:
    """What a cut of water or power asks for: heat off first, then what each step in hand needs."""
    with lab.look() as look:
        blocks: list[Block] = [_caution("water-or-power-off")]
        blocks += [Prose(_is_off(one)) for one in open_outages(look)]
        blocks.append(Heading("Then, batch by batch"))
        running = [
            one for one in (next_of(look, batch.code) for batch in look.batches()) if one.does != "done"
        ]
        for one in running:
            begun = look.batch(one.batch)
            step = look.procedure(begun.procedure, begun.version).step(one.step)
            blocks += [
                Heading(f"{one.batch}, {step.name}", 3),
                Prose(f"It stands before or in step {one.number} of {one.of}. {when_it_stops(step.kind)}"),
            ]
            blocks += [
                _caution(key) for key in WHEN_IT_STOPS if key in step.cautions and key != "water-or-power-off"
            ]
        if not running:
            blocks.append(Prose("The book knows of no batch in hand. Look at the bench all the same."))
        blocks += [
            Heading("Before you begin again"),
            Points(
                (
                    "Note below when it went and when it came back: it stands in every batch in hand.",
                    "Refrigerator and oven were off as well: look at what stands in them.",
                )
            ),
        ]
        return Page(
            "Water or power is off",
            "bench",
            "",
            tuple(blocks),
            **facts_of(look),
            href="/bench/power-or-water-off",
        )


def show_dose(lab: Laboratory, batch: str, *, extract: str, scale: str) -> Page:
    """The dose of a batch, worked out and not yet taken."""
    found = work_out_dose(lab, batch, extract, scale=scale)
    return dose_page(found, batch=batch, extract=extract, **page_facts(lab))


def show_testing(lab: Laboratory) -> Page:
    """Lots that can be tested, with what is known of each."""
    with lab.look() as look:
        rows = tuple(
            (
                Link(lot.code, f"/test/{lot.code}"),
                lot.name,
                ", ".join(dict.fromkeys(one.body.what for one in look.results(lot.code) if one.body.counts))
                or "nothing yet",
                f"{sum(1 for one in look.tests(lot.code) if one.body.outcome != 'no result')}",
                Mark(look.status(lot.code).value),
            )
            for lot in look.lots()
            if lot.kind in TESTED
        )
        block: Block = (
            Table(("Lot", "Name", "Results that count", "Tests with controls", "Status"), rows, (3,))
            if rows
            else Empty(
                "There is nothing to test yet.",
                "Receive a plant lot: it is tested before it is released.",
                Link("Receive a lot", "/stock/new"),
            )
        )
        lead = "A test counts only beside a blank, a positive control and a reagent in date. Choose a lot."
        return Page("Test", "tests", "", (block,), **facts_of(look), lead=lead, href="/test")


def show_products(lab: Laboratory) -> Page:
    """Extracts and products made here, with their papers."""
    with lab.look() as look:
        blocks: list[Block] = []
        for kind, title in ((LotKind.PRODUCT, "In bottles"), (LotKind.EXTRACT, "Extracts")):
            lots = look.lots(kind=kind)
            if not lots:
                continue
            rows: list[tuple[Cell, ...]] = []
            for lot in lots:
                status = look.status(lot.code)
                counted_in = "piece" if kind is LotKind.PRODUCT else "ug"
                left = look.balance_pieces(lot.code) if counted_in == "piece" else look.balance_ug(lot.code)
                papers = [Link("review", f"/products/{lot.code}/release")]
                papers.append(
                    Link("certificate", f"/products/{lot.code}/certificate")
                    if status is Status.RELEASED
                    else Link("–", f"/products/{lot.code}/release")
                )
                if kind is LotKind.PRODUCT:
                    papers.append(Link("label", f"/products/{lot.code}/label"))
                shelf = f"{left} bottles" if kind is LotKind.PRODUCT else amount_text(left, "ug")
                rows.append(
                    (Link(lot.code, f"/stock/{lot.code}"), lot.name, shelf, Mark(status.value), *papers)
                )
            head = ("Lot", "Name", "On the shelf", "Status", "Release", "Certificate")
            blocks += [
                Heading(title),
                Table((*head, "Label") if kind is LotKind.PRODUCT else head, tuple(rows), (2,)),
            ]
        if not blocks:
            blocks.append(
                Empty(
                    "Nothing has been made yet.",
                    "An extract or a product stands here once its last step is written.",
                    Link("Begin a batch", "/make/new"),
                )
            )
        return Page("Products", "products", "", tuple(blocks), **facts_of(look), href="/products")


def show_tracing(lab: Laboratory) -> Page:
    """Where a trace begins: any code leads up to the plant and down to the bottles."""
    with lab.look() as look:
        rows = tuple(
            (
                Link(lot.code, f"/trace/{lot.code}"),
                lot.name,
                lot.kind.value,
                Mark(look.status(lot.code).value),
            )
            for lot in look.lots()
            if lot.kind in (LotKind.PLANT, *MADE_HERE)
        )
        block: Block = (
            Table(("Code", "Name", "Kind", "Status"), rows)
            if rows
            else Empty(
                "There is nothing to trace yet.",
                "Every lot that is received or made can be traced from then on.",
            )
        )
        lead = "From any code up to the plant and down to the bottles."
        return Page("Trace", "trace", "", (block,), **facts_of(look), lead=lead, href="/trace")


def show_sources(lab: Laboratory) -> Page:
    """Publications and how each was seen, the tables made from them, the cautions."""
    with lab.look() as look:
        facts = facts_of(look)
    listed = tuple(
        (one.title, one.published_in, str(one.year or ""), one.seen, one.note) for one in sources().values()
    )
    tables = tuple(
        (
            table(name).passport.title,
            table(name).passport.what,
            str(len(table(name).rows)),
            table(name).passport.validity,
        )
        for name in table_names()
    )
    warned = tuple((one.hazard, one.moment, one.wording) for one in cautions().values())
    blocks = (
        Prose(
            "Page-opened: the page was read. Second-hand: another work quotes it. "
            "From memory: recalled, to be checked."
        ),
        Table(("Publication", "In", "Year", "How seen", "Note"), listed),
        Heading("Published tables"),
        Table(("Table", "What", "Rows", "Holds for"), tables, (2,)),
        Heading("Cautions"),
        Prose("Local codes and licensed practice come first."),
        Table(("Hazard", "Moment", "What to do"), warned),
    )
    lead = "Every published figure behind a number comes from here."
    return Page("Sources", "sources", "", blocks, **facts, lead=lead, href="/sources")


def show_verified(lab: Laboratory) -> Page:
    """The book proved: its chain, its index, its files and its stocks."""
    report: VerifyReport = lab.book.verify()
    with lab.look() as look:
        facts = facts_of(look)
    blocks: tuple[Block, ...] = (
        Facts(
            (
                ("Entries looked at", str(report.entries)),
                ("Rows compared", str(report.rows)),
                ("Digest of the head", report.digest),
                ("Holds", Mark("met" if report.holds else "not met")),
            )
        ),
        Points(report.troubles, "missing")
        if report.troubles
        else Points(("Every entry follows the one before it, and every row agrees with its entry.",), "done"),
        Prose(
            "It proves that the book agrees with its head. Compare the digest with one that stands on paper.",
            quiet=True,
        ),
    )
    return Page("The book, verified", "book", "", blocks, **facts, href="/laboratory/verified")


def _by_the_clock(look: Reader, one: NextUp, now: datetime) -> str:
    said = (f"{timer.step}: {timer.says}" for timer in timers_of(look, one, now))
    return "; ".join(said) or "may wait"


def _is_off(one: Outage) -> str:
    return f"{one.what.capitalize()} is off since {when(one.off_at)}, noted by {one.off_by}."


def _bench_lead(running: list[NextUp]) -> str:
    if not running:
        return "Nothing is being made."
    return f"{len(running)} batch{'es' if len(running) > 1 else ''} in hand."


def _empty_bench(look: Reader) -> Empty:
    if not look.orders():
        return Empty(
            "The bench is clear.",
            "Begin with an order of bottles: it is worked back to the plant, the spirit and the hours.",
            Link("Take an order", "/orders/new"),
        )
    return Empty(
        "The bench is clear.",
        "Every order has its plan, no lot waits, and no batch is in hand.",
        Link("Begin a batch", "/make/new"),
    )


def _caution(key: str) -> Caution:
    found = caution(key)
    return Caution(found.hazard, found.moment, found.wording, found.defers)
