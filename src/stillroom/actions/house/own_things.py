"""Markers, plants and ingredients of one's own: stated in the book, and from then on found like those of the tables.

Nothing stated here lifts a rule: a plant is prohibited by its Latin name too, and an ingredient that the tables know
keeps the name its limits stand under. What is wrong is stated again; both stay to be read, the last one stands.
"""

from collections.abc import Callable, Mapping
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import IngredientStated, MarkerStated, PlantStated
from stillroom.records.entry_json import body_to_json
from stillroom.records.own_from_yaml import Kind, OwnThing, own_from_fields, own_to_fields
from stillroom.reference.tables import table
from stillroom.substances.ingredients import listed_ingredient
from stillroom.substances.markers import marker_nature
from stillroom.substances.own import (
    OwnIngredient,
    OwnMarker,
    OwnPlant,
    Stated,
    own_ingredient,
    own_marker,
    own_plant,
)
from stillroom.substances.plants import refuse_prohibited
from stillroom.texts.catalogue import t

FOUND_BY: dict[Kind, Callable[[str], tuple[OwnThing, Stated] | None]] = {
    "marker": own_marker,
    "plant": own_plant,
    "ingredient": own_ingredient,
}
MOST_APART = 0.005
"""How far a molar mass may lie from the printed one of the same name, as a share: salts and hydrates lie further."""


def state_fields(lab: Laboratory, kind: Kind, fields: Mapping[str, str], **sign: Unpack[Signed]) -> Done:
    """Write a marker, plant or ingredient of one's own from the fields of a form or a command.

    Parameters
    ----------
    fields : mapping of str to str
        As ``own_from_yaml.KEYS`` names them.

    Raises
    ------
    BadEntry, UnknownName, NotAllowed
        As ``own_from_fields`` and ``state`` raise them.
    """
    return state(lab, own_from_fields(kind, fields), **sign)


def state(lab: Laboratory, thing: OwnThing, **sign: Unpack[Signed]) -> Done:
    """Write a marker, plant or ingredient of one's own.

    Raises
    ------
    BadEntry
        The molar mass is not that of the printed compound of this name, or the ingredient is listed already.
    NotAllowed
        The plant is prohibited.
    """
    match thing:
        case OwnMarker():
            _must_be_that_compound(thing)
            body: MarkerStated | PlantStated | IngredientStated = MarkerStated(thing)
        case OwnPlant():
            for name in (thing.name, *thing.also_called, thing.latin_name):
                if name:
                    refuse_prohibited(name)
            body = PlantStated(thing)
        case OwnIngredient():
            _must_not_be_listed(thing)
            body = IngredientStated(thing)
    with lab.act("state of one's own", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        number = pen.enter(body)
    with lab.knowing_its_own():
        return Done(
            (number,),
            " ".join(
                one
                for one in (t("{name} is known here from now on.", name=thing.name), *_still(thing))
                if one
            ),
        )


def _still(thing: OwnThing) -> tuple[str, ...]:
    """What is not known yet of a thing, and what that stops."""
    match thing:
        case OwnMarker(molar_mass_g_mol=mass, charge=charge):
            return (
                t("Without its molar mass it cannot be titrated, nor counted as another compound.")
                if mass is None
                else "",
                t(
                    "Whether it is an acid, a base or permanently charged is not said: without that it "
                    "is not titrated."
                )
                if charge == "not known"
                else "",
            )
        case OwnPlant(markers=markers):
            unknown = [one.marker for one in markers if marker_nature(one.marker) is None]
            return (
                t("No marker is named for it: an order has to say what its strength counts.")
                if not markers
                else "",
                t(
                    "Nothing is known here about {names}: enter it as a marker with its molar mass and "
                    "charge.",
                    names=", ".join(unknown),
                )
                if unknown
                else "",
            )
    return ()


def _must_be_that_compound(thing: OwnMarker) -> None:
    listed = next((one for one in table("markers").rows if one.key.casefold() == thing.name.casefold()), None)
    if listed is None or thing.molar_mass_g_mol is None or listed["molar_mass_g_mol"] is None:
        return
    printed = listed.number("molar_mass_g_mol")
    if abs(thing.molar_mass_g_mol / printed - 1.0) > MOST_APART:
        raise BadEntry(
            worded("{called} has a molar mass of {printed:g} g/mol", called=listed.key, printed=printed),
            worded("{mass:g} g/mol", mass=thing.molar_mass_g_mol),
            "Give a salt, an ester or another compound a name of its own",
            where="molar mass",
        )


def _must_not_be_listed(thing: OwnIngredient) -> None:
    for name in (thing.name, *thing.also_called):
        listed = listed_ingredient(name, thing.cas)
        if listed:
            raise BadEntry(
                worded("{listed} is known here already, with its limits", listed=listed),
                thing.name
                if listed_ingredient(name, "")
                else worded("the same CAS number {cas}", cas=thing.cas),
                worded(
                    "Write {listed} in the formula; a line can have its own name on the label", listed=listed
                ),
                where="ingredient",
            )


def fields_of_own(lab: Laboratory, kind: Kind, name: str) -> dict[str, str]:
    """What stands of a thing of one's own, as the fields of its form; only the name where nothing stands."""
    with lab.look():
        found = FOUND_BY[kind](name) if name else None
        return own_to_fields(found[0]) if found else {kind: name}
