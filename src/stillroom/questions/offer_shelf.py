"""What a book knows for an enquiry that asks for no bottles, and what such an enquiry is answered with."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer
from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.offering.offer import Offer
from stillroom.planning.outcome import StepForecast
from stillroom.planning.request import PRICE_OF, PlanRequest
from stillroom.products.reagent import density_by_name
from stillroom.quantities.money import EURO
from stillroom.quantities.units import convert
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_recipes import recipe
from stillroom.substances.reagent_care import Care
from stillroom.texts.catalogue import later

NOT_KEPT = later("Nothing is written in a book; kept, it is worked out again with what the book knows.")


def of_one(unit: str, substance: str) -> float | None:
    """Grams, or hours, in one unit of something: a litre by its density; None where no table knows that.

    Parameters
    ----------
    unit : str
        "kg", "L", "h".
    """
    try:
        return convert(1.0, unit, "h" if unit in ("h", "hour", "min") else "g")
    except StillroomError:
        pass
    try:
        density = density_by_name(substance)
        return None if density is None else convert(1.0, unit, "mL") * density.value
    except StillroomError:
        return None


@dataclass(frozen=True, slots=True)
class StockSpirit:
    """A spirit on the shelf that may be diluted."""

    substance: str
    percent: float
    """As it was read last, or as its label says. [% v/v at 20 °C]"""
    held_g: float = 0.0
    """[g]"""


@dataclass(frozen=True, slots=True)
class Shelf:
    """What a book knows for such an enquiry; nothing without one."""

    currency: str = EURO
    prices: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    """By substance, "hour of work" and "other reagents" among them: for a gram or an hour, and where it stands."""
    held_g: Mapping[str, float] = field(default_factory=dict)
    """By substance, released. [g]"""
    coming: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    """By substance, ordered and not here yet: how much, and the day the last of it comes. [g]"""
    procedure: Callable[[str], Procedure] = recipe
    """The recipe of a name."""
    is_allowed: Callable[[Care | None], bool] = lambda care: care is None or not care.tick
    """Whether a reagent may be made here."""
    spirits: tuple[StockSpirit, ...] = ()
    """Stock spirits, not denatured."""

    def had(self, substance: str, needed_g: float, held_g: float | None = None) -> tuple[float, str]:
        """How much of a substance is there or under way, and the day it is waited for; "" where the shelf is enough.

        Parameters
        ----------
        needed_g : float
            [g]
        held_g : float or None
            On the shelf, where not all of it serves. [g]
        """
        held = self.held_g.get(substance, 0.0) if held_g is None else held_g
        coming_g, comes = self.coming.get(substance, (0.0, ""))
        return (held, "") if held >= needed_g else (held + coming_g, comes)

    def price(self, of: str, otherwise: str) -> tuple[float, str]:
        """Price of a gram or an hour and where it stands; as assumed where nobody noted one, none in another currency.

        Parameters
        ----------
        otherwise : str
            What a plan assumes for it.
        """
        found = self.prices.get(of) or self.prices.get(otherwise)
        if found is not None:
            return found
        usual = ASSUMED[PRICE_OF + otherwise]
        per = of_one(usual.unit.partition("/")[2], of) or 1.0
        return (usual.value / per if self.currency == EURO else 0.0), ""


NOTHING_HELD = Shelf()


@dataclass(frozen=True, slots=True)
class OfferedOtherwise:
    """Such an enquiry answered."""

    offer: Offer
    answers: Mapping[str, Answer]
    steps: tuple[StepForecast, ...]
    """What is worked for it."""
    request: PlanRequest | None = None
    """Of a customer's plant."""
    not_kept: str = NOT_KEPT
    """What is said of an answer that is not in the book."""

    @property
    def figures(self) -> Mapping[str, Answer]:
        """The figures of the offer."""
        return self.answers
