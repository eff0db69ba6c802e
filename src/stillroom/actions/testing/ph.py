"""A pH is entered with how it was read: a strip, or a meter and the buffers it was calibrated with."""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.actions.book.acts import Act, no_result, note_where_asked
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import result_of
from stillroom.answers.budget import stated
from stillroom.answers.buffer_weighed import LIMITS_PH, ReadBy
from stillroom.answers.ph_read import read_ph_with
from stillroom.answers.ph_words import READ_BY, band_in, buffers_in, is_ph, ph_shown, read_with
from stillroom.asking.entries import maybe, needed, taken
from stillroom.asking.readers import OneOf, Own
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import reading
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later

PH = "pH"
BETWEEN = "A pH lies between 0 and 14"
UNSURE: ReadBy = "meter, not calibrated here"
BY_INSTRUMENT = {"strip": "pH by strip", "meter": "pH by meter"}
"""Methods of a result that was read here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Read(Said):
    """What was read, with what, and what is wanted."""

    ph: float = needed(Own(ph_shown, "figure"), label=later("It showed"), argument=True)
    read_by: str = needed(
        OneOf(READ_BY, must=later("A pH is read by strip or meter")), label=later("Read with"), beside=True,
        must=later("How a pH was read is asked"), do=later("Say strip or meter"),
        help="strip or meter: asked, never filled in.",
    )  # fmt: skip
    meter_buffers: tuple[float, ...] = taken(
        (), Own(buffers_in), label=later("The meter was calibrated with"), hint="4.01, 6.86",
        help='What the meter was calibrated with: "4.01, 6.86".',
    )  # fmt: skip
    band: tuple[float, float] | None = maybe(
        Own(lambda text, _: band_in(text)), label=later("Wanted"), hint="4.5 to 5.5", help='Wanted: "4.5 to 5.5".'
    )  # fmt: skip
    note: str | None = note_where_asked()


def _write(pen: BookWriter, subject: str, said: Read) -> Done:
    """Enter reading and result; what the reading cannot decide does not count."""
    if not is_ph(said.ph) and not said.note:
        do = "Look at the point; or say in the note that it showed so"
        raise BadEntry(BETWEEN, repr(said.text["ph"][:30]), do, where="ph")
    strip = said.read_by == "strip"
    kind, told = read_with(said.read_by, () if strip else said.meter_buffers, said.ph)
    series = f"{PH}/{len(pen.look.readings(subject, PH)) + 1}"
    body = ReadingTaken(subject, PH, said.ph, "", said.text["ph"], kind, series, LIMITS_PH[kind] / 3.0**0.5)
    number = pen.enter(body, why=said.note or "")
    if not is_ph(said.ph):
        return no_result([number], OutsideModel(BETWEEN, said.text["ph"]))
    result = _result(subject, body, number, said.band, told)
    return Done((number, pen.enter(result)), result.because)


def _result(
    subject: str, body: ReadingTaken, number: int, band: tuple[float, float] | None, told: str
) -> ResultReckoned:
    kind: ReadBy = "strip" if body.apparatus == "strip" else "meter" if body.apparatus == "meter" else UNSURE
    read = reading("pH as read", body.value, "", f"entry {number}", entry_no=number)
    found = read_ph_with(read, kind, None, band)
    because = f"{found.because} The meter was {told}." if told else found.because
    sure, method = stated(found.answer), BY_INSTRUMENT["strip" if kind == "strip" else "meter"]
    counts = found.decided != "cannot decide"
    return result_of(subject, PH, sure.answer, method, counts, because, (number,), sure.k)


def _anew(_: Reader, subject: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    """The result of a reading that was none before it was put right; the band it was read for is not known then."""
    return tuple(
        _result(subject, one.body, one.entry_no, None, "")
        for one in readings
        if one.body.what == PH and is_ph(one.body.value)
    )


read_ph = Act(
    name="ph",
    action="read pH",
    said=Read,
    writes=_write,
    help="The pH of a lot or batch, and whether that reading can decide the band that is wanted.",
    of="SUBJECT",
    title="pH",
    called="pH",
    on_batch=later("Measure the pH"),
    lead=later(
        "A strip tells half a unit either way: it decides no narrow band. A meter is calibrated on both sides."
    ),
    button=later("Save the pH"),
    address="/test/{code}/ph",
    cautions=("preservation",),
    certified=(PH,),
    anew=_anew,
)
