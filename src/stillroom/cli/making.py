"""The verb for batches: begin one, see or do its next step, print its sheet."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import at_option, in_option, json_option, moment, tell_done, tell_page

if TYPE_CHECKING:
    from stillroom.actions.making.weighing import Weighed


@click.command("make")
@click.argument("batch")
@click.option("--procedure", default="", help="Begin the batch by this procedure.")
@click.option(
    "--scale",
    default="",
    help='Mass it is in proportion to: "250 g" of plant, "5.000 kg" of bulk; by the plan of the order when left out.',
)
@click.option("--order", default="", help="Customer's order it is made for.")
@click.option("--step", default="", help="Do this step.")
@click.option(
    "--weighed",
    multiple=True,
    metavar="LINE=MASS[@LOT[@SCALE]]",
    help='Weighed at the step: "bark=250.0 g@CIN-01@SCALE-1". Once for each line.',
)
@click.option("--tick", "ticks", multiple=True, help="Tick of the step, word for word.")
@click.option("--all-ticks", is_flag=True, help="Every tick of the step was looked at and made.")
@click.option("--temperature", default="", help='"21.5 °C".')
@click.option("--note", default="", help="What was different: a deviation.")
@click.option("--by", default="", help="Code of the person who signs.")
@in_option
@at_option
@json_option
def make_command(
    batch: str,
    procedure: str,
    scale: str,
    order: str,
    step: str,
    weighed: tuple[str, ...],
    ticks: tuple[str, ...],
    all_ticks: bool,
    temperature: str,
    note: str,
    by: str,
    folder: Path,
    at_text: str,
    as_json: bool,
) -> None:
    """Begin BATCH (with --procedure), do a step of it (with --step), or show its sheet."""
    from stillroom.actions.making.batches import begin_batch, do_step, step_in_hand
    from stillroom.cli.asking import open_laboratory
    from stillroom.errors import BadEntry
    from stillroom.pages.batches import show_batch

    at = moment(at_text)
    if (procedure or step) and not by:
        raise BadEntry("What is done is signed", "nobody", "Give --by", where="--by")
    with open_laboratory(folder) as lab:
        if procedure:
            done = begin_batch(lab, batch, procedure, scale, order=order, by=by, at=at)
        elif step:
            in_hand = step_in_hand(lab, batch, step)
            made = in_hand.step.ticks if all_ticks and in_hand else ticks
            done = do_step(
                lab,
                batch,
                step,
                [_weighed(one) for one in weighed],
                ticks=made,
                temperature=temperature,
                note=note,
                by=by,
                at=at,
            )
        else:
            tell_page(show_batch(lab, batch), as_json=as_json)
            return
        tell_done(lab, done, as_json=as_json)


def _weighed(text: str) -> "Weighed":
    from stillroom.actions.making.weighing import Weighed
    from stillroom.errors import BadEntry

    line, equals, rest = text.partition("=")
    if not equals:
        raise BadEntry('A weighing is written "bark=250.0 g@CIN-01@SCALE-1"', repr(text), where="--weighed")
    mass, *more = rest.split("@")
    lot, scale = (*more, "", "")[:2]
    return Weighed(line.strip(), mass.strip(), lot.strip(), scale.strip())
