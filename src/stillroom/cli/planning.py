"""The verb that plans an order, back to the plant."""

import re
from pathlib import Path

import click

from stillroom.cli.asking import (
    at_option,
    in_option,
    json_option,
    moment,
    tell_done,
    tell_page,
    tell_progress,
)
from stillroom.documents.blocks import Page


@click.command("plan")
@click.argument("order", default="")
@click.option("--product", default="", help="Name on the label: with it, no book is needed.")
@click.option("--kind", default="hair leave-on", show_default=True, help="Kind of product.")
@click.option("--bottles", default="", help='"24 × 50 mL".')
@click.option("--strength", default="", help='"0.10 % w/w rosmarinic acid".')
@click.option("--plant", default="", help="Plant and part.")
@click.option("--way", default="", help="Way of extracting: maceration, percolation, soxhlet, infusion, ...")
@click.option("--due", default="", help="Day it is due: 2027-01-31.")
@click.option(
    "--say", "said", multiple=True, help='Say what would be assumed: --say "loss-on-drying=8.1 ± 0.4".'
)
@click.option(
    "--keep", is_flag=True, help="Keep the plan in the book; without ORDER, the order and its procedures too."
)
@click.option("--by", default="", help="Code of the person who keeps it.")
@click.option("--plant-lot", default="", help="Lot whose assay is used; the last released one when left out.")
@click.option("--charge", default="", help='Show what a charge of this much plant would give: "250 g".')
@click.option("--seed", default=7, show_default=True, help="Of the draws: the same seed gives the same plan.")
@click.option(
    "--draws", default=4096, show_default=True, type=click.IntRange(64, 1_000_000), help="How many."
)
@in_option
@at_option
@json_option
def plan_command(
    order: str,
    product: str,
    kind: str,
    bottles: str,
    strength: str,
    plant: str,
    way: str,
    due: str,
    said: tuple[str, ...],
    keep: bool,
    by: str,
    plant_lot: str,
    charge: str,
    seed: int,
    draws: int,
    folder: Path,
    at_text: str,
    as_json: bool,
) -> None:
    """Work ORDER (its code in the book) back to plant, spirit, packaging, hours and money.

    Without a book: give --product, --bottles, --strength, --plant, --way and --due instead of a code.
    """
    from stillroom.actions.orders.ordering import keep_plan, work_back
    from stillroom.cli.asking import open_laboratory
    from stillroom.errors import BadEntry
    from stillroom.pages.plain_orders import show_plain
    from stillroom.pages.plans import plan_shown, show_charge, show_plan

    if product or not order:
        figure, of = _strength_and_what(strength)
        asked = {"product": product, "kind": kind, "bottles": bottles, "strength": figure, "of": of,
                 "plant": plant, "way": way, "due": due}  # fmt: skip
        page = _asked(asked, said)
        if not keep:
            tell_page(page, as_json=as_json)
            return
        if not by:
            raise BadEntry("A plan is kept by a person", "nobody", "Give --by", where="--by")
        from stillroom.actions.keeping_answers import keep as keep_answer

        with open_laboratory(folder) as lab:
            done = keep_answer(lab, "order", asked, by=by, at=moment(at_text))
            tell_done(lab, done, as_json=as_json)
        return
    if said:
        raise BadEntry(
            "What is said with --say goes with a plan that needs no book",
            repr(said[0][:40]),
            "Note it in the book: stillroom note, or an assay of the lot",
            where="--say",
        )
    tell_progress(f"Working {order} back with {draws} draws")
    with open_laboratory(folder) as lab:
        plain = show_plain(lab, order)
        if plain is not None:
            tell_page(plain, as_json=as_json)
            return
        if charge:
            tell_page(show_charge(lab, order, charge, plant_lot=plant_lot), as_json=as_json)
            return
        if keep:
            if not by:
                raise BadEntry("A plan is kept by a person", "nobody", "Give --by", where="--by")
            keep_plan(lab, order, plant_lot=plant_lot, seed=seed, draws=draws, by=by, at=moment(at_text))
            tell_page(show_plan(lab, order), as_json=as_json)
            return
        made = work_back(lab, order, plant_lot=plant_lot, seed=seed, draws=draws)
        tell_page(plan_shown(lab, made), as_json=as_json)


def _strength_and_what(text: str) -> tuple[str, str]:
    """A strength, and what it is of: "0.10 % w/w" and "rosmarinic acid"."""
    from stillroom.quantities.numbers import NUMBER

    hit = re.match(
        rf"\s*({NUMBER}\s?(?:%|‰|[^\s\d]+/[^\s]+|ppm|per cent)?(?:\s?[wvm]\s?/\s?[wvm])?)\s*(.*)", text
    )
    return (hit[1].strip(), hit[2].strip()) if hit else (text.strip(), "")


def _asked(fields: dict[str, str], said: tuple[str, ...]) -> Page:
    """The answer to a question asked without a book."""
    from datetime import UTC, datetime

    from stillroom.actions.ask_order import may_be_said
    from stillroom.actions.questions import answered, order_asked
    from stillroom.errors import BadEntry, UnknownName

    for one in said:
        name, equals, text = one.partition("=")
        if not equals:
            raise BadEntry(
                "What is said has a name and a value", repr(one), '"loss-on-drying=8.1"', where="--say"
            )
        if name.strip() not in (known := may_be_said(order_asked(fields))) or not text.strip():
            raise UnknownName.among(name.strip()[:40], "something to say of an order", known).at("--say")
        fields[name.strip()] = text.strip()
    return answered("order", fields, datetime.now(UTC).astimezone().date()).page
