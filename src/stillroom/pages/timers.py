"""What stands and waits in the batches in hand, with every wait on one page."""

from collections.abc import Sequence

from stillroom.actions.bench.form_choices import in_hand, next_of
from stillroom.actions.bench.timers import timers_of
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.watching.run_watched import watch_timer
from stillroom.documents.blocks import Block, Cell, Empty, Link, Page, Points, Prose, Table
from stillroom.documents.timers import Timer, clock
from stillroom.texts.catalogue import t


def timers_page(timers: Sequence[Timer], *, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """Every wait of every batch in hand."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            Link(one.batch, f"/make/{one.batch}"),
            one.step,
            t("if begun {when}", when=clock(one.since)) if one.supposed else clock(one.since),
            clock(one.ready) if one.ready else "",
            clock(one.no_later) if one.no_later else t("not limited"),
            Link(t("into a calendar"), f"/bench/timers/{one.batch}.ics") if one.ready or one.no_later else "",
        )
        for one in timers
    )
    blocks: list[Block] = []
    if rows:
        blocks += [
            Table(
                (
                    t("Batch"),
                    t("Step"),
                    t("Since"),
                    t("Ready"),
                    t("No later than"),
                    t("Take it along"),
                ),
                rows,
            ),
            Prose(
                t(
                    "A phone that sleeps does not ring for this page. Take it into the phone's calendar, "
                    "or set a kitchen timer."
                )
            ),
        ]
    else:
        blocks.append(
            Empty(t("Nothing stands and waits."), t("A wait begins when a step that has one is written."))
        )
    cuts = tuple(f"{one.batch}, {one.step}: {cut}" for one in timers for cut in one.cuts)
    if cuts:
        blocks.append(Points(cuts, "missing"))
    return Page(
        t("Timers"), "timers", "", tuple(blocks), practice, laboratory, date, book, href="/bench/timers"
    )


def show_timers(lab: Laboratory) -> Page:
    """Every wait of every batch in hand."""
    with lab.look() as look:
        found = tuple(
            timer
            for code in in_hand(look)
            for timer in (
                *timers_of(look, next_of(look, code), lab.clock()),
                *(one for one in (watch_timer(look, code),) if one is not None),
            )
        )
        return timers_page(found, **facts_of(look))
