"""What is on its way: goods that were ordered, what an offer says is to be bought, and what its customer sends.

Each is a piece of work on the day it is expected, and what it is for begins after it. Goods that were ordered come on
their own day and are done once they are received; what nobody has ordered yet is taken to come within the supplier's
usual days.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil, sqrt

from stillroom.actions.bench.next_without_bottles import samples_of
from stillroom.actions.day.house_bench import minutes_since
from stillroom.actions.day.shelf_jobs import due_min_of, task
from stillroom.actions.day.step_times import usual_work
from stillroom.actions.house.pricing import KEYS_OF_PRICES, role_of
from stillroom.actions.orders.requesting import items_of
from stillroom.planning.offering.terms import THEIRS_DAYS
from stillroom.planning.request import PlanRequest
from stillroom.records.entries import Entry, GoodsOrdered, LotReceived, OfferEnded, OfferMade
from stillroom.records.orders import Order
from stillroom.schedule.jobs import Job
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

RECEIVE = "receive"


@dataclass(frozen=True, slots=True)
class OnItsWay:
    """Something that is on its way."""

    order: str
    """It is for; "" where for none."""
    job: Job
    """Taking it in."""


def on_their_way(
    look: Reader, orders: Sequence[Order], begins: datetime, now: datetime, day_ends_min: int
) -> tuple[OnItsWay, ...]:
    """Everything that is on its way, from a book already open.

    Parameters
    ----------
    orders : sequence of Order
        Those that are not done.
    begins : datetime
        Midnight that minutes count from.
    day_ends_min : int
        When a day of work ends. [min]
    """
    accepted = {one.body.order: one for one in look.offers_ended() if one.body.order}
    done = {(one.body.subject, one.body.step) for one in look.bench_notes() if one.body.what == "done"}
    now_min = minutes_since(begins, now)
    found = [
        OnItsWay(one.body.order, _ordered(one.body, begins, now_min, day_ends_min))
        for one in look.goods_under_way()
    ]
    for order in orders:
        ended = accepted.get(order.code)
        jobs = [*_to_order(look, order, ended, begins)] if ended else []
        for job in (*jobs, *_sent(look, order, begins)):
            if (job.code, RECEIVE) not in done:
                late = replace(job, earliest_min=max(job.earliest_min, now_min))
                found.append(OnItsWay(order.code, late))
    return tuple(found)


def _ordered(goods: GoodsOrdered, begins: datetime, now_min: int, day_ends_min: int) -> Job:
    """Taking in goods on the day they are expected, or at once where they are late."""
    title = t(
        "{code}: take in {substance}, {amount}",
        code=goods.code, amount=goods.as_written, substance=goods.substance,
    )  # fmt: skip
    says = t("Look at it, weigh or count it, label it, put it away.")
    due_min = due_min_of(goods.comes, begins, day_ends_min) or 0
    steps = (replace(task(RECEIVE, "hands", usual_work(RECEIVE)), says=says),)
    earliest = max(due_min - day_ends_min, 0, now_min)
    return Job(job_of(goods.code), title, steps, due_min, earliest, href=f"/stock/new?goods={goods.code}")


def job_of(goods: str) -> str:
    """Code of the job of taking in goods that were ordered."""
    return f"goods/{goods}"


def _to_order(look: Reader, order: Order, ended: Entry[OfferEnded], begins: datetime) -> Iterator[Job]:
    """What an accepted offer says is to be bought and nobody has ordered, by the usual days of its suppliers."""
    made: OfferMade = look.offer(ended.body.code).body
    here = _seen_since(look, made, order.code, ended.entry_no)
    coming: dict[int, list[str]] = {}
    for one in made.offer.get("buying", ()):
        if one["to_buy"] > 0 and one["high_days"] > 0 and one["item"] not in here:
            days = ceil(sqrt(one["low_days"] * one["high_days"]))
            coming.setdefault(days, []).append(one["label"])
    for days, labels in sorted(coming.items()):
        what = ", ".join(dict.fromkeys(labels))
        title = t("{order}: order, and take in: {what}", order=order.code, what=what)
        href = f"/goods/new?for={ended.body.code}"
        yield _job(f"bought/{order.code}/{days}", title, ended.done_at, days, begins, href)


def _sent(look: Reader, order: Order, begins: datetime) -> Iterator[Job]:
    """What the customer sends: a sample to be tested, a plant to be extracted."""
    if order.what not in ("tests", "own plant"):
        return
    wanted = order.units if order.what == "tests" else 1
    taken = look.latest("order taken", order.code)
    if taken is None or len(samples_of(look, order)) >= wanted:
        return
    title = t("{order}: take in what {who} sends", order=order.code, who=order.customer)
    days = ceil(sqrt(THEIRS_DAYS[0] * THEIRS_DAYS[1]))
    found = _job(f"sent/{order.code}", title, taken.done_at, days, begins, f"/orders/{order.code}")
    tests = [task(one, "hands", usual_work(one)) for one in order.tests] if order.what == "tests" else []
    yield replace(found, steps=(*found.steps, *tests))


def _job(code: str, title: str, since: str, days: int, begins: datetime, href: str) -> Job:
    morning = datetime.fromisoformat(since).replace(hour=0, minute=0, second=0, microsecond=0)
    at = minutes_since(begins, morning + timedelta(days=days))
    return Job(code, title, (task(RECEIVE, "hands", usual_work(RECEIVE)),), None, max(at, 0), href=href)


def _seen_since(look: Reader, made: OfferMade, order: str, entry_no: int) -> set[str]:
    """Keys of the lines that were ordered for it, or of which a lot was received since."""
    items = dict(KEYS_OF_PRICES)
    if made.request:
        request = PlanRequest.from_json(made.request)
        items |= items_of(request.extraction, request.formula)
    substances = [one.body.substance for one in look.goods_ordered() if one.body.order == order]
    substances += [
        one.body.lot.substance
        for one in look.entries(kind="lot received")
        if isinstance(one.body, LotReceived) and one.entry_no > entry_no
    ]
    return {key for one in substances for of in (one, role_of(one)) for key in (items.get(of, of),) if key}
