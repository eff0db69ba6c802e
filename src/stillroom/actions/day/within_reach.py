"""Work that is longer than a fortnight is laid out as far as it reaches, and says so."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from stillroom.schedule.bench import Bench
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Attention, Hold, Job, JobStep
from stillroom.schedule.placed import Placed
from stillroom.schedule.sound import job_troubles
from stillroom.texts.catalogue import t

SHARE_OF_ONE = 0.5
"""Of the time one person has, that one job may fill: the others are laid out beside it (chosen). [1]"""
LONG_MIN = 20 * 60
"""Hands and watching from which work is long: what is shorter fits, or the day says what would have to give. [min]"""
LEAST_MIN = 60
"""A stretch is not begun for less. [min]"""


def pieces_of(minutes: int, attention: Attention, usual: int, longest_min: int) -> int:
    """In how many pieces a stretch is done: more than usual where it is longer than anybody's day.

    Parameters
    ----------
    minutes : int
        [min]
    longest_min : int
        The longest anybody stays with it without going home. [min]
    """
    if attention == "free" or minutes <= longest_min:
        return usual
    return max(usual, 2 * ceil(minutes / max(longest_min, 1)) + 1)


def longest_day_min(bench: Bench) -> int:
    """The longest anybody is there without going home [min]."""
    return max((b - a for who in bench.people for a, b in who.at_work), default=24 * 60)


def within_reach(
    jobs: Sequence[Job], bench: Bench, now_min: int, horizon_min: int, begun: Sequence[Placed] = ()
) -> tuple[list[Job], tuple[str, ...]]:
    """The jobs, those too long for the time cut where it ends; a sentence for each that goes on afterwards.

    Parameters
    ----------
    now_min, horizon_min : int
        From when, and how far. [min]
    begun : sequence of Placed
        What has begun: it stays as it lies.
    """
    there = max(
        (sum(max(min(b, horizon_min) - max(a, now_min), 0) for a, b in who.at_work) for who in bench.people),
        default=0,
    )
    room = max(round(SHARE_OF_ONE * there), LEAST_MIN)
    has_begun = {one.job for one in begun}
    long = [one for one in jobs if _asks_min(one) > LONG_MIN and one.code not in has_begun]
    too_long = [one for one in long if _asks_min(one) > room]
    found: dict[str, Job] = {}
    for one in long:
        shorter = _as_far_as(one, room // len(too_long)) if one in too_long else one
        fits = _that_fits(shorter, bench, now_min, horizon_min)
        if fits is not one:
            found[one.code] = replace(fits, title=t("{title}, as far as it reaches", title=one.title))
    if not found:
        return list(jobs), ()
    waiting = _after(jobs, set(found))
    says = [
        t(
            "{job} goes on after these days: {hours} h of hands and watching in all, laid out as far as they reach",
            job=one.code, hours=round(_asks_min(one) / 60),
        )
        for one in jobs if one.code in found
    ]  # fmt: skip
    says += [t("{job} is left out: it comes after what goes on", job=one) for one in waiting]
    return [found.get(one.code, one) for one in jobs if one.code not in waiting], tuple(says)


def _that_fits(job: Job, bench: Bench, now_min: int, horizon_min: int) -> Job:
    """As many stretches of a job as can be laid out by itself; all where none or every one can."""
    if job_troubles(replace(job, after=()), bench, {job.code}):
        return job  # what no bench can hold is said elsewhere

    def can(steps: int) -> bool:
        alone = replace(_first(job, steps), after=(), due_min=None)
        return by_rule([alone], bench, horizon_min, now_min=now_min) is not None

    if can(len(job.steps)):
        return job
    low, high = 0, len(job.steps)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if can(middle) else (low, middle)
    return _first(job, low) if low else job


def _asks_min(job: Job) -> int:
    return sum(one.usual_min for one in job.steps if one.attention != "free")


def _after(jobs: Sequence[Job], cut: set[str]) -> tuple[str, ...]:
    """Jobs that wait for one that is cut, or for another that waits for it."""
    found: list[str] = []
    for _ in jobs:
        found += [one.code for one in jobs if one.code not in found and set(one.after) & (cut | set(found))]
    return tuple(found)


def _as_far_as(job: Job, room_min: int) -> Job:
    steps: list[JobStep] = []
    left = room_min
    for one in job.steps:
        minutes = 0 if one.attention == "free" else one.usual_min
        if minutes > left:
            if left >= LEAST_MIN or not steps:
                part = max(left, LEAST_MIN)
                steps.append(replace(one, usual_min=part, least_min=0, longest_min=0))
            break
        steps.append(one)
        left -= minutes
    return _first(replace(job, steps=tuple(steps)), len(steps))


def _first(job: Job, many: int) -> Job:
    """The first stretches of a job; what it holds it gives back with the last of them."""
    steps = job.steps[:many]
    names = {one.name for one in steps}
    holds = tuple(
        Hold(
            one.takes,
            one.begins_with,
            one.ends_with if one.ends_with in names else steps[-1].name,
            one.amount,
        )
        for one in job.holds
        if one.begins_with in names
    )
    return replace(job, steps=steps, due_min=None, holds=holds)
