"""Reagents: the list, lowest hazard first, and one recipe at an amount; needs no laboratory and writes nothing."""

from pathlib import Path

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("reagent")
@click.argument("name", default="")
@click.option("--amount", default="", help='How much: "100 mL", or "50 g" where nothing is filled up.')
@click.option("--step", default="", help='Readability of the scale, its smallest step: "0.01 g".')
@click.option("--sheet", is_flag=True, help="The sheet to make it by.")
@click.option("--label", is_flag=True, help="The label for its bottle.")
@click.option(
    "--in",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=None,
    help="Folder of a laboratory: its own recipes, its shelf, its prices and its ticks.",
)
@json_option
def reagent_command(
    name: str, amount: str, step: str, sheet: bool, label: bool, folder: Path | None, as_json: bool
) -> None:
    """What to detect, lowest hazard first; with NAME ("wagner", "dragendorff-a") its recipe and what deceives it."""
    from contextlib import nullcontext

    from stillroom.actions.book.page_facts import page_facts
    from stillroom.cli.asking import open_laboratory
    from stillroom.documents.blocks import NO_BOOK
    from stillroom.errors import BadEntry
    from stillroom.pages.reagents import (
        show_making_sheet,
        show_reagents,
        show_recipe,
        show_recipe_label,
    )

    if not name and (amount or step or sheet or label):
        raise BadEntry(
            "An amount, a step, a sheet and a label belong to one reagent",
            "no name",
            "Name it: stillroom reagent wagner",
        )
    if sheet and label:
        raise BadEntry("One paper at a time", "--sheet and --label", "Choose one")
    with open_laboratory(folder) if folder else nullcontext() as lab:
        facts = page_facts(lab) if lab else NO_BOOK
        if not name:
            page = show_reagents(lab, facts)
        else:
            build = show_making_sheet if sheet else show_recipe_label if label else show_recipe
            page = build(lab, name, {"amount": amount, "step": step}, facts)
        tell_page(page, as_json=as_json)
