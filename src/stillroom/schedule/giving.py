"""What would have to give where a day is impossible or late: the smallest sets of changes, and what each would buy.

Promises that every set named was laid out and works, and that no smaller one does. What it tries is what a small
laboratory can change: begin earlier, stay longer, one more of a place, a larger breaker, somebody who helps, another
day for one job, a later date.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal, TypeAlias

from stillroom.errors import StillroomError
from stillroom.schedule.aims import aims_of
from stillroom.schedule.bench import COOLING, POWER, TAP, Bench, Limit, Worker
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Job
from stillroom.schedule.model import BenchModel
from stillroom.schedule.placed import Placed, Schedule
from stillroom.schedule.solving import solved
from stillroom.schedule.sound import refuse_unsound

What: TypeAlias = Literal[
    "begin earlier", "stay longer", "no cut", "one more", "a later date", "more", "another day", "a helper"
]
COST: dict[What, int] = {
    "begin earlier": 1,
    "stay longer": 1,
    "no cut": 2,
    "one more": 2,
    "a later date": 2,
    "more": 3,
    "another day": 4,
    "a helper": 5,
}
"""Which of two changes is offered first; nothing else hangs on it."""
EARLIER_MIN, LONGER_MIN = 30, 60
MOST_AT_ONCE = 3
MOST_OFFERED = 6
EFFORT = 0.1
HELPER = "+1"
"""Code of somebody who would help."""


@dataclass(frozen=True, slots=True)
class Give:
    """One change."""

    what: What
    subject: str
    """A person, a limit or a job."""
    amount: int = 0
    """Minutes, pieces or units of the limit."""


@dataclass(frozen=True, slots=True)
class Buys:
    """A set of changes that together make it possible, and the schedule that follows."""

    gives: tuple[Give, ...]
    schedule: Schedule


def what_would_have_to_give(
    jobs: Sequence[Job],
    bench: Bench,
    horizon_min: int,
    *,
    begun: Sequence[Placed] = (),
    now_min: int = 0,
    effort: float = EFFORT,
) -> tuple[Buys, ...]:
    """The smallest sets of changes with which every job fits and none is late, the easiest first.

    Parameters
    ----------
    horizon_min : int
        [min]
    now_min : int
        [min]
    effort : float
        For each set tried, in the solver's own seconds.

    Returns
    -------
    tuple of Buys
        Empty where nothing has to give, and where three changes at once are not enough.

    Raises
    ------
    BadEntry, NotEnough, UnknownName
        As of ``schedule``, for what no change of these would mend.
    """
    refuse_unsound(jobs, bench, horizon_min, begun)
    if _in_time(jobs, bench, horizon_min, begun, now_min, effort) is not None:
        return ()
    could = sorted(_could_give(jobs, bench, horizon_min, begun, now_min), key=lambda one: COST[one.what])
    for together in range(1, MOST_AT_ONCE + 1):
        sets = sorted(combinations(could, together), key=lambda some: sum(COST[one.what] for one in some))
        found: list[Buys] = []
        for some in sets:
            made = _in_time(*_given(some, jobs, bench, horizon_min), horizon_min, begun, now_min, effort)
            if made is not None:
                found.append(Buys(some, made))
            if len(found) == MOST_OFFERED:
                break
        if found:
            return tuple(found)
    return ()


def _in_time(
    jobs: Sequence[Job],
    bench: Bench,
    horizon_min: int,
    begun: Sequence[Placed],
    now_min: int,
    effort: float,
) -> Schedule | None:
    """A schedule in which nothing is late, None where none was found."""
    if not jobs:
        return None
    try:
        refuse_unsound(jobs, bench, horizon_min, begun)
    except StillroomError:
        return None
    first = by_rule(jobs, bench, horizon_min, begun=begun, now_min=now_min)
    if first is not None and first.late:
        first = None
    model = BenchModel(jobs, bench, horizon_min, begun=begun, now_min=now_min)
    for job in jobs:
        if job.due_min is not None:
            model.model.add(model.end_of(job) <= job.due_min)
    return solved(model, aims_of(model, ("end",), tidy=False), effort, first, aside=0) or first


def _could_give(
    jobs: Sequence[Job], bench: Bench, horizon_min: int, begun: Sequence[Placed], now_min: int
) -> Iterator[Give]:
    taken = {name for job in jobs for step in job.steps for name, _ in step.takes}
    taken |= {hold.takes for job in jobs for hold in job.holds}
    for worker in bench.people:
        ahead = [span for span in worker.at_work if span[1] > now_min]
        if ahead and ahead[0][0] - EARLIER_MIN >= now_min:
            yield Give("begin earlier", worker.code, EARLIER_MIN)
        if ahead and ahead[0][1] < horizon_min:
            yield Give("stay longer", worker.code, LONGER_MIN)
    for limit in bench.limits:
        if limit.name in taken:
            yield _more_of(limit)
            if any(cut.ends_min > now_min for cut in limit.cuts):
                yield Give("no cut", limit.name)
    has_begun = {one.job for one in begun}
    leaned_on = {code for job in jobs for code in job.after}
    for job in jobs:
        if job.due_min is not None:
            yield Give("a later date", job.code)
        if job.code not in has_begun | leaned_on:
            yield Give("another day", job.code)
    if bench.people:
        yield Give("a helper", HELPER)


def _more_of(limit: Limit) -> Give:
    if limit.unit:
        step = {POWER: (limit.most * 3) // 5, TAP: 500, COOLING: limit.most}.get(limit.name, limit.most)
        return Give("more", limit.name, step)
    return Give("one more", limit.name, 1)


def _given(
    gives: Sequence[Give], jobs: Sequence[Job], bench: Bench, horizon_min: int
) -> tuple[tuple[Job, ...], Bench]:
    """Jobs and bench with some changes."""
    left = tuple(jobs)
    for one in gives:
        match one.what:
            case "another day":
                left = tuple(job for job in left if job.code != one.subject)
            case "a later date":
                left = tuple(replace(job, due_min=None) if job.code == one.subject else job for job in left)
            case "a helper":
                hours = max(
                    (worker.at_work for worker in bench.people),
                    key=lambda spans: sum(b - a for a, b in spans),
                )
                bench = replace(bench, people=(*bench.people, Worker(one.subject, one.subject, hours)))
            case "one more" | "more" | "no cut":
                limit = bench.limit(one.subject)
                if limit is not None:
                    cuts = () if one.what == "no cut" else limit.cuts
                    bench = bench.with_limit(replace(limit, most=limit.most + one.amount, cuts=cuts))
            case "begin earlier" | "stay longer":
                early, late = (one.amount, 0) if one.what == "begin earlier" else (0, one.amount)
                people = tuple(
                    replace(
                        who, at_work=tuple((a - early, min(b + late, horizon_min)) for a, b in who.at_work)
                    )
                    if who.code == one.subject
                    else who
                    for who in bench.people
                )
                bench = replace(bench, people=people)
    return left, bench
