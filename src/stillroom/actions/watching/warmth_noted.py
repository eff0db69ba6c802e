"""While something is boiled down: how warm the liquid is, read now or copied from a sheet, as the heat dose it makes.

A bath without a thermostat is as warm as it was read; between two readings it is taken straight.
"""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.warmth_read import WARM, dose_read, warm_steps, warmth_of
from stillroom.asking.entries import maybe
from stillroom.asking.readers import Figure, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.evidence.answer import Answer
from stillroom.records.entries import ReadingTaken
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.stream.kinds.stopping import GENTLE_C, HALF_MIN, USUAL_GENTLE_C
from stillroom.texts.catalogue import later, t

COLDEST_C, WARMEST_C = 0.0, 130.0
_ROW = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(?:min)?\s*[;:\t ]\s*(\d+(?:[.,]\d+)?)\s*(?:°?C)?\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmSaid(Said):
    """A temperature as it is now, or a record of times and temperatures that ends now."""

    temperature: Answer | None = maybe(
        Figure(of="temperature", symbol="°C", unit="°C", low=COLDEST_C, high=WARMEST_C),
        label=later("The liquid is at"), help='Of the liquid, at the time it is signed for: "64 °C".',
    )  # fmt: skip
    record: str | None = maybe(
        Words(long=True), label=later("Or a record, from a sheet"),
        hint=later("Minutes and °C, a pair on each line; the last line is now"),
        help='Minutes and °C, the last pair is now: "0 21 / 15 58 / 40 74".',
    )  # fmt: skip


def step_to_read(look: Reader, batch: str) -> str:
    """Name of the step that is warm now: the first that is not done, else the last one; "" for none."""
    done = {one.body.step for one in look.steps(batch)}
    steps = warm_steps(look, batch)
    return next((one for one in steps if one not in done), steps[-1] if steps else "")


def warmth_words(look: Reader, batch: str, name: str) -> str:
    """What was read at a step and what it weighs, in one sentence; "" where nothing was."""
    read = warmth_of(look, batch, name)
    if not read:
        return ""
    step = look.procedure_of(batch).step(name)
    dose = dose_read(look, batch, step)
    if dose is None:
        return t(
            "{celsius:g} °C is noted; a second temperature makes a heat dose.", celsius=read[0].body.value
        )
    given = {one.name: one.value for one in step.settings}
    says = t("{count} temperatures, heat dose so far {dose:.0f} min at {gentle:g} °C.",
             count=len(read), dose=dose.value, gentle=given.get(GENTLE_C, USUAL_GENTLE_C))  # fmt: skip
    if HALF_MIN not in given:
        return says
    stays = 100.0 * 0.5 ** (dose.value / given[HALF_MIN])
    return says + t(" Of the marker {stays:.0f} % stays, as fast as its procedure assumes.", stays=stays)


def _pairs(record: str) -> list[tuple[float, float]]:
    pairs = list[tuple[float, float]]()
    for line in re.split(r"[\n/]", record):
        if not line.strip():
            continue
        found = _ROW.fullmatch(line)
        at, celsius = (float(one.replace(",", ".")) for one in found.groups()) if found else (0.0, -1.0)
        if not COLDEST_C <= celsius <= WARMEST_C or (pairs and at < pairs[-1][0]):
            raise BadEntry(
                "A record has minutes and °C, a pair on each line, its times running forwards, 0 to 130 °C",
                repr(line.strip()[:30]), "Write a line like 15 58", where="record",
            )  # fmt: skip
        pairs.append((at, celsius))
    return pairs


def _note(pen: BookWriter, batch: str, said: WarmSaid) -> Done:
    """Enter how warm it is, or each line of a record at its own time."""
    step = step_to_read(pen.look, batch)
    if not step:
        raise NotEnough(
            "Temperatures are noted of a step that boils down", worded("none in {code}", code=batch),
            "Note it with the step it belongs to",
        )  # fmt: skip
    ends, numbers = datetime.fromisoformat(pen.at), list[int]()
    pairs = _pairs(said.record or "")
    for at, celsius in pairs:
        when = (ends - timedelta(minutes=pairs[-1][0] - at)).isoformat(timespec="seconds")
        body = ReadingTaken(batch, WARM, celsius, "°C", f"{celsius:g} °C", series=step)
        numbers.append(pen.enter(body, done_at=when))
    if said.temperature is not None:
        words = said.text["temperature"]
        numbers.append(pen.enter(ReadingTaken(batch, WARM, said.temperature.value, "°C", words, series=step)))
    if not numbers:
        raise BadEntry("A temperature was read", "nothing", "Write it, or a record", where="temperature")
    return Done(tuple(numbers), warmth_words(pen.look, batch, step))


note_warmth = Act(
    name="warm",
    action="note how warm it is",
    said=WarmSaid,
    writes=_note,
    help="How warm the liquid is while it is boiled down; two or more make the heat dose of what heat destroys.",
    of="BATCH",
    title=later("How warm it is"),
    lead=later(
        "For a bath without a thermostat, and what heat destroys: when it begins, when it changes, when it ends."
    ),
    button=later("Save"),
    address="/make/{code}/warm",
    then="/make/{code}/step",
)
