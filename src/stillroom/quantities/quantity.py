"""A number with its unit, its basis, and how it was written.

Promises that a quantity printed by ``in_words`` reads back as the same quantity. Has no arithmetic: what may
be done with two of them stands in ``together``, what may be changed in one of them in ``restate``.
"""

import math
from dataclasses import dataclass, replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import UNSTATED, Basis
from stillroom.quantities.measured import Measured
from stillroom.quantities.uncertainty_words import K_OF_LIMITS
from stillroom.quantities.units import convert, refuse_across, unit


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount, a content or a reading."""

    value: float
    """The number [unit]."""
    unit: str
    """The unit in its one spelling [text]."""
    basis: Basis = UNSTATED
    """What it is reckoned on; empty when nothing was stated [basis]."""
    standard_uncertainty: float | None = None
    """One standard deviation [unit]."""
    coverage_factor: float | None = None
    """The k it was written with [1]."""
    decimals: int | None = None
    """Figures shown after the point; None when the number was computed [1]."""
    digits: int | None = None
    """Significant figures shown; None when the number was computed [1]."""
    as_written: str = ""
    """The words it came from; empty when it was computed [text]."""

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise BadEntry("A quantity must be a finite number", repr(self.value))
        known = unit(self.unit)
        if known.symbol != self.unit:
            object.__setattr__(self, "unit", known.symbol)
        if known.implied_ratio and self.basis.ratio != known.implied_ratio:
            if self.basis.ratio is not None:
                raise BadEntry(
                    worded(
                        "{symbol} is {implied_ratio} by itself",
                        symbol=known.symbol,
                        implied_ratio=known.implied_ratio,
                    ),
                    worded("{symbol} with {ratio}", symbol=known.symbol, ratio=self.basis.ratio),
                    worded("Leave {ratio} out, or use %", ratio=self.basis.ratio),
                )
            object.__setattr__(self, "basis", self.basis.with_(ratio=known.implied_ratio))
        if self.basis.ratio is not None and known.dimension != "ratio":
            raise BadEntry(
                worded("Only a content can be {ratio}", ratio=self.basis.ratio),
                f"{self.value:g} {self.unit} {self.basis.ratio}",
                "Use %",
            )

    @property
    def within_limits(self) -> bool:
        """Whether its ± was said as a tolerance: every value within is as likely [yes or no]."""
        return self.coverage_factor == K_OF_LIMITS

    @property
    def dimension(self) -> str:
        """What it measures: "mass", "volume", "ratio" [text]."""
        return unit(self.unit).dimension

    @property
    def fraction(self) -> float:
        """A content as a plain fraction: g/g, g/mL for w/v, mL/mL for v/v, mL/g for v/w [1]."""
        if self.dimension != "ratio":
            raise BadEntry("Only a content is a fraction of something", f"{self.value:g} {self.unit}")
        return self.value * unit(self.unit).factor

    def in_unit(self, symbol: str) -> float:
        """The number in another unit of the same dimension.

        Parameters
        ----------
        symbol : str
            The unit wanted [unit].

        Returns
        -------
        float
            The number [symbol].

        Raises
        ------
        BadEntry
            The dimensions differ; says what would be needed.
        """
        return self.to(symbol).value

    def to(self, symbol: str) -> "Quantity":
        """The same quantity in another unit of the same dimension.

        Parameters
        ----------
        symbol : str
            The unit wanted [unit].

        Returns
        -------
        Quantity
            Value and uncertainty in the new unit; the figures shown are kept as a count only [symbol].

        Raises
        ------
        BadEntry
            The dimensions differ, or the unit says another basis than the quantity has.
        """
        old, new = unit(self.unit), unit(symbol)
        if old.symbol == new.symbol:
            return self
        refuse_across(old, new)
        if new.implied_ratio and new.implied_ratio != self.basis.ratio:
            raise BadEntry(
                worded("{symbol} is {implied_ratio}", symbol=new.symbol, implied_ratio=new.implied_ratio),
                worded("a content that is {told}", told=self.basis.ratio or "on no stated basis"),
                "Restate the basis first",
            )
        spread = self.standard_uncertainty
        return replace(
            self,
            value=convert(self.value, old.symbol, new.symbol),
            unit=new.symbol,
            standard_uncertainty=None if spread is None else spread * (old.factor / new.factor),
            decimals=None,
        )

    def measured(self) -> Measured:
        """The value with its standard uncertainty.

        Returns
        -------
        Measured
            Value and standard uncertainty [unit].

        Raises
        ------
        BadEntry
            No uncertainty was stated; none is ever assumed here.
        """
        if self.standard_uncertainty is None:
            raise BadEntry(
                "An uncertainty is needed here", repr(self.in_words()), 'Add "± 1.2 (k = 2)" or "u = 0.6"'
            )
        return Measured(self.value, self.standard_uncertainty, self.unit)

    def in_words(self) -> str:
        """The quantity as text that reads back as the same quantity.

        Returns
        -------
        str
            Such as "38.4 % w/w total alkaloids as quinine, of extract, as is, ± 1.2 (k = 2)" [text].
        """
        implied = unit(self.unit).implied_ratio
        basis = self.basis.with_(ratio=None) if implied else self.basis
        head = f"{self.number} {self.unit}"
        tail = basis.in_words()
        own_words = basis.ratio or basis.of or basis.reckoned_as or basis.form
        text = f"{head} {tail}" if tail and own_words else ", ".join(part for part in (head, tail) if part)
        if self.standard_uncertainty is None:
            return text
        if self.coverage_factor is None:
            return f"{text}, u = {self.standard_uncertainty:.12g}"
        half_width = self.standard_uncertainty * self.coverage_factor
        return f"{text}, ± {half_width:.12g} ({'tolerance' if self.within_limits else f'k = {self.coverage_factor:g}'})"

    def briefly(self) -> str:
        """The quantity in words, a computed number to six figures: for a sentence, not for reading back.

        Returns
        -------
        str
            Such as "17.8125 g total alkaloids as quinine" [text].
        """
        if self.decimals is not None:
            return self.in_words()
        return replace(self, value=float(f"{self.value:.6g}")).in_words()

    @property
    def number(self) -> str:
        """The number alone, with the figures it was written with [text]."""
        if self.decimals is not None:
            figures = max((self.digits or 1) - 1, 0)
            shown = f"{self.value:.{self.decimals}f}" if self.decimals >= 0 else f"{self.value:.{figures}e}"
            if float(shown) == self.value:
                return shown
        plain = repr(self.value)
        return plain.removesuffix(".0")
