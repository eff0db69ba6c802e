"""Verbs for markers, plants, ingredients and ceilings of one's own."""

from typing import TYPE_CHECKING, Any

import click

from stillroom.cli.asking import Sign, in_the_book
from stillroom.records.own_from_yaml import Kind

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory


CALLED = {"label_name": "name on the label"}
"""Fields that are called otherwise than their option."""


@click.group("own")
def own_command() -> None:
    """Enter a marker, a plant, an ingredient or a ceiling that the tables here do not list."""


def _state(lab: "Laboratory", sign: Sign, kind: Kind, name: str, said: dict[str, Any]) -> "Done":
    from stillroom.actions.house.own_things import state_fields

    fields = {
        "name on the label" if one == "label_name" else one.replace("_", " "): _text(text)
        for one, text in said.items()
    }
    return state_fields(lab, kind, {kind: name, **fields}, **sign)


def _text(said: str | bool | tuple[str, ...]) -> str:
    if isinstance(said, bool):
        return "yes" if said else ""
    return said if isinstance(said, str) else ";".join(said)


@own_command.command("marker")
@click.argument("name")
@click.option("--molar-mass", default="", help='"192.17 g/mol".')
@click.option("--charge", default="", help="In water: base, acid, permanent charge, none or not known.")
@click.option("--equivalents", default="", help="Moles of titrant for one mole; 1 where left out.")
@click.option("--pka", multiple=True, help="Give it again for each.")
@click.option("--also-called", multiple=True, help="Another name; give it again for each.")
@click.option("--solubility", default="", help="In words.")
@click.option("--cas", default="", help="Its CAS number.")
@click.option("--goes-over-with-steam", is_flag=True, help="It is volatile.")
@click.option("--loses-by-heat", is_flag=True, help="Long boiling breaks it down.")
@click.option("--hardly-in-water", is_flag=True, help="Hot water hardly takes it.")
@click.option("--source", default="", help="Where this was read.")
@in_the_book
def marker_command(lab: "Laboratory", sign: Sign, /, name: str, **said: Any) -> "Done":
    """A marker NAME, as orders and results call it: what it weighs and what it is in water."""
    return _state(lab, sign, "marker", name, said)


@own_command.command("plant")
@click.argument("name")
@click.option("--part", default="", help='"root".')
@click.option("--latin-name", default="", help="Rules are looked up by it too.")
@click.option(
    "--holds", multiple=True, help='"scopoletin 0.002 to 0.01 %" of the dried plant; give it again for each.'
)
@click.option("--loss-on-drying", default="", help='Usual: "9 %".')
@click.option("--water-takes-out", default="", help='Of the dried plant: "10 to 25 %".')
@click.option("--spirit-takes-out", default="", help='Of the dried plant: "8 to 20 %".')
@click.option("--label-name", default="", help="In the list of ingredients.")
@click.option("--also-called", multiple=True, help="Another name; give it again for each.")
@click.option("--source", default="", help="Where this was read.")
@in_the_book
def plant_command(lab: "Laboratory", sign: Sign, /, name: str, **said: Any) -> "Done":
    """A plant NAME with its part, as its lots are called: what it holds and what comes out of it."""
    return _state(lab, sign, "plant", name, said)


@own_command.command("ingredient")
@click.argument("name")
@click.option("--label-name", default="", help="In the list of ingredients.")
@click.option("--used-as", default="", help='"emollient".')
@click.option("--cas", default="", help="Its CAS number.")
@click.option("--density", default="", help='At 20 °C: "0.92 g/mL".')
@click.option("--also-called", multiple=True, help="Another name; give it again for each.")
@click.option("--source", default="", help="Where this was read.")
@in_the_book
def ingredient_command(lab: "Laboratory", sign: Sign, /, name: str, **said: Any) -> "Done":
    """An ingredient NAME, as formulas call it, with its name in the list of ingredients."""
    return _state(lab, sign, "ingredient", name, said)


@own_command.command("ceiling")
@click.argument("name")
@click.option("--kind", required=True, help='Kind of product: "hair leave-on".')
@click.option("--market", default="EU", show_default=True, help="Where it is sold.")
@click.option(
    "--at-most",
    required=True,
    help='By mass of the product: "0.5 %"; "none" where the source sets no ceiling.',
)
@click.option("--source", required=True, help="The text, its entry and its date; or whose written opinion.")
@in_the_book
def ceiling_command(
    lab: "Laboratory", sign: Sign, /, name: str, kind: str, market: str, at_most: str, source: str
) -> "Done":
    """The most of NAME, as orders count it, that a kind of product may hold, as somebody looked it up."""
    from stillroom.actions.book.ceilings import state_ceiling

    return state_ceiling(lab, name, kind, market, at_most, source, **sign)
