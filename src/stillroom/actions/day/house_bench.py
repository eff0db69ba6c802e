"""The bench of this house: people and their hours, breaker, condensers, tap, bath, glass, as they were noted.

What nobody noted is assumed and named, so that the page of the day can ask for it. An announced outage and something
broken are cuts; somebody who comes late is away.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from stillroom.actions.bench.outages import open_outages
from stillroom.actions.house.house_facts import condition_of
from stillroom.planning.house_said import clock_times, in_its_unit, weekdays_said
from stillroom.records.entries import BenchNoted, Entry
from stillroom.schedule.bench import (
    COOLING,
    POWER,
    TAP,
    Bench,
    Break,
    Limit,
    Span,
    Worker,
    power_limit,
    series_limit,
    tap_limit,
)
from stillroom.science.liquids.air import air_pressure_pa
from stillroom.store.reader import Reader
from stillroom.substances.solvents import lowest_boiling_c

CONDENSERS, BATH, GLASS = "condensers", "bath places", "sets of glass"
DAY_MIN = 24 * 60
WORK_BEGINS_MIN = 8 * 60
USUAL = {
    "working hours": 8.0,
    "breaker": 10.0,
    "mains voltage": 230.0,
    "condensers": 1.0,
    "bath places": 1.0,
    "tap flow": 6.0,
    "tap temperature": 20.0,
}
"""What is assumed where nobody noted it; common practice, no source."""
WATER = 3
"""Where the water stands among the limits."""
UNKNOWN_END_MIN = 60
"""How long what is off is taken to stay off where nobody knows. [min]"""


@dataclass(frozen=True, slots=True)
class HouseBench:
    """The bench, and what of it is assumed."""

    bench: Bench
    assumed: tuple[tuple[str, str], ...]
    """What nobody noted, and what is taken instead."""
    day_ends_min: int
    """When a day of work ends. [min]"""


def bench_of_house(
    look: Reader, begins: datetime, horizon_min: int, notes: Sequence[Entry[BenchNoted]] = ()
) -> HouseBench:
    """The bench over a horizon.

    Parameters
    ----------
    begins : datetime
        Midnight that the minutes count from.
    horizon_min : int
        [min]
    notes : sequence of Entry
        What changed since.
    """
    assumed: list[tuple[str, str]] = []

    def noted(what: str) -> float:
        found = condition_of(look, what)
        if found is None:
            assumed.append((what, in_its_unit(what, USUAL[what])))
            return USUAL[what]
        return found.value

    hours = condition_of(look, "working hours")
    times = clock_times(hours.as_written) if hours else None
    if times is None:
        long_min = round(60 * noted("working hours"))
        times = (WORK_BEGINS_MIN, min(WORK_BEGINS_MIN + long_min, DAY_MIN))
    days = _weekdays(look, "days of work", (0, 1, 2, 3, 4))
    worked = tuple(
        day for day in range(horizon_min // DAY_MIN) if (begins + timedelta(days=day)).weekday() in days
    )
    rest = condition_of(look, "break")
    lunch = clock_times(rest.as_written) if rest else None
    people = tuple(
        Worker(
            one.code,
            one.name,
            tuple((day * DAY_MIN + times[0], day * DAY_MIN + times[1]) for day in worked),
            tuple(
                Break(lunch[1] - lunch[0], day * DAY_MIN + lunch[0], day * DAY_MIN + lunch[1])
                for day in worked
            )
            if lunch
            else (),
        )
        for one in look.people()
    )
    limits = [
        power_limit(noted("breaker"), noted("mains voltage")),
        Limit(CONDENSERS, _condensers_there(look) or int(noted("condensers"))),
        Limit(BATH, int(noted("bath places"))),
        _water(look, noted),
    ]
    glass = condition_of(look, "sets of glass")
    if glass is not None:
        limits.append(Limit(GLASS, int(glass.value)))
    water = condition_of(look, "water days")
    if water is not None:
        wet = weekdays_said(water.as_written)
        for day in range(horizon_min // DAY_MIN):
            if (begins + timedelta(days=day)).weekday() not in wet:
                limits[WATER] = limits[WATER].cut(day * DAY_MIN, (day + 1) * DAY_MIN, 0, "no water day")
    bench = Bench(people, tuple(limits))
    bench = with_notes(bench, notes, begins, horizon_min)
    for off in open_outages(look):
        since = minutes_since(begins, datetime.fromisoformat(off.off_at))
        if not any(one.body.what == off.what and one.done_at == off.off_at for one in notes):
            bench = _cut(bench, off.what, since, since + UNKNOWN_END_MIN, off.what)
    return HouseBench(bench, tuple(assumed), times[1])


def _condensers_there(look: Reader) -> int:
    """How many condensers stand among the apparatus, where nobody noted a number."""
    if condition_of(look, CONDENSERS) is not None:
        return 0
    return sum(one.kind == "condenser" for one in look.apparatus_list())


def _water(look: Reader, noted: Callable[[str], float]) -> Limit:
    """What the tap gives to condensers side by side, or what one stream through all of them may take up.

    Side by side each has water enough for what the table of usual work gives it; in a row the last must still
    be cool for the liquid that boils lowest of all that are boiled here.
    """
    row = condition_of(look, "cooling water")
    if row is None or row.value == 0.0:
        return tap_limit(noted("tap flow"))
    height = condition_of(look, "altitude")
    lowest_c = lowest_boiling_c(air_pressure_pa(height.value if height else 0.0))
    return series_limit(min(row.value, noted("tap flow")), noted("tap temperature"), lowest_c)


def with_notes(bench: Bench, notes: Iterable[Entry[BenchNoted]], begins: datetime, horizon_min: int) -> Bench:
    """A bench with what changed: cuts, what broke, who comes late.

    Parameters
    ----------
    horizon_min : int
        [min]
    """
    for one in notes:
        bench = _with_note(bench, one, begins, horizon_min)
    return bench


def minutes_since(begins: datetime, moment: datetime) -> int:
    """Whole minutes from a beginning to a moment [min]."""
    return int((moment - begins).total_seconds() // 60)


def limits_cut_by(what: str) -> tuple[str, ...]:
    """What of a bench is gone when water or power is.

    Parameters
    ----------
    what : str
        "water", "power", "water and power".
    """
    by_word = (("water", TAP), ("water", COOLING), ("power", POWER))
    return tuple(name for word, name in by_word if word in what)


def _with_note(bench: Bench, note: Entry[BenchNoted], begins: datetime, horizon_min: int) -> Bench:
    body, at = note.body, minutes_since(begins, datetime.fromisoformat(note.done_at))
    ends = at + round(body.minutes) if body.minutes else horizon_min
    if body.what in ("water", "power", "water and power"):
        return _cut(bench, body.what, at, at + (round(body.minutes) or UNKNOWN_END_MIN), body.what)
    if body.what == "broken":
        limit = bench.limit(body.subject)
        if limit is None:
            return bench
        before = [cut.left for cut in limit.cuts if cut.why == "broken" and cut.ends_min > at]
        return bench.with_limit(limit.cut(at, ends, max(min([limit.most, *before]) - 1, 0), "broken"))
    if body.what == "late":
        return replace(
            bench,
            people=tuple(_away(who, (at, ends)) if who.code == body.subject else who for who in bench.people),
        )
    return bench


def _cut(bench: Bench, what: str, begins_min: int, ends_min: int, why: str) -> Bench:
    for name in limits_cut_by(what):
        limit = bench.limit(name)
        if limit is not None:
            bench = bench.with_limit(limit.cut(begins_min, ends_min, 0, why))
    return bench


def _away(worker: Worker, away: Span) -> Worker:
    """Somebody without the time from one minute to another."""
    left: list[Span] = []
    for begins, ends in worker.at_work:
        left += [(begins, min(ends, away[0])), (max(begins, away[1]), ends)]
    return replace(worker, at_work=tuple((a, b) for a, b in left if a < b))


def _weekdays(look: Reader, what: str, otherwise: tuple[int, ...]) -> tuple[int, ...]:
    found = condition_of(look, what)
    return weekdays_said(found.as_written) if found else otherwise
