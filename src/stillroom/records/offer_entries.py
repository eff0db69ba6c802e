"""Bodies of entries about offers: what was offered, kept as it was told, how it ended; what was ordered."""

from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

HowEnded: TypeAlias = Literal["accepted", "withdrawn"]


@dataclass(frozen=True, slots=True)
class OfferMade:
    """An offer as it was told."""

    code: str
    """Its number: "OFF-1"."""
    what: str
    """One of "product", "own plant", "tests", "reagent" or "dilution"."""
    customer: str
    title: str
    asked: dict[str, str]
    """The enquiry, so that it can be asked again."""
    offer: dict[str, Any]
    """What was told: an ``Offer`` of planning as JSON."""
    request: dict[str, Any] = field(default_factory=dict)
    """What its plan was worked out from; empty where there is none."""


@dataclass(frozen=True, slots=True)
class OfferEnded:
    """The customer took an offer, or it was withdrawn."""

    code: str
    how: HowEnded
    why: str = ""
    """Empty where nobody said."""
    order: str = ""
    """The order it became; "" where it became none."""


@dataclass(frozen=True, slots=True)
class GoodsOrdered:
    """Something was ordered from a supplier, and is expected on a day."""

    code: str
    """Its number: "BUY-1"."""
    substance: str
    """Its key in the procedures."""
    as_written: str
    """How much: "2.5 kg", "120 pieces", "5 L"."""
    supplier: str
    comes: str
    """ISO date it is expected on."""
    price: str = ""
    """As agreed: "38 EUR/kg"; "" where nobody said."""
    order: str = ""
    """The customer's order it is for; "" where for none."""
    called_off: bool = False
    """True once it comes no more."""
