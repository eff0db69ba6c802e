"""The verb for PINs: set or change one at this machine; take one away where nobody is left who could."""

from pathlib import Path

import click

from stillroom.cli.asking import in_option, type_pin


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
        new = click.prompt(
            f"New PIN of {person}", hide_input=True, confirmation_prompt="Once more", err=True, type=str
        )
        click.echo(set_pin(lab, person, new, by=by, pin=now))
