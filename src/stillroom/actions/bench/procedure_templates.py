"""Beginning a procedure: copied from a starter for a plant and a marker, and written into the book.

Refuses what cannot work, with what would; says what is known of the plant, and what is not.
"""

from typing import Unpack

from stillroom.actions.bench.form_choices import procedures
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.errors import BadEntry, worded
from stillroom.records.starters import copy_starter, holds_for
from stillroom.substances.plant_contents import nearest_plants, plant_material, typical_content


def copy_procedure(
    lab: Laboratory, name: str, plant: str, marker: str, code: str, **sign: Unpack[Signed]
) -> Done:
    """Write a procedure copied from a starter.

    Parameters
    ----------
    name : str
        The starter: "maceration".
    plant, marker : str
        As a person writes them: "rosemary leaf", "rosmarinic acid".
    code : str
        Code of the new procedure: "rosemary-extract".

    Raises
    ------
    BadEntry
        The plant, the marker or the code is missing, or the code is in use.
    UnknownName
        There is no such starter.
    NotAllowed
        The way cannot work for the marker, or the plant or a solvent may not be used.
    """
    made = copy_starter(name, plant, marker, code)
    try:
        done = write_procedure(lab, made, **sign)
    except BadEntry:
        if made.code in {one.code for one in procedures(lab)}:
            raise BadEntry(
                "A copy has a code of its own",
                worded("{made_code}, which a procedure here has already", made_code=made.code),
                "Choose another code",
                where="code",
            ) from None
        raise
    if not done.says:
        return done
    return Done(done.entries, f"{done.says} {what_is_known(name, plant, marker)}".strip())


def what_is_known(name: str, plant: str, marker: str) -> str:
    """What is known of a plant and a marker, in a sentence or two for the person who copies.

    Parameters
    ----------
    name, plant, marker : str
        As ``copy_procedure`` takes them.
    """
    holding, material, content = (
        holds_for(name, marker),
        plant_material(plant),
        typical_content(plant, marker),
    )
    said = [holding.why] if holding.verdict in ("warned", "unknown") else []
    if content:
        said.append(
            f"{content.plant.name.capitalize()} usually holds {content.low_percent_dried:g} to "
            f"{content.high_percent_dried:g} % of it, dried; an assay of your lot comes first."
        )
    elif material:
        said.append(f"Nothing is known here about how much {marker} {material.name} holds: assay it.")
    else:
        near = nearest_plants(plant)
        meant = f" Did you mean {' or '.join(near)}?" if near else ""
        said.append(f"Nothing is known here about {plant}: assay it before you plan.{meant}")
    if material and material.note:
        said.append(material.note)
    return " ".join(said)
