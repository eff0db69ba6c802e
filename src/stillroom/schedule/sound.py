"""Whether a day can be laid out at all: what is missing, goes in a circle, or is shorter than it must be, by name.

Each refusal is one sentence that names the job and the step. Nothing here stops the record of what happens.
"""

from collections.abc import Collection, Sequence

from stillroom.errors import BadEntry, NotEnough, StillroomError, UnknownName, worded
from stillroom.schedule.bench import Bench
from stillroom.schedule.jobs import Job, JobStep, in_order, jobs_in_order
from stillroom.schedule.placed import Placed

MOST_DAYS = 31
MOST_MIN = MOST_DAYS * 24 * 60


def refuse_unsound(jobs: Sequence[Job], bench: Bench, horizon_min: int, begun: Sequence[Placed] = ()) -> None:
    """Refuse what no schedule can hold.

    Parameters
    ----------
    horizon_min : int
        How far is planned. [min]
    begun : sequence of Placed
        What has begun.

    Raises
    ------
    BadEntry, NotEnough, UnknownName
        The first thing that cannot be, by the name of its job and step.
    """
    for trouble in troubles_of(jobs, bench, horizon_min, begun):
        raise trouble


def troubles_of(
    jobs: Sequence[Job], bench: Bench, horizon_min: int, begun: Sequence[Placed] = ()
) -> tuple[StillroomError, ...]:
    """Everything that cannot be, one sentence each; those of one job stand together.

    Parameters
    ----------
    horizon_min : int
        How far is planned. [min]
    begun : sequence of Placed
        What has begun.
    """
    found: list[StillroomError] = []
    if not 0 < horizon_min <= MOST_MIN:
        found.append(
            BadEntry(
                worded("A plan of the bench reaches from a minute to {most} days", most=MOST_DAYS),
                worded("{horizon} min", horizon=horizon_min),
                "Plan a day, or two weeks",
            )
        )
    if len({one.code for one in jobs}) < len(jobs):
        twice = sorted({one.code for one in jobs if sum(other.code == one.code for other in jobs) > 1})
        found.append(BadEntry("Every job has a code of its own", ", ".join(twice), "Call one otherwise"))
    has_begun = {one.key for one in begun}
    codes = {one.code for one in jobs}
    for job in jobs:
        found += job_troubles(job, bench, codes, has_begun)
    if not found and len(jobs_in_order(jobs)) < len(jobs):
        circle = sorted(codes - set(jobs_in_order(jobs)))
        found.append(_circle(worded("{jobs}", jobs=", ".join(circle))))
    return tuple(found)


def job_troubles(
    job: Job, bench: Bench, codes: Collection[str], begun: Collection[tuple[str, str]] = ()
) -> list[StillroomError]:
    """What cannot be in one job.

    Parameters
    ----------
    codes : collection of str
        Of every job.
    begun : collection of (str, str)
        Jobs and steps that have begun.
    """
    found: list[StillroomError] = []
    names = [one.name for one in job.steps]
    if not names:
        return [BadEntry("A job has steps", worded("none in {job}", job=job.code), "Name what is to be done")]
    if len(set(names)) < len(names):
        return [BadEntry("Steps of one job have different names", job.code, "Call one otherwise")]
    found += [
        UnknownName.among(named, f"a job before {job.code}", codes)
        for named in job.after
        if named not in codes
    ]
    found += [
        UnknownName.among(named, f"a step of {job.code}", names)
        for step in job.steps
        for named in step.after or ()
        if named not in names
    ]
    if found:
        return found
    if len(in_order(job)) < len(job.steps):
        circle = [names[at] for at in range(len(names)) if at not in in_order(job)]
        found.append(_circle(worded("{job}: {steps}", job=job.code, steps=", ".join(circle))))
    if job.due_min is not None and job.due_min < 0:
        found.append(
            BadEntry(
                "What is due lies ahead",
                worded("{job} ({title}), which was due already", job=job.code, title=job.title),
                "Ask for another day, or leave it without one",
            )
        )
    for step in job.steps:
        if (job.code, step.name) not in begun:
            found += _step_troubles(job, step, bench)
    for hold in job.holds:
        if {hold.begins_with, hold.ends_with} - set(names):
            found.append(UnknownName.among(hold.begins_with, f"a step of {job.code}", names))
        found += _limit_troubles(job, hold.begins_with, hold.takes, hold.amount, bench)
    return found


def _step_troubles(job: Job, step: JobStep, bench: Bench) -> list[StillroomError]:
    found: list[StillroomError] = []
    called = {"job": job.code, "step": step.name}
    least, usual, most = step.minutes("least"), step.usual_min, step.minutes("longest")
    if usual <= 0 or not least <= usual <= most or step.pieces < 1:
        found.append(
            BadEntry(
                "A step takes a minute or more, at least no more than usual and at most no less",
                worded("{job}, {step}: {least}, {usual}, {most} min", **called, least=least, usual=usual, most=most),
                "Correct its minutes",
            )
        )  # fmt: skip
    if step.wait_most_min is not None and step.wait_most_min < step.wait_least_min:
        found.append(
            BadEntry(
                "The longest wait before a step is no shorter than the least",
                worded(
                    "{job}, {step}: at most {most} min, at least {least} min",
                    **called,
                    most=step.wait_most_min,
                    least=step.wait_least_min,
                ),
                "Correct one of the two",
            )
        )
    known = {one.code for one in bench.people}
    found += [
        UnknownName.among(person, f"a person of this bench ({job.code}, {step.name})", known)
        for person in step.people
        if person not in known
    ]
    if step.attention != "free" and not any(one.at_work for one in bench.people):
        found.append(
            NotEnough(
                "A step that needs somebody needs a person at work",
                worded("nobody for {job}, {step}", **called),
                "Say who works, and when",
            )
        )
    for name, amount in step.takes:
        found += _limit_troubles(job, step.name, name, amount, bench)
    return found


def _limit_troubles(job: Job, step: str, name: str, amount: int, bench: Bench) -> list[StillroomError]:
    limit = bench.limit(name)
    if limit is None:
        return [
            UnknownName.among(
                name, f"something of this bench ({job.code}, {step})", (one.name for one in bench.limits)
            )
        ]
    if amount > limit.most:
        return [
            NotEnough(
                worded("{job}, {step}, needs {amount} {unit} of {name}", job=job.code, step=step, amount=amount,
                       unit=limit.unit or "×", name=name),
                worded("the bench has {most}", most=limit.most),
                "Get more of it, or do it otherwise",
            )
        ]  # fmt: skip
    return []


def _circle(which: str) -> BadEntry:
    return BadEntry("No step may wait for itself", which, "Take one of these waits away")
