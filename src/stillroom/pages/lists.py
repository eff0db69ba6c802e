"""Pages of the house itself: bench, tests, products, sources, laboratory."""

from datetime import datetime

from stillroom.actions.bench.form_choices import NextUp, next_of
from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.bench.timers import timers_of
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.suspended import suspended_blocks
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
from stillroom.documents.lot_accounts import amount_text
from stillroom.documents.put_right import when
from stillroom.pages.to_find_out import to_find_out_blocks
from stillroom.records.lot_kinds import MADE_AS
from stillroom.records.lots import Status
from stillroom.reference.cautions import cautions
from stillroom.reference.files import table_names
from stillroom.reference.sources import sources
from stillroom.reference.tables import table
from stillroom.store.reader import Reader
from stillroom.store.verify import VerifyReport
from stillroom.texts.catalogue import t


def show_bench(lab: Laboratory) -> Page:
    """What is in hand: batches, lots that wait, and what each open order asks for next."""
    now = lab.clock()
    with lab.look() as look:
        running = [
            one for one in (next_of(look, batch.code) for batch in look.batches()) if one.does != "done"
        ]
        waiting = [
            lot
            for lot in look.lots(status=Status.WAITING)
            if lot.kind.traits.released_on != "nothing" and look.moves(lot.code)
        ]
        in_hand = {one.order for one in running}
        coming = [(one, next_of_order(look, one)) for one in look.orders() if one.code not in in_hand]
        is_open = [(order, after) for order, after in coming if not after.is_done]
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
                Heading(t("Being made")),
                Table((t("Batch"), t("Of"), t("Last written"), t("By the clock")), rows),
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
                Heading(t("Lots that wait")),
                Table((t("Lot"), t("Name"), t("Since"), t("Status")), rows),
            ]
        if is_open:
            rows = tuple(
                (
                    Link(one.code, f"/orders/{one.code}"),
                    one.product,
                    one.due,
                    Link(after.says, after.href),
                )
                for one, after in sorted(is_open, key=lambda pair: pair[0].due)
            )
            blocks += [
                Heading(t("Orders")),
                Table((t("Order"), t("Product"), t("Due"), t("What comes next")), rows),
            ]
        if not blocks:
            blocks.append(_empty_bench(look))
        blocks += to_find_out_blocks(look)
        return Page(
            t("Bench"),
            "bench",
            "",
            tuple(blocks),
            **facts_of(look),
            lead=_bench_lead(running),
            href="/bench",
        )


def show_testing(lab: Laboratory) -> Page:
    """Lots that can be tested, with what is known of each."""
    with lab.look() as look:
        rows = tuple(
            (
                Link(lot.code, f"/test/{lot.code}"),
                lot.name,
                ", ".join(dict.fromkeys(one.body.what for one in look.results(lot.code) if one.body.counts))
                or t("nothing yet"),
                f"{sum(1 for one in look.tests(lot.code) if one.body.outcome != 'no result')}",
                Mark(look.status(lot.code).value),
            )
            for lot in look.lots()
            if {"assay", "controls"} & {*lot.kind.traits.tested_by}
        )
        block: Block = (
            Table(
                (
                    t("Lot"),
                    t("Name"),
                    t("Results that count"),
                    t("Tests with controls"),
                    t("Status"),
                ),
                rows,
                (3,),
            )
            if rows
            else Empty(
                t("There is nothing to test yet."),
                t("Receive a plant lot: it is tested before it is released."),
                Link(t("Receive a lot"), "/stock/new"),
            )
        )
        lead = t("A test counts only beside a blank, a positive control and a reagent in date. Choose a lot.")
        return Page(t("Test"), "tests", "", (block,), **facts_of(look), lead=lead, href="/test")


def show_products(lab: Laboratory) -> Page:
    """Extracts and products made here, with their papers."""
    with lab.look() as look:
        blocks: list[Block] = []
        for kind, title in (
            (MADE_AS["formula"], t("In bottles")),
            (MADE_AS["extraction"], t("Extracts")),
        ):
            lots = look.lots((kind,))
            labelled = "label" in kind.traits.papers
            if not lots:
                continue
            rows: list[tuple[Cell, ...]] = []
            for lot in lots:
                status = look.status(lot.code)
                counted = kind.traits.counted_in == "piece"
                left = look.balance_pieces(lot.code) if counted else look.balance_ug(lot.code)
                papers = [Link("review", f"/products/{lot.code}/release")]
                papers.append(
                    Link("certificate", f"/products/{lot.code}/certificate")
                    if status is Status.RELEASED
                    else Link("–", f"/products/{lot.code}/release")
                )
                if labelled:
                    papers.append(Link("label", f"/products/{lot.code}/label"))
                shelf = t("{left} bottles", left=left) if counted else amount_text(left, "ug")
                rows.append(
                    (Link(lot.code, f"/stock/{lot.code}"), lot.name, shelf, Mark(status.value), *papers)
                )
            head = (
                t("Lot"),
                t("Name"),
                t("On the shelf"),
                t("Status"),
                t("Release"),
                t("Certificate"),
            )
            blocks += [
                Heading(title),
                Table((*head, t("Label")) if labelled else head, tuple(rows), (2,)),
            ]
        if not blocks:
            blocks.append(
                Empty(
                    t("Nothing has been made yet."),
                    t("An extract or a product stands here once its last step is written."),
                    Link(t("Begin a batch"), "/make/new"),
                )
            )
        return Page(t("Products"), "products", "", tuple(blocks), **facts_of(look), href="/products")


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
            t(
                "Page-opened: the page was read. Second-hand: another work quotes it. From memory: "
                "recalled, to be checked."
            )
        ),
        Table(
            (
                t("Publication"),
                "In",
                t("Year"),
                t("How seen"),
                t("Note"),
            ),
            listed,
        ),
        Heading(t("Published tables")),
        Table(
            (
                t("Table"),
                t("What"),
                t("Rows"),
                t("Holds for"),
            ),
            tables,
            (2,),
        ),
        Heading(t("Cautions")),
        Table((t("Hazard"), t("Moment"), t("What to do")), warned),
    )
    lead = t("Every published figure behind a number comes from here.")
    return Page(t("Sources"), "sources", "", blocks, **facts, lead=lead, href="/sources")


def show_verified(lab: Laboratory) -> Page:
    """The book proved: its chain, its index, its files and its stocks."""
    report: VerifyReport = lab.book.verify()
    with lab.look() as look:
        facts = facts_of(look)
    blocks: tuple[Block, ...] = (
        Facts(
            (
                (t("Entries looked at"), str(report.entries)),
                (t("Rows compared"), str(report.rows)),
                (t("Checksum of the last entry"), report.digest),
                (t("Holds"), Mark("met" if report.holds else "not met")),
            )
        ),
        Points(report.troubles, "missing")
        if report.troubles
        else Points(
            (t("Every entry follows the one before it, and every row agrees with its entry."),), "done"
        ),
        Prose(
            t(
                "It proves that the book agrees with its last entry. Compare the checksum with one "
                "that stands on paper."
            ),
            quiet=True,
        ),
    )
    return Page(t("The book, verified"), "book", "", blocks, **facts, href="/laboratory/verified")


def _by_the_clock(look: Reader, one: NextUp, now: datetime) -> str:
    said = (f"{timer.step}: {timer.says}" for timer in timers_of(look, one, now))
    return "; ".join(said) or t("may wait")


def _bench_lead(running: list[NextUp]) -> str:
    if not running:
        return t("Nothing is being made.")
    return t("1 batch in hand." if len(running) == 1 else "{count} batches in hand.", count=len(running))


def _empty_bench(look: Reader) -> Empty:
    if not look.orders():
        return Empty(
            t("The bench is clear."),
            t("Begin with an order of bottles: its plan calculates the plant, the spirit and the hours."),
            Link(t("Take an order"), "/orders/new"),
        )
    return Empty(
        t("The bench is clear."),
        t("Every order is delivered, no lot waits, and no batch is in hand: nothing is left to do."),
        Link(t("Take an order"), "/orders/new"),
    )
