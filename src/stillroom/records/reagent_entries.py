"""Bodies of entries that speak of reagents: a bottle opened, and a dangerous recipe ticked or closed again."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LotOpened:
    """A bottle was opened; its opened life runs from the time this was done."""

    lot: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReagentAllowed:
    """The responsible person allows a dangerous reagent to be made here, or no longer; the last decision stands."""

    reagent: str
    allowed: bool
    why: str
