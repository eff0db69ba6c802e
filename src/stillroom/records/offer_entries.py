"""Bodies of entries about offers: what was offered, kept as it was told, and how it ended."""

from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

HowEnded: TypeAlias = Literal["accepted", "withdrawn"]


@dataclass(frozen=True, slots=True)
class OfferMade:
    """An offer as it was told.

    Attributes
    ----------
    code : str
        Its number: "OFF-1".
    what : str
        "product", "own plant", "tests", "reagent" or "dilution".
    customer, title : str
    asked : dict of str to str
        The enquiry, so that it can be asked again.
    offer : dict
        What was told: an ``Offer`` of planning as JSON.
    request : dict
        What its plan was worked out from; empty where there is none.
    """

    code: str
    what: str
    customer: str
    title: str
    asked: dict[str, str]
    offer: dict[str, Any]
    request: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OfferEnded:
    """The customer took an offer, or it was withdrawn.

    Attributes
    ----------
    code : str
    how : "accepted" or "withdrawn"
    why : str
        "" where nobody said.
    order : str
        The order it became; "" where it became none.
    """

    code: str
    how: HowEnded
    why: str = ""
    order: str = ""
