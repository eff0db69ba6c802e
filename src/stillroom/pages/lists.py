"""Pages of the house itself: bench, tests, products, sources, laboratory."""

from datetime import datetime

from stillroom.actions.bench.form_choices import NextUp, next_ahead, next_of
from stillroom.actions.bench.next_of_order import next_of_order, orders_ahead
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
from stillroom.pages.goods import goods_blocks
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.pages.to_find_out import to_find_out_blocks
from stillroom.records.lot_kinds import MADE_AS, LotKind, kinds_that
from stillroom.records.lots import Status
from stillroom.reference.cautions import cautions
from stillroom.reference.files import table_names
from stillroom.reference.sources import sources
from stillroom.reference.tables import table
from stillroom.store.lists import Found, Standing
from stillroom.store.reader import Reader
from stillroom.store.verify import VerifyReport
from stillroom.texts.catalogue import t

DECIDED = tuple(one.value for one in kinds_that(lambda one: one.released_on != "nothing"))
"""Kinds that somebody decides about."""
MOST_ORDERS = 20
"""Open orders whose next step the bench works out. [1]"""


def show_bench(lab: Laboratory) -> Page:
    """What is in hand: batches, lots that wait, and what each open order asks for next."""
    now = lab.clock()
    with lab.look() as look:
        in_work = look.standing("batch", states=("running",))
        next_ahead(look, in_work.codes)
        running = [next_of(look, one) for one in in_work.codes[::-1]]
        waiting = look.standing("lot", kinds=DECIDED, states=(Status.WAITING.value,), ahead=True)
        in_hand = {one.order for one in running}
        orders = look.standing("order", states=("open",), most=MOST_ORDERS)
        orders_ahead(look, orders.codes)
        coming = [
            (one, next_of_order(look, one)) for one in look.orders_of(orders.codes) if one.code not in in_hand
        ]
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
            blocks += _rest(in_work, "/make?state=running")
        if under_way := look.goods_under_way():
            blocks += [Heading(t("Goods under way")), *goods_blocks(under_way, now.date())]
        if waiting.rows:
            came = look.done_on(tuple(one.entry_no for one in waiting.rows))
            rows = tuple(
                (Link(one.code, f"/stock/{one.code}"), one.name, when(came[one.entry_no]), Mark("waiting"))
                for one in waiting.rows[::-1]
            )
            blocks += [
                Heading(t("Lots that wait")),
                Table((t("Lot"), t("Name"), t("Since"), t("Status")), rows),
                *_rest(waiting, "/stock?state=waiting"),
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
                *_rest(orders, "/orders?state=open"),
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
            lead=_bench_lead(in_work.count),
            href="/bench",
        )


TESTED = tuple(one.value for one in kinds_that(lambda one: bool({"assay", "controls"} & {*one.tested_by})))
"""Kinds that stand on the page of tests."""
MADE = (MADE_AS["formula"], MADE_AS["extraction"])
"""Kinds that stand on the page of products."""
_STATES = tuple(one.value for one in Status)


def show_testing(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Lots that can be tested, with what is known of each, a page at a time."""
    kinds = tuple(one for one in wanted.kinds if one in TESTED) or TESTED
    with lab.look() as look:
        found = look.standing(
            "lot", kinds=kinds, states=wanted.states, words=wanted.words, first=wanted.first
        )
        results, tests = look.results_of(found.codes), look.tests_of(found.codes)
        rows = tuple(
            (
                Link(one.code, f"/test/{one.code}"),
                one.name,
                ", ".join(results.get(one.code, ())) or t("nothing yet"),
                str(tests.get(one.code, 0)),
                Mark(one.state),
            )
            for one in found.rows
        )
        blocks: list[Block] = [
            *finder(
                wanted,
                "/test",
                len(rows),
                found.count,
                kinds=TESTED,
                states=_STATES,
                spellings=found.spellings,
            )
        ]
        head = (t("Lot"), t("Name"), t("Results that count"), t("Tests with controls"), t("Status"))
        if rows:
            blocks.append(Table(head, rows, (3,)))
        elif not wanted.asks:
            blocks.append(
                Empty(
                    t("There is nothing to test yet."),
                    t("Receive a plant lot: it is tested before it is released."),
                    Link(t("Receive a lot"), "/stock/new"),
                )
            )
        lead = t("A test counts only beside a blank, a positive control and a reagent in date. Choose a lot.")
        href = wanted.address("/test")
        return Page(t("Test"), "tests", "", tuple(blocks), **facts_of(look), lead=lead, href=href)


def show_products(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Extracts and products made here, with their papers, a page at a time."""
    made = tuple(one.value for one in MADE)
    kinds = tuple(one for one in wanted.kinds if one in made) or made
    with lab.look() as look:
        found = look.standing(
            "lot", kinds=kinds, states=wanted.states, words=wanted.words, first=wanted.first
        )
        blocks: list[Block] = [
            *finder(
                wanted, "/products", len(found.rows), found.count, kinds=made, states=_STATES,
                spellings=found.spellings,
            )
        ]  # fmt: skip
        for kind, title in zip(MADE, (t("In bottles"), t("Extracts")), strict=True):
            if rows := [_with_papers(one) for one in found.rows if one.kind == kind.value]:
                head = (
                    t("Lot"), t("Name"), t("On the shelf"), t("Status"), t("Release"), t("Certificate"),
                    *((t("Label"),) if "label" in kind.traits.papers else ()),
                )  # fmt: skip
                blocks += [Heading(title), Table(head, tuple(rows), (2,))]
        if not found.count and not wanted.asks:
            blocks.append(
                Empty(
                    t("Nothing has been made yet."),
                    t("An extract or a product stands here once its last step is written."),
                    Link(t("Begin a batch"), "/make/new"),
                )
            )
        href = wanted.address("/products")
        return Page(t("Products"), "products", "", tuple(blocks), **facts_of(look), href=href)


def _with_papers(one: Standing) -> tuple[Cell, ...]:
    """A lot that was made, with what can be printed of it."""
    traits = LotKind(one.kind).traits
    released = one.state == Status.RELEASED.value
    papers = [Link("review", f"/products/{one.code}/release")]
    papers.append(
        Link("certificate", f"/products/{one.code}/certificate")
        if released
        else Link("–", f"/products/{one.code}/release")
    )
    if "label" in traits.papers:
        papers.append(Link("label", f"/products/{one.code}/label"))
    counted = traits.counted_in == "piece"
    shelf = t("{left} bottles", left=one.amount) if counted else amount_text(one.amount, "ug")
    return (Link(one.code, f"/stock/{one.code}"), one.name, shelf, Mark(one.state), *papers)


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
        *(Prose(f"{one}.") for one in (report.advice, report.untold) if one),
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


def _rest(found: Found, href: str) -> list[Block]:
    """Where the rest of a list stands that the bench does not show whole."""
    if found.count == len(found.rows):
        return []
    return [
        Facts(
            (
                (
                    t("Shown are {shown}", shown=len(found.rows)),
                    Link(t("all {count}", count=found.count), href),
                ),
            )
        )
    ]


def _bench_lead(running: int) -> str:
    if not running:
        return t("Nothing is being made.")
    return t("1 batch in hand." if running == 1 else "{count} batches in hand.", count=running)


def _empty_bench(look: Reader) -> Empty:
    if not look.standing("order").count:
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
