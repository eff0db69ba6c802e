"""Verbs for sums at the bench: they need no laboratory and write nothing."""

import re

import click

from stillroom.cli.asking import json_option, tell_page

WAYS = ("label", "certificate", "mass", "density", "alcoholometer", "bottle")
"""How a strength is known, as ``answers.spirit_strength`` has them."""


@click.command("dilute")
@click.argument("amount")
@click.option(
    "--have",
    default="",
    help='Strength at hand: "96.0 % v/v", "93.8 % w/w", "83 % v/v at 31 °C by alcoholometer".',
)
@click.option(
    "--known-by",
    type=click.Choice(WAYS, case_sensitive=False),
    default=None,
    help="How it is known; told by its unit.",
)
@click.option("--want", required=True, help='Strength wanted: "70.0 % v/v".')
@click.option(
    "--at", "temperature", required=True, help='Temperature of the liquids: "20 °C". Asked, never filled in.'
)
@click.option("--at-hand", is_flag=True, help="AMOUNT is the spirit at hand: all of it is diluted.")
@click.option("--to-mark", is_flag=True, help="AMOUNT is the mark of a vessel, which is filled to it.")
@click.option("--bottle", default="", help='Weighed empty, with water, with spirit: "24.31, 74.12, 64.60 g".')
@click.option("--plus-minus", default="", help="How sure the strength is (k = 2), in its unit.")
@click.option("--read-at", default="", help="Temperature at which the strength was read.")
@click.option("--reference", default="", help='Temperature or scale the label means: "15.56 °C", "Tralles".')
@click.option("--holds", default="", help='What the spirit holds: "extract, sugar or glycerol too".')
@click.option("--drops", default="", help='A dropper that was weighed: "20 drops of water weigh 0.98 g".')
@click.option(
    "--shows", default="", help='The mixture stands there, and its alcoholometer shows: "71.5 % at 24 °C".'
)
@click.option("--vessel", default="", help='What the measuring vessel is made of: "polypropylene".')
@click.option("--division", default="", help='One division of the alcoholometer: "0.5 %".')
@click.option("--thermometer", default="", help='How far the thermometer may be off: "0.2".')
@click.option(
    "--paper",
    type=click.Choice(["answer", "label", "lesson"], case_sensitive=False),
    default="answer",
    help="What to print.",
)
@json_option
def dilute_command(
    amount: str,
    have: str,
    known_by: str | None,
    want: str,
    temperature: str,
    at_hand: bool,
    to_mark: bool,
    bottle: str,
    plus_minus: str,
    read_at: str,
    reference: str,
    holds: str,
    drops: str,
    shows: str,
    vessel: str,
    division: str,
    thermometer: str,
    paper: str,
    as_json: bool,
) -> None:
    """Spirit and water for AMOUNT ("5.000 L"): masses, marks, what adding volumes gives, the reading to expect."""
    from stillroom.actions.asked_pages import dilution_pages
    from stillroom.quantities.entry import several
    from stillroom.quantities.strength_words import refuse_silent

    refuse_silent(want, where="--want")
    weighed = [one.as_written for one in several(bottle, "g", where="--bottle")] if bottle else ["", "", ""]
    if len(weighed) != 3:
        from stillroom.errors import BadEntry

        raise BadEntry(
            "A bottle is weighed three times: empty, with water, with the spirit",
            repr(bottle),
            'Write "24.31, 74.12, 64.60 g"',
            where="--bottle",
        )
    if at_hand and to_mark:
        from stillroom.errors import BadEntry

        raise BadEntry(
            "An amount is at hand, or the mark of a vessel", "both", "Leave one out", where="--to-mark"
        )
    pages = dilution_pages(
        {
            "have": have,
            "known-by": known_by or "",
            "want": want,
            "amount": amount,
            "amount-as": "at hand" if at_hand else "to the mark" if to_mark else "wanted",
            "temperature": temperature,
            "bottle-empty": weighed[0],
            "bottle-water": weighed[1],
            "bottle-spirit": weighed[2],
            "have-plus-minus": plus_minus,
            "read-at": read_at,
            "reference": reference,
            "holds": holds,
            **_dropper(drops),
            **_shown(shows),
            "vessel": vessel,
            "division": division,
            "thermometer": thermometer,
        }
    )
    page = {"label": pages.label, "lesson": pages.lesson}.get(paper) or pages.page
    tell_page(page, as_json=as_json)


def _dropper(text: str) -> dict[str, str]:
    """The fields of a dropper, from "20 drops of water weigh 0.98 g"."""
    if not text:
        return {}
    hit = re.fullmatch(r"(\S+) drops of (water|spirit) weigh (.+)", " ".join(text.split()))
    if hit is None:
        from stillroom.errors import BadEntry

        raise BadEntry(
            "A dropper is a count, a liquid and a mass",
            repr(text[:40]),
            'Write "20 drops of water weigh 0.98 g"',
            where="--drops",
        )
    return {"drops-counted": hit[1], "drops-of": hit[2], "drops-weigh": hit[3]}


def _shown(text: str) -> dict[str, str]:
    """The fields of a reading in the mixture, from "71.5 % at 24 °C"."""
    reads, _, at = text.partition(" at ")
    return {"shows": reads.strip(), "shows-at": at.strip()}
