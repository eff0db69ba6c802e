"""The words that say how sure a number is: "± 1.2 (k = 2)", "u = 0.6", "± 0.03 (tolerance)".

A bare "± 1.2" is asked back, since it might be one, two or three standard deviations or a tolerance; so is
an uncertainty in % of a percentage.
"""

import math
import re

from stillroom.errors import BadEntry, worded
from stillroom.quantities.numbers import NUMBER, read_number
from stillroom.quantities.units import Unit, unit

_SPREAD = re.compile(
    rf"(?:±|\+/-|\+-)\s?({NUMBER})\s?([^\s(,;0-9][^\s(,;]*)?\s?(?:\(\s?(k\s?=\s?({NUMBER})|tolerance)\s?\))?"
)
_SPREAD_U = re.compile(rf",?\s?\bu\s?=\s?({NUMBER})\s?([^\s(,;0-9][^\s(,;]*)?")


def take_uncertainty(tail: str, known: Unit, where: str) -> tuple[float | None, float | None, str]:
    """Take the uncertainty out of the words after a number.

    Parameters
    ----------
    tail : str
        What follows the number and its unit [text].
    known : Unit
        The unit of the number [unit].
    where : str
        File, line or field, for the error [text].

    Returns
    -------
    standard_uncertainty : float or None
        One standard deviation [unit].
    coverage_factor : float or None
        The k it was written with [1].
    rest : str
        The words without it [text].

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
        number, its_unit, said, k_text = found[1], found[2], found[3], found[4]
        _refuse_other_unit(its_unit, known, tail, where)
        half_width = read_number(number, known.symbol, where=where).value
        if said is None:
            raise BadEntry(
                "An uncertainty must say how wide it is meant",
                repr(found[0].strip()),
                worded("Write ± {number} (k = 2), u = {number}, or ± {number} (tolerance)", number=number),
                where=where,
            )
        if said == "tolerance":
            return half_width / math.sqrt(3.0), None, tail[: found.start()] + " " + tail[found.end() :]
        factor = read_number(k_text, "", where=where).value
        if not 0 < factor <= 10 or half_width < 0:
            raise BadEntry(
                "A coverage factor lies between 0 and 10",
                repr(found[0].strip()),
                "Usually k = 2",
                where=where,
            )
        return half_width / factor, factor, tail[: found.start()] + " " + tail[found.end() :]
    alone = _SPREAD_U.search(tail)
    if alone:
        _refuse_other_unit(alone[2], known, tail, where)
        half_width = read_number(alone[1], known.symbol, where=where).value
        if half_width < 0:
            raise BadEntry("A standard uncertainty cannot be negative", repr(alone[0].strip()), where=where)
        return half_width, None, tail[: alone.start()] + " " + tail[alone.end() :]
    return None, None, tail


def _refuse_other_unit(its_unit: str | None, known: Unit, tail: str, where: str) -> None:
    if its_unit is None:
        return
    if its_unit == "%":
        raise BadEntry(
            "An uncertainty in % could be of the value or of the whole",
            repr(tail.strip()[:60]),
            worded("Write it in {symbol} without the sign: ± 1.2 (k = 2)", symbol=known.symbol),
            where=where,
        )
    if unit(its_unit) != known:
        raise BadEntry(
            worded("The uncertainty must be in {symbol} too", symbol=known.symbol),
            repr(tail.strip()[:60]),
            where=where,
        )
