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
LOWEST, HIGHEST, BUFFER = "lowest pH wanted", "highest pH wanted", "buffer of the meter"
"""What stands beside a reading, in its series: what it was wanted between, and what its meter was calibrated with."""
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
    """Enter reading, buffers, band and result; what the reading cannot decide does not count."""
    if not is_ph(said.ph) and not said.note:
        do = "Look at the point; or say in the note that it showed so"
        raise BadEntry(BETWEEN, repr(said.text["ph"][:30]), do, where="ph")
    buffers = () if said.read_by == "strip" else said.meter_buffers
    kind, _ = read_with(said.read_by, buffers, said.ph)
    series = f"{PH}/{len(pen.look.readings(subject, PH)) + 1}"
    sure = LIMITS_PH[kind] / 3.0**0.5
    shown = ReadingTaken(subject, PH, said.ph, "", said.text["ph"], kind, series, sure)
    low, high = ((one,) for one in said.band) if said.band else ((), ())
    numbers = [pen.enter(shown, why=said.note or "")]
    numbers += [
        pen.enter(ReadingTaken(subject, what, one, "", f"{one:g}", series=series))
        for what, each in ((BUFFER, buffers), (LOWEST, low), (HIGHEST, high))
        for one in each
    ]
    try:
        result = _result(subject, pen.look.readings(subject, series=series))
    except OutsideModel as error:
        return no_result(numbers, error)
    return Done((*numbers, pen.enter(result)), result.because)


def _result(subject: str, readings: Sequence[Entry[ReadingTaken]]) -> ResultReckoned:
    """The result of a reading, by the buffers and the band that were entered with it."""
    shown = next(one for one in readings if one.body.what == PH)
    value, apparatus = shown.body.value, shown.body.apparatus
    if not is_ph(value):
        raise OutsideModel(BETWEEN, shown.body.as_written)
    buffers, low, high = (
        tuple(one.body.value for one in readings if one.body.what == what)
        for what in (BUFFER, LOWEST, HIGHEST)
    )
    kind: ReadBy = "strip" if apparatus == "strip" else "meter" if apparatus == "meter" else UNSURE
    told = ""
    if buffers or kind == UNSURE:
        kind, told = read_with("meter", buffers, value)
    read = reading(PH, value, "", f"entry {shown.entry_no}", entry_no=shown.entry_no)
    found = read_ph_with(read, kind, None, (low[0], high[0]) if low and high else None)
    because = f"{found.because} The meter was {told}." if told else found.because
    sure, method = stated(found.answer), BY_INSTRUMENT["strip" if kind == "strip" else "meter"]
    numbers = tuple(one.entry_no for one in readings)
    counts = found.decided != "cannot decide"
    return result_of(subject, PH, sure.answer, method, counts, because, numbers, sure.k)


def _again(
    _: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """What was read is held against its band anew, in words of its own."""
    return _result(entry.body.subject, readings) if entry.body.method in BY_INSTRUMENT.values() else None


def _anew(_: Reader, subject: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    """The result of a reading that was none before it was put right."""
    return (_result(subject, readings),) if any(one.body.what == PH for one in readings) else ()


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
    again=_again,
    anew=_anew,
)
