"""The day as it goes: the schedule that was kept, moved by what was written and tapped since.

What is over or has begun lies where it happened. Where nothing happened otherwise the kept schedule is shown as it is;
where something did, the rest keeps its order and each step begins as early as it can. Nothing is solved here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from stillroom.actions.day.awaited import RECEIVE, job_of
from stillroom.actions.day.house_bench import minutes_since, with_notes
from stillroom.actions.day.shelf_jobs import step_of
from stillroom.records.entries import DayPlanned, Entry
from stillroom.schedule.by_rule import by_rule, scheduled
from stillroom.schedule.jobs import Job
from stillroom.schedule.kept import Kept, kept_from_json
from stillroom.schedule.moving import stretched
from stillroom.schedule.placed import Placed, Schedule
from stillroom.store.reader import Reader

LATE_ENOUGH_MIN = 3
"""So many minutes behind the kept schedule nothing moves yet. [min]"""


@dataclass(frozen=True, slots=True)
class LiveDay:
    """The day now."""

    entry_no: int
    """Entry that keeps the schedule."""
    begins: datetime
    """Midnight that minutes count from."""
    now_min: int
    """[min]"""
    horizon_min: int
    """[min]"""
    kept: Kept
    schedule: Schedule
    """As it goes; the kept one where nothing happened otherwise."""
    begun: tuple[Placed, ...]
    """What is over or has begun."""
    over: frozenset[tuple[str, str]]
    """Of these, what is over."""
    moved: bool
    """Whether something lies elsewhere than in the kept schedule."""
    fits: bool = True
    """False where the rest no longer fits in its order: it must be planned again."""

    def moment(self, minute: int) -> datetime:
        """The moment of a minute of the day."""
        return self.begins + timedelta(minutes=minute)

    def job(self, code: str) -> Job:
        """The job of that code."""
        return next(one for one in self.kept.jobs if one.code == code)


def live_day(look: Reader, now: datetime) -> LiveDay | None:
    """The day as it goes, from a book already open; None where no schedule is kept."""
    entry = look.day_planned()
    if entry is None:
        return None
    begins, kept = datetime.fromisoformat(entry.body.begins), kept_of(look, entry)
    now_min = minutes_since(begins, now)
    horizon = entry.body.horizon_min
    later = [one for one in look.bench_notes() if one.entry_no > entry.entry_no]
    bench = with_notes(kept.bench, later, begins, horizon)
    begun, over = happened(look, kept, begins, now_min)
    begun = stretched(begun, kept.jobs, bench, now_min)
    was = {one.key: one for one in kept.schedule.placed}
    stays = {one.key for one in begun}
    behind = any(
        one.key not in stays and one.begins_min + LATE_ENOUGH_MIN < now_min for one in kept.schedule.placed
    )
    longer = any(was[one.key].ends_min + LATE_ENOUGH_MIN < one.ends_min for one in begun)
    cut = any(one.body.what not in ("begun", "done") for one in later)
    if not (behind or longer or cut) or now_min >= horizon:
        placed = [*begun, *(one for one in kept.schedule.placed if one.key not in stays)]
        as_kept = scheduled(kept.jobs, bench, horizon, placed, kept.schedule.breaks)
        as_kept = replace(as_kept, sure=kept.schedule.sure, better_by_min=kept.schedule.better_by_min)
        return LiveDay(entry.entry_no, begins, now_min, horizon, kept, as_kept, begun, over, moved=False)
    rank = {key: one.begins_min for key, one in was.items()}
    found = by_rule(kept.jobs, bench, horizon, begun=begun, now_min=now_min, rank=rank)
    return LiveDay(
        entry.entry_no, begins, now_min, horizon, kept, found or kept.schedule, begun, over, moved=True,
        fits=found is not None,
    )  # fmt: skip


def kept_of(look: Reader, entry: Entry[DayPlanned]) -> Kept:
    """The schedule of an entry, read once while the book stands still."""
    known = look.kept.get(("kept day", entry.entry_no))
    if isinstance(known, Kept):
        return known
    found = kept_from_json(entry.body.plan)
    look.kept["kept day", entry.entry_no] = found
    return found


def happened(
    look: Reader, kept: Kept, begins: datetime, now_min: int
) -> tuple[tuple[Placed, ...], frozenset[tuple[str, str]]]:
    """What of a kept schedule is over or has begun, where it happened, and which of it is over.

    Parameters
    ----------
    now_min : int
        [min]
    """
    was = {one.key: one for one in kept.schedule.placed}
    begun_at, done_at = _taps(look, begins, [one.code for one in kept.jobs])
    found: list[Placed] = []
    over: set[tuple[str, str]] = set()
    for job in kept.jobs:
        steps: dict[str, list[Placed]] = {}
        for one in job.steps:
            steps.setdefault(step_of(one.name)[0], []).append(was[job.code, one.name])
        for step, mine in steps.items():
            since, until = begun_at.get((job.code, step)), done_at.get((job.code, step))
            standing = [one for one in mine if one.begun]
            if until is not None:
                found += _ended(mine, since[0] if since else None, until, since[1] if since else "")
                over |= {one.key for one in mine}
            elif since is not None:
                runs = _running(mine, since[0], since[1], now_min)
                found += runs
                over |= {one.key for one in runs[:-1] if one.ends_min <= now_min}
            elif standing:
                found += standing
                over |= {one.key for one in standing if one.ends_min <= now_min}
    return tuple(found), frozenset(over)


def _taps(
    look: Reader, begins: datetime, jobs: Sequence[str]
) -> tuple[Mapping[tuple[str, str], tuple[int, str]], Mapping[tuple[str, str], int]]:
    """When steps of some jobs began, by whom, and when they were done, from taps and from what was written."""
    begun: dict[tuple[str, str], tuple[int, str]] = {}
    done: dict[tuple[str, str], int] = {}
    for note in look.bench_notes():
        at, key = (
            minutes_since(begins, datetime.fromisoformat(note.done_at)),
            (note.body.subject, note.body.step),
        )
        if note.body.what == "begun":
            begun[key] = (at, note.by)
            done.pop(key, None)
        elif note.body.what == "done":
            done[key] = at
    for goods in (code for code in jobs if code.startswith(job_of(""))):
        for came in look.receipts_of(goods.removeprefix(job_of(""))):
            done[goods, RECEIVE] = minutes_since(begins, datetime.fromisoformat(came.done_at))
    batches = sorted(look.begun_of(jobs))
    look.batches_ahead(batches)
    for batch in batches:
        for written in look.steps(batch):
            if not written.body.not_done:
                done[batch, written.body.step] = minutes_since(
                    begins, datetime.fromisoformat(written.done_at)
                )
    return begun, done


def _ended(mine: Sequence[Placed], since: int | None, until: int, by: str) -> list[Placed]:
    """The stretches of a step that is over: they lie before its end, one after the other."""
    first = min(since if since is not None else mine[0].begins_min, until - len(mine))
    found, at = [], first
    for number, one in enumerate(mine):
        lasts = one.ends_min - one.begins_min
        left = len(mine) - number - 1
        ends = until if not left else max(min(at + lasts, until - left), at + 1)
        found.append(
            replace(one, pieces=((at, ends),), person=by if one.person and by else one.person, begun=True)
        )
        at = ends
    return found


def _running(mine: Sequence[Placed], since: int, by: str, now_min: int) -> list[Placed]:
    """The stretches of a step that runs: they follow each other from its beginning, the last until it is done."""
    found, at = [], since
    for number, one in enumerate(mine):
        ends = at + sum(b - a for a, b in one.pieces)
        if number == len(mine) - 1:
            ends = max(ends, now_min + 1)
        found.append(replace(one, pieces=((at, ends),), person=by if one.person else "", begun=True))
        at = ends
    return found
