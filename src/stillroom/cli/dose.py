"""The dose of an extract: of a batch in the book, or asked with no laboratory."""

from pathlib import Path
from typing import Any

import click

from stillroom.cli.asked import fields_typed, options_of, tell_answer
from stillroom.cli.asking import at_option, in_option, json_option, moment, tell, tell_done
from stillroom.questions.dose import QUESTION

OF_A_BATCH = ("next-strength", "usual-share")
"""Entries of the question that may be said of a batch too."""


@click.command("dose")
@click.argument("batch", default="")
@click.argument("extract", default="")
@click.option("--scale", default="", help="Scale the extract is weighed on.")
@click.option(
    "--next-loss-on-drying", default="", help='Of that lot, when its strength is "38.4 % dried": "3.1 %".'
)
@click.option("--keep", is_flag=True, help="Decide the dose and keep it in the book.")
@click.option("--by", default="", help="Code of the person who decides.")
@in_option
@at_option
@json_option
def dose_command(
    batch: str,
    extract: str,
    scale: str,
    next_loss_on_drying: str,
    keep: bool,
    by: str,
    folder: Path,
    at_text: str,
    as_json: bool,
    paper: str,
    **typed: Any,
) -> None:
    """Grams of EXTRACT for BATCH, its upper bound against the ceiling, and both readings of "meets it".

    With --want it is asked without a book: strength, ±, what is wanted, bulk, kind of product, step of the scale.
    """
    fields = fields_typed(QUESTION, typed)
    if any(text for name, text in fields.items() if name not in (*OF_A_BATCH, "meets")):
        if batch:
            raise click.UsageError("Name BATCH, or say what the product is to hold with --want: not both.")
        tell_answer(QUESTION, fields, paper, as_json=as_json)
        return
    if not (batch and extract and scale):
        raise click.UsageError("Name BATCH, EXTRACT and --scale; or ask without a book, with --want.")
    from stillroom.actions.products.dosing import decide_dose, work_out_dose, work_out_share
    from stillroom.cli.asking import open_laboratory
    from stillroom.errors import BadEntry

    next_strength, share = (fields[name] for name in OF_A_BATCH)
    if by and not keep:
        raise BadEntry(
            "A dose that is signed is kept", "no --keep", "Give --keep, or leave --by out", where="--keep"
        )
    with open_laboratory(folder) as lab:
        if keep:
            if not by:
                raise BadEntry("A dose is decided by a person", "nobody", "Give --by", where="--by")
            done = decide_dose(lab, batch, extract, scale=scale, by=by, at=moment(at_text))
            tell_done(lab, done, as_json=as_json)
            return
        if share:
            content, judged = work_out_share(lab, batch, extract, share)
            tell(
                f"{share} of {extract} would make {content.answer.value:.4f} %. {judged.says}",
                as_json=as_json,
                content_percent=content.answer.value,
            )
            return
        found = work_out_dose(
            lab,
            batch,
            extract,
            scale=scale,
            next_strength=next_strength,
            next_loss_on_drying=next_loss_on_drying,
        )
    says, more = list(found.notes), {}
    if found.what_if is not None:
        says.append(
            f"A lot of {next_strength} would take {found.what_if.mass.value:g} g; the old weight of it would make "
            f"{found.what_if.old_mass_gives.value:.4f} %."
        )
        more["next_lot_g"] = found.what_if.mass.value
    tell(
        "\n".join(says),
        as_json=as_json,
        mass_g=found.mass.value,
        content_percent=found.content.answer.value,
        upper_percent=found.chosen.upper.value,
        **more,
    )


dose_command.params += options_of(QUESTION, may_be_left_out=True)
