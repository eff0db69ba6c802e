"""The alcoholometer in a mixture that stands there: leave it alone, or add so much.

Promises one verdict: inside the band of what alcoholometer, thermometer and spirit are good for nothing is added;
outside it the water or the spirit that puts it right.
"""

from dataclasses import dataclass

from stillroom.answers.budget import Stated
from stillroom.answers.spirit_diluted import Correction, Diluted, correction, expected_reading
from stillroom.evidence.answer import Answer


@dataclass(frozen=True, slots=True)
class Seen:
    """A reading in a mixture, and what follows from it."""

    reads: Answer
    """[% v/v, as read]"""
    at: Answer
    """Temperature of the mixture. [°C]"""
    expected: Stated | None
    """What it should show there; None where the scale ends before. [% v/v, as read]"""
    leave_alone: bool
    puts_right: Correction | None
    """None where it is left alone."""


def seen(found: Diluted, reads: Answer, at: Answer, alcoholometer: Answer, thermometer: Answer) -> Seen:
    """What a reading in the mixture asks for.

    Parameters
    ----------
    found : Diluted
        The mixture. [record]
    reads : Answer
        Reading of an alcoholometer marked at 20 °C. [% v/v]
    at : Answer
        Temperature of the mixture. [°C]
    alcoholometer, thermometer : Answer
        What either may be off. [% v/v, °C]

    Returns
    -------
    Seen
        Leave it alone, or what to add. [record]

    Raises
    ------
    OutsideModel
        No spirit gives that reading at that temperature.

    References
    ----------
    oiml-r22-1975
    """
    held = (found.stock.key, found.water.key)
    expected = expected_reading(found.mixture.answer, at, alcoholometer, thermometer, held)
    if expected is not None and abs(reads.value - expected.answer.value) <= expected.expanded_uncertainty:
        return Seen(reads, at, expected, True, None)
    strong = expected is None or reads.value > expected.answer.value
    of = "water" if strong else "spirit"
    puts_right = correction(reads, found.product, at, found.want, found.have.answer, of)
    return Seen(reads, at, expected, False, puts_right)
