"""Verbs that follow a release: a complaint, what came back, who was told, a rehearsal of a recall."""

from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, in_the_book

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory


@click.group("recall")
def recall_command() -> None:
    """Write a complaint, what came back, who was told and when, and a recall that was rehearsed."""


@recall_command.command("returned")
@click.argument("lot")
@click.argument("amount")
@click.option("--order", required=True, help="Customer's order it was delivered on.")
@click.option("--why", required=True, help="Why it came back.")
@click.option(
    "--into",
    type=click.Choice(["returned", "retained", "waste"], case_sensitive=False),
    default="returned",
    show_default=True,
    help="Where it stands now; never on the shelf.",
)
@in_the_book
def returned_command(
    lab: "Laboratory", sign: Sign, lot: str, amount: str, order: str, why: str, into: str
) -> "Done":
    """AMOUNT ("2 bottles") of LOT came back from the customer of an order."""
    from stillroom.actions.releasing.recalling import take_back

    return take_back(lab, lot, order, amount, why=why, into=into, **sign)


@recall_command.command("complaint")
@click.argument("lot")
@click.argument("who")
@click.option("--what", required=True, help="What they say of it.")
@click.option("--order", default="", help="Order of the customer.")
@click.option("--reacted", is_flag=True, help="Somebody's skin, eyes or body reacted to it.")
@in_the_book
def complaint_command(
    lab: "Laboratory", sign: Sign, lot: str, who: str, what: str, order: str, reacted: bool
) -> "Done":
    """WHO complains of LOT; a released lot is suspended until a named person has looked."""
    from stillroom.actions.releasing.recalling import hear_complaint

    return hear_complaint(lab, lot, who, what=what, order=order, reacted=reacted, **sign)


@recall_command.command("told")
@click.argument("lot")
@click.argument("who")
@click.option("--how", required=True, help='"by telephone", "letter of 2026-11-25".')
@click.option("--said", default="", help="What they answered.")
@click.option("--order", default="", help="Order of the customer.")
@in_the_book
def told_command(
    lab: "Laboratory", sign: Sign, lot: str, who: str, how: str, said: str, order: str
) -> "Done":
    """WHO was told about LOT: when (--at), how, and what they answered."""
    from stillroom.actions.releasing.recalling import tell_people

    return tell_people(lab, lot, who, how=how, said=said, order=order, **sign)


@recall_command.command("rehearse")
@click.argument("code")
@click.option("--minutes", required=True, help="From the question to the last bottle.")
@click.option("--found", required=True, help="What was learned.")
@in_the_book
def rehearse_command(lab: "Laboratory", sign: Sign, code: str, minutes: str, found: str) -> "Done":
    """A recall was rehearsed from CODE; nothing is stopped and nobody is told."""
    from stillroom.actions.releasing.recalling import rehearse_recall

    return rehearse_recall(lab, code, minutes, found=found, **sign)
