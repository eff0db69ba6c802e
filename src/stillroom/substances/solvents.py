"""Clean-up solvents: which may be used, which are refused, and how much may be left.

Promises that a solvent is permitted only when its row says so: a solvent that is not listed is unknown,
never permitted.
"""

from dataclasses import dataclass
from functools import lru_cache

from stillroom.errors import NotAllowed, worded
from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row
from stillroom.science.liquids.still_cuts import boiling_of_spirit_c
from stillroom.substances.spirits import spirit_still

TABLE = "solvents"


@dataclass(frozen=True, slots=True)
class CleanupSolvent:
    """A solvent that may be used to clean up an extract."""

    name: str
    why: str
    """Why it is permitted, and what to mind."""
    cautions: tuple[str, ...]
    """Keys of ``reference.cautions``."""
    row: Row
    """Every other published figure."""


def cleanup_solvent(name: str) -> CleanupSolvent:
    """A clean-up solvent that may be used.

    Parameters
    ----------
    name : str
        Key of the table ``solvents``. [text]

    Returns
    -------
    CleanupSolvent
        The permitted solvent with its cautions. [record]

    Raises
    ------
    NotAllowed
        The solvent is refused; the reason is told with the permitted ones.
    UnknownName
        The solvent is not listed, which never means permitted.
    """
    found = row(TABLE, name)
    if found.words("cleanup") != "permitted":
        raise NotAllowed(
            worded("{called} may not be used to clean up an extract for a product", called=name),
            worded("{why} [{source}]", why=found.words("why").rstrip("."), source=found.words("source")),
            worded("Use {permitted}", permitted=", ".join(permitted())),
        )
    cautions = tuple(one for one in found.words("cautions").split(";") if one)
    return CleanupSolvent(name, found.words("why"), cautions, found)


def permitted() -> tuple[str, ...]:
    """Every solvent whose row permits it.

    Returns
    -------
    tuple of str
        Names in the order of the table. [text]
    """
    from stillroom.reference.tables import table

    return tuple(one.key for one in table(TABLE).rows if one.words("cleanup") == "permitted")


@lru_cache(maxsize=16)
def lowest_boiling_c(pressure_pa: float) -> float:
    """Boiling point of what boils lowest of spirit and the solvents that may be used. [°C].

    Parameters
    ----------
    pressure_pa : float
        Of the air. [Pa]

    Notes
    -----
    Printed boiling points are moved as spirit's is moved by the pressure.

    Examples
    --------
    >>> lowest_boiling_c(101325.0)  # crc-102 (ethyl acetate), from-memory
    77.1
    """
    here, at_sea = (
        float(boiling_of_spirit_c(curve.azeotrope_mass_fraction, curve))
        for curve in (spirit_still(pressure_pa), spirit_still())
    )
    printed = (row(TABLE, one).number("boiling_point_c") for one in permitted())
    return min(at_sea, *printed) + here - at_sea


def residue_limit(name: str) -> Answer:
    """How much of a solvent may be left in an extract.

    Parameters
    ----------
    name : str
        Key of the table ``solvents``. [text]

    Returns
    -------
    Answer
        Limit by mass of the extract. [mg/kg]

    Raises
    ------
    UnknownName
        The solvent is not listed.
    BadEntry
        No limit is printed for it.

    Notes
    -----
    The figure is that of medicines, used as a house limit for cosmetics where the law names none.

    References
    ----------
    ich-q3c
    """
    found = row(TABLE, name)
    return published(
        f"residue limit of {name}",
        found.number("residue_limit_mg_kg"),
        "mg/kg",
        f"{TABLE}, {name}",
        sources=(found.words("residue_source"),),
        basis="of extract, as is",
    )
