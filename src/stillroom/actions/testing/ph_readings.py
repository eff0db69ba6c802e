"""A pH is entered with how it was read: a strip, or a meter and the buffers it was calibrated with."""

from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.results_kept import result_of
from stillroom.answers.budget import stated
from stillroom.answers.buffer_weighed import LIMITS_PH
from stillroom.answers.ph_read import read_ph_with
from stillroom.answers.ph_words import band_in, buffers_in, ph_in, read_with
from stillroom.errors import BadEntry
from stillroom.evidence.answer import reading
from stillroom.records.entries import ReadingTaken

PH = "pH"
BY_INSTRUMENT = {"strip": "pH by strip", "meter": "pH by meter"}
"""Methods of a result that was read here."""


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
    strip = read_by.strip().casefold() == "strip"
    buffers = () if strip else buffers_in(meter_buffers, "meter-buffers")
    kind, told = read_with(read_by, buffers, value)
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
