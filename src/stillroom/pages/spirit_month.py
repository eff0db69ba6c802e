"""The account of spirit of a month, as a page and as the register that is signed: kilograms of ethanol.

Promises the same figures on both, each with where it comes from. Reckons nothing but sums of what it is given.
"""

from typing import Unpack

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.lots.spirit_account import SpiritMonth, account_of_month, month_of
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
from stillroom.stream.ethanol_month import EthanolMonth, Flow
from stillroom.texts.catalogue import month_name, t

SHOWN_KG = 0.0005
"""Less than half a gram is nothing on this page."""


def month_in_words(month: str) -> str:
    """A month for people: "March 2027".

    Parameters
    ----------
    month : str
        "2027-03".
    """
    year, _, number = month.partition("-")
    return f"{month_name(int(number))} {year}"


def spirit_month_page(found: SpiritMonth, *, running: bool, **page_facts: Unpack[PageFacts]) -> Page:
    """The account of a month.

    Parameters
    ----------
    running : bool
        Whether the month is not over yet.
    **page_facts
        As on every page.
    """
    account = found.account
    words = month_in_words(account.month)
    blocks: list[Block] = []
    if account.is_empty:
        blocks.append(
            Empty(t("No spirit in this month."), t("It is counted from the day a lot of spirit is received."))
        )
    else:
        blocks += _verdict(found, running)
        blocks += [
            Heading(t("The month")),
            _summary(account),
            *_batches(account),
            *_shelf(account),
            Heading(t("Signed")),
            PenLines(
                (
                    t("Drawn up by, date"),
                    t("Checked by, date"),
                    t("Differences explained by"),
                )
            ),
            *_losses(account),
            *_lines(account),
            *_how(found),
        ]
    others = [one for one in found.months if one != account.month]
    if others:
        links: tuple[tuple[str, Cell], ...] = tuple(
            (month_in_words(one), Link(t("its account"), f"/spirit/{one}")) for one in others
        )
        blocks += [Heading(t("Other months")), Facts(links)]
    blocks += [caution_block("spirit-law"), caution_block("methanol")]
    return Page(
        title=t("Spirit account, {words}", words=words),
        kind="spirit account",
        code=account.month,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("Kilograms of ethanol, from what was weighed and moved.")
        + (t(" The month runs.") if running else ""),
        href=f"/spirit/{account.month}",
    )


def _verdict(found: SpiritMonth, running: bool) -> tuple[Block, ...]:
    account = found.account
    used_g = account.sum_g("used")
    if found.questions:
        return (Points(found.questions, "missing"),)
    so_far = t("So far it") if running else "It"
    if not used_g:
        return (Points((t("{so_far} closes: no spirit was used.", so_far=so_far),), "done"),)
    share = 100.0 * account.unexplained_g / used_g
    told = t(
        "{unexplained_g} kg ({share:.2f} % of what was used) is unexplained.",
        unexplained_g=_kg(account.unexplained_g),
        share=share,
    )
    return (Points((t("{so_far} closes: {told}", so_far=so_far, told=told),), "done"),)


def _summary(account: EthanolMonth) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (t("On the shelf at the beginning"), "", _kg(account.begin_g)),
        (t("In the making at the beginning"), "", _kg(account.making_begin_g)),
        (t("Bought"), "", _kg(account.sum_g("bought"))),
        (t("Used in batches"), _kg(account.sum_g("used")), ""),
        (t("To the shelf: recovered, or as extract"), _kg(account.sum_g("recovered")), ""),
        (t("In products"), "", _kg(-account.sum_g("in products"))),
        (t("Left in marc and waste"), "", _kg(-account.sum_g("in marc and waste"))),
        (t("Lost, by name"), "", _kg(-account.sum_g("lost"))),
        (
            t("Left the shelf otherwise"),
            "",
            _kg(-account.sum_g("left the shelf")),
        ),
        (t("Unexplained"), "", _kg(-account.unexplained_g)),
        (t("In the making at the end"), "", _kg(account.making_end_g)),
        (t("On the shelf at the end"), "", _kg(account.end_g)),
    ]
    return Table(
        (t("Ethanol, kg"), t("within the laboratory"), t("in, out")),
        tuple(rows),
        (1, 2),
        caption=t("Opening + in − out = closing."),
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
            _kg(one.unexplained_g) if one.whole is not None else t("under way"),
        )
        for one in account.batches
    ]
    head = (
        t("Batch"),
        t("Used"),
        t("To the shelf"),
        t("In products"),
        t("Marc, waste"),
        t("Lost"),
        t("In the making"),
        t("Unexplained"),
    )
    return (Heading(t("By batch, kg")), Table(head, tuple(rows), (1, 2, 3, 4, 5, 6, 7)))


def _losses(account: EthanolMonth) -> tuple[Block, ...]:
    if not account.losses_g:
        return ()
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (name, _kg(lost_g)) for name, lost_g in account.losses_g.items()
    )
    return (
        Heading(t("Lost, by name")),
        Table((t("Loss"), "kg"), rows, (1,)),
        Prose(t("Each by its own model, from what was weighed; none is found by subtraction."), quiet=True),
    )


def _shelf(account: EthanolMonth) -> tuple[Block, ...]:
    if not account.standing:
        return ()
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (Link(one.lot, f"/stock/{one.lot}"), _kg(one.begin_g), _kg(one.end_g), one.says)
        for one in account.standing
    )
    return (
        Heading(t("On the shelf, kg")),
        Table(
            (
                t("Lot"),
                t("Beginning"),
                t("End"),
                t("Strength by"),
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
        Heading(t("Line by line")),
        Table(
            (
                t("Day"),
                t("What"),
                t("Lot or loss"),
                "kg",
                t("From"),
            ),
            tuple(rows),
            (3,),
        ),
    )


def _whose(flow: Flow) -> str:
    return t("{flow_name}, batch {batch}", flow_name=flow.name, batch=flow.batch) if flow.batch else flow.name


def _how(found: SpiritMonth) -> tuple[Block, ...]:
    by_stream = t(
        "The stream of an extraction was moved by the same weighings, so a small gap there "
        "tests the model; a strength read on what was recovered tests the account."
    )
    told = [
        t("A view: nothing is written here. Correct a weighing or a receipt, and the account follows."),
        by_stream,
        t("Ethanol in reagents, ingredients and solvents is not counted."),
    ]
    if found.by_model:
        told.append(
            t(
                "The strength of {by_model} is calculated, not read: hold an alcoholometer in it and "
                "write what it shows on the lot.",
                by_model=", ".join(found.by_model),
            )
        )
    return (Heading(t("How it is calculated")), Points(tuple(told)))


def _kg(mass_g: float) -> str:
    kg = mass_g / 1000.0
    return "0.000" if abs(kg) < SHOWN_KG else f"{kg:.3f}"


def show_spirit(lab: Laboratory, month: str = "") -> Page:
    """The account of a month as a page.

    Parameters
    ----------
    month : str
        "2027-03"; the month of today when empty.
    """
    today = lab.today()
    wanted = month_of(month, today)
    with lab.look() as look:
        found = account_of_month(look, wanted)
        facts = facts_of(look)
    begun = today.replace(day=1).isoformat()[:7] == wanted
    facts["date"] = today.isoformat() if begun else f"{wanted}-01"
    return spirit_month_page(found, running=begun, **facts)
