"""The verb that plans an order, back to the plant."""

import re
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from stillroom.cli.asked import fields_typed, options_of, tell_answer
from stillroom.cli.asking import (
    at_option,
    in_option,
    json_option,
    moment,
    tell_done,
    tell_page,
    tell_progress,
)
from stillroom.documents.doors import said_in
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.quantities.numbers import NUMBER
from stillroom.questions.order import QUESTION, Ordered, may_be_said


@click.command("plan")
@click.argument("order", default="")
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
    keep: bool,
    by: str,
    plant_lot: str,
    charge: str,
    seed: int,
    draws: int,
    folder: Path,
    at_text: str,
    as_json: bool,
    paper: str,
    **typed: Any,
) -> None:
    """Work ORDER (its code in the book) back to plant, spirit, packaging, hours and money.

    Without a book: give --product, --bottles, --strength, --plant, --way and --due instead of a code.
    """
    from stillroom.actions.orders.ordering import keep_plan, work_back
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.plain_orders import show_plain
    from stillroom.pages.plans import plan_shown, show_charge, show_plan

    fields = fields_typed(QUESTION, typed)
    said = {name: text for name, text in fields.items() if text and name != "kind"}
    if said or not order:
        if order:
            raise BadEntry(
                "What is said goes with a plan that needs no book",
                repr(f"{next(iter(said))}={next(iter(said.values()))}"[:40]),
                "Note it in the book: stillroom note, or an assay of the lot",
                where="--say",
            )
        in_the_book = {"--charge": charge, "--plant-lot": plant_lot}
        if of_book := [option for option, text in in_the_book.items() if text]:
            raise BadEntry(
                worded("{option} goes with an order of the book", option=of_book[0]),
                repr(in_the_book[of_book[0]][:40]),
                "Name the order, or leave it out",
                where=of_book[0],
            )
        fields["strength"], fields["of"] = _strength_and_what(fields["strength"], fields["of"])
        _refuse_unknown(fields)
        if not keep:
            tell_answer(QUESTION, fields, paper, as_json=as_json)
            return
        if not by:
            raise BadEntry("A plan is kept by a person", "nobody", "Give --by", where="--by")
        from stillroom.actions.keeping_answers import keep as keep_answer

        with open_laboratory(folder) as lab:
            done = keep_answer(lab, "order", fields, by=by, at=moment(at_text))
            tell_done(lab, done, as_json=as_json)
        return
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


def _strength_and_what(text: str, of: str) -> tuple[str, str]:
    """A strength, and what it is of: "0.10 % w/w" and "rosmarinic acid"."""
    hit = re.match(
        rf"\s*({NUMBER}\s?(?:%|‰|[^\s\d]+/[^\s]+|ppm|per cent)?(?:\s?[wvm]\s?/\s?[wvm])?)\s*(.*)", text
    )
    return (hit[1].strip(), hit[2].strip() or of) if hit else (text.strip(), of)


def _refuse_unknown(fields: dict[str, str]) -> None:
    """Refuse what was said under a name that no plan of such an order knows."""
    asked = {one.name for one in QUESTION.entries}
    besides = [name for name in fields if name not in asked]
    if not besides:
        return
    six = {name: text for name, text in fields.items() if name in asked}
    said = Ordered.read(said_in(six), datetime.now().astimezone().date(), {})
    known = (
        *(one.name for one in QUESTION.entries if one.face.get("unasked")),
        *may_be_said({one.attribute: getattr(said, one.attribute) for one in QUESTION.entries}),
    )
    for name in besides:
        if name not in known:
            raise UnknownName.among(name[:40], "something to say of an order", known).at("--say")


at = plan_command.params.index(next(one for one in plan_command.params if one.name == "keep"))
plan_command.params[at:at] = options_of(QUESTION, may_be_left_out=True)
