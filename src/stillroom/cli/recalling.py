"""Verbs that follow a suspension or a recall: what came back, who was told, a rehearsal."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, by_option, in_option, json_option, moment, tell_done


@click.group("recall")
def recall_command() -> None:
    """Write what came back, who was told and when, and a recall that was rehearsed."""


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
@in_option
@by_option
@at_option
@json_option
def returned_command(
    lot: str, amount: str, order: str, why: str, into: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """AMOUNT ("2 bottles") of LOT came back from the customer of an order."""
    from stillroom.actions.releasing.recalling import take_back
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = take_back(lab, lot, order, amount, why=why, into=into, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)


@recall_command.command("told")
@click.argument("lot")
@click.argument("who")
@click.option("--how", required=True, help='"by telephone", "letter of 2026-11-25".')
@click.option("--said", default="", help="What they answered.")
@click.option("--order", default="", help="Order of the customer.")
@in_option
@by_option
@at_option
@json_option
def told_command(
    lot: str, who: str, how: str, said: str, order: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """WHO was told about LOT: when (--at), how, and what they answered."""
    from stillroom.actions.releasing.recalling import tell_people
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = tell_people(lab, lot, who, how=how, said=said, order=order, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)


@recall_command.command("rehearse")
@click.argument("code")
@click.option("--minutes", required=True, help="From the question to the last bottle.")
@click.option("--found", required=True, help="What was learned.")
@in_option
@by_option
@at_option
@json_option
def rehearse_command(
    code: str, minutes: str, found: str, folder: Path, by: str, at_text: str, as_json: bool
) -> None:
    """A recall was rehearsed from CODE; nothing is stopped and nobody is told."""
    from stillroom.actions.releasing.recalling import rehearse_recall
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = rehearse_recall(lab, code, minutes, found=found, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)
