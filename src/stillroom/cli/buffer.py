"""Weigh a buffer, or calculate the pH of a mixture: needs no laboratory and writes nothing."""

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("buffer")
@click.argument("amount", default="")
@click.option(
    "--pair", default="", help="Pair of salts: acetate, citrate, lactate, phosphate, tromethamine …"
)
@click.option("--ph", default="", help='Wanted, at 25 °C: "7.0".')
@click.option("--total", default="", help='Both salts together: "0.05 mol/L".')
@click.option("--read-by", default="", help="What the pH is read with: strip or meter.")
@click.option("--meter-buffers", default="", help='What the meter was calibrated with: "4.01, 6.86".')
@click.option("--plus-minus", default="", help='How far strip or meter may be off: "0.5".')
@click.option("--at", "temperature", default="", help='Temperature of the room: "31 °C".')
@click.option("--scale", default="", help='Readability of the scale the salts are weighed on: "0.01 g".')
@click.option("--holds", default="", help='In place of all that: "citric acid 10 mmol/L; sodium 12 mmol/L".')
@click.option(
    "--lesson", is_flag=True, help="The same as a lesson: asked again on paper, answer on the back."
)
@json_option
def buffer_command(
    amount: str,
    pair: str,
    ph: str,
    total: str,
    read_by: str,
    meter_buffers: str,
    plus_minus: str,
    temperature: str,
    scale: str,
    holds: str,
    lesson: bool,
    as_json: bool,
) -> None:
    """Grams of two salts for AMOUNT ("1 L") of a buffer, and the pH to expect; or the pH of a mixture."""
    from stillroom.actions.mix_buffer import buffer_pages

    page, taught = buffer_pages(
        {
            "amount": amount,
            "pair": pair,
            "ph": ph,
            "total": total,
            "read-by": read_by,
            "meter-buffers": meter_buffers,
            "plus-minus": plus_minus,
            "at": temperature,
            "scale": scale,
            "holds": holds,
        }
    )
    tell_page((lesson and taught) or page, as_json=as_json)
