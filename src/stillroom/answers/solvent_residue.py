"""What is left of the clean-up solvent in an extract: measured, bounded by drying, or not tested.

Promises to compare the upper bound with the limit, and to say "not tested" where nobody measured. Drying
shows all that is volatile, water too: it can prove that little solvent is left, never that too much is, and
it cannot see what a resin holds back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.bounds import upper_answer
from stillroom.answers.budget import measured
from stillroom.answers.drying import constant
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.substances.solvents import cleanup_solvent, residue_limit

ResidueStatus: TypeAlias = Literal["within", "over", "cannot tell", "not tested"]


@dataclass(frozen=True, slots=True)
class Residue:
    """A residue against its limit.

    Attributes
    ----------
    found : Answer or None
        What was measured. [mg/kg]
    upper : Answer or None
        One-sided upper bound. [mg/kg]
    limit : Answer
        [mg/kg]
    """

    solvent: str
    status: ResidueStatus
    found: Answer | None
    upper: Answer | None
    limit: Answer
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


def by_drying(solvent: str, empty: Answer, loaded: Answer, stages: Sequence[Answer]) -> Residue:
    """The most that can be left, from what drying in stages drives off.

    Parameters
    ----------
    solvent : str
        The clean-up solvent used. [key of ``solvents``]
    empty, loaded : Answer
        Dish empty, dish with the extract. [g]
    stages : sequence of Answer
        Dish after each stage of drying, in order. [g]

    Returns
    -------
    Residue
        Status "within" or "cannot tell". [mg/kg]

    Raises
    ------
    NotAllowed
        The solvent is not permitted.
    BadEntry
        There is no stage, or the weighings are out of order.
    """
    name = cleanup_solvent(solvent).name
    limit = residue_limit(name)
    if not stages:
        raise BadEntry("Drying in stages needs at least one stage", "none", "Dry and weigh")
    found = measured(
        reckoned(
            f"volatile matter, the most that {name} can be",
            volatile_mg_kg,
            unit="mg/kg",
            basis="of extract, as is",
            inputs={"empty_mass_g": empty, "loaded_mass_g": loaded, "last_mass_g": stages[-1]},
            says=f"everything the stages drove off, water too, taken as {name}",
        )
    )
    upper = upper_answer(found)
    steady = constant([one.value for one in stages], loaded.value - empty.value)
    words = f"All that is volatile is at most {upper.value:.0f} mg/kg, the limit {limit.value:.0f} mg/kg"
    if not steady.constant:
        status: ResidueStatus = "cannot tell"
        because = f"The mass is not constant yet. {steady.says} {steady.do_next}"
        certificate = f"Residue of {name}: not tested"
    elif upper.value <= limit.value:
        status = "within"
        because = f"{words}: within. What a resin holds back cannot be seen this way."
        certificate = f"Residue of {name}: at most {upper.value:.0f} mg/kg (all volatile matter)"
    else:
        status = "cannot tell"
        because = (
            f"{words}, but water is in it too: drying cannot tell. Send a sample to an outside laboratory, "
            'or let the certificate say "not tested".'
        )
        certificate = f"Residue of {name}: not tested"
    return Residue(name, status, found, upper, limit, because, certificate)
