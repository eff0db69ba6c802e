"""Verbs of people: a PIN set or changed at this machine, or taken away where nobody is left who could; duties given."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, in_option, in_the_book, new_pin, type_pin

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory


@click.command("pin")
@click.argument("person")
@click.option("--by", default="", help="Code of who sets it, when that is not the person: may release.")
@click.option(
    "--forgotten",
    is_flag=True,
    help="Take the PIN away; only where everybody who may release is locked out or has none.",
)
@in_option
def pin_command(person: str, by: str, forgotten: bool, folder: Path) -> None:
    """Set or change the PIN of PERSON, typed unseen. STILLROOM_PIN holds the present one for a program."""
    from stillroom.actions.book.laboratory import open_laboratory
    from stillroom.actions.house.pins import forget_pin, has_pin, set_pin

    with open_laboratory(folder) as lab:
        if forgotten:
            click.echo(forget_pin(lab, person))
            return
        by = by or person
        now = type_pin(f"PIN of {by} now") if has_pin(lab, by) else ""
        click.echo(set_pin(lab, person, new_pin(person), by=by, pin=now))


@click.command("duties")
@click.argument("person")
@click.option("--maker", "makes", is_flag=True, help="Receives, makes, tests, fills, delivers.")
@click.option("--checker", "checks", is_flag=True, help="Decides what goes out.")
@click.option("--owner", "owns", is_flag=True, help="Sets up the laboratory: people, phones, prices.")
@in_the_book
def duties_command(
    lab: "Laboratory", sign: Sign, person: str, makes: bool, checks: bool, owns: bool
) -> "Done":
    """Say what PERSON does here from now on; without a word, PERSON reads."""
    from stillroom.actions.house.duties import give_duties

    return give_duties(lab, person, makes=makes, checks=checks, owns=owns, **sign)


@click.command("password")
@click.argument("person")
@click.option("--by", default="", help="Code of the owner who sets it, when that is not the person.")
@click.option("--erase", is_flag=True, help="Let PERSON not come in from elsewhere any more.")
@in_option
def password_command(person: str, by: str, erase: bool, folder: Path) -> None:
    """Set the password PERSON comes in with from elsewhere, typed unseen or read from a pipe."""
    from stillroom.actions.house.duties import sign_for
    from stillroom.actions.house.signing_in import erase_password, set_password
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        if by:
            sign_for(lab, by)
        if erase:
            click.echo(erase_password(lab, person))
            return
        if sys.stdin.isatty():
            new = click.prompt(
                f"Password of {person}", hide_input=True, confirmation_prompt="Once more", err=True, type=str
            )
        else:
            new = sys.stdin.readline().rstrip("\n")
        click.echo(set_password(lab, person, new, by=by or person))
