"""What a laboratory is before anything happens in it: its people, its instruments, what things cost.

Holds no stock and no history; those are in the book. A price is what was asked for once, never a promise.
"""

from dataclasses import dataclass

from stillroom.quantities.money import Money
from stillroom.records.people import Apparatus, Person


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit of something costs.

    ``low_days``, ``high_days``: between which most deliveries come; 0 where nobody said. [d]
    """

    of: str
    """Substance or packaging item."""
    money: Money
    """For one unit."""
    per: str
    """The unit, "kg", "L" or "pieces"."""
    as_written: str
    pack: float = 0.0
    """Content of a pack, in that unit; 0 where any amount is sold."""
    low_days: float = 0.0
    high_days: float = 0.0


@dataclass(frozen=True, slots=True)
class Laboratory:
    """A laboratory as its file describes it."""

    name: str
    people: tuple[Person, ...]
    apparatus: tuple[Apparatus, ...]
    """Scales among them."""
    prices: tuple[Price, ...] = ()
    practice: bool = False
    """Whether everything in it is invented."""
    altitude_m: float | None = None
    """Height above the sea, which decides at what temperature things boil. [m]"""
    described: tuple[tuple[str, str], ...] = ()
    """What is said of the house itself: "address", "responsible person", "currency", ..."""
