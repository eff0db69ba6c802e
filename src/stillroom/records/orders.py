"""A customer's order: what was asked for, how strong, how much, by when, and how sure it must be."""

import re
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.quantities.basis import counted_once
from stillroom.quantities.content import Content, content_of

What: TypeAlias = Literal["product", "own plant", "tests", "reagent", "dilution"]
"""Bottles; the extract of the customer's own plant; tests of the customer's sample; a reagent; spirit of a strength."""

_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d+\s*%)")


@dataclass(frozen=True, slots=True)
class StatedStrength:
    """A strength with its basis, always of the product by mass."""

    percent: float
    """Content. [% w/w]"""
    of: str
    """What is counted ("total alkaloids")."""
    reckoned_as: str
    """The compound it is reckoned as ("quinine")."""
    as_written: str

    @property
    def counted(self) -> str:
        """What is counted, in words: "total alkaloids as quinine", or "rosmarinic acid" where both are one."""
        if self.of.casefold() == self.reckoned_as.casefold():
            return self.of
        return f"{self.of} as {self.reckoned_as}"

    @property
    def printed(self) -> str:
        """As it was written, with a decimal point and with what is counted as itself named once."""
        return counted_once(_DECIMAL_COMMA.sub(".", self.as_written))

    def basis(self, carrier: str, matter: str = "as is") -> str:
        """The basis of such a strength in something.

        Parameters
        ----------
        carrier : str
            "product", "extract" or "plant".
        matter : str
            "as is" or "dried".
        """
        return f"w/w {self.of} as {self.reckoned_as}, of {carrier}, {matter}"


NO_STRENGTH = StatedStrength(0.0, "", "", "")
"""Of a product without a dosed active."""


@dataclass(frozen=True, slots=True)
class Order:
    """What a customer asked for.

    ``formula``, ``extraction``: codes of the procedures it is made by; no extraction where no active is
    dosed, or where the extract is bought.
    """

    code: str
    customer: str
    """A code or trading name; contact data stand elsewhere."""
    product: str
    """Name on the label."""
    formula: str
    extraction: str
    product_type: str
    """Such as "hair leave-on", "hair rinse-off", ...: decides which limits hold."""
    market: str
    units: int
    """Bottles."""
    nominal_ml: float
    """Nominal content at 20 °C; 0 where a bottle is sold by its mass. [mL]"""
    aim: StatedStrength
    """What the batch is dosed for; ``NO_STRENGTH`` where no active is dosed."""
    at_least: StatedStrength
    """What the label declares."""
    due: str
    """ISO date."""
    how_sure_percent: float = 95.0
    """In how many of 100 such batches the extract must be enough. [%]"""
    notes: str = ""
    what: What = "product"
    """What is asked for."""
    asks: str = ""
    """How much, where it is not bottles: "5 kg of rosemary leaf", "1 L", "2 samples"."""
    tests: tuple[str, ...] = ()
    """Which, where tests are asked for, by their row of the table of usual work."""
    nominal_g: float = 0.0
    """Nominal content of what is sold by its mass. [g]"""

    @property
    def content(self) -> Content:
        """What each bottle, tube or tin holds."""
        return content_of(self.nominal_ml, self.nominal_g)

    @property
    def is_by_recipe(self) -> bool:
        """Whether one recipe makes all of it: a reagent, or diluted spirit."""
        return self.what in ("reagent", "dilution")

    @property
    def is_of_bottles(self) -> bool:
        """Whether it asks for bottles of a product."""
        return self.what == "product"

    @property
    def amount_words(self) -> str:
        """How much it asks for: "24 × 50 mL", "1 L"."""
        return self.asks or f"{self.units} × {self.content.words}"

    @property
    def is_plain(self) -> bool:
        """Whether it asks for a product without a dosed active."""
        return self.aim.percent <= 0

    @property
    def is_worked_back(self) -> bool:
        """Whether it is worked back to a plant: an active is dosed, and its extract is made here."""
        return not self.is_plain and bool(self.extraction)
