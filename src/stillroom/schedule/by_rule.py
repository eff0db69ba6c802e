"""A day by the plain rule: steps in an order, each as early as it fits.

Promises a day that keeps every rule, or none; never the best. What waits too long is begun again later.
"""

from collections.abc import Collection, Mapping, Sequence

from stillroom.schedule.bench import Bench
from stillroom.schedule.jobs import Job, JobStep, Pace, in_order, jobs_in_order
from stillroom.schedule.minutes import Minutes, presence
from stillroom.schedule.placed import Late, Placed, Schedule, WaitsOver

MOST_TRIES = 60
"""How often a chain that waits too long is begun later before the rule gives up."""


def by_rule(
    jobs: Sequence[Job],
    bench: Bench,
    horizon_min: int,
    *,
    begun: Sequence[Placed] = (),
    now_min: int = 0,
    pace: Pace = "usual",
    rank: Mapping[tuple[str, str], int] | None = None,
) -> Schedule | None:
    """Lay out jobs one after the other by their due dates, or by a rank, each step as early as it fits.

    Parameters
    ----------
    horizon_min : int
        How far. [min]
    begun : sequence of Placed
        What has begun or is over: it stays.
    now_min : int
        Nothing else begins before. [min]
    rank : mapping of (str, str) to int or None
        The earliest a step should begin, and by it the order: a day kept before. [min]

    Returns
    -------
    Schedule or None
        None where the rule finds none.
    """
    table = Minutes(bench, horizon_min)
    by_key = {(job.code, step.name): step for job in jobs for step in job.steps}
    found = {one.key: one for one in begun}
    for one in begun:
        table.begin(one, by_key[one.key])
    if not table.rest(now_min):
        return None
    waits_for = {code: place for place, code in enumerate(jobs_in_order(jobs))}

    def urgent(job: Job) -> tuple[int, ...]:
        first = min((rank.get((job.code, one.name), 0) for one in job.steps), default=0) if rank else 0
        return (first, job.due_min if job.due_min is not None else horizon_min, waits_for[job.code])

    left = {one.code: one for one in jobs}
    while left:
        ready = [one for one in left.values() if not set(one.after) & set(left)]
        job = min(ready, key=urgent)
        del left[job.code]
        ends = [one.ends_min for key, one in found.items() if key[0] in job.after]
        if not _lay(job, table, found, max([now_min, job.earliest_min, *ends]), pace, rank or {}):
            return None
    return scheduled(jobs, bench, horizon_min, tuple(found.values()), tuple(table.breaks))


def scheduled(
    jobs: Sequence[Job],
    bench: Bench,
    horizon_min: int,
    placed: Sequence[Placed],
    breaks: tuple[tuple[str, int, int], ...] = (),
) -> Schedule:
    """A schedule of placed steps, with its end, its lateness and the time somebody must be there.

    Parameters
    ----------
    horizon_min : int
        [min]
    breaks : tuple of (str, int, int)
        Person, begin and end. [min]
    """
    needs = {(job.code, step.name): step.attention != "free" for job in jobs for step in job.steps}
    ends = {job.code: max((one.ends_min for one in placed if one.job == job.code), default=0) for job in jobs}
    tied = 0
    for begins, until in presence(bench, horizon_min):
        within = [
            (max(a, begins), min(b, until))
            for one in placed
            if needs.get(one.key)
            for a, b in one.pieces
            if a < until and b > begins
        ]
        if within:
            tied += max(b for _, b in within) - min(a for a, _ in within)
    late = tuple(
        Late(job.code, ends[job.code] - job.due_min)
        for job in jobs
        if job.due_min is not None and ends[job.code] > job.due_min
    )
    over = tuple(
        one
        for job in jobs
        for one in _waits_over(job, {one.step: one for one in placed if one.job == job.code})
    )
    in_time = tuple(sorted(placed, key=lambda one: (one.begins_min, one.ends_min, one.job, one.step)))
    return Schedule(in_time, max(ends.values(), default=0), tied, breaks, late, over)


def _waits_over(job: Job, lies: Mapping[str, Placed]) -> list[WaitsOver]:
    """Steps of a job that begin later after those before than they may."""
    found = []
    for at, step in enumerate(job.steps):
        before = [lies[job.steps[one].name].ends_min for one in job.before(at) if job.steps[one].name in lies]
        if before and step.wait_most_min is not None and step.name in lies:
            over = lies[step.name].begins_min - max(before) - step.wait_most_min
            if over > 0:
                found.append(WaitsOver(job.code, step.name, over))
    return found


def _lay(
    job: Job,
    table: Minutes,
    found: dict[tuple[str, str], Placed],
    earliest_min: int,
    pace: Pace,
    rank: Mapping[tuple[str, str], int],
) -> bool:
    """Lay one job whole; where a step would wait too long, those before it begin later."""
    not_before = {one.name: max(earliest_min, rank.get((job.code, one.name), 0)) for one in job.steps}
    begun = dict(found)
    for _ in range(MOST_TRIES):
        later = _tried(job, table, found, not_before, pace, begun.keys())
        if later is None:
            return True
        if not later or any((job.code, name) in begun for name in later):
            return False
        not_before |= later
    return False


def _tried(
    job: Job,
    table: Minutes,
    found: dict[tuple[str, str], Placed],
    not_before: Mapping[str, int],
    pace: Pace,
    begun: Collection[tuple[str, str]],
) -> dict[str, int] | None:
    """One try; None where all is laid, else which steps must begin later, and when; none where nothing helps."""
    mine: list[tuple[Placed, JobStep]] = []
    kept: list[tuple[str, int, int]] = []
    later: dict[str, int] | None = None
    for at in in_order(job):
        step = job.steps[at]
        placed = found.get((job.code, step.name))
        if placed is None:
            before = [found[(job.code, job.steps[one].name)] for one in job.before(at)]
            ready = max((one.ends_min + step.wait_least_min for one in before), default=0)
            keeps = tuple((one.takes, one.amount) for one in job.holds if one.begins_with == step.name)
            earliest = max(ready, not_before[step.name])
            placed = table.first_fit(job, step, step.minutes(pace), earliest, keeps)
            if placed is None:
                later = {}
                break
            if before and step.wait_most_min is not None and not all(one.key in begun for one in before):
                over = placed.begins_min - max(one.ends_min for one in before) - step.wait_most_min
                if over > 0:
                    later = {one.step: one.begins_min + over for one in before}
                    break
            table.take(placed, step)
            found[placed.key] = placed
            mine.append((placed, step))
        for one in job.holds:
            begins = one.begins_with == step.name
            for is_it, amount, since in (
                (begins, one.amount, placed.begins_min),
                (one.ends_with == step.name, -one.amount, placed.ends_min),
            ):
                if is_it:
                    table.keep(one.takes, amount, since, table.horizon_min)
                    kept.append((one.takes, amount, since))
    if later is None and any((table.free[one.takes] < 0).any() for one in job.holds):
        later = {}
    if later is not None:
        for laid, step in mine:
            table.give_back(laid, step)
            del found[laid.key]
        for takes, amount, since in kept:
            table.keep(takes, -amount, since, table.horizon_min)
    return later
