"""Cooling water, a bucket and the breaker: needs no laboratory and writes nothing."""

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("cooling")
@click.argument("set_ups", nargs=-1, required=True)
@click.option(
    "--inlet", required=True, help='Cooling water coming in, measured today: "24 °C". Never filled in.'
)
@click.option("--flow", required=True, help='Water through a line: "0.5 L/min".')
@click.option("--hours", default="6 h", show_default=True, help="How long it runs.")
@click.option(
    "--parallel", is_flag=True, help="Each condenser has a line of its own; in series when left out."
)
@click.option("--altitude", default="", help='Height above the sea: "1200 m".')
@click.option("--margin", default="", help='How far below its boiling point water may leave: "20 K".')
@click.option("--share", default="", help='Part of a heater that boils the liquid: "60 %".')
@click.option("--heaters", default="", help='Everything on the breaker: "2 × 300 W; 1000 W".')
@click.option("--breaker", default="", help='Printed on it: "10 A".')
@click.option("--mains", default="", help='"230 V".')
@click.option("--bucket", default="", help='Water in a bucket in place of the tap: "25 L".')
@click.option("--ice", default="", help='Ice in it: "5 kg".')
@click.option("--pump", default="", help='Power of the pump: "10 W".')
@click.option("--jacket", default="", help='Water standing in a condenser: "150 mL".')
@click.option(
    "--caught-at",
    default="",
    help='How warm what drips back is when its volume is taken: "20 °C" when left out, or "boiling".',
)
@click.option(
    "--lesson", is_flag=True, help="The same as a lesson: asked again on paper, answer on the back."
)
@json_option
def cooling_command(
    set_ups: tuple[str, ...], parallel: bool, lesson: bool, as_json: bool, **more: str
) -> None:
    """Whether SET_UPS ("ethanol 12 mL/min", "acetone 300 W", in the order of the water) may run on one water.

    What must not run ends with exit code 2 and names the first that fails.
    """
    from stillroom.actions.cooling_sums import work_out_cooling

    fields = {"set-ups": ";".join(set_ups), "hoses": "parallel" if parallel else "series"}
    fields |= {name.replace("_", "-"): text for name, text in more.items()}
    found = work_out_cooling(fields)
    tell_page(found.lesson if lesson else found.page, as_json=as_json)
    if found.refused and not lesson:
        raise found.refused
