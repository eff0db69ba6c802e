"""Pages of the house itself: bench, tests, products, sources, laboratory."""

from datetime import datetime

from stillroom.actions.dosing import work_out_dose
from stillroom.actions.in_hand import MADE_HERE, NextUp, next_of
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.page_facts import facts_of, page_facts
from stillroom.actions.showing_questions import to_find_out_blocks
from stillroom.actions.suspended import suspended_blocks
from stillroom.actions.timers import timers_of
from stillroom.documents.blocks import (
    Block,
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
from stillroom.documents.lot_accounts import amount_text
from stillroom.documents.put_right import when
from stillroom.records.lots import LotKind, Status
from stillroom.reference.cautions import cautions
from stillroom.reference.files import table_names
from stillroom.reference.sources import sources
from stillroom.reference.tables import table
from stillroom.store.reader import Reader
from stillroom.store.verify import VerifyReport
from stillroom.texts.catalogue import t

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
        blocks: list[Block] = suspended_blocks(look)
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
            blocks += [
                Heading(t("bench.being_made")),
                Table(_heads("batch", "of", "last_written", "by_the_clock"), rows),
            ]
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
            blocks += [
                Heading(t("bench.lots_that_wait")),
                Table(_heads("lot", "name", "since", "status"), rows),
            ]
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
            blocks += [
                Heading(t("bench.orders_without_plan")),
                Table(_heads("order", "product", "bottles", "due"), rows),
            ]
        if not blocks:
            blocks.append(_empty_bench(look))
        blocks += to_find_out_blocks(look)
        return Page(
            t("bench.title"),
            "bench",
            "",
            tuple(blocks),
            **facts_of(look),
            lead=_bench_lead(running),
            href="/bench",
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
                or t("showing_house.nothing_yet"),
                f"{sum(1 for one in look.tests(lot.code) if one.body.outcome != 'no result')}",
                Mark(look.status(lot.code).value),
            )
            for lot in look.lots()
            if lot.kind in TESTED
        )
        block: Block = (
            Table(
                (
                    t("showing_house.lot"),
                    t("showing_house.name"),
                    t("showing_house.results_that_count"),
                    t("showing_house.tests_with_controls"),
                    t("showing_house.status"),
                ),
                rows,
                (3,),
            )
            if rows
            else Empty(
                t("showing_house.nothing_test_yet"),
                t("showing_house.receive_plant_lot_tested"),
                Link(t("showing_house.receive_a_lot"), "/stock/new"),
            )
        )
        lead = t("showing_house.test_counts_only_beside")
        return Page(t("showing_house.test"), "tests", "", (block,), **facts_of(look), lead=lead, href="/test")


def show_products(lab: Laboratory) -> Page:
    """Extracts and products made here, with their papers."""
    with lab.look() as look:
        blocks: list[Block] = []
        for kind, title in (
            (LotKind.PRODUCT, t("showing_house.in_bottles")),
            (LotKind.EXTRACT, t("showing_house.extracts")),
        ):
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
                shelf = (
                    t("showing_house.bottles_left", left=left)
                    if kind is LotKind.PRODUCT
                    else amount_text(left, "ug")
                )
                rows.append(
                    (Link(lot.code, f"/stock/{lot.code}"), lot.name, shelf, Mark(status.value), *papers)
                )
            head = (
                t("showing_house.lot"),
                t("showing_house.name"),
                t("showing_house.on_the_shelf"),
                t("showing_house.status"),
                t("showing_house.release"),
                t("showing_house.certificate"),
            )
            blocks += [
                Heading(title),
                Table(
                    (*head, t("showing_house.label")) if kind is LotKind.PRODUCT else head, tuple(rows), (2,)
                ),
            ]
        if not blocks:
            blocks.append(
                Empty(
                    t("showing_house.nothing_been_made_yet"),
                    t("showing_house.extract_product_stands_once"),
                    Link(t("showing_house.begin_a_batch"), "/make/new"),
                )
            )
        return Page(
            t("showing_house.products"), "products", "", tuple(blocks), **facts_of(look), href="/products"
        )


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
            Table(
                (
                    t("showing_house.code"),
                    t("showing_house.name"),
                    t("showing_house.kind"),
                    t("showing_house.status"),
                ),
                rows,
            )
            if rows
            else Empty(
                t("showing_house.nothing_trace_yet"),
                t("showing_house.every_lot_received_made"),
            )
        )
        lead = t("showing_house.any_code_up_plant")
        return Page(
            t("showing_house.trace"), "trace", "", (block,), **facts_of(look), lead=lead, href="/trace"
        )


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
        Prose(t("showing_house.page_opened_page_read")),
        Table(
            (
                t("showing_house.publication"),
                "In",
                t("showing_house.year"),
                t("showing_house.how_seen"),
                t("showing_house.note"),
            ),
            listed,
        ),
        Heading(t("showing_house.published_tables")),
        Table(
            (
                t("showing_house.table"),
                t("showing_house.what"),
                t("showing_house.rows"),
                t("showing_house.holds_for"),
            ),
            tables,
            (2,),
        ),
        Heading(t("showing_house.cautions")),
        Table((t("showing_house.hazard"), t("showing_house.moment"), t("showing_house.what_to_do")), warned),
    )
    lead = t("showing_house.every_published_figure_behind")
    return Page(t("showing_house.sources"), "sources", "", blocks, **facts, lead=lead, href="/sources")


def show_verified(lab: Laboratory) -> Page:
    """The book proved: its chain, its index, its files and its stocks."""
    report: VerifyReport = lab.book.verify()
    with lab.look() as look:
        facts = facts_of(look)
    blocks: tuple[Block, ...] = (
        Facts(
            (
                (t("showing_house.entries_looked_at"), str(report.entries)),
                (t("showing_house.rows_compared"), str(report.rows)),
                (t("showing_house.digest_of_the_head"), report.digest),
                (t("showing_house.holds"), Mark("met" if report.holds else "not met")),
            )
        ),
        Points(report.troubles, "missing")
        if report.troubles
        else Points((t("showing_house.every_entry_follows_before"),), "done"),
        Prose(
            t("showing_house.proves_book_agrees_head"),
            quiet=True,
        ),
    )
    return Page(
        t("showing_house.the_book_verified"), "book", "", blocks, **facts, href="/laboratory/verified"
    )


def _by_the_clock(look: Reader, one: NextUp, now: datetime) -> str:
    said = (f"{timer.step}: {timer.says}" for timer in timers_of(look, one, now))
    return "; ".join(said) or t("bench.may_wait")


def _bench_lead(running: list[NextUp]) -> str:
    if not running:
        return t("bench.nothing_made")
    return t("bench.one_in_hand" if len(running) == 1 else "bench.many_in_hand", count=len(running))


def _heads(*columns: str) -> tuple[str, ...]:
    return tuple(t(f"bench.{one}") for one in columns)


def _empty_bench(look: Reader) -> Empty:
    if not look.orders():
        return Empty(
            t("bench.clear"),
            t("bench.begin_with_order"),
            Link(t("bench.take_an_order"), "/orders/new"),
        )
    return Empty(t("bench.clear"), t("bench.all_planned"), Link(t("bench.begin_a_batch"), "/make/new"))
