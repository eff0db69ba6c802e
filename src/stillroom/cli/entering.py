"""Verbs that enter what is set up: files, room and site, and prices."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, in_the_book

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory


@click.command("enter")
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True, dir_okay=False)
)
@in_the_book
def enter_command(lab: "Laboratory", sign: Sign, files: tuple[Path, ...]) -> "Iterable[Done]":
    """Write orders, procedures, people and scales from YAML FILES into the book."""
    from stillroom.actions.orders.entering import enter_files

    return enter_files(lab, files, **sign)


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
@in_the_book
def note_command(lab: "Laboratory", sign: Sign, what: str, text: str) -> "Done":
    """Enter how room or site is, or a price: WHAT as "room temperature" or "address", TEXT as "31 °C"."""
    from stillroom.actions.house.describing import HOUSE_WORDS, describe_house
    from stillroom.actions.house.house_facts import note_condition
    from stillroom.actions.house.pricing import note_price

    if what.startswith("price of "):
        return note_price(lab, what.removeprefix("price of "), text, **sign)
    if what in HOUSE_WORDS:
        return describe_house(lab, {what: text}, **sign)
    return note_condition(lab, what, text, **sign)
