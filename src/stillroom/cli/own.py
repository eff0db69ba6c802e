"""Verbs for markers, plants and ingredients of one's own."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, by_option, in_option, json_option, moment, tell_done
from stillroom.records.own_from_yaml import Kind


@click.group("own")
def own_command() -> None:
    """Enter a marker, a plant or an ingredient that the tables here do not list."""


def _state(kind: Kind, fields: dict[str, str], folder: Path, by: str, at_text: str, as_json: bool) -> None:
    from stillroom.actions.house.own_things import state_fields
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = state_fields(lab, kind, fields, by=by, at=moment(at_text))
        tell_done(lab, done, as_json=as_json)


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
@in_option
@by_option
@at_option
@json_option
def marker_command(
    name: str,
    molar_mass: str,
    charge: str,
    equivalents: str,
    pka: tuple[str, ...],
    also_called: tuple[str, ...],
    solubility: str,
    cas: str,
    goes_over_with_steam: bool,
    loses_by_heat: bool,
    hardly_in_water: bool,
    source: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """A marker NAME, as orders and results call it: what it weighs and what it is in water."""
    fields = {
        "marker": name,
        "molar mass": molar_mass,
        "charge": charge,
        "equivalents": equivalents,
        "pka": ";".join(pka),
        "also called": ";".join(also_called),
        "solubility": solubility,
        "cas": cas,
        "goes over with steam": "yes" if goes_over_with_steam else "",
        "loses by heat": "yes" if loses_by_heat else "",
        "hardly in water": "yes" if hardly_in_water else "",
        "source": source,
    }
    _state("marker", fields, folder, by, at_text, as_json)


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
@in_option
@by_option
@at_option
@json_option
def plant_command(
    name: str,
    part: str,
    latin_name: str,
    holds: tuple[str, ...],
    loss_on_drying: str,
    water_takes_out: str,
    spirit_takes_out: str,
    label_name: str,
    also_called: tuple[str, ...],
    source: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """A plant NAME with its part, as its lots are called: what it holds and what comes out of it."""
    fields = {
        "plant": name,
        "part": part,
        "latin name": latin_name,
        "holds": ";".join(holds),
        "loss on drying": loss_on_drying,
        "water takes out": water_takes_out,
        "spirit takes out": spirit_takes_out,
        "name on the label": label_name,
        "also called": ";".join(also_called),
        "source": source,
    }
    _state("plant", fields, folder, by, at_text, as_json)


@own_command.command("ingredient")
@click.argument("name")
@click.option("--label-name", default="", help="In the list of ingredients.")
@click.option("--used-as", default="", help='"emollient".')
@click.option("--cas", default="", help="Its CAS number.")
@click.option("--density", default="", help='At 20 °C: "0.92 g/mL".')
@click.option("--also-called", multiple=True, help="Another name; give it again for each.")
@click.option("--source", default="", help="Where this was read.")
@in_option
@by_option
@at_option
@json_option
def ingredient_command(
    name: str,
    label_name: str,
    used_as: str,
    cas: str,
    density: str,
    also_called: tuple[str, ...],
    source: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """An ingredient NAME, as formulas call it, with its name in the list of ingredients."""
    fields = {
        "ingredient": name,
        "name on the label": label_name,
        "used as": used_as,
        "cas": cas,
        "density": density,
        "also called": ";".join(also_called),
        "source": source,
    }
    _state("ingredient", fields, folder, by, at_text, as_json)
