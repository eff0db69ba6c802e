"""A number with its standard uncertainty, and nothing more.

Has no arithmetic beyond scaling by an exact number: two measured values are combined by named draws
(``draws``) or by a worked budget in ``science``, where shared causes are seen.
"""

import math
from dataclasses import dataclass

from stillroom.errors import BadEntry


@dataclass(frozen=True, slots=True)
class Measured:
    """A value as measured."""

    value: float
    """The best estimate [unit]."""
    standard_uncertainty: float
    """One standard deviation of what the value might be [unit]."""
    unit: str
    """The unit of both [text]."""
    dof: float | None = None
    """Degrees of freedom behind the uncertainty; None when it is taken as well known [1]."""

    def __post_init__(self) -> None:
        if not math.isfinite(self.value) or not math.isfinite(self.standard_uncertainty):
            raise BadEntry("A measured value and its uncertainty must be finite numbers", f"{self.value!r}")
        if self.standard_uncertainty < 0:
            raise BadEntry("A standard uncertainty cannot be negative", f"{self.standard_uncertainty!r}")
        if self.dof is not None and not self.dof > 0:
            raise BadEntry("Degrees of freedom must be above zero", f"{self.dof!r}")

    @property
    def relative(self) -> float:
        """The standard uncertainty as a fraction of the value [1]."""
        if self.value == 0:
            raise BadEntry("A relative uncertainty needs a value other than zero", f"0 {self.unit}")
        return self.standard_uncertainty / abs(self.value)

    def scaled(self, factor: float, unit: str) -> "Measured":
        """Multiply by a number that is exact.

        Parameters
        ----------
        factor : float
            The exact factor [unit per old unit].
        unit : str
            The unit of the outcome [text].

        Returns
        -------
        Measured
            Value and uncertainty, both scaled [unit].
        """
        return Measured(self.value * factor, self.standard_uncertainty * abs(factor), unit, self.dof)

    def expanded(self, coverage_factor: float) -> float:
        """The half width for a coverage factor.

        Parameters
        ----------
        coverage_factor : float
            The k of "k = 2" [1].

        Returns
        -------
        float
            Expanded uncertainty U = k u [unit].

        References
        ----------
        jcgm-100, 6.2.1
        """
        return coverage_factor * self.standard_uncertainty
