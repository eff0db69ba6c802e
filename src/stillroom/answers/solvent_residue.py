"""What is left of the clean-up solvent in an extract: measured, or not tested.

Promises to compare the upper bound with the limit, and to say "not tested" where nobody measured.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.bounds import upper_answer
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer
from stillroom.evidence.formulas import formula
from stillroom.substances.solvents import cleanup_solvent, residue_limit

ResidueStatus: TypeAlias = Literal["within", "over", "not tested"]


@dataclass(frozen=True, slots=True)
class Residue:
    """A residue against its limit."""

    solvent: str
    status: ResidueStatus
    found: Answer | None
    """What was measured. [mg/kg]"""
    upper: Answer | None
    """One-sided upper bound. [mg/kg]"""
    limit: Answer
    """[mg/kg]"""
    because: str
    certificate_says: str


@formula("volatile-residue")
def volatile_mg_kg(empty_mass_g: float, loaded_mass_g: float, last_mass_g: float) -> float:
    """Everything volatile in a sample, as the most that solvent can be.

    Parameters
    ----------
    empty_mass_g, loaded_mass_g : float
        Dish empty and with the sample. [g]
    last_mass_g : float
        Dish after the last stage of drying. [g]

    Returns
    -------
    float
        Loss by mass of the sample. [mg/kg]

    Raises
    ------
    BadEntry
        The weighings do not stand in the order empty, last, loaded.
    """
    if not empty_mass_g <= last_mass_g <= loaded_mass_g or loaded_mass_g == empty_mass_g:
        raise BadEntry(
            "The dried dish must weigh between the empty dish and the dish with the sample",
            worded(
                "{last_mass_g:g} g dried, {empty_mass_g:g} g empty, {loaded_mass_g:g} g with the sample",
                last_mass_g=last_mass_g,
                empty_mass_g=empty_mass_g,
                loaded_mass_g=loaded_mass_g,
            ),
            "Look whether two entries were swapped",
        )
    return 1e6 * (loaded_mass_g - last_mass_g) / (loaded_mass_g - empty_mass_g)


def not_tested(solvent: str) -> Residue:
    """Nobody measured.

    Parameters
    ----------
    solvent : str
        The clean-up solvent used. [key of ``solvents``]

    Returns
    -------
    Residue
        Status "not tested". [record]

    Raises
    ------
    NotAllowed
        The solvent is not permitted.
    """
    name = cleanup_solvent(solvent).name
    return Residue(
        name,
        "not tested",
        None,
        None,
        residue_limit(name),
        f"Nobody measured how much {name} is left; the certificate says so.",
        f"Residue of {name}: not tested",
    )


def by_outside_laboratory(solvent: str, found: Answer, *, below: bool = False) -> Residue:
    """A figure from an outside laboratory.

    Parameters
    ----------
    solvent : str
        The clean-up solvent used. [key of ``solvents``]
    found : Answer
        Their figure with its report as the place, or the least they can see. [mg/kg]
    below : bool
        True when they found less than they can see. [yes or no]

    Returns
    -------
    Residue
        Status "within" or "over". [mg/kg]

    Raises
    ------
    NotAllowed
        The solvent is not permitted.
    BadEntry
        The figure is not in mg/kg, or is negative.
    """
    name = cleanup_solvent(solvent).name
    limit = residue_limit(name)
    if found.unit != "mg/kg" or found.value < 0:
        raise BadEntry(
            "A residue must be in mg/kg and not below zero", f"{found.value:g} {found.unit}".strip()
        )
    upper = found if below else upper_answer(found)
    sign = "below " if below else ""
    words = (
        f"{sign}{found.value:g} mg/kg found, upper bound {upper.value:.0f}, limit {limit.value:.0f} mg/kg "
        "(the figure of medicines as a house limit)"
    )
    within = upper.value <= limit.value
    return Residue(
        name,
        "within" if within else "over",
        found,
        upper,
        limit,
        f"{words}: {'within' if within else 'over, so the extract may not go into a product yet'}.",
        f"Residue of {name}: {sign}{found.value:g} mg/kg",
    )
