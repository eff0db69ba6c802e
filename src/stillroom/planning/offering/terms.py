"""What an offer is worked out with beside the plan: suppliers, packs, hours, margin, tax, validity.

A plan says what is taken and how surely; the terms say how it is bought, how the days pass and what is asked for it.
What nobody said is assumed and listed, as in a plan.
"""

import json
import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from typing import Protocol

from stillroom.errors import BadEntry, worded
from stillroom.planning.assumptions import HALF_OF_90
from stillroom.planning.offering.calendar import Spans
from stillroom.quantities.spread import Spread

USUAL_SUPPLIERS_DAYS = (3.0, 10.0)
KEPT_PERCENT, MARGIN_PERCENT, VALID_DAYS = 80.0, 30.0, 14
LARGEST_MARGIN_PERCENT = 95.0


class Awaited(Protocol):
    """A line of a buying list: its key, what is still to buy, and the day the last of what was ordered comes."""

    @property
    def item(self) -> str: ...  # noqa: D102

    @property
    def to_buy(self) -> float: ...  # noqa: D102

    @property
    def comes(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Supplied:
    """How a line of the buying list is bought.

    ``low_days``, ``high_days``: between which 90 of 100 deliveries come. [d]
    """

    item: str
    """Key of the line: "plant_g", "bottles"."""
    pack: float = 0.0
    """Content of a pack, in the unit the plan prices it in; 0 where any amount is sold. [kg, L or pieces]"""
    low_days: float = USUAL_SUPPLIERS_DAYS[0]
    high_days: float = USUAL_SUPPLIERS_DAYS[1]
    because: str = ""
    """Where that stands."""

    @property
    def usual_days(self) -> float:
        """In half of the deliveries it is here within so many [d]."""
        return math.sqrt(self.low_days * self.high_days)

    def __post_init__(self) -> None:
        if not 0 < self.low_days <= self.high_days or self.pack < 0:
            raise BadEntry(
                "A supplier delivers within some days, the fewer first, in packs that hold something",
                worded("{low:g} to {high:g} days", low=self.low_days, high=self.high_days),
            )


@dataclass(frozen=True, slots=True)
class OfferTerms:
    """What an offer is worked out with beside its plan."""

    today: str
    """ISO date the days are counted from."""
    wanted_by: str = ""
    """ISO date the customer wants it; "" where none was said."""
    kept_percent: float = KEPT_PERCENT
    """In how many of 100 such orders the date promised is kept. [%]"""
    margin_percent: float = MARGIN_PERCENT
    """What is left of the price once the cost is paid. [%]"""
    valid_days: int = VALID_DAYS
    """How long the offer may be accepted. [d]"""
    tax: str = ""
    """What the laboratory adds, as it calls it; "" where nobody said."""
    tax_percent: float | None = None
    """None where nobody said. [%]"""
    hours_per_day: float = 8.0
    """Working hours of a day. [h]"""
    work_in_hand_h: float = 0.0
    """Hours of hands and eyes that orders taken before still ask for. [h]"""
    supplied: tuple[Supplied, ...] = ()
    """How things are bought here; the rest in any amount, within the usual days."""
    bench: tuple[tuple[str, Spans], ...] = ()
    """By kind of step, when somebody and what it takes are left free by everything in hand, from midnight of
    today; empty where nothing is known of the bench. [min]"""
    stated_price: float | None = None
    """What a person asks for it, whatever it costs; None where the margin tells. Without tax. [currency]"""
    stated_currency: str = ""
    """Of the price that was stated."""

    def __post_init__(self) -> None:
        if not 0 <= self.margin_percent <= LARGEST_MARGIN_PERCENT:
            raise BadEntry(
                worded("A margin lies from 0 to {most:g} % of the price", most=LARGEST_MARGIN_PERCENT),
                f"{self.margin_percent:g} %",
                "30 % of the price is left of it once the cost is paid",
                where="margin",
            )
        if not 50 <= self.kept_percent <= 99:
            raise BadEntry(
                "A date is promised to be kept in 50 to 99 of 100 such orders", f"{self.kept_percent:g} %",
                "80 % is usual", where="kept",
            )  # fmt: skip

    def with_supplier(self, one: Supplied) -> "OfferTerms":
        """The terms with another way in which a line comes."""
        return replace(self, supplied=(*(each for each in self.supplied if each.item != one.item), one))

    def awaiting(self, lines: Iterable[Awaited]) -> "OfferTerms":
        """The terms with what was ordered already: it comes on its day, and what is bought beside it no sooner.

        Parameters
        ----------
        lines : iterable of Awaited
            Of a buying list; what is late is taken to come tomorrow.
        """
        found, today = self, date.fromisoformat(self.today)
        for one in lines:
            if one.comes:
                days, usual = (
                    float(max((date.fromisoformat(one.comes) - today).days, 1)),
                    self.supplier_of(one.item),
                )
                low, high = (
                    (max(days, usual.low_days), max(days, usual.high_days)) if one.to_buy else (days, days)
                )
                found = found.with_supplier(
                    Supplied(one.item, usual.pack, low, high, usual.because or f"ordered, comes {one.comes}")
                )
        return found

    def day(self, days: int) -> str:
        """The ISO date so many days after today.

        Parameters
        ----------
        days : int
            [d]
        """
        return (date.fromisoformat(self.today) + timedelta(days=days)).isoformat()

    def to_text(self) -> str:
        """The terms as JSON, so that a trail can carry them."""
        return json.dumps(asdict(self), ensure_ascii=False, sort_keys=True)

    @classmethod
    def from_text(cls, text: str) -> "OfferTerms":
        """The terms a text was made from.

        Parameters
        ----------
        text : str
            As made by ``to_text``.
        """
        content = json.loads(text)
        supplied = tuple(Supplied(**one) for one in content.pop("supplied"))
        bench = tuple(
            (kind, tuple((int(a), int(b)) for a, b in spans)) for kind, spans in content.pop("bench", ())
        )
        return cls(**content, supplied=supplied, bench=bench)

    def supplier_of(self, item: str) -> Supplied:
        """How a line is bought: as noted, else in any amount within the usual days.

        Parameters
        ----------
        item : str
            Key of the line.
        """
        return next((one for one in self.supplied if one.item == item), Supplied(item))


@dataclass(frozen=True, slots=True)
class Usual:
    """What an offer takes where nobody said: its spread, in words, and why.

    ``middle``, ``share``: median, and standard deviation as a share of it. [unit, 1]
    ``unit``, ``because``: the unit of days or hours; the words of what is taken where it is a factor.
    """

    name: str
    """Of its draws."""
    middle: float
    share: float
    unit: str
    because: str

    @property
    def called(self) -> str:
        """Its name without that of its draws."""
        return self.name.partition("/")[2]

    @property
    def taken(self) -> str:
        """What is taken, in words: "4 h ± 25 %"."""
        amount = self.unit if self.middle == 1.0 else f"{self.middle:g} {self.unit}"
        return f"{amount} ± {100 * self.share:.0f} %"

    @property
    def spread(self) -> Spread:
        """What its draws are taken from."""
        return Spread.lognormal(self.middle, self.share)


WORK = Usual(
    "offer/time of work",
    1.0,
    0.15,
    "the procedure's own minutes",
    "common practice, no source: 10 to 25 % more or less",
)
TESTS = Usual(
    "offer/hours of tests",
    4.0,
    0.25,
    "h",
    "identity, drying, two assays, spot tests: the usual minutes of each added up, no source",
)
DECISIONS = Usual(
    "offer/days for decisions", 2.0, 0.4, "d", "assay read, second look, labels: common practice, no source"
)
USUAL = (WORK, TESTS, DECISIONS)
"""What every offer assumes beside its plan."""
THEIRS = "theirs"
"""Key of what the customer sends: a plant, a sample."""
THEIRS_DAYS = (1.0, 5.0)
"""Between which 90 of 100 of them come, where nobody said; common practice, no source. [d]"""
PUT_RIGHT_H = 2.0
"""Work where a batch has to be dosed again: dose, stir, one more assay; common practice, no source. [h]"""


def days_spread(one: Supplied) -> Spread:
    """Days of a supplier: a lognormal with 90 in 100 between the two days.

    Notes
    -----
    Median sqrt(low high), s of the logarithm ln(high / low) / 3.29, as ``assumptions`` takes any range.
    """
    wide = math.log(one.high_days / one.low_days) / (2.0 * HALF_OF_90)
    middle = one.usual_days
    return Spread.lognormal(middle, math.sqrt(math.expm1(wide**2))) if wide else Spread.fixed(middle)
