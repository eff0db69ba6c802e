"""The rest of a day after a surprise: what has begun stays, as little as possible moves, and what moved is told.

A step that was running when water or power went stands still as long as that is off, and goes on afterwards; whether it
may go on at all only whoever looks can tell.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillroom.errors import NotEnough, worded
from stillroom.schedule.aims import lateness
from stillroom.schedule.bench import Bench, Span, joined
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Job, JobStep
from stillroom.schedule.model import BenchModel
from stillroom.schedule.placed import Placed, Schedule
from stillroom.schedule.solving import solved
from stillroom.schedule.sound import refuse_unsound

EFFORT = 0.3
FIRST_WAY = 1.0
"""How long a first way is looked for before it is said that none was found, in the solver's own seconds (chosen)."""
A_MOVE_MIN = 60
"""Moving one more step weighs as much as shifting by so many minutes. [min]"""
ANOTHER_PERSON_MIN = 10
"""Giving a step to somebody else weighs as much as shifting it by so many minutes. [min]"""


@dataclass(frozen=True, slots=True)
class Change:
    """A step that lies elsewhere than before."""

    job: str
    step: str
    was_min: int | None
    """When it was to begin; None for a step that is new. [min]"""
    now_min: int | None
    """When it begins; None for a step that is gone. [min]"""
    was_person: str = ""
    person: str = ""
    longer_min: int = 0
    """How much longer it takes than before. [min]"""


def moved(
    jobs: Sequence[Job],
    bench: Bench,
    horizon_min: int,
    kept: Schedule,
    *,
    begun: Sequence[Placed],
    now_min: int,
    effort: float = EFFORT,
) -> Schedule:
    """Lay out what has not begun, near to where it was.

    Parameters
    ----------
    jobs : sequence of Job
        As they are now; also those that came new.
    bench : Bench
        As it is now.
    horizon_min : int
        [min]
    kept : Schedule
        As it was.
    begun : sequence of Placed
        What has begun or is over; ``stretched`` first where something was cut.
    now_min : int
        Nothing else begins before. [min]
    effort : float
        In the solver's own seconds, for each of two aims.

    Returns
    -------
    Schedule
        First nothing is late that need not be, then as few steps as possible move, by as little as possible.

    Raises
    ------
    BadEntry, NotEnough, UnknownName
        As of ``schedule``.
    """
    from ortools.sat.python import cp_model

    refuse_unsound(jobs, bench, horizon_min, begun)
    rank = {one.key: one.begins_min for one in kept.placed}
    who = {one.key: one.person for one in kept.placed}
    first = by_rule(jobs, bench, horizon_min, begun=begun, now_min=now_min, rank=rank)
    model = BenchModel(jobs, bench, horizon_min, begun=begun, now_min=now_min)
    m = model.model
    shifts = []
    for key, one in model.steps.items():
        if key not in rank:
            continue
        by = m.new_int_var(0, horizon_min, "shift")
        m.add(by >= one.begins[0] - rank[key])
        m.add(by >= rank[key] - one.begins[0])
        moves = m.new_bool_var("moves")
        m.add(by == 0).only_enforce_if(~moves)
        shifts.append(by + A_MOVE_MIN * moves)
        same = one.persons.get(who[key])
        if same is not None and len(one.persons) > 1:
            shifts.append(ANOTHER_PERSON_MIN * (1 - same))
    news = [one.last for key, one in model.steps.items() if key not in rank]
    ends = [model.end_of(job) for job in jobs]
    nearest = m.new_int_var(0, 2**40, "moved by")
    m.add(nearest == 100 * cp_model.LinearExpr.sum(shifts) + cp_model.LinearExpr.sum(news))
    aims = [*([sum(model.over)] if model.over else []), *lateness(model, ends), nearest]
    found = solved(model, aims, effort, first, aside=0) or first
    if found is None and not model.impossible:
        found = solved(model, aims, FIRST_WAY, aside=0)
    if found is None:
        raise NotEnough(
            "The rest must fit into the time and onto the bench",
            worded("no way to lay out what is left of {jobs}", jobs=", ".join(one.code for one in jobs)),
            "Ask what would have to give, or leave it for the next day",
        )
    return found


def stretched(begun: Sequence[Placed], jobs: Sequence[Job], bench: Bench, now_min: int) -> tuple[Placed, ...]:
    """What has begun, standing still while something it takes is cut.

    Parameters
    ----------
    bench : Bench
        With its cuts.
    now_min : int
        What was over before stays as it was. [min]
    """
    steps = {(job.code, step.name): step for job in jobs for step in job.steps}
    return tuple(
        one
        if one.ends_min <= now_min
        else replace(one, pieces=_around(one.pieces, _cuts(steps[one.key], bench)))
        for one in begun
    )


def changes(before: Schedule, after: Schedule) -> tuple[Change, ...]:
    """What lies elsewhere than before, by when it now begins."""
    was = {one.key: one for one in before.placed}
    now = {one.key: one for one in after.placed}
    found = []
    for key in dict.fromkeys((*now, *was)):
        a, b = was.get(key), now.get(key)
        longer = (b.ends_min - b.begins_min) - (a.ends_min - a.begins_min) if a and b else 0
        if a and b and a.begins_min == b.begins_min and a.person == b.person and not longer:
            continue
        found.append(
            Change(
                *key,
                a.begins_min if a else None,
                b.begins_min if b else None,
                a.person if a else "",
                b.person if b else "",
                longer,
            )
        )
    return tuple(sorted(found, key=lambda one: one.now_min if one.now_min is not None else -1))


def _cuts(step: JobStep, bench: Bench) -> tuple[Span, ...]:
    found = []
    for name, amount in step.takes:
        limit = bench.limit(name)
        found += [(cut.begins_min, cut.ends_min) for cut in limit.cuts if cut.left < amount] if limit else []
    return joined(found)


def _around(pieces: Sequence[Span], cuts: Sequence[Span]) -> tuple[Span, ...]:
    """Pieces that stop at each cut and go on after it, as long as they were."""
    found: list[Span] = []
    late = 0
    for begins, ends in pieces:
        at, left = max(begins + late, found[-1][1] if found else begins), ends - begins
        while left > 0:
            cut = next(((a, b) for a, b in cuts if a < at + left and b > at), None)
            if cut is None:
                found.append((at, at + left))
                break
            if cut[0] > at:
                found.append((at, cut[0]))
                left -= cut[0] - at
            at = cut[1]
        late = max(found[-1][1] - ends, 0)
    return tuple(found)
