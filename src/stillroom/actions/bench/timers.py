"""What stands and waits in the batches in hand, reckoned from the times that were written."""

from datetime import datetime, timedelta

from stillroom.actions.bench.form_choices import NextUp, next_of
from stillroom.actions.bench.outages import Outage, outages_of
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.orders.amounts_planned import planned
from stillroom.documents.calendar_entry import calendar_text
from stillroom.documents.put_right import done_when
from stillroom.documents.timers import Timer, calendar_entries, clock
from stillroom.errors import BadEntry, worded
from stillroom.records.procedures import Step
from stillroom.store.reader import Reader


def batch_timers(lab: Laboratory, batch: str) -> tuple[Timer, ...]:
    """The waits of one batch.

    Raises
    ------
    UnknownName
        There is no such batch.
    """
    with lab.look() as look:
        return timers_of(look, next_of(look, batch), lab.clock())


def batch_calendar(lab: Laboratory, batch: str) -> str:
    """The waits of one batch as a calendar.

    Raises
    ------
    BadEntry
        Nothing of it waits.
    """
    with lab.look() as look:
        found = timers_of(look, next_of(look, batch), lab.clock())
        moments = calendar_entries(found, look.book().book_id)
    if not moments:
        raise BadEntry(
            "A calendar entry needs a wait", worded("none of {batch}", batch=batch), "Write the step first"
        )
    return calendar_text(moments, made_at=lab.clock())


def timers_of(look: Reader, coming: NextUp, now: datetime) -> tuple[Timer, ...]:
    """The waits of a batch, from a book already open: of the step written last, and of the one that comes next.

    A step that weighs what it gives was written at its end; its minutes are over. One that does not was written
    when its minutes began.
    """
    if coming.does == "done":
        return ()
    procedure = look.procedure_of(coming.batch)
    done = look.steps(coming.batch)
    cuts = outages_of(look, coming.batch)
    found: list[Timer] = []
    goes_on_at = datetime.fromisoformat(coming.last_done)
    if done:
        last = procedure.step(done[-1].body.step)
        since = _first_done(look, coming.batch, last)
        goes_on = 0.0 if written_at_its_end(last) else standing_min(last, look, coming.batch)
        ready = since + timedelta(minutes=goes_on)
        no_later = None
        if last.longest_wait_min is not None:
            no_later = ready + timedelta(minutes=last.longest_wait_min)
        goes_on_at = ready
        if ready > since or no_later is not None:
            found.append(
                Timer(
                    coming.batch,
                    last.name,
                    since,
                    ready if ready > since else None,
                    no_later,
                    cuts=_cuts(cuts, since, ready, now),
                )
            )
    step = procedure.step(coming.step)
    minutes = standing_min(step, look, coming.batch) if written_at_its_end(step) else 0.0
    if minutes:
        ready = goes_on_at + timedelta(minutes=minutes)
        found.append(
            Timer(
                coming.batch,
                step.name,
                goes_on_at,
                ready,
                None,
                supposed=True,
                cuts=_cuts(cuts, goes_on_at, ready, now),
            )
        )
    return tuple(found)


def standing_min(step: Step, look: Reader, batch: str) -> float:
    """Minutes a step goes on by itself: by its procedure, its settings, or how it is reckoned to run [min].

    Parameters
    ----------
    batch : str
        A Soxhlet's heater, glass and spirit decide how long it runs.
    """
    own = {one.name: one.value for one in step.settings}
    macerates = own.get("portions", 1.0) * own.get("contact_min", 0.0)
    stated = step.free_min + macerates + own.get("cycles", 0.0) * own.get("cycle_min", 0.0)
    if stated or "cycles" not in own:
        return stated
    runs = planned(look, batch).runs.get(step.name)
    return runs.minutes if runs else 0.0


def minutes_after(lab: Laboratory, batch: str, step: Step) -> float:
    """Minutes that begin when a step is written; none where it is written at its end [min]."""
    if written_at_its_end(step):
        return 0.0
    with lab.look() as look:
        return standing_min(step, look, batch)


def written_at_its_end(step: Step) -> bool:
    """Whether a step is written when its minutes are over: it weighs something of what it gives."""
    return bool(set(step.gives) & set(step.weighs))


def _first_done(look: Reader, batch: str, step: Step) -> datetime:
    """When a step was done, whatever was put right in it later."""
    every = look.steps(batch, corrected=True)
    standing = [one for one in every if one.body.step == step.name and one.corrected_by is None]
    return datetime.fromisoformat(done_when(every, standing[-1]))


def _cuts(outages: tuple[Outage, ...], since: datetime, ready: datetime, now: datetime) -> tuple[str, ...]:
    """What was off meanwhile, and when it would be ready had everything stood still."""
    found: list[str] = []
    stood: list[tuple[datetime, datetime]] = []
    for one in outages:
        gone = datetime.fromisoformat(one.off_at)
        back = datetime.fromisoformat(one.back_at) if one.back_at else None
        if gone >= max(ready, now) or (back is not None and back <= since):
            continue
        if back is None:
            found.append(
                f"{one.what} has been off since {clock(gone, since)}: no time here holds until somebody looks"
            )
        elif gone < ready:
            found.append(f"{one.what} was off from {clock(gone, since)} to {clock(back, since)}")
            stood.append((max(gone, since), back))
    if stood:
        later = clock(ready + _together(stood), since)
        found.append(f"the clock ran on, the work may not have: if it stood still, ready {later}")
    return tuple(found)


def _together(spans: list[tuple[datetime, datetime]]) -> timedelta:
    """Time that at least one of the spans covers."""
    together, until = timedelta(0), datetime.min.replace(tzinfo=spans[0][0].tzinfo)
    for begins, ends in sorted(spans):
        together += max(ends, until) - max(begins, until)
        until = max(ends, until)
    return together
