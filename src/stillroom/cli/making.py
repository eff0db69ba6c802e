"""The verb for batches: begin one, see or do its next step, print its sheet."""

from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, perhaps_in_the_book

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory
    from stillroom.actions.making.weighing import Weighed
    from stillroom.documents.blocks import Page


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
@click.option("--ran-in", multiple=True, metavar="CODE", help="Extractor, still or bath it ran in: SOX-1.")
@click.option("--note", default="", help="What was different: a deviation.")
@perhaps_in_the_book
def make_command(
    lab: "Laboratory",
    sign: Sign,
    batch: str,
    procedure: str,
    scale: str,
    order: str,
    step: str,
    weighed: tuple[str, ...],
    ticks: tuple[str, ...],
    all_ticks: bool,
    temperature: str,
    ran_in: tuple[str, ...],
    note: str,
) -> "Done | Page":
    """Begin BATCH (with --procedure), do a step of it (with --step), or show its sheet."""
    from stillroom.actions.making.batches import begin_batch, do_step
    from stillroom.actions.making.steps_in_hand import step_in_hand
    from stillroom.errors import BadEntry
    from stillroom.pages.batches import show_batch

    if (procedure or step) and not sign["by"]:
        raise BadEntry("What is done is signed", "nobody", "Give --by", where="--by")
    if procedure:
        return begin_batch(lab, batch, procedure, scale, order=order, **sign)
    if not step:
        return show_batch(lab, batch)
    in_hand = step_in_hand(lab, batch, step)
    made = in_hand.step.ticks if all_ticks and in_hand else ticks
    masses = [_weighed(one) for one in weighed]
    return do_step(
        lab, batch, step, masses, ticks=made, temperature=temperature, note=note, ran_in=ran_in, **sign
    )


def _weighed(text: str) -> "Weighed":
    from stillroom.actions.making.weighing import Weighed
    from stillroom.errors import BadEntry

    line, equals, rest = text.partition("=")
    if not equals:
        raise BadEntry('A weighing is written "bark=250.0 g@CIN-01@SCALE-1"', repr(text), where="--weighed")
    mass, *more = rest.split("@")
    lot, scale = (*more, "", "")[:2]
    return Weighed(line.strip(), mass.strip(), lot.strip(), scale.strip())
