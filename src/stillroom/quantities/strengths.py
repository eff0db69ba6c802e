"""How strong a spirit is said or read to be: a figure that cannot lose what it is a figure of.

Promises that a strength has its ratio or is a density, the temperature it refers to, the way it is known and the doubt
that was said; one that would lack any of these cannot be made. Changing it into another ratio needs the density table:
``substances.spirit_strengths``. Reading it from words is ``strength_words``.
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, worded
from stillroom.quantities.units import Ratio

Way: TypeAlias = Literal["label", "certificate", "alcoholometer", "density", "bottle"]
WAYS: tuple[Way, ...] = ("label", "certificate", "alcoholometer", "density", "bottle")
SIXTY_FAHRENHEIT_C = 140.0 / 9.0
USUAL_C = 20.0
"""What a label without a temperature means."""
LABEL_TEMPERATURES_C = (20.0, SIXTY_FAHRENHEIT_C, 15.0)
"""The only temperatures at which a label or a certificate means its volumes."""
_SAME_K = 0.01


@dataclass(frozen=True, slots=True)
class Scale:
    """What a scale of strength means."""

    base_temperature_c: float
    """Temperature its volumes are taken at. [°C]"""
    proof: str = ""
    """One of "us_proof" or "uk_proof" where it counts in proof; "" where it counts in per cent by volume."""
    because: str = ""


SCALES: dict[str, Scale] = {
    "20 °C": Scale(20.0),
    "15.56 °C": Scale(SIXTY_FAHRENHEIT_C),
    "15 °C": Scale(15.0),
    "Gay-Lussac": Scale(15.0, because="degrees of Gay-Lussac are per cent by volume at 15 °C"),
    "Tralles": Scale(SIXTY_FAHRENHEIT_C, because="degrees of Tralles are per cent by volume at 60 °F"),
    "US proof": Scale(SIXTY_FAHRENHEIT_C, "us_proof", "twice the per cent by volume at 60 °F"),
    "UK proof": Scale(SIXTY_FAHRENHEIT_C, "uk_proof", "volumes of proof spirit in a hundred, at 60 °F"),
}
"""Scales that are told apart: as they are said, and what each means."""


@dataclass(frozen=True, slots=True)
class Strength:
    """How strong a spirit is said or read to be."""

    value: float
    """As stated or read. [unit]"""
    unit: str
    """One of "%", "g/mL", "°"; "°" for proof only. [text]"""
    ratio: Ratio | None
    """What is divided by what; None for a density and for proof. [text]"""
    known_by: Way
    """How it is known. [text]"""
    temperature_c: float | None
    """Of the reading; of a label or certificate, the temperature its volumes are meant at; None by mass. [°C]"""
    scale: str = ""
    """One of ``SCALES`` where it was said on an old scale; "" otherwise. [text]"""
    standard_uncertainty: float | None = None
    """The doubt that was said, one standard deviation; None where nobody said. [unit]"""
    temperature_said: bool = True
    """False where a label was silent and the usual temperature was taken. [yes or no]"""
    as_written: str = ""
    """The words it came from. [text]"""
    unit_written: str = ""
    """The unit it was written in, "mL/L" of "960 mL/L"; "" for proof. [text]"""
    within_limits: bool = False
    """Whether the doubt was said as a tolerance: every value within is as likely. [yes or no]"""

    def __post_init__(self) -> None:
        if not math.isfinite(self.value) or self.value <= 0.0:
            raise BadEntry("A strength must lie above 0", self._written, "Write what was stated or read")
        self._refuse_other_ratio()
        if self.ratio in ("w/w", "v/v") and self.value > 100.0:
            raise BadEntry(
                "A strength must lie above 0 and up to 100 %", self._written, "Check the figure and its unit"
            )
        if self.ratio == "w/w":
            object.__setattr__(self, "temperature_c", None)
        elif self.temperature_c is None:
            raise BadEntry(
                "A strength by volume or a density has a temperature",
                self._written,
                'Write "at 20 °C" after it',
            )
        elif self.is_stated:
            object.__setattr__(self, "temperature_c", self._label_temperature(self.temperature_c))

    @property
    def is_stated(self) -> bool:
        """Whether somebody else said it, on a label or a certificate; read off the liquid otherwise."""
        return self.known_by in ("label", "certificate")

    @property
    def words(self) -> str:
        """The strength with all it refers to: "71.3 % v/v read on an alcoholometer at 31 °C"."""
        figure = f"{self.value:.10g}"
        at = "" if self.temperature_c is None else f" at {self.temperature_c:.4g} °C"
        if self.known_by == "alcoholometer":
            return f"{figure} % v/v read on an alcoholometer{at}"
        if not self.is_stated:
            return f"{figure} g/mL{at}"
        if self.scale and SCALES[self.scale].because:
            return f"{figure}° {self.scale}"
        return f"{figure} % {self.ratio}{at if self.temperature_said else ''}"

    @property
    def _written(self) -> str:
        return self.as_written or f"{self.value:g} {self.unit}"

    def _refuse_other_ratio(self) -> None:
        allowed: tuple[Ratio | None, ...] = ("v/v",) if self.known_by == "alcoholometer" else (None,)
        if self.is_stated:
            allowed = (None,) if self.unit == "°" else ("v/v", "w/w", "w/v")
        unit = "%" if self.ratio else "°" if self.is_stated else "g/mL"
        if self.ratio not in allowed or self.unit != unit or (unit == "°") != (self.is_proof):
            raise BadEntry(
                worded(
                    "A strength known by {known_by} is {allowed}",
                    known_by=self.known_by,
                    allowed=" or ".join(one or "a density" for one in allowed),
                ),
                self._written,
                "Write it so, or choose how it is known",
            )

    @property
    def is_proof(self) -> bool:
        """Whether it is counted in proof."""
        return bool(self.scale and SCALES[self.scale].proof)

    def _label_temperature(self, said_c: float) -> float:
        for known_c in LABEL_TEMPERATURES_C:
            if abs(said_c - known_c) < _SAME_K:
                return known_c
        raise BadEntry(
            "A label or a certificate means its volumes at 20, 15.56 or 15 °C",
            self._written,
            'If it was read there, write "by alcoholometer" after it; if not, ask what the figure means',
        )
