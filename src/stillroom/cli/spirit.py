"""The account of spirit of a month."""

from pathlib import Path

import click

from stillroom.cli.asking import in_option, json_option, tell_page


@click.command("spirit")
@click.option("--month", default="", help='Which month: "2027-03"; the month of today when left out.')
@in_option
@json_option
def spirit_command(month: str, folder: Path, as_json: bool) -> None:
    """Kilograms of ethanol of a month: bought, used, recovered, in products, in marc, lost by name, on the shelf."""
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.spirit_month import show_spirit

    with open_laboratory(folder) as lab:
        tell_page(show_spirit(lab, month), as_json=as_json)
