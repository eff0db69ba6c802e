"""Verbs from the bulk to the customer: the filling, the delivery."""

from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, in_the_book

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory


@click.command("fill")
@click.argument("batch")
@click.argument("units")
@click.option("--left-over", required=True, help='Bulk that went into no bottle: "9.80 g".')
@click.option(
    "--check",
    "check_weights",
    multiple=True,
    help='Net content of a bottle weighed: "50.4 g"; again for each.',
)
@click.option("--pack", multiple=True, metavar="LOT=NUMBER", help='"BOT-01=26"; again for caps and labels.')
@click.option("--scale", required=True, help="Scale they were weighed on.")
@click.option("--use-by", required=True, help='Day printed on the label: "2027-05-29" or "29 May 2027".')
@click.option(
    "--nominal", default="", help='What a bottle holds, where it is not what the order says: "30 mL".'
)
@click.option("--note", default="", help="With a note, what is odd is kept as a deviation.")
@in_the_book
def fill_command(
    lab: "Laboratory",
    sign: Sign,
    batch: str,
    units: str,
    left_over: str,
    check_weights: tuple[str, ...],
    pack: tuple[str, ...],
    scale: str,
    use_by: str,
    nominal: str,
    note: str,
) -> "Done":
    """UNITS bottles of BATCH were filled: they become a lot, and its fill is checked by weight."""
    from stillroom.actions.lots.receiving import pieces_of
    from stillroom.actions.products.filling import fill_units

    return fill_units(
        lab,
        batch,
        pieces_of(units, where="units"),
        left_over=left_over,
        check_weights=check_weights,
        packaging=dict(_packed(one) for one in pack),
        scale=scale,
        use_by=use_by,
        nominal=nominal,
        note=note,
        **sign,
    )


@click.command("deliver")
@click.argument("order")
@click.argument("lots", nargs=-1, required=True, metavar="LOT=AMOUNT...")
@click.option("--note", default="", help="Why another product than the one ordered went out.")
@in_the_book
def deliver_command(lab: "Laboratory", sign: Sign, order: str, lots: tuple[str, ...], note: str) -> "Done":
    """Bottles, an extract or a reagent leave on ORDER: "T1=31", "E1=18.6 g". Only released lots leave."""
    from stillroom.actions.lots.stock_movements import deliver

    return deliver(lab, order, dict(_leaves(one) for one in lots), note=note, **sign)


def _leaves(text: str) -> tuple[str, str]:
    """A lot and how much of it leaves: "T1=31" are bottles, "E1=18.6 g" is weighed."""
    from stillroom.errors import BadEntry

    lot, _, amount = (one.strip() for one in text.partition("="))
    if not lot or not amount:
        raise BadEntry('A lot and how much of it are written "T1=31" or "E1=18.6 g"', repr(text))
    return lot, f"{amount} bottles" if amount.isdecimal() else amount


def _packed(text: str) -> tuple[str, int]:
    """A lot and how many pieces of it: "BOT-01=26"."""
    from stillroom.actions.lots.receiving import pieces_of
    from stillroom.errors import BadEntry

    lot, _, number = (one.strip() for one in text.partition("="))
    if not lot or not number:
        raise BadEntry('A lot and its pieces are written "BOT-01=26"', repr(text))
    return lot, pieces_of(number, where="pack")
