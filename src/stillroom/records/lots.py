"""Lots, what they are, whose they are, and the movements of their mass.

Masses are whole micrograms, bottles whole pieces: sums are exact on every database. A stock is always a sum.
"""

from dataclasses import dataclass
from enum import StrEnum

from stillroom.errors import BadEntry, worded
from stillroom.records.lot_kinds import CountedIn, LotKind

MICROGRAMS_PER_GRAM = 1_000_000
MOST_G = 1e12
"""The largest mass a movement can hold, so that sums stay whole numbers of every database. [g]"""

OURS = "ours"
"""Owner of what is of no customer."""
SHELF = "shelf"
RETAINED = "retained"
RETAINED_UNITS = 2
"""Bottles that are kept back, one to keep and one to open for tests: plan and release ask the same. [pieces]."""
BEYOND_THE_BOOK = "outside/beyond the book"
"""Account of what was used of a lot although the book did not have it."""
RETURNED = "returned"
UNKNOWN = "unknown"
"""What stands for a denaturant that no label names."""


class Status(StrEnum):
    """Where a lot or a batch stands."""

    WAITING = "waiting"
    RELEASED = "released"
    SUSPENDED = "suspended"
    STOPPED = "stopped"
    REJECTED = "rejected"


@dataclass(frozen=True, slots=True)
class Lot:
    """An amount received or made, with one owner and one code."""

    code: str
    """Written on the jar, such as "CIN-01"."""
    kind: LotKind
    substance: str
    """Key of the substance: a plant, spirit, solvent, reagent, ingredient or packaging item."""
    name: str
    """What people call it."""
    owner: str = OURS
    """Either "ours", or the customer whose material it is."""
    supplier: str = ""
    """Who it came from; "made here" for a lot made by a batch."""
    stated: str = ""
    """Stated strength or grade as written on the label, with its basis ("96.0 % v/v at 20 °C")."""
    use_by: str | None = None
    """Date (ISO) after which it may not be used."""
    made_by: str | None = None
    """Batch that made it."""
    denatured_with: str = ""
    """What makes spirit undrinkable, as its label says; "unknown" where it does not; "" for spirit that is not."""

    @property
    def denaturant_is_unknown(self) -> bool:
        """Whether it is denatured with something nobody knows: not for products."""
        return self.denatured_with.strip().lower() == UNKNOWN


@dataclass(frozen=True, slots=True)
class Movement:
    """Some grams or pieces of a lot going from one account to another.

    Accounts are written "shelf", "retained", "returned", "batch/T1", "outside/<who>", "customer/<order>",
    "loss/<name>", "testing/<lot>", "waste".

    ``out_of``, ``into``: accounts.
    """

    lot: str
    out_of: str
    into: str
    amount: int
    """Whole micrograms [ug] or pieces; always above zero."""
    counted_in: CountedIn = "ug"


def micrograms(mass_g: float) -> int:
    """Whole micrograms of a mass.

    Parameters
    ----------
    mass_g : float
        Mass. [g]

    Returns
    -------
    int
        Mass. [ug]

    Raises
    ------
    BadEntry
        It is more than a book can count.
    """
    if not abs(mass_g) <= MOST_G:
        raise BadEntry(
            worded("A mass must be below {most:.0e} g", most=MOST_G),
            f"{mass_g:.6g} g",
            "Read the scale again",
        )
    return round(mass_g * MICROGRAMS_PER_GRAM)


def grams(mass_ug: int) -> float:
    """Grams of a mass in micrograms.

    Parameters
    ----------
    mass_ug : int
        Mass. [ug]

    Returns
    -------
    float
        Mass. [g]
    """
    return mass_ug / MICROGRAMS_PER_GRAM


def batch_account(batch: str) -> str:
    """Account that holds what went into a batch."""
    return f"batch/{batch}"
