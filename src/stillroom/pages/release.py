"""What leaves the house as pages: the release list with what stands in the way, the certificate, the label."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Unpack

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.certifying import stated_numbers
from stillroom.actions.releasing.deciding import review_release
from stillroom.actions.releasing.issuing import certificate_of, label_of
from stillroom.actions.releasing.tracing import account_of
from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.certificate import list_table, rests_on
from stillroom.documents.lot_accounts import LotAccount, amount_text
from stillroom.errors import BadEntry, worded
from stillroom.products.check_lines import STANDINGS, CheckLine, Standing
from stillroom.products.limits import CHECK_THE_TEXT, without_advice
from stillroom.products.release import Review
from stillroom.records.lots import Status
from stillroom.texts.catalogue import later, t


def show_release(lab: Laboratory, lot: str, *, by: str) -> Page:
    """The release list of a lot, for the person who would release it."""
    review = review_release(lab, lot, by=by)
    with lab.look() as look:
        known, status = look.lot(lot), look.status(lot)
        last = look.decisions(lot)
        return release_page(
            account_of(look, lot),
            review,
            by=look.person(by).name,
            stated=stated_numbers(look, lot) if known.kind.traits.on_release_list else None,
            changed=last[-1].body.changed if last and status is Status.SUSPENDED else (),
            **facts_of(look),
        )


def show_certificate(lab: Laboratory, lot: str, revision: int | None = None) -> Page:
    """The certificate of a lot for its customer, on one page: the last revision, or the one asked for."""
    with lab.look() as look:
        return certificate_of(look, lot, "customer", revision)


def show_whole_certificate(lab: Laboratory, lot: str, revision: int | None = None) -> Page:
    """The certificate of a lot whole, for an inspector."""
    with lab.look() as look:
        return certificate_of(look, lot, "whole", revision)


def show_label(lab: Laboratory, lot: str) -> Page:
    """The label of a product lot."""
    with lab.look() as look:
        if "label" not in look.lot(lot).kind.traits.papers:
            raise BadEntry(
                "A label is for a product",
                worded("{lot}, which is {kind}", lot=lot, kind=look.lot(lot).kind),
                "Name a lot of bottles",
            )
        return label_of(look, lot)


_CALLED: dict[Standing, str] = {
    "over": later("Over or wrong: this stops"),
    "missing": later("Not there yet: this stops"),
    "undecided": later("Decided by name, or to be"),
    "cannot be seen here": later("Cannot be seen here"),
    "within": later("Within"),
}


def release_page(
    account: LotAccount,
    review: Review,
    *,
    by: str,
    stated: Numbers | None,
    changed: tuple[str, ...] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The release list: every line, how it stands, what it rests on, and how it is closed.

    Parameters
    ----------
    by : str
        Name of who would release.
    stated : Numbers or None
        What the certificate will state.
    changed : tuple of str
        What changed after the release, where the lot is suspended.
    """
    lot = account.lot
    blocks: list[Block] = [
        Facts(
            (
                (t("Lot"), lot.code),
                (t("What"), lot.name),
                (t("On the shelf"), amount_text(account.shelf, account.counted_in)),
            )
        )
    ]
    if review.may_release:
        ready = (
            t("Released. Nothing is missing.")
            if account.status.value == "released"
            else t("Nothing is missing. {by} may release it.", by=by)
        )
        blocks.append(Points((ready,), "done"))
    if changed:
        blocks += [Heading(t("What changed after the release")), Points(changed, "missing")]
    for standing in STANDINGS:
        lines = [one for one in review.lines if one.standing == standing]
        if lines:
            called = t(_CALLED[standing])
            blocks += [Heading(called, folded=standing == "within"), _lines(lines, review)]
    if any(CHECK_THE_TEXT in one.says for one in review.lines):
        blocks.append(Prose(t(CHECK_THE_TEXT)))
    blocks += [
        Prose(t("The certificate will say: {says}", says=without_advice(says)))
        for says in review.certificate_says
    ]
    if stated is not None:
        blocks += [Heading(t("What it will say")), stated]
    blocks += [caution_block("preservation"), caution_block("claims"), caution_block("own-numbers")]
    return Page(
        title=t("Release of {lot_code}, {lot_name}", lot_code=lot.code, lot_name=lot.name),
        kind="release",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=account.status.value,
        lead=t(
            "{stops} to close, {undecided} to decide.",
            stops=len(review.stopping),
            undecided=len(review.undecided),
        )
        if review.missing
        else t("Nothing stands in the way."),
        href=f"/products/{lot.code}/release",
    )


def _lines(lines: list[CheckLine], review: Review) -> Table:
    """Lines of one standing; what is open says how it is closed, what was decided says by whom."""
    told = [replace(one, says=without_advice(one.says)) for one in lines]
    if all(one.standing in ("within", "cannot be seen here") for one in told):
        return list_table(tuple(told), {})
    first = {one.close: one for one in reversed(told) if one.key not in review.decided}
    return Table(
        (t("Line"), t("What was found"), t("Rests on"), t("To close it")),
        tuple(
            (one.about, f"{one.says}.".replace("..", "."), rests_on(one), _to_do(one, first, review))
            for one in told
        ),
    )


def _to_do(line: CheckLine, first: Mapping[str, CheckLine], review: Review) -> str:
    """How a line is closed; what an earlier one says already is not said again.

    Parameters
    ----------
    first : mapping of str to CheckLine
        The first open line of each way to close.
    """
    decided = review.decided.get(line.key)
    if decided is not None:
        return t("Decided by {name}: {reason}", name=decided.name, reason=decided.reason)
    told = first[line.close]
    close = line.close if told is line or not line.close else t("As for {line}", line=told.called)
    return t("{close} (line {line})", close=close, line=line.called) if line.needs_a_name else close
