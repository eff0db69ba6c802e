"""Markers: what the strength of a plant or an extract is expressed in.

Promises the published figures as answers that open to their row. Holds no content of any plant: that is
assayed.
"""

from dataclasses import dataclass

from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row

TABLE = "markers"


@dataclass(frozen=True, slots=True)
class Marker:
    """One compound with its published figures.

    Attributes
    ----------
    name : str
    cas : str
        Registry number.
    marker_class : str
        Such as "alkaloid (tertiary)".
    fixed_charge : bool
        Charged at every pH: basify-and-shake cannot move it.
    handling : str
    row : Row
        Every other published figure.
    """

    name: str
    cas: str
    marker_class: str
    fixed_charge: bool
    handling: str
    row: Row


def marker(name: str) -> Marker:
    """One marker.

    Parameters
    ----------
    name : str
        Key of the table ``markers``. [text]

    Returns
    -------
    Marker
        Its published figures. [record]

    Raises
    ------
    UnknownName
        The marker is not listed; the nearest names are offered.
    """
    found = row(TABLE, name)
    charge = found["fixed_charge"]
    return Marker(
        name=name,
        cas=found.words("cas"),
        marker_class=found.words("marker_class"),
        fixed_charge=isinstance(charge, float) and charge != 0.0,
        handling=found.words("handling"),
        row=found,
    )


def molar_mass(name: str) -> Answer:
    """The molar mass of a marker.

    Parameters
    ----------
    name : str
        Key of the table ``markers``. [text]

    Returns
    -------
    Answer
        Molar mass. [g/mol]

    Raises
    ------
    UnknownName
        The marker is not listed; the nearest names are offered.
    BadEntry
        No molar mass is printed for it.

    References
    ----------
    iupac-atomic-weights
    """
    found = row(TABLE, name)
    return published(
        f"molar mass of {name}",
        found.number("molar_mass_g_mol"),
        "g/mol",
        f"{TABLE}, {name}",
        sources=(found.words("source"),),
    )
