"""Work of the shelf: lots to test, reagents to make again, racks to weigh, kept samples to look at, deliveries.

Each is a job of its own, done by what is written of its lot, or tapped as done.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from stillroom.actions.bench.next_of_order import next_of_order, open_orders
from stillroom.actions.bench.next_without_bottles import samples_of, tests_missing
from stillroom.actions.day.house_bench import minutes_since
from stillroom.actions.day.step_times import minutes_of, usual_work
from stillroom.actions.shelf.plant_described import RACK, described
from stillroom.actions.shelf.reagent_dates import dates_ahead, use_by_of
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import RETAINED, Lot, Status
from stillroom.records.orders import Order
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
LOOKED_AT = kinds_that(lambda one: one.released_on != "nothing")
"""Kinds that wait until somebody has looked at them."""
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
    begins : datetime
        Midnight that minutes count from.
    day_ends_min : int
        When a day of work ends. [min]
    """
    orders = open_orders(look)
    due = {one.code: due_min_of(one.due, begins, day_ends_min) for one in orders}
    yield from _tests(look, orders, due)
    yield from _renewed(look, begins, now, day_ends_min)
    yield from _racks(look, begins)
    yield from _kept_samples(look, begins, now, day_ends_min)
    for order in orders:
        coming = next_of_order(look, order)
        if coming.href.endswith("/deliver"):
            title = t("{order}: pack it and hand it over", order=order.code)
            step = task("deliver", "hands", usual_work("deliver"))
            yield Job(f"deliver/{order.code}", title, (step,), due[order.code], href=coming.href)


def task(name: str, part: Attention, row: Row | None, takes: Taken = ()) -> JobStep:
    """A stretch of work beside the batches, by its row of the table of usual work."""
    return JobStep(stretch_of(name, part), max(minutes_of(row, f"{part}_min"), 1), part, takes)


def _tests(look: Reader, orders: Sequence[Order], due: Mapping[str, int | None]) -> Iterator[Job]:
    """Lots that wait for somebody to look at them, and samples a customer wants tested."""
    ordered = {
        lot.code: order for order in orders if order.what == "tests" for lot in samples_of(look, order)
    }
    waiting = {one.code: one for one in look.lots(LOOKED_AT, Status.WAITING)}
    came = look.balances_of(list(waiting))
    waiting = {code: one for code, one in waiting.items() if any(came.get(code, {}).values())}
    measured = look.results_of(list(waiting), counting=False)
    for lot in (waiting | {code: look.lot(code) for code in ordered}).values():
        order = ordered.get(lot.code)
        wanted: Sequence[str] = (
            tests_missing(look, order, lot.code)
            if order is not None
            else _usual_tests(look, lot, measured.get(lot.code, ()))
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


def _usual_tests(look: Reader, lot: Lot, measured: Sequence[str]) -> list[str]:
    """What a lot that waits is looked at for, by its kind."""
    traits = lot.kind.traits
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
    lots = look.lots(kinds_that(lambda one: one.spoils == "by its rules"), on_shelf=True)
    dates_ahead(look, lots)
    for lot in lots:
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
    racked: dict[str, list[datetime]] = {}
    for one in look.readings_named(RACK):
        racked.setdefault(one.body.subject, []).append(datetime.fromisoformat(one.done_at))
    lots, stands = look.lots_of(list(racked)), look.statuses_of(list(racked))
    for code, weighed in racked.items():
        lot = lots.get(code)
        if lot is None or stands[code] is not Status.WAITING or described(look, lot.code).state == "dry":
            continue
        last = max(weighed)
        title = t("{lot} · {name}: weigh the rack again", lot=lot.code, name=lot.name)
        again_min = minutes_since(begins, last + timedelta(days=1))
        step = task("weigh rack", "hands", usual_work("weigh rack"))
        yield Job(f"rack/{lot.code}", title, (step,), None, max(again_min, 0), href=f"/test/{lot.code}")


def _kept_samples(look: Reader, begins: datetime, now: datetime, day_ends_min: int) -> Iterator[Job]:
    """Kept samples whose day to be looked at is near: colour, smell, pH, against the day they were put away."""
    days = {code: date.fromisoformat(day) for code, day in look.put_away_on(RETAINED).items()}
    near = [code for code, day in days.items() if any(_is_near(at, now.date()) for at in _looked_at(day))]
    lots, left = look.lots_of(near), look.balances_of(near)
    for code in near:
        lot, put_away = lots.get(code), days[code]
        if lot is None or not lot.kind.traits.on_release_list:
            continue
        if not left.get(code, {}).get((RETAINED, lot.kind.traits.counted_in)):
            continue
        for months in LOOKED_AT_MONTHS:
            day = _in_months(put_away, months)
            if not _is_near(day, now.date()):
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


def _in_months(put_away: date, months: int) -> date:
    return put_away + timedelta(days=round(months * MONTH_D))


def _looked_at(put_away: date) -> Iterator[date]:
    return (_in_months(put_away, months) for months in LOOKED_AT_MONTHS)


def _is_near(day: date, today: date) -> bool:
    return today - timedelta(days=MISSED_D) <= day <= today + timedelta(days=AHEAD_D)


def due_min_of(day: str, begins: datetime, day_ends_min: int) -> int | None:
    """The end of work on a day, from the beginning [min]; None where no day is said.

    Parameters
    ----------
    day : str
        ISO date, or "".
    day_ends_min : int
        [min]
    """
    if not day:
        return None
    moment = datetime.combine(date.fromisoformat(day), time(), tzinfo=begins.tzinfo)
    return minutes_since(begins, moment) + day_ends_min
