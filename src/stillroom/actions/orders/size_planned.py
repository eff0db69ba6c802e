"""How much of a procedure an order asks for, by its kept plan or its own words: offered as the size of a batch."""

import re
from dataclasses import dataclass

from stillroom.actions.orders.made_here import bulk_needed_g
from stillroom.errors import BadEntry, UnknownName
from stillroom.quantities.parse import parse
from stillroom.quantities.rounding import to_significant
from stillroom.records.lots import micrograms
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

_LEADING_MASS = re.compile(r"[\d.,]+\s*k?g\b")


@dataclass(frozen=True, slots=True)
class SizePlanned:
    """The size of a batch."""

    scale: str
    """The plant of the extraction, or the bulk of the formula, as said or as the plan prints it: "97.42 g"."""
    entry_no: int | None = None
    """Entry of the plan; None where a person or the order says it."""

    @property
    def scale_g(self) -> float:
        """The size as a mass above zero that a book can count [g]."""
        mass_g = parse(self.scale, want="mass", zero_allowed=False, where="scale").in_unit("g")
        micrograms(mass_g)
        return mass_g

    @property
    def says(self) -> str:
        """The size, with the plan it comes from."""
        if self.entry_no is None:
            return self.scale
        return t("{scale}, by the plan of entry {entry_no}", scale=self.scale, entry_no=self.entry_no)


def size_of_batch(look: Reader, order: str, procedure: str, said: str) -> SizePlanned:
    """The size that was said; where none was, the one the kept plan of the order gives.

    Parameters
    ----------
    order, procedure, said : str
        "" for none.

    Raises
    ------
    BadEntry
        Nobody said one, and no plan gives one.
    """
    if said.strip():
        return SizePlanned(said)
    planned = size_planned(look, order, procedure)
    if planned is None:
        raise BadEntry(
            "A batch is begun at its size, and no kept plan tells it",
            "no size",
            'Say it, on the command --scale "250 g"; or keep a plan of its order first, and name the order',
            where="scale",
        )
    return planned


def size_planned(look: Reader, order: str, procedure: str) -> SizePlanned | None:
    """The size of a batch for an order, by its last kept plan or by what it asks; None where none tells.

    Parameters
    ----------
    order, procedure : str
        "" for none.
    """
    try:
        found = look.order(order) if order else None
    except UnknownName:
        return None
    if found is not None and not found.is_of_bottles and procedure in (found.extraction, found.formula):
        asked = _LEADING_MASS.match(found.asks)
        return SizePlanned(asked[0]) if asked else None
    if found is not None and not found.is_worked_back and procedure == found.formula:
        bulk_g = bulk_needed_g(found, look.procedure(procedure))
        return SizePlanned(f"{to_significant(bulk_g, 3):f} g")
    plans = look.plans(order) if found else ()
    if found is None or not plans:
        return None
    mass_g = plans[-1].body.answers.get(
        {found.extraction: "plant_g", found.formula: "bulk_g"}.get(procedure, ""), 0.0
    )
    return SizePlanned(f"{to_significant(mass_g, 4):f} g", plans[-1].entry_no) if mass_g > 0 else None
