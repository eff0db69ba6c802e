"""Verbs for ways of extracting: which there are, what one is, and a copy of it in the book."""

from contextlib import nullcontext
from pathlib import Path

import click

from stillroom.cli.asking import at_option, in_option, json_option, moment, tell_done, tell_page


@click.group("procedure")
def procedure_command() -> None:
    """Ways of extracting: see them, and copy one for a plant and a marker of yours."""


@procedure_command.command("ways")
@json_option
def ways_command(as_json: bool) -> None:
    """List the ways; needs no laboratory."""
    from stillroom.pages.procedure_templates import starters_page

    tell_page(starters_page(practice=False, laboratory="", date="", book=""), as_json=as_json)


@procedure_command.command("show")
@click.argument("way")
@json_option
def show_command(way: str, as_json: bool) -> None:
    """Show WAY: what it is for, its steps, its cautions, what it assumes; needs no laboratory."""
    from stillroom.pages.procedure_templates import starter_page
    from stillroom.records.starters import starter

    tell_page(starter_page(starter(way), practice=False, laboratory="", date="", book=""), as_json=as_json)


@procedure_command.command("copy")
@click.argument("way")
@click.option("--plant", required=True, help='Plant and part: "rosemary leaf".')
@click.option("--marker", required=True, help='What the strength is expressed in: "rosmarinic acid".')
@click.option("--code", required=True, help="Code of the new procedure.")
@click.option("--as-yaml", is_flag=True, help="Write nothing; print the copy as YAML, to alter and enter.")
@click.option("--by", default="", help="Code of the person who signs.")
@in_option
@at_option
@json_option
def copy_command(
    way: str,
    plant: str,
    marker: str,
    code: str,
    as_yaml: bool,
    by: str,
    folder: Path,
    at_text: str,
    as_json: bool,
) -> None:
    """Copy WAY for a plant and a marker into the book, or print it (--as-yaml)."""
    from stillroom.actions.bench.procedure_templates import copy_procedure
    from stillroom.actions.book.laboratory import holds_a_book
    from stillroom.cli.asking import open_laboratory
    from stillroom.errors import BadEntry
    from stillroom.records.starters import copy_starter
    from stillroom.records.to_yaml import procedure_to_yaml

    if as_yaml:
        with open_laboratory(folder) if holds_a_book(folder) else nullcontext():
            click.echo(procedure_to_yaml(copy_starter(way, plant, marker, code)), nl=False)
        return
    if not by:
        raise BadEntry("A procedure is written by a person", "nobody", "Give --by", where="--by")
    with open_laboratory(folder) as lab:
        done = copy_procedure(lab, way, plant, marker, code, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)
