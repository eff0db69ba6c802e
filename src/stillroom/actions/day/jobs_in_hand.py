"""What is to be done: batches in hand, orders to be begun, lots to be tested, reagents to be made again, glass to wash.

A step of a procedure becomes up to three stretches: hands, then watching, then nobody. What a kind of step takes of the
bench stands in the table of usual work.
"""

from dataclasses import dataclass, field, replace
from datetime import datetime

from stillroom.actions.bench.form_choices import in_hand, next_of
from stillroom.actions.bench.next_of_order import next_of_order, open_orders
from stillroom.actions.bench.timers import timers_of
from stillroom.actions.day.awaited import on_their_way
from stillroom.actions.day.house_bench import BATH, CONDENSERS, GLASS, minutes_since
from stillroom.actions.day.shelf_jobs import due_min_of, jobs_of_shelf, step_of, stretch_of, task
from stillroom.actions.day.step_times import PARTS, minutes_of, times_of, usual_work
from stillroom.actions.day.within_reach import longest_day_min, pieces_of
from stillroom.records.procedures import Procedure, Step
from stillroom.schedule.bench import CONDENSER_L_MIN, COOLING, POWER, TAP, Bench
from stillroom.schedule.jobs import Attention, Hold, Job, JobStep, Taken
from stillroom.schedule.placed import Placed
from stillroom.store.reader import Reader
from stillroom.stream.cautions import cautions_of
from stillroom.stream.run import kind_of

GLASS_KINDS = frozenset(
    {"soxhlet", "reflux", "distil", "hydrodistil", "strip solvent", "partition", "concentrate"}
)
PIECES: dict[tuple[str, Attention], int] = {
    ("soxhlet", "watch"): 3,
    ("fill", "hands"): 2,
    ("dry", "hands"): 3,
}
"""What may be interrupted, and in how many pieces it is done: a Soxhlet between siphonings, if cooled and stoppered."""
AGAIN_MIN = 20
"""What taking it up again costs; common practice, no source. [min]"""


@dataclass(slots=True)
class InHand:
    """What is to be done, and what has begun."""

    jobs: list[Job] = field(default_factory=list)
    begun: list[Placed] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)
    """Steps of which neither procedure nor laboratory knows how long they take."""
    own_runs: int = 0
    """Of how many own runs the times come."""
    past_due: list[str] = field(default_factory=list)
    """Jobs whose day is past."""
    awaited: list[str] = field(default_factory=list)
    """Jobs of taking in what is on its way."""


def jobs_in_hand(look: Reader, bench: Bench, begins: datetime, now: datetime, day_ends_min: int) -> InHand:
    """Everything to be done, from a book already open.

    Parameters
    ----------
    begins : datetime
        Midnight that minutes count from.
    day_ends_min : int
        When a day of work ends, and so when what is due is due. [min]
    """
    found = InHand()
    now_min = minutes_since(begins, now)
    batches = in_hand(look)
    look.batches_ahead(batches)
    orders = open_orders(look)
    made_for = look.orders_of([one for batch in batches if (one := look.batch(batch).order)])
    due = {one.code: due_min_of(one.due, begins, day_ends_min) for one in (*made_for, *orders)}
    for batch in batches:
        _of_batch(look, batch, bench, begins, now, due.get(look.batch(batch).order), found)
    shelf = [_fitting(job, bench) for job in jobs_of_shelf(look, begins, now, day_ends_min)]
    tests = {one.code for one in shelf}
    orders = tuple(one for one in orders if not next_of_order(look, one).is_done)
    coming = on_their_way(look, orders, begins, now, day_ends_min)
    found.jobs += [one.job for one in coming]
    for order in orders:
        waits = tuple(one.job.code for one in coming if one.order == order.code)
        found.awaited += waits
        _of_order(look, order.code, bench, due[order.code], tests, waits, found)
    found.jobs += shelf
    tapped = [one.body for one in look.bench_notes() if one.body.what == "done"]
    begun = look.begun_of([one.subject for one in tapped])
    done = {(one.subject, one.step) for one in tapped if one.subject not in begun}
    found.jobs = [
        replace(job, steps=left)
        for job in found.jobs
        if (left := tuple(one for one in job.steps if (job.code, step_of(one.name)[0]) not in done))
    ]
    found.past_due = [one.code for one in found.jobs if one.due_min is not None and one.due_min < now_min]
    found.jobs = [replace(one, due_min=None) if one.code in found.past_due else one for one in found.jobs]
    return found


def takes_of(kind: str, bench: Bench, *, heats: bool = True) -> Taken:
    """What a kind of step takes of a bench while it runs.

    Parameters
    ----------
    heats : bool
        False while it only cools or is loaded.
    """
    row = usual_work(kind)
    condensers, power_w = minutes_of(row, "condensers"), minutes_of(row, "power_w") if heats else 0
    found = (
        (POWER, power_w),
        (CONDENSERS, condensers),
        (TAP, round(1000 * CONDENSER_L_MIN) * condensers if heats else 0),
        (COOLING, power_w if condensers else 0),
        (BATH, minutes_of(row, "bath_places")),
    )
    return tuple((name, amount) for name, amount in found if amount and bench.limit(name))


def _of_batch(
    look: Reader,
    batch: str,
    bench: Bench,
    begins: datetime,
    now: datetime,
    due_min: int | None,
    found: InHand,
) -> None:
    coming = next_of(look, batch)
    if coming.does == "done":
        return
    procedure = look.procedure_of(batch)
    written = {one.body.step for one in look.steps(batch)}
    left = [one for one in procedure.steps if one.name not in written]
    steps: list[JobStep] = []
    standing = next((one for one in timers_of(look, coming, now) if not one.supposed), None)
    if standing is not None:
        ready_min = minutes_since(begins, standing.ready or standing.since)
        since_min = minutes_since(begins, standing.since)
        name = stretch_of(standing.step, "free")
        steps.append(JobStep(name, max(ready_min - since_min, 1), "free"))
        found.begun.append(Placed(batch, name, ((since_min, max(ready_min, since_min + 1)),), begun=True))
    last = procedure.step(coming.last_step) if coming.last_step else None
    wait = round(last.longest_wait_min) if last and last.longest_wait_min is not None else None
    for step in left:
        steps += _stretches(look, procedure, step, bench, batch, wait if steps else None, found)
        wait = round(step.longest_wait_min) if step.longest_wait_min is not None else None
    found.begun += _tapped(look, batch, steps, begins, now)
    steps += _washing(left)
    holds = _holds(left, steps, bench)
    title = f"{batch} · {procedure.title}"
    found.jobs.append(Job(batch, title, tuple(steps), due_min, holds=holds, href=f"/make/{batch}"))


def _of_order(
    look: Reader,
    order: str,
    bench: Bench,
    due_min: int | None,
    tests: set[str],
    before: tuple[str, ...],
    found: InHand,
) -> None:
    """The procedures of an order that no batch has begun; the product after what is in hand of its extract.

    The first waits for what is on its way.
    """
    wanted = look.order(order)
    made = [one for one in look.batches(order=order) if look.given_up(one.code) is None]
    extracted = wanted.is_worked_back or wanted.what == "own plant"
    for code in (wanted.extraction if extracted else "", wanted.formula):
        mine = tuple(one.code for one in made if one.procedure == code)
        if not code or mine:
            in_hand = {one.code for one in found.jobs} | tests
            before = tuple(one for code in mine for one in (code, f"test/{code}") if one in in_hand)
            continue
        procedure = look.procedure(code)
        steps: list[JobStep] = []
        wait: int | None = None
        for step in procedure.steps:
            steps += _stretches(look, procedure, step, bench, "", wait if steps else None, found, order)
            wait = round(step.longest_wait_min) if step.longest_wait_min is not None else None
        steps += _washing(procedure.steps)
        name = f"{order}/{code}"
        title = f"{order} · {procedure.title}"
        holds = _holds(procedure.steps, steps, bench)
        found.jobs.append(
            Job(name, title, tuple(steps), due_min, holds=holds, after=before, href=f"/orders/{order}")
        )
        before = (name,)


def _stretches(
    look: Reader,
    procedure: Procedure,
    step: Step,
    bench: Bench,
    batch: str,
    wait_most_min: int | None,
    found: InHand,
    order: str = "",
) -> list[JobStep]:
    """A step as stretches: hands, watching, nobody; they follow each other at once."""
    times = times_of(look, procedure, step, batch, order)
    found.own_runs += times.own_runs
    if times.assumed:
        found.assumed.append(f"{batch or procedure.code}: {step.name}")
    made: list[JobStep] = []
    longest_min = longest_day_min(bench)
    watched = times.watch_min > 0
    for part in PARTS:
        minutes = times.minutes(part)
        if not minutes:
            continue
        heats = (
            part == "watch"
            or (part == "hands" and not watched)
            or (part == "free" and not watched and kind_of(step).does == "dries")
        )
        made.append(
            JobStep(
                stretch_of(step.name, part),
                minutes,
                part,
                takes_of(step.kind, bench, heats=heats),
                least_min=max(int(minutes * times.least_share), 1),
                longest_min=max(int(minutes * times.longest_share), minutes),
                wait_most_min=0 if made else wait_most_min,
                pieces=pieces_of(
                    minutes,
                    part,
                    PIECES.get((step.kind, part), 1),
                    longest_min - times.minutes("hands") * bool(made),
                ),
                again_min=AGAIN_MIN,
                says=step.says,
                cautions=cautions_of(step, (line.substance for line in procedure.lines)),
            )
        )
    return made


def _tapped(look: Reader, job: str, steps: list[JobStep], begins: datetime, now: datetime) -> list[Placed]:
    """Stretches of steps whose beginning was tapped: they lie where they began, one after the other."""
    since: dict[str, tuple[int, str]] = {}
    for one in look.bench_notes():
        if one.body.what == "begun" and one.body.subject == job:
            since[one.body.step] = (minutes_since(begins, datetime.fromisoformat(one.done_at)), one.by)
    now_min, found = minutes_since(begins, now), []
    for step, (at, by) in since.items():
        mine = [stretch for stretch in steps if step_of(stretch.name)[0] == step]
        for number, stretch in enumerate(mine):
            ends = at + stretch.usual_min
            if number == len(mine) - 1:
                ends = max(ends, now_min + 1)  # not written as done yet
            hands = by if stretch.attention == "hands" else ""
            found.append(Placed(job, stretch.name, ((at, ends),), hands, begun=True))
            at = ends
    return found


def _washing(steps: tuple[Step, ...] | list[Step]) -> list[JobStep]:
    if not any(one.kind in GLASS_KINDS for one in steps):
        return []
    return [task("wash", "hands", usual_work("wash")), task("dry glass", "free", usual_work("dry glass"))]


def _holds(steps: tuple[Step, ...] | list[Step], stretches: list[JobStep], bench: Bench) -> tuple[Hold, ...]:
    """A set of glass, from the first step that needs it until it is dry, where the house counts its sets."""
    first = next((one.name for one in steps if one.kind in GLASS_KINDS), None)
    if bench.limit(GLASS) is None or first is None:
        return ()
    begins = next(one.name for one in stretches if step_of(one.name)[0] == first)
    return (Hold(GLASS, begins, stretches[-1].name),)


def _fitting(job: Job, bench: Bench) -> Job:
    """A job without what this bench does not count."""
    steps = tuple(
        replace(one, takes=tuple((name, much) for name, much in one.takes if bench.limit(name)))
        for one in job.steps
    )
    return replace(job, steps=steps)
