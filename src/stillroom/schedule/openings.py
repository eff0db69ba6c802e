"""What a bench has left once a schedule stands on it: when somebody is free, and what a piece of work takes with them.

Promises that one chain of work laid into these spans, each stretch as early as it fits, keeps every rule that the
schedule keeps. Says nothing about two such chains at once: lay the first out, and ask again.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from stillroom.schedule.bench import Bench, Span
from stillroom.schedule.jobs import Job, Taken
from stillroom.schedule.minutes import Minutes, blocks_of
from stillroom.schedule.placed import Placed


def openings(
    bench: Bench,
    jobs: Sequence[Job],
    placed: Sequence[Placed],
    horizon_min: int,
    now_min: int,
    wanted: Mapping[str, Taken],
) -> dict[str, tuple[Span, ...]]:
    """Spans in which somebody has free hands and free eyes, and so much of the bench is free.

    Parameters
    ----------
    jobs : sequence of Job
        What is laid out.
    placed : sequence of Placed
        Where its steps lie.
    horizon_min : int
        How far. [min]
    now_min : int
        Nothing before. [min]
    wanted : mapping of str to tuple of (str, int)
        What each kind of work takes of the bench.

    Returns
    -------
    dict of str to tuple of (int, int)
        By kind of work, in order of their beginning; those of two people may lie over each other. [min]
    """
    table = Minutes(bench, horizon_min)
    steps = {(job.code, step.name): step for job in jobs for step in job.steps}
    lies = {one.key: one for one in placed}
    for key, one in lies.items():
        if key in steps:
            table.begin(one, steps[key])
    for job in jobs:
        for hold in job.holds:
            first, last = lies.get((job.code, hold.begins_with)), lies.get((job.code, hold.ends_with))
            if last is not None:
                table.keep(hold.takes, hold.amount, first.begins_min if first else now_min, last.ends_min)
    table.rest(now_min)
    eyes = table.glances > 0
    eyes[: max(now_min, 0)] = False
    return {
        kind: tuple(
            sorted(
                span
                for hands in table.hands.values()
                for span, _ in blocks_of((hands & eyes & table.able(takes)).astype(np.int64))
            )
        )
        for kind, takes in wanted.items()
    }
