"""What is to be done: jobs of steps, each with its minutes, what it asks of people, and what it takes of the bench.

Promises whole minutes from a common beginning. Says nothing about where a job comes from: batches, reagents, tests,
washing and drying are all jobs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

Attention: TypeAlias = Literal["hands", "watch", "free"]
"""Hands: nobody has two pairs. Watch: somebody in the room, who may work meanwhile. Free: nobody."""
Pace: TypeAlias = Literal["least", "usual", "longest"]
Taken: TypeAlias = tuple[tuple[str, int], ...]
"""Names of limits of the bench with how much is taken of each: places, watts, millilitres a minute."""


@dataclass(frozen=True, slots=True)
class JobStep:
    """One stretch of a job.

    ``least_min``, ``longest_min``: how long it takes at the quickest and at the slowest; 0 for as usual.
    [min]
    """

    name: str
    """Unique in its job."""
    usual_min: int
    """How long it usually takes. [min]"""
    attention: Attention = "hands"
    takes: Taken = ()
    """What it takes of the bench while it lasts, by the name of the limit."""
    after: tuple[str, ...] | None = None
    """Steps of the same job that come before; None for the step written before it."""
    least_min: int = 0
    longest_min: int = 0
    wait_least_min: int = 0
    """How long it waits at least after the steps before (what must cool or dry). [min]"""
    wait_most_min: int | None = None
    """How long it may wait at most after the last of them ends; None where waiting harms nothing. [min]"""
    pieces: int = 1
    """In how many pieces it may be done; 1 for what cannot be interrupted."""
    again_min: int = 0
    """What taking it up again costs. [min]"""
    people: tuple[str, ...] = ()
    """Who can do it; empty for anybody."""
    says: str = ""
    """What to do, in a sentence."""
    cautions: tuple[str, ...] = ()
    """Keys of ``reference.cautions``."""

    def minutes(self, pace: Pace = "usual") -> int:
        """How long it takes [min]."""
        return {"least": self.least_min, "usual": 0, "longest": self.longest_min}[pace] or self.usual_min


@dataclass(frozen=True, slots=True)
class Hold:
    """Something of the bench that a job keeps from the beginning of one step to the end of another.

    ``begins_with``, ``ends_with``: steps of the job: a flask from filling until it is washed and dry.
    """

    takes: str
    """Name of the limit."""
    begins_with: str
    ends_with: str
    amount: int = 1


@dataclass(frozen=True, slots=True)
class Job:
    """Steps that belong together."""

    code: str
    title: str
    steps: tuple[JobStep, ...]
    due_min: int | None = None
    """When its last step should be over, from the common beginning. [min]"""
    earliest_min: int = 0
    """Not begun before. [min]"""
    holds: tuple[Hold, ...] = ()
    after: tuple[str, ...] = ()
    """Jobs that end first."""
    weight: int = 1
    """How much a minute of lateness counts."""
    href: str = ""
    """Where it is done."""

    def step(self, name: str) -> JobStep:
        """The step of that name.

        Raises
        ------
        UnknownName
            There is no such step.
        """
        for one in self.steps:
            if one.name == name:
                return one
        from stillroom.errors import UnknownName

        raise UnknownName.among(name, "a step of this job", (one.name for one in self.steps))

    def before(self, at: int) -> tuple[int, ...]:
        """Places of the steps that end before the step at a place begins."""
        after = self.steps[at].after
        if after is None:
            return (at - 1,) if at else ()
        places = {one.name: place for place, one in enumerate(self.steps)}
        return tuple(places[name] for name in after)


def in_order(job: Job) -> tuple[int, ...]:
    """Places of the steps of a job, each after those before it; shorter than the job where they go in a circle."""
    left = {at: set(job.before(at)) for at in range(len(job.steps))}
    found: list[int] = []
    while free := [at for at, waits in left.items() if not waits]:
        found += free
        left = {at: waits - set(free) for at, waits in left.items() if at not in free}
    return tuple(found)


def jobs_in_order(jobs: Sequence[Job]) -> tuple[str, ...]:
    """Codes of jobs, each after those it waits for; shorter where they go in a circle."""
    left: Mapping[str, set[str]] = {one.code: set(one.after) for one in jobs}
    found: list[str] = []
    while free := [code for code, waits in left.items() if not waits]:
        found += free
        left = {code: waits - set(free) for code, waits in left.items() if code not in free}
    return tuple(found)
