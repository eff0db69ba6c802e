"""Verbs of the shelf: what was counted, kept back and thrown away, and how strong a lot of spirit was read."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.acts import ActGroup
from stillroom.cli.asking import Sign, in_the_book, perhaps_in_the_book

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory
    from stillroom.documents.blocks import Page


stock_command = ActGroup(
    "stock",
    "stillroom.actions.lots.stock_movements:SHELF_ACTS",
    help="Count a lot, keep samples of it back, throw some away; read how strong a spirit is; take a table of lots.",
)


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
@in_the_book
def strength_command(
    lab: "Laboratory", sign: Sign, lot: str, shows: str, known_by: str, temperature: str
) -> "Done":
    """The instrument SHOWS so much in LOT, a spirit; from then on it counts as that strong."""
    from stillroom.actions.lots.spirit_read import read_strength

    fields = {"have": shows, "known-by": known_by, "temperature": temperature}
    return read_strength(lab, lot, fields, **sign)


@stock_command.command("table")
@click.argument("table", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--take", is_flag=True, help="Receive these lots; without it they are only looked at.")
@perhaps_in_the_book
def table_command(lab: "Laboratory", sign: Sign, table: Path, take: bool) -> "Done | Page":
    """Look at every lot of TABLE, a .csv or .xlsx file, cell by cell; with --take receive them all, or none."""
    from stillroom.actions.lots.opening_stock import opening_of, take_opening
    from stillroom.pages.opening_stock import show_opening

    content = table.read_bytes()
    return take_opening(lab, content, **sign) if take else show_opening(lab, opening_of(lab, content))


@stock_command.command("template")
@click.argument("into", type=click.Path(path_type=Path, dir_okay=False))
def template_command(into: Path) -> None:
    """Write a table of lots to be filled in, with invented lines, INTO a new file, .csv or .xlsx."""
    from stillroom.actions.lots.opening_stock import template
    from stillroom.cli.export import new_file

    new_file(into, template(into.suffix.removeprefix(".")))
    click.echo(f"{into}: fill it in, then: stillroom stock table {into}")
