"""Acts of the day: plan it, say what changed, tap what begins and what is done.

A schedule is solved before the book is opened for writing, and kept as it was solved. What cannot be laid out is set
aside with its sentence; nothing here stops the record of what happens.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Unpack

from stillroom.actions.bench.outages import CUTS
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.day.house_bench import DAY_MIN, with_notes
from stillroom.actions.day.live import LiveDay, live_day
from stillroom.actions.day.to_plan import HORIZON_D, ToPlan, sound_jobs, to_plan
from stillroom.documents.day_words import Clock, buys_words, change_words, job_words, late_words, sure_words
from stillroom.errors import BadEntry, NotEnough, StillroomError, UnknownName, worded
from stillroom.records.day_entries import BenchNoted, DayPlanned, Noted
from stillroom.records.entries import Entry
from stillroom.records.entry_json import body_to_json
from stillroom.schedule.giving import what_would_have_to_give
from stillroom.schedule.jobs import Job
from stillroom.schedule.kept import Kept, kept_json
from stillroom.schedule.moving import changes, moved, stretched
from stillroom.schedule.placed import Placed
from stillroom.schedule.solving import schedule
from stillroom.texts.catalogue import t, word

MOST_MINUTES = HORIZON_D * DAY_MIN


def plan_day(
    lab: Laboratory,
    *,
    days: int = HORIZON_D,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Lay out everything that is to be done, and keep it.

    Parameters
    ----------
    days : int
        How far. [d]

    Raises
    ------
    NotEnough
        It cannot be laid out; what would have to give is told.
    BadEntry
        Nothing is to be done, or the days are none.
    """
    asked = to_plan(lab, days)
    jobs, aside = sound_jobs(asked)
    if not jobs:
        raise BadEntry(
            "A day is laid out from what is to be done",
            " ".join(aside) or "nothing, in no batch, order, test or bottle",
            "Correct that first" if aside else "Take an order or begin a batch",
        )
    begun = tuple(one for one in asked.in_hand.begun if any(job.code == one.job for job in jobs))
    try:
        found = schedule(jobs, asked.bench, asked.horizon_min, begun=begun, now_min=asked.now_min)
    except NotEnough as trouble:
        raise _what_would_give(asked, jobs, begun, trouble) from trouble
    kept = Kept(tuple(jobs), asked.bench, found, asked.assumed, aside)
    done = _keep(lab, "plan day", asked.begins, asked.horizon_min, kept, by, at, request_key)
    return replace(
        done, says=" ".join((t("The day is laid out."), sure_words(found), *late_words(found), *aside))
    )


def note_surprise(
    lab: Laboratory,
    what: Noted,
    subject: str = "",
    minutes: float = 0.0,
    *,
    step: str = "",
    why: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write what changed, and move the rest of the day as little as possible.

    Parameters
    ----------
    what : str
        "water", "power", "water and power", "broken", "late", "again".
    subject : str
        What is broken, who is late, which job is done again.
    minutes : float
        For how long; 0 where that is not known. [min]

    Returns
    -------
    Done
        With what moved, in words.

    Raises
    ------
    BadEntry, UnknownName
        There is no such surprise, person, place or job.
    """
    with lab.look() as look:
        now = at or lab.clock()
        before = live_day(look, now)
        _refuse(before, what, subject, minutes)
    note = BenchNoted(what, subject, step, float(minutes), why)
    with lab.act("note surprise", body_to_json(note), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        number = pen.enter(note)
    if before is None:
        return Done((number,), t("Noted. No day is laid out yet, so nothing moves."))
    return _moved_after(lab, before, number, by=by, at=at)


def tap(lab: Laboratory, job: str, step: str, what: Noted, **sign: Unpack[Signed]) -> Done:
    """Write that a step begins, or that a piece of work which is no step of a batch is done.

    Parameters
    ----------
    job, step : str
        As the day names them.
    what : str
        "begun" or "done".

    Raises
    ------
    BadEntry
        It is neither; or a step of a batch is to be done, which is written at the batch.
    """
    if what not in ("begun", "done"):
        raise BadEntry("A step is begun or done", repr(what), "Say which")
    with lab.look() as look:
        if what == "done" and look.begun_of((job,)):
            raise BadEntry(
                "A step of a batch is written at the batch, with what was weighed",
                worded("{job}, {step}", job=job, step=step),
                worded("Open {job}", job=job),
            )
    note = BenchNoted(what, job, step)
    with lab.act("tap", body_to_json(note), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        number = pen.enter(note)
    said = (
        t("{job}: {step} has begun.", job=job, step=step)
        if what == "begun"
        else t("{job}: {step} is done.", job=job, step=step)
    )
    return Done((number,), said)


def surprise_subjects(lab: Laboratory) -> tuple[tuple[Noted, str, str], ...]:
    """What may go otherwise, of what or whom, and its words; as the day stands."""
    off: list[tuple[Noted, str, str]] = [
        ("water", "", t("Water is off")),
        ("power", "", t("Power is off")),
        ("water and power", "", t("Water and power are off")),
    ]
    with lab.look() as look:
        day = live_day(look, lab.clock())
    if day is None:
        return tuple(off)
    late = [("late", who.code, t("{who} comes late", who=who.name)) for who in day.kept.bench.people]
    broken = [
        ("broken", one.name, t("One less of: {what}", what=word(one.name)))
        for one in day.kept.bench.limits
        if not one.unit
    ]
    left = [one for one in day.kept.jobs if any((one.code, step.name) not in day.over for step in one.steps)]
    again = [("again", one.code, t("Once more: {job}", job=one.title)) for one in left]
    return (*off, *late, *broken, *again)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Tapped:
    """A tap or a surprise that stands: its entry, when it was, and its words."""

    entry_no: int
    at: str
    words: str


def taps_that_stand(lab: Laboratory, most: int = 8) -> tuple[Tapped, ...]:
    """Taps and surprises of today and yesterday that can be taken back, the newest first.

    Parameters
    ----------
    most : int
        How many. [1]
    """
    since = lab.clock() - timedelta(days=1)
    with lab.look() as look:
        notes = [one for one in look.bench_notes() if datetime.fromisoformat(one.done_at) >= since]
    return tuple(
        Tapped(one.entry_no, one.done_at[11:16], _noted_words(one.body)) for one in reversed(notes[-most:])
    )


def _noted_words(note: BenchNoted) -> str:
    if note.what == "begun":
        return t("{job}: {step} has begun.", job=job_words(note.subject), step=note.step)
    if note.what == "done":
        return t("{job}: {step} is done.", job=job_words(note.subject), step=note.step)
    return " ".join(one for one in (word(note.what), note.subject, note.why) if one)


def take_back(lab: Laboratory, entry_no: int, **sign: Unpack[Signed]) -> Done:
    """Write that a tap or a surprise was not so; both stay in the book.

    Parameters
    ----------
    entry_no : int
        Of the tap or the surprise.

    Raises
    ------
    UnknownName
        No tap and no surprise that stands has that number.
    """
    with lab.look() as look:
        known = {str(one.entry_no): one.body for one in look.bench_notes()}
    if str(entry_no) not in known:
        raise UnknownName.among(str(entry_no), "an entry of the day that stands", known)
    note = BenchNoted("taken back", str(entry_no))
    with lab.act("take back", body_to_json(note), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        number = pen.enter(note)
    return Done(
        (number,),
        t("Entry {entry_no} is taken back. Plan the day again if it moved anything.", entry_no=entry_no),
    )


def _what_would_give(
    asked: ToPlan, jobs: list[Job], begun: tuple[Placed, ...], trouble: NotEnough
) -> NotEnough:
    found = what_would_have_to_give(jobs, asked.bench, asked.horizon_min, begun=begun, now_min=asked.now_min)
    clock = clock_of(asked.begins, asked.begins + timedelta(minutes=asked.now_min))
    said = t(" Or: ").join(buys_words(found, clock))
    return NotEnough(trouble.must, trouble.got, said or trouble.do)


def clock_of(begins: datetime, now: datetime) -> Clock:
    """How a minute of the day is said: its time, with its day unless that is today."""

    def say(minute: int) -> str:
        moment = begins + timedelta(minutes=minute)
        return f"{moment:%H:%M}" if moment.date() == now.date() else f"{moment:%a %d} {moment:%H:%M}"

    return say


def _moved_after(lab: Laboratory, before: LiveDay, number: int, *, by: str, at: datetime | None) -> Done:
    """Solve the rest of the day with what was noted, keep it, and say what moved."""
    with lab.look() as look:
        notes: list[Entry[BenchNoted]] = [one for one in look.bench_notes() if one.entry_no > before.entry_no]
    bench = with_notes(before.kept.bench, notes, before.begins, before.horizon_min)
    jobs = list(before.kept.jobs)
    for one in notes:
        if one.body.what == "again":
            jobs += _again(jobs, one, before)
    begun = stretched(before.begun, jobs, bench, before.now_min)
    clock = clock_of(before.begins, before.moment(before.now_min))
    try:
        after = moved(jobs, bench, before.horizon_min, before.schedule, begun=begun, now_min=before.now_min)
    except StillroomError as trouble:
        return Done((number,), t("Noted. The rest could not be laid out: {why}", why=trouble.sentence))
    changed = change_words(changes(before.schedule, after), clock)
    kept = replace(before.kept, jobs=tuple(jobs), bench=bench, schedule=after)
    done = _keep(lab, "move day", before.begins, before.horizon_min, kept, by, at, None)
    said = (t("What had begun stays."), *changed) if changed else (t("Nothing has to move."),)
    return Done((number, *done.entries), " ".join((*said, *late_words(after))))


def _again(jobs: list[Job], note: Entry[BenchNoted], before: LiveDay) -> list[Job]:
    """A job that is done once more, from the moment it was noted."""
    job = next((one for one in jobs if one.code == note.body.subject), None)
    if job is None:
        return []
    code = f"{job.code}/again-{note.entry_no}"
    if any(one.code == code for one in jobs):
        return []
    return [
        replace(
            job,
            code=code,
            title=t("{title}, once more", title=job.title),
            earliest_min=before.now_min,
            after=(),
        )
    ]


def _keep(
    lab: Laboratory,
    act: str,
    begins: datetime,
    horizon_min: int,
    kept: Kept,
    by: str,
    at: datetime | None,
    key: str | None,
) -> Done:
    body = DayPlanned(begins.isoformat(), horizon_min, kept_json(kept))
    with lab.act(
        act, {"begins": body.begins, "horizon_min": horizon_min}, by=by, at=at, request_key=key
    ) as pen:
        return Done(pen.earlier) if pen.earlier else Done((pen.enter(body),))


def _refuse(before: LiveDay | None, what: Noted, subject: str, minutes: float) -> None:
    if what not in (*CUTS, "broken", "late", "again"):
        raise UnknownName.among(what, "a surprise of the day", (*CUTS, "broken", "late", "again"))
    if not 0 <= minutes <= MOST_MINUTES:
        raise BadEntry(
            "A surprise lasts from no time to two weeks",
            worded("{minutes:g} min", minutes=minutes),
            "Write minutes",
            where="minutes",
        )
    if before is None:
        return
    known = {
        "broken": [one.name for one in before.kept.bench.limits],
        "late": [one.code for one in before.kept.bench.people],
        "again": [one.code for one in before.kept.jobs],
    }.get(what)
    if known is not None and subject not in known:
        raise UnknownName.among(subject, "something or somebody of this day", known)
