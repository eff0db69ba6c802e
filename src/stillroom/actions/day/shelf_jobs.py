"""Work of the shelf: lots to test, reagents to make again, racks to weigh, kept samples to look at, deliveries.

Each is a job of its own, done by what is written of its lot, or tapped as done.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.bench.next_without_bottles import samples_of, tests_missing
from stillroom.actions.day.house_bench import minutes_since
from stillroom.actions.day.step_times import minutes_of, usual_work
from stillroom.actions.shelf.plant_described import RACK, described
from stillroom.actions.shelf.reagent_dates import use_by_of
from stillroom.records.entries import Moved
from stillroom.records.lots import RETAINED, Lot, Status
from stillroom.reference.tables import Row
from stillroom.schedule.bench import POWER
from stillroom.schedule.jobs import Attention, Job, JobStep, Taken
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

RENEWED_BEFORE_D = 7
"""How long before a bottle ends it is made again. [d]"""
LOOKED_AT_MONTHS = (1, 3, 6, 12, 24)
"""So long after it was put away a kept sample is looked at; common practice, no source. [month]"""
MONTH_D = 30.4
AHEAD_D = 14
MISSED_D = 21
"""So long after its day a look that was missed is still asked for. [d]"""


def stretch_of(step: str, part: Attention) -> str:
    """Name of a stretch of a step: "percolate/watch"."""
    return f"{step}/{part}"


def step_of(stretch: str) -> tuple[str, str]:
    """Step and part of a stretch."""
    step, _, part = stretch.rpartition("/")
    return step or stretch, part if step else ""


def jobs_of_shelf(look: Reader, begins: datetime, now: datetime, day_ends_min: int) -> Iterator[Job]:
    """Everything the shelf asks for.

    Parameters
    ----------
    look : Reader
    begins : datetime
        Midnight that minutes count from.
    now : datetime
    day_ends_min : int
        When a day of work ends. [min]
    """
    due = {one.code: due_min_of(one.due, begins, day_ends_min) for one in look.orders()}
    yield from _tests(look, due)
    yield from _renewed(look, begins, now, day_ends_min)
    yield from _racks(look, begins)
    yield from _kept_samples(look, begins, now, day_ends_min)
    for order in look.orders():
        coming = next_of_order(look, order)
        if coming.href.endswith("/deliver"):
            title = t("{order}: pack it and hand it over", order=order.code)
            step = task("deliver", "hands", usual_work("deliver"))
            yield Job(f"deliver/{order.code}", title, (step,), due[order.code], href=coming.href)


def task(name: str, part: Attention, row: Row | None, takes: Taken = ()) -> JobStep:
    """A stretch of work beside the batches, by its row of the table of usual work."""
    return JobStep(stretch_of(name, part), max(minutes_of(row, f"{part}_min"), 1), part, takes)


def _tests(look: Reader, due: Mapping[str, int | None]) -> Iterator[Job]:
    """Lots that wait for somebody to look at them, and samples a customer wants tested."""
    ordered = {
        lot.code: order for order in look.orders() if order.what == "tests" for lot in samples_of(look, order)
    }
    waiting = {one.code: one for one in look.lots(status=Status.WAITING)}
    for lot in (waiting | {code: look.lot(code) for code in ordered}).values():
        order = ordered.get(lot.code)
        wanted: Sequence[str] = (
            tests_missing(look, order, lot.code) if order is not None else _usual_tests(look, lot)
        )
        steps: list[JobStep] = []
        for one in wanted:
            row = usual_work(one)
            takes: Taken = ((POWER, minutes_of(row, "power_w")),) if minutes_of(row, "power_w") else ()
            steps.append(task(one, "hands", row))
            if minutes_of(row, "free_min"):
                steps.append(replace(task(one, "free", row, takes), wait_most_min=0))
        if steps:
            title = t("{lot} · {name}: test it", lot=lot.code, name=lot.name)
            due_min = due.get(order.code) if order else None
            yield Job(f"test/{lot.code}", title, tuple(steps), due_min, href=f"/test/{lot.code}")


def _usual_tests(look: Reader, lot: Lot) -> list[str]:
    """What a lot that waits is looked at for, by its kind."""
    traits = lot.kind.traits
    if traits.released_on == "nothing" or not look.moves(lot.code):
        return []
    measured = {one.body.what for one in look.results(lot.code)}
    wanted = []
    if traits.released_on == "identity" and not look.identities(lot.code):
        wanted.append("identity")
    if "drying" in traits.tested_by and not measured:
        wanted.append("loss on drying")
    if "assay" in traits.tested_by and not measured:
        wanted.append("titration")
    if {"controls", "trial"} & set(traits.tested_by) and not look.tests(lot.code):
        wanted.append("controls")
    return wanted


def _renewed(look: Reader, begins: datetime, now: datetime, day_ends_min: int) -> Iterator[Job]:
    """Reagents of the shelf whose days end soon."""
    for lot in look.lots():
        if lot.kind.traits.spoils != "by its rules" or not look.balance_ug(lot.code):
            continue
        rule = use_by_of(look, lot)
        if rule is None:
            continue
        ends = date.fromisoformat(rule.last_day)
        if not now.date() <= ends <= now.date() + timedelta(days=RENEWED_BEFORE_D):
            continue
        title = t("{lot} · {name}: make it again", lot=lot.code, name=lot.name)
        due = due_min_of(rule.last_day, begins, day_ends_min)
        yield Job(
            f"renew/{lot.code}",
            title,
            (task("make again", "hands", usual_work("renew reagent")),),
            due,
            href="/reagents",
        )


def _racks(look: Reader, begins: datetime) -> Iterator[Job]:
    """Plants on the racks, weighed again a day after the last time until two weighings agree."""
    for lot in look.lots(status=Status.WAITING):
        weighed = look.readings(lot.code, RACK)
        if not weighed or described(look, lot.code).state == "dry":
            continue
        last = max(datetime.fromisoformat(one.done_at) for one in weighed)
        title = t("{lot} · {name}: weigh the rack again", lot=lot.code, name=lot.name)
        again_min = minutes_since(begins, last + timedelta(days=1))
        step = task("weigh rack", "hands", usual_work("weigh rack"))
        yield Job(f"rack/{lot.code}", title, (step,), None, max(again_min, 0), href=f"/test/{lot.code}")


def _kept_samples(look: Reader, begins: datetime, now: datetime, day_ends_min: int) -> Iterator[Job]:
    """Kept samples whose day to be looked at is near: colour, smell, pH, against the day they were put away."""
    for lot in look.lots():
        if not lot.kind.traits.on_release_list or not _kept(look, lot):
            continue
        put_away = min(
            (
                date.fromisoformat(entry.done_at[:10])
                for entry in look.entries(kind="moved", subject=lot.code)
                if isinstance(entry.body, Moved) and any(one.into == RETAINED for one in entry.body.movements)
            ),
            default=None,
        )
        if put_away is None:
            continue
        for months in LOOKED_AT_MONTHS:
            day = put_away + timedelta(days=round(months * MONTH_D))
            if not now.date() - timedelta(days=MISSED_D) <= day <= now.date() + timedelta(days=AHEAD_D):
                continue
            title = t(
                "{lot} · {name}: look at the kept sample, month {months}",
                lot=lot.code, name=lot.name, months=months,
            )  # fmt: skip
            due_min = due_min_of(day.isoformat(), begins, day_ends_min)
            step = task("kept sample", "hands", usual_work("kept sample"))
            yield Job(
                f"kept/{lot.code}/{months}",
                title,
                (step,),
                due_min if due_min and day >= now.date() else None,
                max((due_min or 0) - day_ends_min, 0),
                href=f"/stock/{lot.code}",
            )


def _kept(look: Reader, lot: Lot) -> int:
    """How much of a lot stands with the kept samples, in whatever it is counted in."""
    counted = look.balance_pieces if lot.kind.traits.counted_in == "piece" else look.balance_ug
    return counted(lot.code, RETAINED)


def due_min_of(day: str, begins: datetime, day_ends_min: int) -> int | None:
    """The end of work on a day, from the beginning [min]; None where no day is said.

    Parameters
    ----------
    day : str
        ISO date, or "".
    begins : datetime
    day_ends_min : int
        [min]
    """
    if not day:
        return None
    moment = datetime.combine(date.fromisoformat(day), time(), tzinfo=begins.tzinfo)
    return minutes_since(begins, moment) + day_ends_min
