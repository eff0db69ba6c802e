"""Bodies of entries that speak of the house itself: how it is, what things cost there, what was looked up."""

from dataclasses import dataclass

from stillroom.substances.own import OwnIngredient, OwnMarker, OwnPlant


@dataclass(frozen=True, slots=True)
class ConditionNoted:
    """How the house is: room or tap temperature, altitude, working hours. The last one noted stands."""

    what: str
    value: float
    unit: str
    as_written: str


@dataclass(frozen=True, slots=True)
class DutiesGiven:
    """What a person of the laboratory does from now on; the last said of a person stands. Everybody reads."""

    person: str
    """Code."""
    makes: bool = False
    """Works at the bench: receives, makes, tests, fills, delivers."""
    checks: bool = False
    """Decides what goes out."""
    owns: bool = False
    """Sets up the laboratory: people, phones, prices, copies of the book."""


@dataclass(frozen=True, slots=True)
class PriceNoted:
    """What one unit of something costs here, and how it is sold. The last one noted stands.

    ``low_days``, ``high_days``: between which most deliveries come; 0 where nobody said. [d]
    """

    of: str
    amount: str
    currency: str
    per: str
    as_written: str
    pack: float = 0.0
    """Content of a pack, in the unit of the price; 0 where any amount is sold."""
    low_days: float = 0.0
    high_days: float = 0.0


@dataclass(frozen=True, slots=True)
class CeilingStated:
    """The most of a marker in a kind of product, as somebody looked it up; None where the source sets no figure."""

    marker: str
    product_type: str
    market: str
    percent: float | None
    as_written: str
    source: str


@dataclass(frozen=True, slots=True)
class MarkerStated:
    """A marker of one's own. The last one stated under a name stands."""

    marker: OwnMarker


@dataclass(frozen=True, slots=True)
class PlantStated:
    """A plant of one's own. The last one stated under a name stands."""

    plant: OwnPlant


@dataclass(frozen=True, slots=True)
class IngredientStated:
    """An ingredient of one's own. The last one stated under a name stands."""

    ingredient: OwnIngredient


@dataclass(frozen=True, slots=True)
class HouseDescribed:
    """Where the laboratory is and who answers for it. The last one written stands whole.

    ``telephone``, ``email``: "" where they are not printed.
    """

    address: str = ""
    """As it stands on a letter, its lines divided by ", "."""
    responsible_person: str = ""
    """Who answers for what is sold, by name."""
    responsible_address: str = ""
    """Empty where it is the laboratory's."""
    currency: str = ""
    """Such as "EUR"."""
    telephone: str = ""
    email: str = ""
    tax: str = ""
    """What is added to a price, by its name here, and its rate: "VAT 20 %"; "" where nobody said."""
