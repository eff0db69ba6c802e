"""A day made ready to be shown: who does what, what runs, what lies in which place; told by a clock.

Watching belongs to the room; it is shown with whoever is there and had the hands in that job last.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.documents.day_words import job_words, step_words
from stillroom.schedule.bench import Bench, Span
from stillroom.schedule.jobs import Attention, Job, JobStep
from stillroom.schedule.placed import Placed, Schedule

DAY_MIN = 24 * 60


@dataclass(frozen=True, slots=True)
class Shown:
    """One stretch of work as it is shown."""

    job: str
    title: str
    step: str
    stretch: str
    attention: Attention
    pieces: tuple[Span, ...]
    """[min]"""
    person: str
    """Who has the hands in it, or watches it."""
    places: tuple[str, ...]
    """What it takes that is counted in pieces."""
    says: str
    cautions: tuple[str, ...]
    href: str
    is_begun: bool = False
    is_over: bool = False

    @property
    def begins_min(self) -> int:
        """When it begins [min]."""
        return self.pieces[0][0]

    @property
    def ends_min(self) -> int:
        """When it ends [min]."""
        return self.pieces[-1][1]

    @property
    def words(self) -> str:
        """Job and step in a few words."""
        return f"{job_words(self.job)}: {step_words(self.stretch)}"


def shown_day(
    jobs: Sequence[Job], bench: Bench, schedule: Schedule, over: frozenset[tuple[str, str]] = frozenset()
) -> tuple[Shown, ...]:
    """Every stretch of a schedule, by its beginning.

    Parameters
    ----------
    over : frozenset of (str, str)
        What is done.
    """
    known = {job.code: job for job in jobs}
    found: list[Shown] = []
    last_hands: dict[str, str] = {}
    for one in sorted(schedule.placed, key=lambda placed: (placed.begins_min, placed.ends_min)):
        job = known.get(one.job)
        step = next((each for each in job.steps if each.name == one.step), None) if job else None
        if job is None or step is None:
            continue
        if one.person:
            last_hands[one.job] = one.person
        who = one.person
        if step.attention == "watch":
            who = _watcher(bench, one, last_hands.get(one.job, ""))
        found.append(_shown(job, step, one, who, bench, one.key in over))
    return tuple(found)


def on_day(shown: Sequence[Shown], day: int) -> tuple[Shown, ...]:
    """What of it lies on a day, counted from the first.

    Parameters
    ----------
    day : int
        [d]
    """
    begins, ends = day * DAY_MIN, (day + 1) * DAY_MIN
    return tuple(one for one in shown if any(a < ends and b > begins for a, b in one.pieces))


def clock_at(begins: datetime, minute: int, beside: datetime | None = None) -> str:
    """A minute as it stands on the wall, with its day unless that is the day of the moment beside it."""
    moment = begins + timedelta(minutes=minute)
    same = beside is not None and moment.date() == beside.date()
    return f"{moment:%H:%M}" if same else f"{moment:%Y-%m-%d %H:%M}"


def _watcher(bench: Bench, placed: Placed, last: str) -> str:
    there = [
        who.code
        for who in bench.people
        if any(a <= placed.begins_min and placed.ends_min <= b for a, b in who.at_work)
    ]
    return last if last in there else next(iter(there), last)


def _shown(job: Job, step: JobStep, placed: Placed, who: str, bench: Bench, is_over: bool) -> Shown:
    places = tuple(name for name, _ in step.takes if (limit := bench.limit(name)) and not limit.unit)
    return Shown(
        job.code,
        job.title,
        step.name.rpartition("/")[0] or step.name,
        step.name,
        step.attention,
        placed.pieces,
        who,
        places,
        step.says,
        step.cautions,
        job.href,
        placed.begun,
        is_over,
    )
