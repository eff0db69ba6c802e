"""What the bench has left beside everything in hand: when a new order could be worked on, and when it would be ready.

The schedule that stands is taken as it stands; what it does not hold yet is laid out beside it by the plain rule.
Writes nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

from stillroom.actions.day.house_bench import DAY_MIN, GLASS, bench_of_house, minutes_since
from stillroom.actions.day.jobs_in_hand import GLASS_KINDS, jobs_in_hand, takes_of
from stillroom.actions.day.live import live_day
from stillroom.actions.day.shelf_jobs import stretch_of
from stillroom.actions.day.to_plan import without_troubles
from stillroom.planning.offering.calendar import ANYTHING, DESK, Spans
from stillroom.planning.offering.offer import Lack
from stillroom.planning.outcome import StepForecast
from stillroom.schedule.bench import Bench, Limit, outside
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Attention, Job, JobStep, Taken
from stillroom.schedule.openings import openings
from stillroom.schedule.placed import Placed
from stillroom.schedule.sound import MOST_MIN
from stillroom.store.looking import once
from stillroom.store.reader import Reader

AHEAD_D = 84
"""How far the bench is looked at; behind that work passes in working hours. [d]"""
NEW = "offered"
BEHIND: Spans = ((AHEAD_D * DAY_MIN, AHEAD_D * DAY_MIN + 1),)
"""Where what is never free lies: work passes in working hours from there on. [min]"""


@dataclass(frozen=True, slots=True)
class Standing:
    """The bench with everything in hand laid out on it."""

    begins: datetime
    """Midnight that minutes count from."""
    now_min: int
    """[min]"""
    bench: Bench
    jobs: tuple[Job, ...]
    placed: tuple[Placed, ...]
    left_out: tuple[str, ...] = ()
    """Jobs that could not be laid out."""


@once
def standing(look: Reader, now: datetime) -> Standing:
    """The bench as it stands now, with everything in hand."""
    begins = now.replace(hour=0, minute=0, second=0, microsecond=0)
    now_min, horizon = minutes_since(begins, now), AHEAD_D * DAY_MIN
    notes = [
        one for one in look.bench_notes() if datetime.fromisoformat(one.done_at) >= begins - timedelta(days=1)
    ]
    house = bench_of_house(look, begins, horizon, notes)
    in_hand = jobs_in_hand(look, house.bench, begins, now, house.day_ends_min)
    found, _ = without_troubles(in_hand.jobs, house.bench, MOST_MIN, in_hand.begun)
    day = live_day(look, now)
    lies: dict[tuple[str, str], Placed] = {one.key: one for one in in_hand.begun}
    if day is not None:
        off = minutes_since(begins, day.begins)
        for one in day.schedule.placed:
            moved = replace(one, pieces=tuple((a + off, b + off) for a, b in one.pieces), begun=True)
            if moved.ends_min > now_min:
                lies.setdefault(moved.key, moved)
    known = {(job.code, step.name) for job in found for step in job.steps}
    lies = {key: one for key, one in lies.items() if key in known}
    if known - lies.keys():
        laid = beside(found, house.bench, tuple(lies.values()), now_min)
        lies |= {one.key: one for one in laid}
    lost = tuple(job.code for job in found if any((job.code, one.name) not in lies for one in job.steps))
    return Standing(begins, now_min, house.bench, tuple(found), tuple(lies.values()), lost)


def free_for(look: Reader, now: datetime, kinds: Iterable[str]) -> tuple[tuple[str, Spans], ...]:
    """When somebody and what each kind of step takes are free, beside everything in hand.

    What the bench does not have is lent (``lacking`` tells it). What is never free lies behind what is looked at.

    Parameters
    ----------
    kinds : iterable of str
        Of steps.
    """
    stands, kinds = standing(look, now), tuple(kinds)
    bench = _lent(stands.bench, kinds, stands.now_min)
    wanted: dict[str, Taken] = {kind: _takes(kind, bench) for kind in kinds}
    wanted[ANYTHING] = ()
    free = openings(bench, stands.jobs, stands.placed, AHEAD_D * DAY_MIN, stands.now_min, wanted)
    if free[ANYTHING]:
        free = {kind: spans or BEHIND for kind, spans in free.items()}
    free[DESK] = openings(stands.bench, (), (), AHEAD_D * DAY_MIN, stands.now_min, {DESK: ()})[DESK]
    same = {free[ANYTHING]}
    return tuple((kind, spans) for kind, spans in free.items() if kind == ANYTHING or spans not in same)


def laid_out(
    look: Reader, now: datetime, steps: Sequence[StepForecast], tests_min: int, here_min: int
) -> tuple[Placed, ...]:
    """Where the steps of an order lie on the bench that stands, everything as usual; none where it reaches too far.

    Parameters
    ----------
    steps : sequence of StepForecast
        In order.
    tests_min : int
        Hands of its tests, after everything. [min]
    here_min : int
        When what it takes is here, from midnight. [min]
    """
    stands = standing(look, now)
    bench = _lent(stands.bench, (one.kind for one in steps), stands.now_min)
    job = Job(NEW, NEW, _as_steps(steps, bench, tests_min), earliest_min=max(here_min, stands.now_min))
    found = beside((*stands.jobs, job), bench, stands.placed, stands.now_min)
    return tuple(one for one in found if one.job == NEW)


def beside(jobs: Sequence[Job], bench: Bench, lies: tuple[Placed, ...], now_min: int) -> tuple[Placed, ...]:
    """What is not laid out yet as early as it fits beside what is: for one job alone nothing is earlier.

    Parameters
    ----------
    lies : tuple of Placed
        What is laid out.
    now_min : int
        Nothing else begins before. [min]
    """
    found = by_rule(jobs, bench, AHEAD_D * DAY_MIN, begun=lies, now_min=now_min)
    return found.placed if found else ()


def lacking(look: Reader, now: datetime, kinds: Iterable[str]) -> tuple[Lack, ...]:
    """What kinds of step take and the bench does not have, however long one waits.

    Parameters
    ----------
    kinds : iterable of str
        Of steps.
    """
    stands = standing(look, now)
    return _lacking(stands.bench, kinds, stands.now_min)


def _lacking(bench: Bench, kinds: Iterable[str], now_min: int) -> tuple[Lack, ...]:
    found: dict[str, Lack] = {}
    for kind in kinds:
        for name, amount in _takes(kind, bench):
            limit = bench.limit(name)
            if limit is None or (name in found and found[name].needs >= amount):
                continue
            cut = [
                (0, now_min),
                *((one.begins_min, one.ends_min) for one in limit.cuts if one.left < amount),
            ]
            if limit.most < amount or not outside(cut, AHEAD_D * DAY_MIN):
                there = min([limit.most, *(one.left for one in limit.cuts if one.left < amount)])
                found[name] = Lack(kind, name, amount, there, limit.unit)
    return tuple(found.values())


def _lent(bench: Bench, kinds: Iterable[str], now_min: int) -> Bench:
    """The bench with what it lacks for kinds of step."""
    for one in _lacking(bench, kinds, now_min):
        bench = bench.with_limit(Limit(one.what, one.needs, one.unit))
    return bench


def _takes(kind: str, bench: Bench) -> Taken:
    glass = ((GLASS, 1),) if kind in GLASS_KINDS and bench.limit(GLASS) else ()
    return (*takes_of(kind, bench), *glass)


def _as_steps(steps: Sequence[StepForecast], bench: Bench, tests_min: int) -> tuple[JobStep, ...]:
    """Stretches of the steps, in so many pieces as their length asks of a day."""
    longest = max((b - a for who in bench.people for a, b in who.at_work), default=DAY_MIN)
    found: list[JobStep] = []
    for at, one in enumerate(steps):
        parts: tuple[tuple[Attention, float], ...] = (
            ("hands", one.hands_min), ("watch", one.watch_min), ("free", one.free_min),
        )  # fmt: skip
        for part, minutes in parts:
            if round(minutes) > 0:
                pieces = 1 if part == "free" else ceil(minutes / longest) + (minutes > longest)
                takes = takes_of(one.kind, bench) if part != "free" else ()
                name = stretch_of(f"{at + 1} {one.step}", part)
                found.append(JobStep(name, round(minutes), part, takes, pieces=pieces))
    if tests_min > 0:
        found.append(JobStep(stretch_of("tests", "hands"), tests_min, "hands", pieces=ceil(tests_min / 60)))
    return tuple(found)
