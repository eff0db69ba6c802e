"""Verbs that enter what is set up: files, room and site, and prices."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, by_option, in_option, json_option, moment, tell_done


@click.command("enter")
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True, dir_okay=False)
)
@in_option
@by_option
@at_option
@json_option
def enter_command(files: tuple[Path, ...], folder: Path, by: str, at_text: str, as_json: bool) -> None:
    """Write orders, procedures, people and scales from YAML FILES into the book."""
    from stillroom.actions.orders.entering import enter_files
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        for done in enter_files(lab, files, by=by, at=moment(at_text)):
            tell_done(lab, done, as_json=as_json)


@click.command("schema")
@click.argument("kind")
def schema_command(kind: str) -> None:
    """The JSON Schema of a KIND of file, order, procedure or laboratory, for an editor that completes and checks."""
    import json

    from stillroom.records.file_schemas import file_schema

    click.echo(json.dumps(file_schema(kind), ensure_ascii=False, indent=1))


@click.command("note")
@click.argument("what")
@click.argument("text")
@in_option
@by_option
@at_option
@json_option
def note_command(what: str, text: str, folder: Path, by: str, at_text: str, as_json: bool) -> None:
    """Enter how room or site is, or a price: WHAT as "room temperature" or "address", TEXT as "31 °C"."""
    from stillroom.actions.house.describing import HOUSE_WORDS, describe_house
    from stillroom.actions.house.house_facts import note_condition
    from stillroom.actions.house.pricing import note_price
    from stillroom.cli.asking import open_laboratory

    at = moment(at_text)
    with open_laboratory(folder) as lab:
        if what.startswith("price of "):
            done = note_price(lab, what.removeprefix("price of "), text, by=by, at=at)
        elif what in HOUSE_WORDS:
            done = describe_house(lab, {what: text}, by=by, at=at)
        else:
            done = note_condition(lab, what, text, by=by, at=at)
        tell_done(lab, done, as_json=as_json)
