"""Verbs from the bulk to the customer: its density, the filling, what was different, the delivery."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, by_option, in_option, json_option, moment, tell_done


@click.command("density")
@click.argument("batch")
@click.option("--empty", required=True, help='The bottle empty: "48.20 g".')
@click.option("--water", "full_of_water", required=True, help="Full of water.")
@click.option("--bulk", "full_of_bulk", required=True, help="Full of the bulk, to the same mark.")
@click.option("--temperature", required=True, help='Of all of them: "30 °C".')
@click.option("--scale", required=True, help="Scale they were weighed on.")
@click.option("--thermometer", default="", help="A plain one where left out.")
@in_option
@by_option
@at_option
@json_option
def density_command(
    batch: str,
    empty: str,
    full_of_water: str,
    full_of_bulk: str,
    temperature: str,
    scale: str,
    thermometer: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """The density of the bulk of BATCH at 20 °C, from one bottle weighed empty, full of water and full of it."""
    from stillroom.actions.making.bulk_density import weigh_density
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = weigh_density(
            lab,
            batch,
            empty=empty,
            full_of_water=full_of_water,
            full_of_bulk=full_of_bulk,
            temperature=temperature,
            scale=scale,
            thermometer=thermometer,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)


@click.command("fill")
@click.argument("batch")
@click.argument("units", type=click.IntRange(min=1))
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
@click.option("--nominal", default="", help='What a bottle holds where no order says it: "100 mL".')
@click.option("--note", default="", help="With a note, what is odd is kept as a deviation.")
@in_option
@by_option
@at_option
@json_option
def fill_command(
    batch: str,
    units: int,
    left_over: str,
    check_weights: tuple[str, ...],
    pack: tuple[str, ...],
    scale: str,
    use_by: str,
    nominal: str,
    note: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """UNITS bottles of BATCH were filled: they become a lot, and its fill is checked by weight."""
    from stillroom.actions.products.filling import fill_units
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = fill_units(
            lab,
            batch,
            units,
            left_over=left_over,
            check_weights=check_weights,
            packaging=dict(_packed(one) for one in pack),
            scale=scale,
            use_by=use_by,
            nominal=nominal,
            note=note,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)


@click.command("deviation")
@click.argument("batch")
@click.argument("step")
@click.argument("what")
@click.option("--done", "done_about_it", default="", help="What was done about it; left out, it stays open.")
@in_option
@by_option
@at_option
@json_option
def deviation_command(
    batch: str, step: str, what: str, done_about_it: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """WHAT was different at STEP of BATCH; an open deviation is closed before release."""
    from stillroom.actions.making.deviations import note_deviation
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = note_deviation(lab, batch, step, what, done_about_it, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)


@click.command("deliver")
@click.argument("order")
@click.argument("lots", nargs=-1, required=True, metavar="LOT=BOTTLES...")
@in_option
@by_option
@at_option
@json_option
def deliver_command(
    order: str, lots: tuple[str, ...], folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """Bottles leave on ORDER: "T1=31". Only released lots leave."""
    from stillroom.actions.lots.stock_movements import deliver
    from stillroom.cli.asking import open_laboratory

    amounts = {code: f"{number} bottles" for code, number in (_packed(one) for one in lots)}
    with open_laboratory(folder) as lab:
        tell_done(lab, deliver(lab, order, amounts, by=by, at=moment(at_text)), as_json=as_json)


def _packed(text: str) -> tuple[str, int]:
    """A lot and how many pieces of it: "BOT-01=26"."""
    from stillroom.errors import BadEntry

    lot, _, number = (one.strip() for one in text.partition("="))
    if not lot or not number.isdecimal():
        raise BadEntry('A lot and its pieces are written "BOT-01=26"', repr(text))
    return lot, int(number)
