"""The verb for batches: begin one, do a step or leave it out, give it up, see its sheet or its watch."""

from collections.abc import Collection
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
    help='Weighed at the step: "bark=250.0 g@CIN-01@SCALE-1". Once for each line; '
    "what comes out without a LOT goes to the waste.",
)
@click.option("--tick", "ticks", multiple=True, help="Tick of the step, word for word.")
@click.option("--all-ticks", is_flag=True, help="Every tick of the step was looked at and made.")
@click.option("--temperature", default="", help='"21.5 °C".')
@click.option("--ran-in", multiple=True, metavar="CODE", help="Extractor, still or bath it ran in: SOX-1.")
@click.option("--note", default="", help="What was different: a deviation.")
@click.option("--not-done", default="", help="The step was not done, and why.")
@click.option("--give-up", "given_up", default="", help="End the batch, and why: what it used stays used.")
@click.option(
    "--watch", is_flag=True, help="Show how a Soxhlet, maceration or percolation stands: stop, or go on."
)
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
    not_done: str,
    given_up: str,
    watch: bool,
) -> "Done | Page":
    """Begin BATCH (with --procedure), do a step of it (with --step), or show its sheet."""
    from stillroom.actions.making.batches import begin_batch, do_step, leave_out
    from stillroom.actions.making.giving_up import give_up
    from stillroom.actions.making.steps_in_hand import step_in_hand
    from stillroom.errors import BadEntry
    from stillroom.pages.batches import show_batch
    from stillroom.pages.watch import show_watch

    if (procedure or step or given_up) and not sign["by"]:
        raise BadEntry("What is done is signed", "nobody", "Give --by", where="--by")
    if procedure:
        return begin_batch(lab, batch, procedure, scale, order=order, **sign)
    if given_up:
        return give_up(lab, batch, why=given_up, **sign)
    if not step:
        if weighed or ticks or all_ticks or temperature or ran_in or note or not_done:
            raise BadEntry(
                "What was weighed, ticked or noted belongs to a step",
                "no step",
                "Give --step",
                where="--step",
            )
        return show_watch(lab, batch) if watch else show_batch(lab, batch)
    if not_done:
        return leave_out(lab, batch, step, not_done, **sign)
    in_hand = step_in_hand(lab, batch, step)
    made = in_hand.step.ticks if all_ticks and in_hand else ticks
    with lab.look() as look:
        scales = {one.code for one in look.apparatus_list()}
    masses = [_weighed(one, scales) for one in weighed]
    return do_step(
        lab, batch, step, masses, ticks=made, temperature=temperature, note=note, ran_in=ran_in, **sign
    )


def _weighed(text: str, scales: Collection[str]) -> "Weighed":
    """One line as typed; a scale named in the place of the lot is the scale."""
    from stillroom.actions.making.weighing import Weighed
    from stillroom.errors import BadEntry

    line, equals, rest = text.partition("=")
    if not equals:
        raise BadEntry('A weighing is written "bark=250.0 g@CIN-01@SCALE-1"', repr(text), where="--weighed")
    mass, *more = rest.split("@")
    lot, scale = (one.strip() for one in (*more, "", "")[:2])
    if lot in scales and not scale:
        lot, scale = "", lot
    return Weighed(line.strip(), mass.strip(), lot, scale)
