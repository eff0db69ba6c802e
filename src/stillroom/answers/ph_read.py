"""A pH that was read: by strip or by meter, how sure that is, and whether it can decide a band.

Promises that a reading decides only where its whole doubt lies on one side. A strip tells half a unit either way, so it
decides no band narrower than a unit, and says so.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.buffer_weighed import LIMITS_PH, ReadBy, instrument_error, shown_ph
from stillroom.evidence.answer import Answer, reckoned

Decided: TypeAlias = Literal["inside", "outside", "cannot decide", ""]


@dataclass(frozen=True, slots=True)
class PhRead:
    """A pH as it was read, with what it can tell."""

    answer: Answer
    """With the doubt of strip or meter. [1]"""
    limits: float
    """How far it may be off either way. [1]"""
    decided: Decided
    """Of the band; "" where none was asked."""
    because: str


def read_ph_with(
    read: Answer, read_by: ReadBy, limits: float | None, band: tuple[float, float] | None
) -> PhRead:
    """What a reading tells.

    Parameters
    ----------
    read : Answer
        As the instrument showed it. [1]
    read_by : ReadBy
        [text]
    limits : float or None
        How far it may be off either way, where somebody said. [1]
    band : (float, float) or None
        Lowest and highest that is wanted. [1]

    Returns
    -------
    PhRead
        With its verdict. [1]
    """
    half = LIMITS_PH[read_by] if limits is None else limits
    answer = reckoned(
        "pH", shown_ph, unit="", inputs={"ph": read, "instrument_error": instrument_error(read_by, limits)},
        says="as read, as surely as that instrument reads",
    )  # fmt: skip
    sure = f"read by {read_by}, right within {half:g} either way"
    if band is None:
        return PhRead(answer, half, "", f"pH {read.value:g}, {sure}.")
    low, high = band
    wanted = f"{low:g} and {high:g}"
    if low <= read.value - half and read.value + half <= high:
        return PhRead(answer, half, "inside", f"pH {read.value:g} lies between {wanted}, {sure}.")
    if read.value + half < low or read.value - half > high:
        return PhRead(answer, half, "outside", f"pH {read.value:g} does not lie between {wanted}, {sure}.")
    narrow = high - low < 2.0 * half
    why = (
        f"no reading that may be off by {half:g} decides a band {high - low:g} wide"
        if narrow
        else "the limit is nearer than the reading is sure"
    )
    do = (
        "Measure it with a meter calibrated around it"
        if read_by != "meter"
        else "Calibrate again, read again"
    )
    return PhRead(
        answer, half, "cannot decide",
        f"pH {read.value:g}, {sure}, cannot decide whether it lies between {wanted}: {why}. {do}.",
    )  # fmt: skip
