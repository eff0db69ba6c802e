"""What an uncertain value might be, as a rising function of a standard normal.

Few shapes, each with the figures a laboratory has at hand: a mean and a deviation, a middle and so many per
cent, two bounds. Says nothing about inputs that depend on each other.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import BadEntry, worded

Array = NDArray[np.float64]
Kind = Literal["fixed", "normal", "lognormal", "logit", "rectangular"]

_Z95 = 1.6448536269514722
"""The 95 % point of the standard normal."""


@dataclass(frozen=True, slots=True)
class Spread:
    """What a value might be. Made by one of the named ways below."""

    kind: Kind
    """fixed, normal, lognormal, logit or rectangular [text]."""
    middle: float
    """The median [unit of the input]."""
    width: float = 0.0
    """Standard deviation on the scale of the kind (as is, logarithm, log odds), or the half width of a
    rectangle [that scale]."""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.middle) and math.isfinite(self.width)) or self.width < 0:
            raise BadEntry(
                "A spread must be finite and not negative",
                worded("{middle!r} and {width!r}", middle=self.middle, width=self.width),
            )
        if self.kind == "lognormal" and self.middle <= 0:
            raise BadEntry("A lognormal value lies above zero", repr(self.middle))
        if self.kind == "logit" and not 0 < self.middle < 1:
            raise BadEntry("A fraction lies between 0 and 1", repr(self.middle), "Write 7 % as 0.07")

    @classmethod
    def fixed(cls, value: float) -> "Spread":
        """A value without doubt.

        Parameters
        ----------
        value : float
            The value [unit].

        Returns
        -------
        Spread
            Always that value [unit].
        """
        return cls("fixed", float(value))

    @classmethod
    def normal(cls, mean: float, sd: float) -> "Spread":
        """A bell curve.

        Parameters
        ----------
        mean : float
            Mean and median [unit].
        sd : float
            Standard deviation [unit].

        Returns
        -------
        Spread
            May fall below zero; a mass or a volume is better lognormal [unit].
        """
        return cls("normal", float(mean), float(sd))

    @classmethod
    def lognormal(cls, median: float, relative_sd: float) -> "Spread":
        """A positive value known to so many per cent.

        Parameters
        ----------
        median : float
            The middle value [unit].
        relative_sd : float
            Standard deviation divided by the mean [1].

        Returns
        -------
        Spread
            Never below zero [unit].

        Notes
        -----
        The standard deviation of the logarithm is sqrt(ln(1 + relative_sd**2)).
        """
        if relative_sd < 0:
            raise BadEntry("A standard deviation cannot be negative", repr(relative_sd))
        return cls("lognormal", float(median), math.sqrt(math.log1p(relative_sd**2)))

    @classmethod
    def logit(cls, median: float, sd: float) -> "Spread":
        """A fraction between 0 and 1.

        Parameters
        ----------
        median : float
            The middle value [1].
        sd : float
            Standard deviation near the middle, for small spreads [1].

        Returns
        -------
        Spread
            Never below 0 nor above 1 [1].

        Notes
        -----
        The log odds are normal with standard deviation sd / (median (1 - median)).
        """
        if not 0 < median < 1:
            raise BadEntry("A fraction lies between 0 and 1", repr(median), "Write 7 % as 0.07")
        return cls("logit", float(median), sd / (median * (1.0 - median)))

    @classmethod
    def rectangular(cls, low: float, high: float) -> "Spread":
        """Anything between two bounds, each as likely: the tolerance of a flask.

        Parameters
        ----------
        low : float
            Lower bound [unit].
        high : float
            Upper bound [unit].

        Returns
        -------
        Spread
            Never outside the bounds [unit].

        References
        ----------
        jcgm-100, 4.3.7
        """
        if high < low:
            raise BadEntry(
                "The lower bound must come first", worded("{low!r} to {high!r}", low=low, high=high)
            )
        return cls("rectangular", 0.5 * (low + high), 0.5 * (high - low))

    @classmethod
    def between(
        cls, low: float, high: float, kind: Literal["normal", "lognormal", "logit"] = "lognormal"
    ) -> "Spread":
        """A value that lies between two bounds nine times in ten.

        Parameters
        ----------
        low : float
            One in twenty lies below [unit].
        high : float
            One in twenty lies above [unit].
        kind : {"normal", "lognormal", "logit"}
            logit for a fraction, lognormal for other positive values [text].

        Returns
        -------
        Spread
            With these 5 % and 95 % points [unit].
        """
        if not low < high:
            raise BadEntry(
                "The lower bound must come first", worded("{low!r} to {high!r}", low=low, high=high)
            )
        if kind == "lognormal" and low <= 0:
            raise BadEntry("A lognormal value lies above zero", repr(low))
        if kind == "logit" and not (low > 0 and high < 1):
            raise BadEntry(
                "A fraction lies between 0 and 1", worded("{low!r} to {high!r}", low=low, high=high)
            )
        ends = [_onto(kind, one) for one in (low, high)]
        centre, width = 0.5 * (ends[0] + ends[1]), (ends[1] - ends[0]) / (2.0 * _Z95)
        return cls(kind, float(_back(kind, np.float64(centre))), width)

    def value(self, normals: Array) -> Array:
        """The values that belong to standard normals.

        Parameters
        ----------
        normals : array
            Standard normals [1].

        Returns
        -------
        array
            Rising with the normals [unit].
        """
        if self.kind == "fixed":
            return np.full_like(normals, self.middle)
        if self.kind == "rectangular":
            from scipy.special import ndtr

            return np.asarray(self.middle + self.width * (2.0 * ndtr(normals) - 1.0), dtype=np.float64)
        return _back(self.kind, _onto(self.kind, self.middle) + self.width * normals)

    def at(self, probability: float) -> float:
        """The value below which a share of all cases lies.

        Parameters
        ----------
        probability : float
            That share, between 0 and 1 [1].

        Returns
        -------
        float
            The quantile [unit].
        """
        from scipy.special import ndtri

        if not 0 < probability < 1:
            raise BadEntry("A probability lies between 0 and 1", repr(probability))
        return float(self.value(np.atleast_1d(np.asarray(ndtri(probability), dtype=np.float64)))[0])

    @property
    def median(self) -> float:
        """Half of all cases lie below [unit]."""
        return self.middle

    @property
    def varies(self) -> bool:
        """Whether the value is in doubt at all [yes or no]."""
        return self.kind != "fixed" and self.width > 0


def _onto(kind: Kind, value: float) -> float:
    if kind == "lognormal":
        return math.log(value)
    return math.log(value) - math.log1p(-value) if kind == "logit" else value


def _back(kind: Kind, scaled: Array | np.float64) -> Array:
    if kind == "lognormal":
        return np.asarray(np.exp(scaled), dtype=np.float64)
    if kind == "logit":
        from scipy.special import expit

        return np.asarray(expit(scaled), dtype=np.float64)
    return np.asarray(scaled, dtype=np.float64)
