"""An offer: what to buy, when it is ready, how strong, what it costs and what is asked for it, each with its chance.

Plain figures and words, so that it can be kept as it was told. Promises that nothing in it was rounded to look better:
a date is the first that is kept as often as was asked, a floor price covers the cost in 95 of 100 such orders.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Any

import numpy as np

from stillroom.errors import BadEntry
from stillroom.stream.components import Array
from stillroom.texts.catalogue import t

MANY = (1, 2, 5)
"""Times the amount that an offer is priced at."""
FLOOR_PERCENT = 95.0


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure with its spread: 5 %, median, 95 % of the draws."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, values: Array) -> "Spread":
        """The spread of draws."""
        low, middle, high = (float(one) for one in np.percentile(values, (5.0, 50.0, 95.0)))
        return cls(low, middle, high)


@dataclass(frozen=True, slots=True)
class Bought:
    """A line to buy, or that the shelf serves.

    ``needed``, ``have``, ``to_buy``: in the unit.
    ``low_days``, ``high_days``: between which 90 of 100 deliveries come. [d]
    """

    item: str
    label: str
    needed: float
    unit: str
    have: float
    to_buy: float
    packs: int = 0
    """Packs to buy; 0 where any amount is sold, or nothing is to be bought."""
    pack: str = ""
    """Content of one, as it is written: "0.5 kg"."""
    pays: float | None = None
    """What they cost; None without a price. [currency]"""
    low_days: float = 0.0
    high_days: float = 0.0
    lots: tuple[str, ...] = ()
    """What of the shelf serves, in words."""


@dataclass(frozen=True, slots=True)
class CostLine:
    """An item of the cost with its spread [currency]."""

    item: str
    cost: Spread


@dataclass(frozen=True, slots=True)
class Rung:
    """The price at so many times the amount.

    ``floor``, ``price``: in all, without tax; None where something has no price. [currency]
    """

    times: int
    units: int
    cost: Spread
    """In all. [currency]"""
    floor: float | None
    price: float | None

    @property
    def price_each(self) -> float | None:
        """Price of one unit, without tax [currency]."""
        return None if self.price is None else self.price / self.units


@dataclass(frozen=True, slots=True)
class Changed:
    """What making it otherwise would change.

    ``enough``, ``strong``, ``kept``: points of a hundred more that the first charge is enough, that the
    strength is right at once, that the date promised is kept. [%]
    """

    what: str
    """Key of ``what_if.CHANGES``."""
    cost: float
    """Mean cost more, or less. [currency]"""
    enough: float
    strong: float
    kept: float
    days: float
    """Median days more. [d]"""


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken because nobody said it."""

    what: str
    taken: str
    because: str


@dataclass(frozen=True, slots=True)
class Lack:
    """What a kind of step takes and the bench does not have.

    ``needs``, ``most``: what it takes, and what there is.
    """

    step: str
    """Kind of step."""
    what: str
    """Name of the limit."""
    needs: int
    most: int
    unit: str = ""
    """Such as "W", "mL/min"; "" for what is counted in pieces."""


@dataclass(frozen=True, slots=True)
class Offer:
    """An offer as it was told.

    ``today``, ``valid_until``, ``wanted_by``: ISO dates; the last "" where none was said.
    ``enough``, ``strong``: of the first charge being enough, of the strength being right at once; None where
    there is no such thing. [%]
    ``strength_says``, ``amount_says``: the same in sentences.
    ``floor``, ``price``: without tax; None where something has no price. A stated price stands whatever has
    none. [currency]
    ``begins_in_days``, ``earliest_days``: laid out on the bench that stands, everything as usual: when it is
    begun, and when it is ready; None where nothing is known of the bench. [d]
    """

    what: str
    """One of "product", "own plant", "tests", "reagent" or "dilution"."""
    title: str
    """What is offered, in words."""
    units: int
    """How many; 1 where it is counted in nothing."""
    currency: str
    today: str
    valid_until: str
    wanted_by: str
    kept_percent: float
    """In how many of 100 such orders the promise is kept. [%]"""
    days: Spread
    """From the order. [d]"""
    days_promised: int
    """[d]"""
    ready_on: str
    """ISO date, of an order given on ``today``."""
    chance_wanted: float | None
    """Of having it by the date wanted; None where none was said. [%]"""
    enough: float | None
    strong: float | None
    amount_says: str
    strength_says: str
    hours: Spread
    """Hands and eyes. [h]"""
    cost: Spread
    """[currency]"""
    lines: tuple[CostLine, ...]
    floor: float | None
    price: float | None
    margin_percent: float
    """Of the price, as far as the cost is known. [%]"""
    tax: str = ""
    """As the laboratory calls it; "" where nobody said."""
    tax_percent: float | None = None
    ladder: tuple[Rung, ...] = ()
    buying: tuple[Bought, ...] = ()
    changes: tuple[Changed, ...] = ()
    assumed: tuple[Taken, ...] = ()
    not_known: tuple[str, ...] = ()
    begins_in_days: int | None = None
    earliest_days: int | None = None
    unpriced: tuple[str, ...] = ()
    """What it takes that has no price, and is not in the cost."""
    stated_by: str = ""
    """Who stated the price; "" where it was worked out."""
    lacks: tuple[Lack, ...] = ()
    """What the bench does not have; days and date are then those of a bench that has it, and nothing is promised."""

    def day(self, days: int) -> str:
        """The ISO date so many days after it was told.

        Parameters
        ----------
        days : int
            [d]
        """
        return (date.fromisoformat(self.today) + timedelta(days=days)).isoformat()

    @property
    def tax_amount(self) -> float | None:
        """Tax on the price; None where nobody said a rate [currency]."""
        if self.tax_percent is None or self.price is None:
            return None
        return self.price * self.tax_percent / 100.0

    @property
    def to_pay(self) -> float | None:
        """Price with its tax, where one was said; None where no price can be made [currency]."""
        return None if self.price is None else self.price + (self.tax_amount or 0.0)

    def to_json(self) -> dict[str, Any]:
        """The offer as JSON content."""
        dumped: dict[str, Any] = _adapter().dump_python(self, mode="json")
        return dumped

    @classmethod
    def from_json(cls, content: Mapping[str, Any]) -> "Offer":
        """The offer that JSON content was made from.

        Raises
        ------
        BadEntry
            The content does not have the shape of an offer.
        """
        from pydantic import ValidationError

        if not content.get("price"):  # told when what had no price was left out in silence
            content = {"unpriced": [t("everything")], **content, "price": None, "floor": None}
        try:
            offer: Offer = _adapter().validate_python(dict(content))
        except ValidationError as trouble:
            raise BadEntry("An offer must have its shape", str(trouble)) from trouble
        return offer


def price_at(cost: float, margin_percent: float) -> float:
    """The price of which a margin is left once the cost is paid [currency].

    Parameters
    ----------
    cost : float
        [currency]
    margin_percent : float
        Of the price. [%]

    Notes
    -----
    price = cost / (1 - margin).
    """
    return cost / (1.0 - margin_percent / 100.0)


def promised_days(days: Array, kept_percent: float) -> int:
    """The fewest whole days within which so many of 100 such orders are ready [d].

    Parameters
    ----------
    days : array
        Of the draws. [d]
    kept_percent : float
        [%]
    """
    ordered = np.sort(days)
    at = min(max(int(np.ceil(kept_percent / 100.0 * len(ordered))) - 1, 0), len(ordered) - 1)
    return int(ordered[at])


@cache
def _adapter() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(Offer)
