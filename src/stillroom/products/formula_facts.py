"""What is known about a formula when its lines are looked through: shares, what they carry, pH, words, label.

Promises a record and nothing else: ``formula_lines`` (room ``products``) turns it into ``CheckLine`` records. What is
not known is left out, and the list then says "undecided" or "cannot be seen here", never "within".
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, TypeAlias

Purpose: TypeAlias = Literal["preservative", "other"]


@dataclass(frozen=True, slots=True)
class Carried:
    """A substance that an ingredient holds: by its assay, its analysis, its certificate.

    ``low_percent``, ``high_percent``: of the ingredient; the upper one stands against a limit. [% w/w]
    """

    substance: str
    """As a person calls it ("quinine", "total alkaloids as quinine", "linalool")."""
    low_percent: float
    high_percent: float
    where: str = ""
    """Where it is read ("assay, entry 12"; "certificate of the supplier")."""


@dataclass(frozen=True, slots=True)
class Share:
    """One ingredient and how much of it."""

    name: str
    """The substance as a person wrote it ("sodium benzoate powder", "lactic acid 80 %", "cinchona extract")."""
    percent: float | None
    """Of the product; None where it is not known yet (dosed by an assay that is still to come). [% w/w]"""
    label_name: str = ""
    """Name on the list of ingredients, where one is written."""
    carries: tuple[Carried, ...] = ()
    whole: bool = False
    """Whether ``carries`` is the whole analysis: what is not in it is not in the ingredient."""
    bought: bool = False
    """Whether it was bought: what a certificate says it carries does not tell what else is in it."""

    @property
    def is_told(self) -> bool:
        """Whether what it is follows from what it carries, so that its name need not be known."""
        return self.whole or (bool(self.carries) and not self.bought)


@dataclass(frozen=True, slots=True)
class FormulaFacts:
    """A formula as ``formula_lines`` looks it through."""

    shares: tuple[Share, ...]
    """Every line, the one that fills up too."""
    product_kind: str
    """As a person wrote it ("hair leave-on", "Hair leave on")."""
    market: str = "EU"
    """Where it is sold."""
    ph: float | None = None
    """As measured; None where nobody did. [1]"""
    ph_apart: float = 0.0
    """How far the measured pH may be off either way: a strip half a unit. [1]"""
    words: Mapping[str, str] = field(default_factory=dict)
    """The words of the product by where they stand: "name", "label", "claims"."""
    on_label: tuple[str, ...] = ()
    """Names that stand on the list of ingredients, allergens too."""
    purposes: Mapping[str, Purpose] = field(default_factory=dict)
    """What a substance is in the product for, by name, where somebody said it."""
    sold_from: date | None = None
    """First day of sale: a later law holds from its own day."""

    def ph_stands(self, low: float, high: float) -> Literal["inside", "outside", "undecided", "not measured"]:
        """How the pH stands to a band, both ends inside it: an edge between what it may be leaves it undecided.

        Parameters
        ----------
        low, high : float
            The band. [1]
        """
        if self.ph is None:
            return "not measured"
        lowest, highest = round(self.ph - self.ph_apart, 6), round(self.ph + self.ph_apart, 6)
        if low <= lowest and highest <= high:
            return "inside"
        return "outside" if highest < low or lowest > high else "undecided"

    @property
    def ph_written(self) -> str:
        """The pH with how far it may be off: "4.6 ± 0.5"."""
        return f"{self.ph:g}" + (f" ± {self.ph_apart:g}" if self.ph_apart else "")
