"""Verbs that open something: a code both ways, a number down to its reason."""

from pathlib import Path

import click

from stillroom.cli.asking import in_option, json_option, tell_page, tell_progress
from stillroom.errors import BadEntry


@click.command("trace")
@click.argument("code")
@in_option
@json_option
def trace_command(code: str, folder: Path, as_json: bool) -> None:
    """From CODE (any lot or batch) up to the plant and down to the bottles, with the mass account."""
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.tracing import show_trace

    with open_laboratory(folder) as lab:
        tell_page(show_trace(lab, code), as_json=as_json)


@click.command("why")
@click.argument("what")
@in_option
@json_option
def why_command(what: str, folder: Path, as_json: bool) -> None:
    """The reason of a number: WHAT is plan/<order>/<line>, or the number of an entry that holds a result."""
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.entry import show_why

    tell_progress(f"Opening {what}")
    with open_laboratory(folder) as lab:
        tell_page(show_why(lab, what), as_json=as_json)


@click.command("plant")
@click.argument("name", default="")
@click.option(
    "--ways", is_flag=True, help="Its ways of extracting side by side, and the next trial worth making."
)
@click.option("--of", "marker", default="", help="With --ways: what counts in it.")
@click.option("--by-way", "way", default="", help="With --ways: the way that picture and next trial are of.")
@in_option
@json_option
def plant_command(name: str, ways: bool, marker: str, way: str, folder: Path, as_json: bool) -> None:
    """What this laboratory knows of a plant: its lots, what each batch of it gave, and what to expect next."""
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.plants import show_plant, show_plants
    from stillroom.pages.ways import show_ways_by

    if (marker or way) and not ways:
        raise BadEntry("--of and --by-way are asked with --ways", "no --ways", "Add --ways", where="--ways")
    with open_laboratory(folder) as lab:
        if ways:
            tell_page(show_ways_by(lab, name, marker, way), as_json=as_json)
            return
        tell_page(show_plant(lab, name) if name else show_plants(lab), as_json=as_json)
