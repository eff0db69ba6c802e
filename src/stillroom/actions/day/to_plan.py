"""What a day is laid out from: everything to be done, and what there is to do it with.

A job that cannot be laid out is set aside with its sentence, and the others go on.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.day.house_bench import DAY_MIN, bench_of_house, minutes_since
from stillroom.actions.day.jobs_in_hand import InHand, jobs_in_hand
from stillroom.actions.day.within_reach import within_reach
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.schedule.bench import Bench
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Job
from stillroom.schedule.placed import Placed
from stillroom.schedule.sound import troubles_of
from stillroom.texts.catalogue import t, word

HORIZON_D = 14


@dataclass(frozen=True, slots=True)
class ToPlan:
    """What a day is laid out from."""

    begins: datetime
    now_min: int
    horizon_min: int
    bench: Bench
    in_hand: InHand
    assumed: tuple[str, ...]


def to_plan(lab: Laboratory, days: int = HORIZON_D) -> ToPlan:
    """Everything to be done and what there is to do it with.

    Parameters
    ----------
    days : int
        How far. [d]

    Raises
    ------
    BadEntry
        It is less than a day or more than two weeks.
    """
    if not 1 <= days <= HORIZON_D:
        raise BadEntry(
            "A plan of the bench reaches from one day to two weeks",
            worded("{days} d", days=days),
            "Write 1 to 14",
        )
    now = lab.clock()
    begins = now.replace(hour=0, minute=0, second=0, microsecond=0)
    horizon = days * DAY_MIN
    with lab.look() as look:
        notes = [
            one
            for one in look.bench_notes()
            if datetime.fromisoformat(one.done_at) >= begins - timedelta(days=1)
        ]
        house = bench_of_house(look, begins, horizon, notes)
        in_hand = jobs_in_hand(look, house.bench, begins, now, house.day_ends_min)
    later = _behind(in_hand.jobs, horizon)
    reached = [one for one in in_hand.jobs if one.code not in later]
    in_hand.jobs, going_on = within_reach(
        reached, house.bench, minutes_since(begins, now), horizon, in_hand.begun
    )
    assumed = (
        *(t("{job}: comes after these days", job=one) for one in later),
        *going_on,
        *(
            t("{job}: its day is past, so it is laid out as early as it fits", job=one)
            for one in in_hand.past_due
        ),
        *(
            t("{what}: {value} taken, nobody noted it", what=word(what), value=value)
            for what, value in house.assumed
        ),
        *(
            t("{step}: usual minutes, until its procedure or your own runs tell", step=one)
            for one in in_hand.assumed
        ),
    )
    return ToPlan(begins, minutes_since(begins, now), horizon, house.bench, in_hand, assumed)


def _behind(jobs: Sequence[Job], horizon_min: int) -> tuple[str, ...]:
    """Jobs that cannot begin within these days, since something of theirs is not here before."""
    found = [one.code for one in jobs if one.earliest_min >= horizon_min]
    return (*found, *_after(jobs, found))


def _after(jobs: Sequence[Job], these: Sequence[str]) -> tuple[str, ...]:
    """Jobs that wait for some, at once or through others."""
    found = [*these]
    while more := [one.code for one in jobs if one.code not in found and set(one.after) & set(found)]:
        found += more
    return tuple(found[len(these) :])


def sound_jobs(asked: ToPlan) -> tuple[list[Job], tuple[str, ...]]:
    """The jobs that can be laid out, and a sentence for each that cannot.

    What waits for something on its way is left for later where these days do not hold it.
    """
    jobs, aside = without_troubles(asked.in_hand.jobs, asked.bench, asked.horizon_min, asked.in_hand.begun)
    waiting = _after(jobs, asked.in_hand.awaited)
    if not waiting:
        return jobs, aside
    begun = tuple(one for one in asked.in_hand.begun if any(job.code == one.job for job in jobs))
    if by_rule(jobs, asked.bench, asked.horizon_min, begun=begun, now_min=asked.now_min) is not None:
        return jobs, aside
    later = tuple(t("{job}: comes after these days", job=one) for one in waiting)
    return [one for one in jobs if one.code not in waiting], (*aside, *later)


def without_troubles(
    found: Sequence[Job], bench: Bench, horizon_min: int, begun: Sequence[Placed]
) -> tuple[list[Job], tuple[str, ...]]:
    """Jobs without those that no bench can hold, and a sentence for each of these.

    Parameters
    ----------
    horizon_min : int
        How far. [min]
    begun : sequence of Placed
        What has begun.
    """
    jobs: list[Job] = list(found)
    aside: list[str] = []
    while True:
        bad: dict[str, StillroomError] = {}
        for job in jobs:
            others = [one for one in jobs if one.code in job.after]
            alone = troubles_of([job, *others], bench, horizon_min, begun)
            if alone:
                bad[job.code] = alone[0]
        if not bad:
            return jobs, tuple(aside)
        aside += [
            t("{job} is left out: {why}", job=code, why=trouble.sentence) for code, trouble in bad.items()
        ]
        gone = set(bad)
        jobs = [replace(one, after=tuple(set(one.after) - gone)) for one in jobs if one.code not in gone]
