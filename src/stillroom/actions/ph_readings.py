"""A pH is entered with how it was read: a strip, or a meter and the buffers it was calibrated with."""

import re
from datetime import datetime

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.results_kept import result_of
from stillroom.errors import BadEntry
from stillroom.evidence.answer import reading
from stillroom.quantities.entry import without_sign
from stillroom.quantities.numbers import number_in
from stillroom.records.entries import ReadingTaken
from stillroom.results.budget import stated
from stillroom.results.buffer_weighed import LIMITS_PH, ReadBy
from stillroom.results.ph_read import read_ph_with

PH = "pH"
READ_BY: dict[str, str] = {"strip": "a strip", "meter": "a meter"}
BY_INSTRUMENT = {"strip": "pH by strip", "meter": "pH by meter"}
"""Methods of a result that was read here."""
_BAND = re.compile(r"\s*(?P<low>[\d.,]+)\s*(?:to|-|–)\s*(?P<high>[\d.,]+)\s*")


def read_ph(
    lab: Laboratory,
    subject: str,
    ph: str,
    *,
    read_by: str,
    meter_buffers: str = "",
    band: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter a pH of a lot or batch.

    Parameters
    ----------
    subject : str
        Lot or batch.
    ph : str
        As read: "5.2".
    read_by : str
        "strip" or "meter": asked, never filled in.
    meter_buffers : str
        What the meter was calibrated with: "4.01, 6.86".
    band : str
        Wanted: "4.5 to 5.5"; "" where there is none.

    Returns
    -------
    Done
        Reading and result; ``says`` tells what the reading decides. What it cannot decide does not count.
    """
    value = ph_in(ph, "ph")
    if not read_by:
        raise BadEntry("How a pH was read is asked", "nothing", "Say strip or meter", where="read-by")
    kind, told = read_with(read_by, meter_buffers, value)
    limits = band_in(band)
    asked = {"subject": subject, "ph": ph, "read-by": read_by, "meter-buffers": meter_buffers, "band": band}
    with lab.act("read pH", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        series = f"{PH}/{len(pen.look.readings(subject, PH)) + 1}"
        spread = LIMITS_PH[kind] / 3.0**0.5
        number = pen.enter(ReadingTaken(subject, PH, value, "", ph, kind, series, spread))
        found = read_ph_with(
            reading("pH as read", value, "", f"entry {number}", entry_no=number), kind, None, limits
        )
        because = f"{found.because} The meter was {told}." if told else found.because
        counts = found.decided != "cannot decide"
        sure = stated(found.answer)
        method = BY_INSTRUMENT["strip" if kind == "strip" else "meter"]
        body = result_of(subject, PH, sure.answer, method, counts, because, (number,), sure.k)
        return Done((number, pen.enter(body)), because)


def ph_in(text: str, where: str) -> float:
    """A pH as a person writes it.

    Raises
    ------
    BadEntry
        It is none.
    """
    if not text:
        raise BadEntry("A pH is needed", "nothing", 'Write "7.0"', where=where)
    value = number_in(re.sub(r"^\s*pH\s*", "", text, flags=re.IGNORECASE), where=where).value
    if not 0.0 < value < 14.0:
        raise BadEntry("A pH lies between 0 and 14", repr(text[:30]), "Look at the point", where=where)
    return value


def ph_apart(text: str, where: str) -> float:
    """How far a reading of pH may be off, in steps of pH: "0.2", "± 0,2".

    Raises
    ------
    BadEntry
        It is none, or more than anybody reads wrong.
    """
    value = number_in(re.sub(r"\s*pH$", "", without_sign(text), flags=re.IGNORECASE), where=where).value
    if not 0.0 < value <= 2.0:
        raise BadEntry(
            "The doubt of a reading lies above 0 and up to 2",
            repr(text[:30]),
            "Look at the point",
            where=where,
        )
    return value


def band_in(text: str) -> tuple[float, float] | None:
    """A band of pH, "4.5 to 5.5"; None where there is none."""
    if not text.strip():
        return None
    hit = _BAND.fullmatch(text)
    if hit is None:
        raise BadEntry("A band of pH has two ends", repr(text[:30]), 'Write "4.5 to 5.5"', where="band")
    low, high = (ph_in(hit[end], "band") for end in ("low", "high"))
    if low >= high:
        raise BadEntry(
            "A band of pH goes from the lower to the higher",
            repr(text[:30]),
            "Change them round",
            where="band",
        )
    return low, high


def read_with(kind: str, meter_buffers: str, ph: float) -> tuple[ReadBy, str]:
    """What a pH is read with, and how its meter was calibrated, in words.

    Parameters
    ----------
    kind : str
        "strip" or "meter".
    meter_buffers : str
        Buffers of the calibration: "4.01, 6.86".
    ph : float
        Around which the calibration must reach.

    Raises
    ------
    BadEntry
        It is neither.
    """
    kind = kind.strip().casefold()
    if kind not in READ_BY:
        raise BadEntry("A pH is read by strip or meter", repr(kind[:20]), "Choose one", where="read-by")
    if kind == "strip":
        return "strip", ""
    buffers = [
        number_in(one.strip(" ,;"), where="meter-buffers").value
        for one in re.split(r"[;,]?\s+(?:(?:and|&)\s+)?|;", meter_buffers + " ")
        if one.strip(" ,;")
    ]
    if len(buffers) >= 2 and min(buffers) - 0.3 <= ph <= max(buffers) + 0.3:
        return "meter", f"calibrated with {' and '.join(f'{one:g}' for one in sorted(buffers))}"
    if not buffers:
        return "meter, not calibrated here", "not calibrated, as far as was said"
    told = " and ".join(f"{one:g}" for one in sorted(buffers))
    return "meter, not calibrated here", f"calibrated with {told}, which does not reach around {ph:g}"
