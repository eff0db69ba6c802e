"""Spirit got back by a simple still: needs no laboratory and writes nothing."""

import click

from stillroom.cli.asking import json_option, tell_page

WAYS = ("label", "certificate", "mass", "density", "alcoholometer", "bottle")
"""How a strength is known, as ``answers.spirit_strength`` has them."""


@click.command("recover")
@click.argument("amount")
@click.option("--have", required=True, help='Strength in the flask: "70 % v/v".')
@click.option(
    "--known-by",
    type=click.Choice(WAYS, case_sensitive=False),
    default=None,
    help="How it is known; told by its unit.",
)
@click.option(
    "--at",
    "temperature",
    required=True,
    help='Temperature of the liquid now: "20 °C". Asked, never filled in.',
)
@click.option(
    "--stop",
    required=True,
    help='"91 %" of the ethanol, "83 % v/v" of the distillate, "88 °C", "3.8 L" or "3 kg".',
)
@click.option(
    "--stop-as",
    type=click.Choice(["share", "distillate", "drip", "boiling", "volume", "mass"], case_sensitive=False),
    default=None,
    help="What the stop is a figure of; told by its unit.",
)
@click.option("--power", default="", help='Power of the heater: "500 W".')
@click.option("--share", default="", help='Part of its power that arrives: "55 %".')
@click.option("--altitude", default="", help='Height above the sea: "1200 m".')
@click.option("--pressure", default="", help='Absolute pressure in the still: "400 mbar".')
@click.option("--escapes", default="", help='Part of the vapour that gets past the condenser: "1 %".')
@click.option(
    "--distillate-at", default="", help='Temperature of the distillate when it is measured: "25 °C".'
)
@click.option(
    "--holds",
    type=click.Choice(["spirit only", "extract"], case_sensitive=False),
    default=None,
    help="What is in the flask.",
)
@click.option("--plus-minus", default="", help="How sure the strength is (k = 2), in its unit.")
@click.option("--read-at", default="", help="Temperature at which the strength was read.")
@click.option(
    "--paper",
    type=click.Choice(["answer", "lesson"], case_sensitive=False),
    default="answer",
    help="What to print.",
)
@json_option
def recover_command(
    amount: str,
    known_by: str | None,
    stop_as: str | None,
    holds: str | None,
    plus_minus: str,
    paper: str,
    as_json: bool,
    **more: str,
) -> None:
    """What comes over from AMOUNT ("5 L") of spirit up to a cut: how much, how strong, what drips, how hot, how long.

    More than a simple still can give is refused with the most it can.
    """
    from stillroom.actions.asked_pages import recovery_pages

    fields = {
        "amount": amount,
        "known-by": known_by or "",
        "stop-as": stop_as or "",
        "holds": holds or "",
        "have-plus-minus": plus_minus,
        **{name.replace("_", "-"): text for name, text in more.items()},
    }
    pages = recovery_pages(fields)
    tell_page(pages.lesson if paper == "lesson" and pages.lesson else pages.page, as_json=as_json)
