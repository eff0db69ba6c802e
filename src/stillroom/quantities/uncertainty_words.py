"""The words that say how sure a number is: "± 1.2 (k = 2)", "u = 0.6", "± 0.03 (tolerance)", "± 2 % of it".

A ± has the unit of the number it stands beside, or one that can be changed into it. In a book a bare "± 1.2" is asked
back, since it might be one, two or three standard deviations or a tolerance; a field that prints its k takes it. An
uncertainty in % of a percentage is asked back too, for it may be points or a share of the value.
"""

import math
import re
from dataclasses import dataclass, replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.numbers import NUMBER, read_number
from stillroom.quantities.units import Ratio, Unit, unit

K_OF_LIMITS = math.sqrt(3.0)
"""Coverage factor of a tolerance: limits between which every value is as likely [1]."""
SIGN = r"(?:±|\+/[-−]|\+[-−])"
"""Pattern of the sign before an uncertainty."""
_OWN = r"(?P<own>[wvm]\s?/\s?[wvm](?!\w))"
_SHARE = r"(?P<share>of it\b|relative\b|rel\b\.?)"
_UNIT = (
    r"(?P<unit>%|‰|per cent\b|°\s?[CF](?!\w)|"
    r"(?![wvm]\s?/\s?[wvm](?!\w)|of it\b|rel)[^\s(,;0-9%‰][^\s(,;]*)"
)
_FIGURE = rf"(?P<number>{NUMBER})(?:\s?{_UNIT})?(?:\s?{_OWN})?(?:\s?{_SHARE})?"
_WIDTH = rf"\(\s?(?P<said>k\s?=\s?(?P<k>{NUMBER})|tolerance)\s?\)"
_SPREAD = re.compile(rf"{SIGN}\s?{_FIGURE}(?:\s?{_WIDTH})?", re.IGNORECASE)
_SPREAD_U = re.compile(rf",?\s?\bu\s?=\s?{_FIGURE}")
RATIOS: tuple[Ratio, ...] = ("w/w", "w/v", "v/v", "v/w")


@dataclass(frozen=True, slots=True)
class Sureness:
    """How sure a number is."""

    standard_uncertainty: float | None = None
    """One standard deviation; None where nobody said [unit of the number]."""
    coverage_factor: float | None = None
    """The k it was written with [1]."""
    ratio: Ratio | None = None
    """The basis that stood with it, which must be that of the number [text]."""

    @property
    def half_width(self) -> float:
        """Of its ± at k = 2; 0 where nobody said [unit of the number]."""
        return 2.0 * (self.standard_uncertainty or 0.0)

    @property
    def within_limits(self) -> bool:
        """Whether it was said as a tolerance: every value within is as likely [yes or no]."""
        return self.coverage_factor == K_OF_LIMITS

    def times(self, factor: float) -> "Sureness":
        """The same in another unit.

        Parameters
        ----------
        factor : float
            Of the new unit in one of the old [1].
        """
        u = self.standard_uncertainty
        return replace(self, standard_uncertainty=None if u is None else factor * u)


def take_uncertainty(
    tail: str, known: Unit, where: str, *, value: float | None = None, bare_k: float | None = None
) -> tuple[Sureness, str]:
    """Take the uncertainty out of the words after a number.

    Parameters
    ----------
    tail : str
        What follows the number and its unit [text].
    known : Unit
        The unit of the number [unit].
    where : str
        File, line or field, for the error [text].
    value : float or None
        The number itself, for a ± that is a share of it [unit].
    bare_k : float or None
        The coverage factor the field prints for a bare ±; without one it is asked back [1].

    Returns
    -------
    Sureness
        In the unit of the number.
    str
        The words without it.

    Raises
    ------
    BadEntry
        Its width, its unit or its meaning is open.

    References
    ----------
    jcgm-100, 4.3.7 (tolerance as a rectangle)
    """
    found = _SPREAD.search(tail)
    if found:
        parts = found.groupdict()
        number, said, k_text = parts["number"], parts["said"], parts["k"]
        half_width, ratio = _in_unit_of(parts, number, known, value, tail, where)
        rest = tail[: found.start()] + " " + tail[found.end() :]
        if said is None and bare_k is None:
            raise BadEntry(
                "An uncertainty must say how wide it is meant",
                repr(found[0].strip()),
                worded("Write ± {number} (k = 2), u = {number}, or ± {number} (tolerance)", number=number),
                where=where,
            )
        if said is not None and said.casefold() == "tolerance":
            return Sureness(half_width / K_OF_LIMITS, K_OF_LIMITS, ratio), rest
        factor = read_number(k_text, "", where=where).value if k_text else bare_k or 0.0
        if not 0 < factor <= 10 or half_width < 0:
            raise BadEntry(
                "A coverage factor lies between 0 and 10",
                repr(found[0].strip()),
                "Usually k = 2",
                where=where,
            )
        return Sureness(half_width / factor, factor, ratio), rest
    alone = _SPREAD_U.search(tail)
    if alone:
        parts = alone.groupdict()
        half_width, ratio = _in_unit_of(parts, parts["number"], known, value, tail, where)
        if half_width < 0:
            raise BadEntry(
                "A standard uncertainty cannot be negative",
                repr(alone[0].strip()),
                "Check the sign",
                where=where,
            )
        return Sureness(half_width, None, ratio), tail[: alone.start()] + " " + tail[alone.end() :]
    return Sureness(), tail


def _in_unit_of(
    parts: dict[str, str | None], number: str, known: Unit, value: float | None, tail: str, where: str
) -> tuple[float, Ratio | None]:
    """The half width in the unit of its number, and the basis that was written with it."""
    written = read_number(number, parts["unit"] or known.symbol, where=where).value
    symbol = parts["unit"]
    own: str | None = parts["own"] and re.sub(r"\s", "", parts["own"]).lower().replace("m", "w")
    share = bool(parts["share"])
    ratio = next((one for one in RATIOS if one == own), None)
    if symbol is None:
        return (_share_of(written, value, where) if share else written), ratio
    its = unit(symbol)
    if its.symbol == "%" and own is None:
        if share or known.dimension != "ratio":
            return _share_of(written, value, where), None
        raise BadEntry(
            "An uncertainty in % could be of the value or of the whole",
            repr(tail.strip()[:60]),
            worded(
                "Write ± {number} without %, in the unit of the value, or ± {number} % of it",
                number=number,
            ),
            where=where,
        )
    if share:
        raise BadEntry(
            "A share of a value is written in %", repr(tail.strip()[:60]), 'Write "± 2 % of it"', where=where
        )
    if its.dimension != known.dimension:
        raise BadEntry(
            worded("The uncertainty must be in {symbol} too", symbol=known.symbol),
            repr(tail.strip()[:60]),
            "Write it without a unit, or in that one",
            where=where,
        )
    ratio = its.implied_ratio or ratio
    if known.implied_ratio and ratio not in (None, known.implied_ratio):
        raise BadEntry(
            worded("The uncertainty must be in {symbol} too", symbol=known.symbol),
            repr(tail.strip()[:60]),
            "Write it without a unit, or in that one",
            where=where,
        )
    return written * (its.factor / known.factor), ratio


def _share_of(percent: float, value: float | None, where: str) -> float:
    if value is None:
        raise BadEntry(
            "A share is of a value", f"{percent:g} %", "Write it in the unit of the value", where=where
        )
    return percent / 100.0 * abs(value)


def plus_minus(
    text: str,
    symbol: str,
    value: float,
    *,
    ratio: Ratio | None = None,
    where: str,
    bare_k: float | None = 2.0,
) -> Sureness:
    """How sure a number is, from the field beside it.

    Parameters
    ----------
    text : str
        "0.3", "± 0.3 (k = 2)", "3 mL/L", "2 % of it", "u = 0.1"; a bare figure has the unit of the number [text].
    symbol : str
        Unit of the number as it was written [unit].
    value : float
        The number [unit].
    ratio : {"w/w", "w/v", "v/v", "v/w"} or None
        Its basis: a ± on another is refused [text].
    where : str
        The field [text].
    bare_k : float or None
        The coverage factor printed at the field; math.sqrt(3) where it is a tolerance [1].

    Returns
    -------
    Sureness
        Its uncertainty above zero [unit].

    Raises
    ------
    BadEntry
        It is no uncertainty, not above zero, on another basis, or may be read in two ways.
    """
    words = " ".join(text.split())
    bare = re.sub(rf"^{SIGN}\s?", "", words)
    words = words if words.startswith("u") else f"± {bare}"
    found, rest = take_uncertainty(words, unit(symbol), where, value=value, bare_k=bare_k)
    if found.standard_uncertainty is None or rest.strip(" ,"):
        raise BadEntry(
            "A ± is one figure with its unit",
            repr(text.strip()[:40]),
            'Write "0.3", in the unit of what it stands beside',
            where=where,
        )
    if found.ratio is not None and ratio is not None and found.ratio != ratio:
        raise BadEntry(
            worded("The ± of a {ratio} strength is {ratio} too", ratio=ratio),
            repr(text.strip()[:40]),
            worded("Write it as {ratio}", ratio=ratio),
            where=where,
        )
    if not found.standard_uncertainty > 0:
        raise BadEntry(
            "A doubt lies above zero", repr(text.strip()[:40]), "Nothing is known exactly", where=where
        )
    return found
