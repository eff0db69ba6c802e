"""Drops of a dropper that was weighed: how much one is, and how many make a small amount.

Promises the count for the liquid that was weighed and for no other: a drop of spirit is far smaller than one of water.
"""

from dataclasses import dataclass

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula

MOST_DROPS = 200
"""Nobody counts more; then it is weighed."""
FEWEST_COUNTED = 10


@dataclass(frozen=True, slots=True)
class Dropper:
    """A dropper calibrated with one liquid."""

    of: str
    """One of "water" or "spirit"."""
    drop: Answer
    """Mass of a drop. [g]"""


@formula("drop-mass")
def drop_mass_g(weighed_g: float, counted: float) -> float:
    """Mass of one drop. [g].

    Parameters
    ----------
    weighed_g : float
        All the drops together. [g]
    counted : float
        How many they were. [drops]
    """
    return weighed_g / counted


@formula("drops")
def drops_for(mass_g: float, drop_g: float) -> float:
    """How many drops make up a mass. [drops].

    Parameters
    ----------
    mass_g : float
        [g]
    drop_g : float
        Mass of one drop. [g]
    """
    return mass_g / drop_g


def dropper(of: str, counted: Answer, weighed: Answer) -> Dropper:
    """A dropper from a count and its weighing.

    Parameters
    ----------
    of : str
        Liquid it was calibrated with. [text]
    counted : Answer
        [drops]
    weighed : Answer
        [g]

    Returns
    -------
    Dropper
        The mass of a drop. [g]

    Raises
    ------
    BadEntry
        Fewer than ten drops were counted.
    """
    if counted.value < FEWEST_COUNTED:
        raise BadEntry(
            worded(
                "A dropper is calibrated with {fewest_counted} drops or more", fewest_counted=FEWEST_COUNTED
            ),
            f"{counted.value:g}",
            "Count twenty onto the scale, and note what they weigh",
            where="drops-counted",
        )
    drop = reckoned(
        f"a drop of {of}",
        drop_mass_g,
        unit="g",
        inputs={"weighed_g": weighed, "counted": counted},
        says="what the drops weigh together over their number",
    )
    return Dropper(of, drop)


def in_drops(mass: Answer, of: str, known: Dropper | None) -> Answer | None:
    """The drops that make up a mass; None where another liquid was weighed, or nobody would count them.

    Parameters
    ----------
    mass : Answer
        [g]
    of : str
        What is to be dropped. [text]
    known : Dropper or None
        The dropper, where one was calibrated. [record]

    Returns
    -------
    Answer or None
        [drops]
    """
    if known is None or known.of != of:
        return None
    found = reckoned(
        f"drops of {of}",
        drops_for,
        unit="drops",
        inputs={"mass_g": mass, "drop_g": known.drop},
        says="the mass over the mass of one drop",
    )
    return found if 0.5 <= found.value <= MOST_DROPS else None
