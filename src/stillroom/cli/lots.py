"""Verbs for lots: order, receive, release, stop, reject."""

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, in_the_book, perhaps_in_the_book
from stillroom.records.lot_kinds import LotKind

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory
    from stillroom.documents.blocks import Page


@click.command("receive", context_settings={"ignore_unknown_options": True})
@click.argument("code")
@click.argument("amount")
@click.option(
    "--kind",
    type=click.Choice([str(one) for one in LotKind], case_sensitive=False),
    required=True,
    help="What sort of lot.",
)
@click.option("--substance", required=True, help='What it is: "cinchona bark", "spirit 96 %", ...')
@click.option("--name", default="", help="What people call it; the substance when left out.")
@click.option(
    "--owner", default="ours", show_default=True, help="Ours, or the customer whose material it is."
)
@click.option("--supplier", default="", help="Who it came from.")
@click.option(
    "--stated",
    default="",
    help='Strength on its label: "96.0 % v/v at 20 °C", "93.8 % w/w"; or read: "83 % v/v at 31 °C by alcoholometer".',
)
@click.option("--use-by", default=None, help='"2027-05-29" or "29 May 2027".')
@click.option("--denatured-with", default="", help='What makes spirit undrinkable; "unknown" if nobody says.')
@click.option("--scale", default="", help="Scale it was weighed on.")
@click.option("--goods", default="", help="Of what was ordered it is: BUY-1.")
@click.option("--price", default="", help='What was paid, to be noted as its price: "38 EUR/kg".')
@click.option("--rest-comes", default="", help="The day the rest comes, where less came than was ordered.")
@in_the_book
def receive_command(
    lab: "Laboratory",
    sign: Sign,
    code: str,
    amount: str,
    kind: str,
    substance: str,
    name: str,
    owner: str,
    supplier: str,
    stated: str,
    use_by: str | None,
    denatured_with: str,
    scale: str,
    goods: str,
    price: str,
    rest_comes: str,
) -> "Done":
    """Receive AMOUNT ("2.000 kg", "120 bottles", "5 L at 22 °C, 0.8011 g/mL") under CODE; it waits for a decision."""
    from stillroom.actions.lots.receiving import receive_lot
    from stillroom.actions.shelf.goods_under_way import Bought
    from stillroom.records.lots import Lot

    lot = Lot(code, LotKind(kind), substance, name or substance, owner, supplier, stated, use_by)
    lot = replace(lot, denatured_with=denatured_with)
    return receive_lot(lab, lot, amount, **sign, apparatus=scale, bought=Bought(goods, price, rest_comes))


@click.command("buy")
@click.argument("what", default="")
@click.argument("amount", default="")
@click.option("--from", "supplier", default="", help="Who it was ordered from.")
@click.option("--comes", default="", help='The day it is expected: "2027-03-04" or "4 March 2027".')
@click.option("--price", default="", help='As agreed: "38 EUR/kg".')
@click.option("--order", default="", help="The customer's order it is for.")
@perhaps_in_the_book
def buy_command(
    lab: "Laboratory",
    sign: Sign,
    what: str,
    amount: str,
    supplier: str,
    comes: str,
    price: str,
    order: str,
) -> "Done | Page":
    """AMOUNT of WHAT was ordered and --comes on a day; OFF-1 or ORD-1 alone: its whole list. BUY-1 or nothing shows."""
    from stillroom.actions.offers.to_order import to_order
    from stillroom.actions.shelf.goods_under_way import Wanted, order_goods
    from stillroom.pages.goods import show_goods, show_goods_under_way

    if not comes:
        return show_goods(lab, what) if what else show_goods_under_way(lab)
    if amount:
        return order_goods(lab, [Wanted(what, amount, price)], supplier, comes, order=order, **sign)
    listed = to_order(lab, what)
    lines = [Wanted(one.substance, one.amount, one.price) for one in listed.lines]
    return order_goods(lab, lines, supplier, comes, order=order or listed.order, **sign)


@click.command("release")
@click.argument("code")
@click.option(
    "--meaning", default="", help="What the decision rests on; without it only what is missing is shown."
)
@click.option(
    "--decide",
    "decided",
    multiple=True,
    metavar="LINE=REASON",
    help="Decide a line that the book cannot decide; alone it is kept without a release.",
)
@click.option("--stop", "decision", flag_value="stop", help="Stop the lot instead.")
@click.option("--recall", "decision", flag_value="recall", help="Stop the lot and everything made from it.")
@click.option("--reject", "decision", flag_value="reject", help="Reject the lot for good.")
@in_the_book
def release_command(
    lab: "Laboratory", sign: Sign, code: str, meaning: str, decided: tuple[str, ...], decision: str | None
) -> "Done | Page":
    """Release the lot CODE; without --meaning, show the release list and how each line is closed."""
    from stillroom.actions.releasing.deciding import decide_lines, reject, release, stop
    from stillroom.pages.release import show_release

    told = _decisions(decided)
    if not meaning and decision is None:
        return decide_lines(lab, code, told, **sign) if told else show_release(lab, code, by=sign["by"])
    if decision in ("stop", "recall"):
        return stop(lab, code, meaning=meaning, with_what_was_made=decision == "recall", **sign)
    if decision == "reject":
        return reject(lab, code, meaning=meaning, **sign)
    return release(lab, code, meaning=meaning, decisions=told, **sign)


def _decisions(written: tuple[str, ...]) -> dict[str, str]:
    from stillroom.errors import BadEntry

    found = {}
    for one in written:
        key, equals, reason = one.partition("=")
        if not equals or not key.strip() or not reason.strip():
            raise BadEntry("A decision is written LINE=reason", repr(one), where="--decide")
        found[key.strip()] = reason.strip()
    return found


@click.command("paper")
@click.argument("lot")
@click.argument("what")
@click.option(
    "--outcome",
    type=click.Choice(["passes", "fails", "shown"], case_sensitive=False),
    default="shown",
    show_default=True,
    help="Whether a test passes; a paper is shown.",
)
@click.option("--document", required=True, help="Number and issuer.")
@click.option("--says", default="", help='What was found: "below 10 CFU/g; no pathogens in 1 g".')
@click.option("--dated", default="", help='"2027-05-29" or "29 May 2027".')
@click.option("--keeps-days", default="", help="For stability: the days it shows that the product keeps.")
@click.option("--every-batch", is_flag=True, help="It holds for every batch of the formula.")
@in_the_book
def paper_command(
    lab: "Laboratory",
    sign: Sign,
    lot: str,
    what: str,
    outcome: str,
    document: str,
    says: str,
    dated: str,
    keeps_days: str,
    every_batch: bool,
) -> "Done":
    """Enter what the release list of LOT asks for: WHAT as "microbial count", "safety report", "stability"."""
    from stillroom.actions.releasing.evidence_shown import show_paper

    return show_paper(
        lab, lot, what, outcome=outcome, document=document, says=says, dated=dated, keeps_days=keeps_days,
        every_batch=every_batch, **sign,
    )  # fmt: skip
