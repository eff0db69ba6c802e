"""Verbs of the shelf: what was counted, kept back and thrown away, and how strong a lot of spirit was read."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, by_option, in_option, json_option, moment, tell_done


@click.group("stock")
def stock_command() -> None:
    """Count a lot, keep samples of it back, throw some away; read how strong a spirit is."""


@stock_command.command("count")
@click.argument("lot")
@click.argument("found")
@click.option("--scale", default="", help="Scale it was weighed on.")
@in_option
@by_option
@at_option
@json_option
def count_command(
    lot: str, found: str, scale: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """FOUND of LOT is on the shelf, "5.84 g" without its jar or "18 bottles"; the book keeps both figures."""
    from stillroom.actions.lots.stock_movements import count_stock
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = count_stock(lab, lot, found, apparatus=scale, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)


@stock_command.command("keep-back")
@click.argument("lot")
@click.argument("amount")
@in_option
@by_option
@at_option
@json_option
def keep_back_command(lot: str, amount: str, folder: Path, by: str, at_text: str, as_json: bool) -> None:
    """AMOUNT of LOT, "2 bottles", is put aside as retained samples."""
    from stillroom.actions.lots.stock_movements import keep_back
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        tell_done(lab, keep_back(lab, {lot: amount}, by=by, at=moment(at_text)), as_json=as_json)


@stock_command.command("waste")
@click.argument("lot")
@click.argument("amount")
@click.option("--why", required=True, help="Why, and which waste it went to.")
@in_option
@by_option
@at_option
@json_option
def waste_command(
    lot: str, amount: str, why: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """AMOUNT of LOT was thrown away."""
    from stillroom.actions.lots.stock_movements import throw_away
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        tell_done(lab, throw_away(lab, {lot: amount}, why=why, by=by, at=moment(at_text)), as_json=as_json)


@stock_command.command("strength")
@click.argument("lot")
@click.argument("shows")
@click.option(
    "--known-by",
    type=click.Choice(["alcoholometer", "density", "mass", "certificate", "label"], case_sensitive=False),
    default="alcoholometer",
    show_default=True,
    help="How it was read.",
)
@click.option("--temperature", default="", help='Of the spirit: "30 °C".')
@in_option
@by_option
@at_option
@json_option
def strength_command(
    lot: str, shows: str, known_by: str, temperature: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """The instrument SHOWS so much in LOT, a spirit; from then on it counts as that strong."""
    from stillroom.actions.lots.spirit_read import read_strength
    from stillroom.cli.asking import open_laboratory

    fields = {"have": shows, "known-by": known_by, "temperature": temperature}
    with open_laboratory(folder) as lab:
        tell_done(lab, read_strength(lab, lot, fields, by=by, at=moment(at_text)), as_json=as_json)
