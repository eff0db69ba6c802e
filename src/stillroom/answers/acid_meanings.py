"""What a strength of an acid may mean, and what working one meaning out gives.

Promises the words of each meaning once. Nothing is reckoned here.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.budget import Stated
from stillroom.evidence.answer import Answer
from stillroom.substances.acids import AcidOrAlkali

Meaning: TypeAlias = Literal["w/w", "w/v", "v/v", "label", "mol/L", "bottle w/w", "bottle w/v"]
SAYS: dict[Meaning, str] = {
    "w/w": "grams of {of} itself in 100 g of solution",
    "w/v": "grams of {of} itself in 100 mL of solution",
    "v/v": "millilitres from the bottle, made up to 100 mL",
    "label": "the label's figure diluted as if it were a share by volume (C1 V1 = C2 V2)",
    "mol/L": "moles of {of} in a litre of solution",
    "bottle w/w": "grams from the bottle in 100 g of solution",
    "bottle w/v": "grams from the bottle, made up to 100 mL",
}


@dataclass(frozen=True, slots=True)
class Bottle:
    """What is at hand."""

    of: AcidOrAlkali
    strength: Answer
    """With its doubt. [% w/w]"""
    density: Answer | None
    """At 20 °C; None for a solid. [g/mL]"""


@dataclass(frozen=True, slots=True)
class Mixed:
    """One meaning, worked out.

    ``product``, ``product_volume``: the solution. [g, mL]
    ``heat``, ``warming``: given off; how much warmer it would grow. [kJ, K]
    """

    meaning: Meaning
    says: str
    stock: Answer
    """To take from the bottle. [g]"""
    stock_volume: Answer | None
    """The same, None for a solid. [mL]"""
    water: Answer | None
    """None where no density is printed. [g]"""
    product: Answer | None
    product_volume: Answer | None
    """None where a share by mass has no printed density; so are the next two."""
    strength: Answer | None
    """[mol/L]"""
    by_volume: Answer | None
    """[% w/v]"""
    by_mass: Answer | None
    """[% w/w]"""
    made: Stated
    """What it will hold when it is weighed, with the doubt of the bottle. [mol/L; % w/w without a density]"""
    measured: Stated | None
    """The same when it is measured by volume. [mol/L]"""
    heat: Answer | None
    warming: Answer | None
