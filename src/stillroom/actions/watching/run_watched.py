"""A batch whose Soxhlet is watched: its taps and what was looked at, with what the plan says, as one run.

The numbers of siphonings follow the taps that stand. What the plan of the batch expects is what the fit begins with;
where a crest was measured with water, on this batch or on one before it, it takes the place of the plan's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.actions.bench.form_choices import next_of
from stillroom.actions.bench.outages import outages_of
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.siphonings_tapped import HEAT, IT_SIPHONED, since_filled, taps_of, watched_step
from stillroom.actions.watching import siphonings_noted as noted
from stillroom.actions.watching.as_planned import PlannedAt, each_planned, siphonings_planned
from stillroom.actions.watching.bed_noted import bed_step
from stillroom.actions.watching.before_the_run import (
    WHY,
    kwh_of_siphoning,
    measured_with_water,
    price_of_kwh,
    prior,
)
from stillroom.answers import soxhlet_watched as names
from stillroom.answers.soxhlet_watched import Watched, watched
from stillroom.documents.timers import Timer
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.numbers import in_digits
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.science.extraction.watching_advice import WORTH_SHARE
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class SeenAt:
    """What was seen at one siphoning, as it was written."""

    number: int
    at: datetime | None
    tap: Entry[ReadingTaken] | None
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RunWatched:
    """A batch that is watched.

    ``heat_at``, ``last_at``: when the heat went on; the last tap.
    """

    batch: str
    step: str
    does_soxhlet: bool
    """Whether the procedure has such a step."""
    running: bool
    """Whether that step is the next to be done."""
    heat_at: datetime | None
    last_at: datetime | None
    found: Watched | None
    """None before the first siphoning."""
    figures: dict[str, Answer]
    rows: tuple[SeenAt, ...]
    """The siphonings, the first one first."""
    kwh: float
    """Of one siphoning. [kWh]"""
    kwh_price: tuple[float, str] | None
    """Of a kilowatt-hour, and its currency; None where no price is known in the laboratory's."""
    blank_waits: bool
    """A refractometer was read and fresh condensate was not."""
    measured: str
    """Batch on which crest and heel were measured, "" for the plan's."""
    off_now: bool
    planned: tuple[PlannedAt, ...] = ()
    """The siphonings as the plan has them."""

    @property
    def next_at(self) -> datetime | None:
        """When it siphons next."""
        if self.found is None or self.last_at is None:
            return None
        return self.last_at + timedelta(minutes=self.found.taps.cycle_min)

    @property
    def minutes(self) -> float:
        """From the heat, or the first siphoning where heat was noted later, to the last one [min]."""
        begins = min((one for one in (self.heat_at, *(row.at for row in self.rows[:1])) if one), default=None)
        return (self.last_at - begins).total_seconds() / 60.0 if begins and self.last_at else 0.0


def run_watched(look: Reader, batch: str) -> RunWatched:
    """A batch with what its watch says now.

    Raises
    ------
    UnknownName
        There is no such batch.
    """
    step_name = watched_step(look, batch)
    procedure = look.procedure_of(batch)
    step = next((one for one in procedure.steps if one.name == step_name), None)
    taps = taps_of(look, batch, step_name)
    heats = [datetime.fromisoformat(one.done_at) for one in since_filled(look, batch, HEAT, step_name)]
    planned = siphonings_planned(look, batch, step_name) if step else None
    inputs = prior(look, batch, step, planned)
    inputs |= _tapped(taps) | _outages(look, batch, taps)
    seen = _looked(look, batch, step_name)
    blank_waits = False
    found, figures, rows = None, dict[str, Answer](), tuple[SeenAt, ...]()
    if taps:
        inputs[names.WORTH] = assumed(names.WORTH, 100.0 * WORTH_SHARE, "%", WHY)
        bare, _ = watched(inputs)
        more, blank_waits = _signals(look, batch, seen, taps, bare)
        found, figures = watched(inputs | more)
        rows = _rows(taps, found, seen)
    return RunWatched(
        batch,
        step_name,
        step is not None,
        next_of(look, batch).step == step_name != "",
        heats[0] if heats else None,
        datetime.fromisoformat(taps[-1].done_at) if taps else None,
        found,
        figures,
        rows,
        kwh_of_siphoning(inputs, step),
        price_of_kwh(look),
        blank_waits,
        measured_with_water(look, batch)[0],
        any(one.back_at is None for one in outages_of(look, batch)),
        each_planned(planned),
    )


def watches_bed(look: Reader, batch: str) -> bool:
    """Whether what is watched of a batch is a maceration or a percolation: it has no Soxhlet, and nobody tapped."""
    return not watched_step(look, batch) and bool(bed_step(look, batch)) and not taps_of(look, batch, "")


def watch_words(lab: Laboratory, batch: str) -> str:
    """What a person does at the step that comes next where it can be watched; "" where there is no watch."""
    with lab.look() as look:
        coming, soxhlet = next_of(look, batch).step, watched_step(look, batch)
        if soxhlet:
            return t("Watch the Soxhlet") if coming == soxhlet else ""
        stands = watches_bed(look, batch) and coming == bed_step(look, batch)
        return t("Watch it stand or drip") if stands else ""


def has_watch(lab: Laboratory, batch: str) -> bool:
    """Whether a batch was tapped, or has a Soxhlet that may be."""
    with lab.look() as look:
        step = watched_step(look, batch)
        return bool(step) or bool(taps_of(look, batch, step))


def watch_in_words(lab: Laboratory, batch: str) -> str:
    """How long a Soxhlet ran, by its taps; "" where nobody tapped."""
    with lab.look() as look:
        if not taps_of(look, batch, watched_step(look, batch)):
            return ""
        run = run_watched(look, batch)
    return t(
        "{count} siphonings in {minutes:.0f} min, by the watch.", count=len(run.rows), minutes=run.minutes
    )


def watch_timer(look: Reader, batch: str) -> Timer | None:
    """When a watched Soxhlet siphons next; None where none runs."""
    if not watched_step(look, batch):
        return None
    run = run_watched(look, batch)
    if not run.running or run.next_at is None or run.last_at is None or run.found is None:
        return None
    step = t("siphoning {number}", number=run.found.taps.minutes.size + 1)
    return Timer(batch, step, run.last_at, run.next_at, None)


def _minutes(at: str, taps: Sequence[Entry[ReadingTaken]]) -> float:
    gone = datetime.fromisoformat(at) - datetime.fromisoformat(taps[0].done_at)
    return gone.total_seconds() / 60.0


def _tapped(taps: Sequence[Entry[ReadingTaken]]) -> dict[str, Answer]:
    found: dict[str, Answer] = {}
    for at, one in enumerate(taps, 1):
        where = f"entry {one.entry_no}"
        name = f"{names.TAP} {at}"
        found[name] = reading(name, _minutes(one.done_at, taps), "min", where, entry_no=one.entry_no)
        if one.body.as_written != IT_SIPHONED:
            name = f"{names.COUNT} {at}"
            found[name] = reading(name, one.body.value, "", where, entry_no=one.entry_no)
    return found


def _outages(look: Reader, batch: str, taps: Sequence[Entry[ReadingTaken]]) -> dict[str, Answer]:
    found: dict[str, Answer] = {}
    for at, one in enumerate(outages_of(look, batch), 1):
        if not taps or one.back_at is None:
            continue
        for name, when, number in (
            (names.OFF, one.off_at, one.entry_no),
            (names.BACK, one.back_at, one.entry_no),
        ):
            called = f"{name} {at}"
            found[called] = reading(called, _minutes(when, taps), "min", f"entry {number}", entry_no=number)
    return found


def _looked(look: Reader, batch: str, step: str) -> list[Entry[ReadingTaken]]:
    whats = {noted.VIAL, noted.RESIDUE, noted.VOLUME, noted.READ, noted.DROP}
    return [
        one for one in noted.of_some_volume(look.readings(batch))
        if one.body.what in whats and (one.body.series == step or one.body.series.startswith(f"{step} "))
    ]  # fmt: skip


def _number_of(entry: Entry[ReadingTaken], taps: Sequence[Entry[ReadingTaken]], found: Watched) -> int:
    """The siphoning something was seen at: as it was said, else the last one before it was written."""
    said = in_digits(entry.body.series.rpartition(" ")[2])
    if said and entry.body.series.count(" "):
        return said
    when = datetime.fromisoformat(entry.done_at)
    before = [
        number for tap, number in zip(taps, found.taps.number_of_tap, strict=True)
        if number and datetime.fromisoformat(tap.done_at) <= when
    ]  # fmt: skip
    return before[-1] if before else 1


def _signals(
    look: Reader,
    batch: str,
    seen: Sequence[Entry[ReadingTaken]],
    taps: Sequence[Entry[ReadingTaken]],
    found: Watched,
) -> tuple[dict[str, Answer], bool]:
    called = {
        noted.VIAL: names.VIAL, noted.RESIDUE: names.RESIDUE, noted.VOLUME: names.VOLUME, noted.READ: names.READ,
        noted.DROP: names.DROP,
    }  # fmt: skip
    blanks = look.readings(batch, noted.BLANK)
    more: dict[str, Answer] = {}
    waits = False
    for one in seen:
        body = one.body
        value = body.value
        if body.what == noted.READ:
            if not blanks:
                waits = True
                continue
            value -= blanks[-1].body.value
        name = f"{called[body.what]} {_number_of(one, taps, found)}"
        more[name] = reading(
            name, value, body.unit, f"entry {one.entry_no}", entry_no=one.entry_no,
            standard_uncertainty=body.standard_uncertainty,
        )  # fmt: skip
    limits = look.readings(batch, noted.DROP_LIMIT)
    if limits:
        last = limits[-1]
        more[names.DROP_LIMIT] = reading(
            names.DROP_LIMIT, last.body.value, "", f"entry {last.entry_no}", entry_no=last.entry_no
        )
    return more, waits


def _rows(
    taps: Sequence[Entry[ReadingTaken]], found: Watched, seen: Sequence[Entry[ReadingTaken]]
) -> tuple[SeenAt, ...]:
    by_number = {number: tap for tap, number in zip(taps, found.taps.number_of_tap, strict=True) if number}
    says: dict[int, list[str]] = {}
    for one in seen:
        if one.body.what != noted.VOLUME:
            says.setdefault(_number_of(one, taps, found), []).append(_says(one.body))
    return tuple(
        SeenAt(
            number,
            datetime.fromisoformat(by_number[number].done_at) if number in by_number else None,
            by_number.get(number),
            tuple(says.get(number, ())),
        )
        for number in range(1, found.taps.minutes.size + 1)
    )


def _says(body: ReadingTaken) -> str:
    if body.what == noted.VIAL:
        return t(noted.VIALS[str(round(body.value))])
    if body.what == noted.DROP:
        return t(noted.SHOWED["yes" if body.value else "no"])
    return f"{body.value:g} {body.unit}".strip()
