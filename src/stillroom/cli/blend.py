"""Spirits blended: needs no laboratory and writes nothing."""

import re

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("blend")
@click.argument("amount", default="")
@click.option(
    "--stock",
    "stocks",
    multiple=True,
    help='At hand, once for each: "2 L of 96 ± 0.3 % v/v, 14 EUR/L", "3 L of 83 % v/v by alcoholometer, recovered".',
)
@click.option(
    "--plant",
    "plants",
    multiple=True,
    help='Fresh plant, for its water: "800 g with 78 % water". All of it goes in.',
)
@click.option("--want", default="", help='Strength wanted: "70 % v/v". Left out: all is poured together.')
@click.option(
    "--at", "temperature", required=True, help='Temperature of the liquids: "20 °C". Asked, never filled in.'
)
@click.option(
    "--aim",
    type=click.Choice(["least fresh spirit", "least cost"], case_sensitive=False),
    default=None,
    help="What it is chosen for.",
)
@click.option("--division", default="", help='One division of the alcoholometer: "0.5 %".')
@click.option("--thermometer", default="", help='How far the thermometer may be off: "0.2".')
@click.option(
    "--paper",
    type=click.Choice(["answer", "lesson"], case_sensitive=False),
    default="answer",
    help="What to print.",
)
@json_option
def blend_command(
    amount: str,
    stocks: tuple[str, ...],
    plants: tuple[str, ...],
    aim: str | None,
    paper: str,
    as_json: bool,
    **more: str,
) -> None:
    """Make AMOUNT ("5 L") of a strength from spirits at hand; left out, all that can be made."""
    from stillroom.actions.asked_pages import blend_pages
    from stillroom.actions.blend_entries import MOST_ROWS
    from stillroom.errors import BadEntry, worded
    from stillroom.quantities.strength_words import refuse_silent

    rows = [*(_stock(one) for one in stocks), *(_plant(one) for one in plants)]
    refuse_silent(more["want"], where="--want")
    for row in rows[: len(stocks)]:
        refuse_silent(row[""], where="--stock")
    if len(rows) > MOST_ROWS:
        raise BadEntry(
            worded("A blend has {most_rows} stocks at most", most_rows=MOST_ROWS),
            str(len(rows)),
            "Pour like to like first",
        )
    fields = {"amount": amount, "aim": aim or "", **more}
    for at, row in enumerate(rows, start=1):
        fields |= {f"stock-{at}{part}": text for part, text in row.items()}
    pages = blend_pages(fields)
    tell_page(pages.lesson if paper == "lesson" and pages.lesson else pages.page, as_json=as_json)


def _stock(text: str) -> dict[str, str]:
    from stillroom.errors import BadEntry

    told, *besides = (one.strip() for one in text.split(","))
    amount, of, strength = told.partition(" of ")
    if not of or len(besides) > 2:
        raise BadEntry(
            "A stock is an amount of a strength, then what it is and its price",
            repr(text[:60]),
            'Write "3 L of 83 % v/v, recovered, 0 EUR/L"',
            where="--stock",
        )
    price = next((one for one in besides if "/" in one), "")
    what = next((one for one in besides if one != price), "fresh")
    return {"": strength.strip(), "-amount": amount.strip(), "-what": what, "-price": price}


def _plant(text: str) -> dict[str, str]:
    hit = re.fullmatch(r"(.+?) with (.+?) (?:of )?water", " ".join(text.split()))
    if hit is None:
        from stillroom.errors import BadEntry

        raise BadEntry(
            "Fresh plant has a mass and its water",
            repr(text[:60]),
            'Write "800 g with 78 % water"',
            where="--plant",
        )
    return {"": hit[2], "-amount": hit[1], "-what": "fresh plant", "-price": ""}
