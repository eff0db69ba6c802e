"""The account of spirit of a month, as a page and as the register that is signed: kilograms of ethanol.

Promises the same figures on both, each with where it comes from. Reckons nothing but sums of what it is given.
"""

from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Cell,
    Empty,
    Facts,
    Heading,
    Link,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.stream.ethanol_month import ASKED_ABOVE, EthanolMonth, Flow
from stillroom.texts.catalogue import t

SHOWN_KG = 0.0005
"""Less than half a gram is nothing on this page."""


@dataclass(frozen=True, slots=True)
class SpiritMonth:
    """The account of a month with what it asks.

    Attributes
    ----------
    account : EthanolMonth
    unknown : tuple of str
        Sentences about lots whose strength nobody says.
    counts : tuple of (str, float)
        Lots counted in the month, and the ethanol missing there. [kg]
    by_model : tuple of str
        Lots on the shelf whose strength is only reckoned.
    months : tuple of str
        Months in which spirit moved.
    """

    account: EthanolMonth
    unknown: tuple[str, ...]
    counts: tuple[tuple[str, float], ...]
    by_model: tuple[str, ...]
    months: tuple[str, ...]

    @property
    def questions(self) -> tuple[str, ...]:
        """What the account asks; none when it closes."""
        asked = [
            t(
                "spirit_month.batch_ethanol_more",
                batch=one.batch,
                sentence=one.whole.sentence,
                asked_above=100 * ASKED_ABOVE,
            )
            for one in self.account.batches
            if one.whole is not None and one.is_asked_about
        ]
        asked += [
            t(
                "spirit_month.ethanol_found_book_says",
                lot=lot,
                kg=abs(kg),
                which=t("spirit_month.less") if kg > 0 else t("spirit_month.more"),
            )
            for lot, kg in self.counts
        ]
        return (*asked, *self.unknown)


def month_in_words(month: str) -> str:
    """A month for people: "March 2027".

    Parameters
    ----------
    month : str
        "2027-03".
    """
    year, _, number = month.partition("-")
    return f"{t(f'month.month_{int(number)}')} {year}"


def spirit_month_page(found: SpiritMonth, *, running: bool, **page_facts: Unpack[PageFacts]) -> Page:
    """The account of a month.

    Parameters
    ----------
    found : SpiritMonth
    running : bool
        Whether the month is not over yet.
    **page_facts
        As on every page.
    """
    account = found.account
    words = month_in_words(account.month)
    blocks: list[Block] = []
    if account.is_empty:
        blocks.append(Empty(t("spirit_month.no_spirit_month"), t("spirit_month.counted_day_lot_spirit")))
    else:
        blocks += _verdict(found, running)
        blocks += [
            Heading(t("spirit_month.the_month")),
            _summary(account),
            *_batches(account),
            *_shelf(account),
            Heading(t("spirit_month.signed")),
            PenLines(
                (
                    t("spirit_month.drawn_up_by_date"),
                    t("spirit_month.checked_by_date"),
                    t("spirit_month.differences_explained_by"),
                )
            ),
            *_losses(account),
            *_lines(account),
            *_how(found),
        ]
    others = [one for one in found.months if one != account.month]
    if others:
        links: tuple[tuple[str, Cell], ...] = tuple(
            (month_in_words(one), Link(t("spirit_month.its_account"), f"/spirit/{one}")) for one in others
        )
        blocks += [Heading(t("spirit_month.other_months")), Facts(links)]
    blocks += [caution_block("spirit-law"), caution_block("methanol")]
    return Page(
        title=t("spirit_month.spirit_account", words=words),
        kind="spirit account",
        code=account.month,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("spirit_month.kilograms_ethanol_read_off")
        + (t("spirit_month.the_month_runs") if running else ""),
        href=f"/spirit/{account.month}",
    )


def _verdict(found: SpiritMonth, running: bool) -> tuple[Block, ...]:
    account = found.account
    used_g = account.sum_g("used")
    if found.questions:
        return (Points(found.questions, "missing"),)
    so_far = t("spirit_month.so_far_it") if running else "It"
    if not used_g:
        return (Points((t("spirit_month.closes_no_spirit_used", so_far=so_far),), "done"),)
    share = 100.0 * account.unexplained_g / used_g
    told = t("spirit_month.used_unexplained", unexplained_g=_kg(account.unexplained_g), share=share)
    return (Points((t("spirit_month.closes_so_far_told", so_far=so_far, told=told),), "done"),)


def _summary(account: EthanolMonth) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (t("spirit_month.shelf_beginning"), "", _kg(account.begin_g)),
        (t("spirit_month.making_beginning"), "", _kg(account.making_begin_g)),
        (t("spirit_month.bought"), "", _kg(account.sum_g("bought"))),
        (t("spirit_month.used_in_batches"), _kg(account.sum_g("used")), ""),
        (t("spirit_month.shelf_recovered_extract"), _kg(account.sum_g("recovered")), ""),
        (t("spirit_month.in_products"), "", _kg(-account.sum_g("in products"))),
        (t("spirit_month.left_marc_waste"), "", _kg(-account.sum_g("in marc and waste"))),
        (t("spirit_month.lost_by_name"), "", _kg(-account.sum_g("lost"))),
        (
            t("spirit_month.left_the_shelf_otherwise"),
            "",
            _kg(-account.sum_g("left the shelf")),
        ),
        (t("spirit_month.unexplained"), "", _kg(-account.unexplained_g)),
        (t("spirit_month.making_end"), "", _kg(account.making_end_g)),
        (t("spirit_month.shelf_end"), "", _kg(account.end_g)),
    ]
    return Table(
        (t("spirit_month.ethanol"), t("spirit_month.within_the_house"), t("spirit_month.in_out")),
        tuple(rows),
        (1, 2),
        caption=t("spirit_month.right_column_first_three"),
    )


def _batches(account: EthanolMonth) -> tuple[Block, ...]:
    if not account.batches:
        return ()
    rows: list[tuple[Cell, ...]] = [
        (
            Link(one.batch, f"/make/{one.batch}"),
            _kg(one.used_g),
            _kg(one.recovered_g),
            _kg(one.products_g),
            _kg(one.marc_g),
            _kg(one.lost_g),
            _kg(one.end_g) if one.whole is None else "",
            _kg(one.unexplained_g) if one.whole is not None else t("spirit_month.under_way"),
        )
        for one in account.batches
    ]
    head = (
        t("spirit_month.batch"),
        t("spirit_month.used"),
        t("spirit_month.to_the_shelf"),
        t("spirit_month.in_products"),
        t("spirit_month.marc_waste"),
        t("spirit_month.lost"),
        t("spirit_month.in_the_making"),
        t("spirit_month.unexplained"),
    )
    return (Heading(t("spirit_month.by_batch")), Table(head, tuple(rows), (1, 2, 3, 4, 5, 6, 7)))


def _losses(account: EthanolMonth) -> tuple[Block, ...]:
    if not account.losses_g:
        return ()
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (name, _kg(lost_g)) for name, lost_g in account.losses_g.items()
    )
    return (
        Heading(t("spirit_month.lost_by_name")),
        Table((t("spirit_month.loss"), "kg"), rows, (1,)),
        Prose(t("spirit_month.each_own_model_weighed"), quiet=True),
    )


def _shelf(account: EthanolMonth) -> tuple[Block, ...]:
    if not account.standing:
        return ()
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (Link(one.lot, f"/stock/{one.lot}"), _kg(one.begin_g), _kg(one.end_g), one.says)
        for one in account.standing
    )
    return (
        Heading(t("spirit_month.on_the_shelf")),
        Table(
            (
                t("spirit_month.lot"),
                t("spirit_month.beginning"),
                t("spirit_month.end"),
                t("spirit_month.strength_by"),
            ),
            rows,
            (1, 2),
        ),
    )


def _lines(account: EthanolMonth) -> tuple[Block, ...]:
    rows: list[tuple[Cell, ...]] = [
        (
            one.on[8:10],
            one.kind,
            Link(_whose(one), f"/entries/{one.entry_no}") if one.entry_no else _whose(one),
            _kg(one.ethanol_g),
            one.says,
        )
        for one in account.flows
        if abs(one.ethanol_g) >= 1000.0 * SHOWN_KG
    ]
    if not rows:
        return ()
    return (
        Heading(t("spirit_month.line_by_line")),
        Table(
            (
                t("spirit_month.day"),
                t("spirit_month.what"),
                t("spirit_month.lot_or_loss"),
                "kg",
                t("spirit_month.came_from"),
            ),
            tuple(rows),
            (3,),
        ),
    )


def _whose(flow: Flow) -> str:
    return (
        t("spirit_month.batch_flow_name_batch", flow_name=flow.name, batch=flow.batch)
        if flow.batch
        else flow.name
    )


def _how(found: SpiritMonth) -> tuple[Block, ...]:
    by_stream = t("spirit_month.stream_extraction_moved_same")
    told = [
        t("spirit_month.view_nothing_written_put"),
        by_stream,
        t("spirit_month.ethanol_reagents_ingredients_solvents"),
    ]
    if found.by_model:
        told.append(t("spirit_month.strength_reckoned_not_read", by_model=", ".join(found.by_model)))
    return (Heading(t("spirit_month.how_it_is_reckoned")), Points(tuple(told)))


def _kg(mass_g: float) -> str:
    kg = mass_g / 1000.0
    return "0.000" if abs(kg) < SHOWN_KG else f"{kg:.3f}"
