"""What is said of a titrant and its primary standard, read as a person writes it."""

from stillroom.errors import BadEntry, StillroomError
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry, share
from stillroom.quantities.parse import parse
from stillroom.substances.normality import in_moles

BURETTE_AT_C = (5.0, 45.0)
CONTENT_TAKEN = assumed("content of the standard", 1.0, "", "nobody entered its certificate")
"""Of a standard whose certificate nobody entered [1]."""


def nominal_strength(text: str, where: str, because: str = "as entered", *, of: str = "") -> Answer:
    """Strength a titrant is meant to have. [mol/L, or mol/kg where it is weighed].

    Parameters
    ----------
    text : str
        "0.1 mol/L", "0.1 N". [text]
    where : str
        The field. [text]
    because : str
        Where it stands. [text]
    of : str
        Name of the titrant. [text]

    Raises
    ------
    BadEntry
        It is neither.
    """
    found = entry(in_moles(text, of, where=where), basis_required=False, where=where)
    if found.dimension not in ("concentration", "amount by mass"):
        raise BadEntry(
            "A titrant has a strength in mol/L, or in mol/kg when it is weighed",
            repr(text[:40]),
            'Write "0.1 mol/L"',
            where=where,
        )
    unit = "mol/L" if found.dimension == "concentration" else "mol/kg"
    return reading("nominal strength", found.in_unit(unit), unit, because)


def standard_content(text: str, where: str) -> Answer:
    """Content of a primary standard by its certificate, "99.95 %" [1]."""
    value = share(_plain_share(text), least=0.9, most=1.01, where=where)
    return reading("content of the standard", value, "", "its certificate, as entered")


def _plain_share(text: str) -> str:
    """A content by mass as a plain share, anything else as it was written."""
    try:
        found = parse(text)
    except StillroomError:
        return text
    by_mass = found.basis.ratio == "w/w" or found.unit == "mg/g"
    return f"{found.in_unit('%')!r} %" if by_mass else text


def burette_temperature(text: str, where: str) -> Answer:
    """Temperature a burette was read at. [°C]."""
    value = entry(text, "°C", where=where).in_unit("°C")
    refuse_no_room(value, text, "Let it stand in the room", where)
    return reading("temperature of the burette", value, "°C", "as entered")


def refuse_no_room(value: float, text: str, do: str, where: str) -> None:
    """Refuse a burette that is colder or warmer than a titre can be brought to 20 °C from.

    Parameters
    ----------
    value : float
        Its temperature. [°C]
    text : str
        As it was written. [text]
    do : str
        What to do. [text]
    where : str
        The field. [text]

    Raises
    ------
    BadEntry
        It is.
    """
    if not BURETTE_AT_C[0] <= value <= BURETTE_AT_C[1]:
        raise BadEntry("A burette is read between 5 and 45 °C", repr(text[:40]), do, where=where)
