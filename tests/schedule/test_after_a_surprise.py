"""Random surprises: water off, a flask cracked, somebody late, an assay to do again. What had begun stays."""

from dataclasses import replace
from random import Random

import pytest

from stillroom.schedule.bench import Bench, Limit, Worker
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Job, JobStep
from stillroom.schedule.moving import changes, moved, stretched
from stillroom.schedule.solving import schedule
from tests.long_form import studied
from tests.schedule.random_benches import random_day
from tests.schedule.rules_checked import broken_rules

LITTLE = 0.02
SURPRISES = studied(230, 50, 30)  # the plain rule finds a day for nine in ten of them
DAY = 1440


def surprised(seed: int):
    """A random day by the plain rule, a moment in it, and what went otherwise; None where the rule finds no day."""
    chance = Random(seed)
    jobs, bench, horizon = random_day(seed)
    kept = by_rule(jobs, bench, horizon)
    if kept is None:
        return None
    now = chance.randrange(kept.placed[0].begins_min, kept.end_min)
    begun = [one for one in kept.placed if one.begins_min <= now]
    limits = {one.name: one for one in bench.limits}
    what = chance.choice(("off", "cracked", "late", "again"))
    if what == "off":
        name = chance.choice(("power", "tap water"))
        bench = bench.with_limit(limits[name].cut(now, now + chance.choice((20, 40, 120)), 0, "off"))
    elif what == "cracked":
        name = chance.choice(("flask", "condenser", "bath"))
        bench = bench.with_limit(limits[name].cut(now, horizon, limits[name].most - 1, "cracked"))
    elif what == "late":
        late = bench.people[0]
        spans = tuple((max(a, now + 45) if a <= now < b else a, b) for a, b in late.at_work)
        bench = replace(
            bench, people=(replace(late, at_work=tuple((a, b) for a, b in spans if a < b)), *bench.people[1:])
        )
    else:
        again = chance.choice(jobs)
        jobs = [*jobs, replace(again, code="AGAIN", earliest_min=now, after=(), due_min=None)]
    # Another two days, so that what is driven out of this one has a place.
    more = tuple(
        replace(
            w, at_work=(*w.at_work, *((horizon + d * DAY + 480, horizon + d * DAY + 1020) for d in (0, 1)))
        )
        for w in bench.people
    )
    return jobs, replace(bench, people=more), horizon + 2 * DAY, kept, begun, now


def test_a_way_that_is_hard_to_find_is_looked_for_longer_before_it_is_said_that_there_is_none():
    jobs, bench, horizon, kept, begun, now = surprised(213)
    stays = stretched(begun, jobs, bench, now)

    after = moved(jobs, bench, horizon, kept, begun=stays, now_min=now, effort=LITTLE)

    assert broken_rules(jobs, bench, horizon, after, begun=stays, now=now) == []


@pytest.mark.parametrize("tens", range(SURPRISES // 10))
def test_after_a_surprise_what_had_begun_stays_and_every_rule_is_kept(tens):
    laid = 0
    for seed in range(10 * tens, 10 * tens + 10):
        found = surprised(seed)
        if found is None:
            continue
        jobs, bench, horizon, kept, begun, now = found
        stays = stretched(begun, jobs, bench, now)
        after = moved(jobs, bench, horizon, kept, begun=stays, now_min=now, effort=LITTLE)
        laid += 1
        assert broken_rules(jobs, bench, horizon, after, begun=stays, now=now) == [], seed
        assert all(after.of(one.job, one.step).begins_min == one.begins_min for one in begun), seed
    assert laid >= 6


FREE = Bench((Worker("A", "Ann", ((480, 1020), (1920, 2460))),), (Limit("tap water", 1000, "mL/min"),))
STILL = Job(
    "S",
    "still",
    (JobStep("load", 30), JobStep("run", 120, "watch", (("tap water", 500),)), JobStep("empty", 20)),
)
TEA = Job("T", "tea", (JobStep("weigh", 15), JobStep("steep", 60, "free"), JobStep("filter", 20)))


def test_a_running_still_stands_while_the_water_is_off_and_what_it_does_not_touch_stays():
    kept = schedule([STILL, TEA], FREE, 2880)
    run = kept.of("S", "run")
    now = run.begins_min + 30
    cut = FREE.with_limit(FREE.limit("tap water").cut(now, now + 40, 0, "water off"))
    begun = stretched([one for one in kept.placed if one.begins_min <= now], [STILL, TEA], cut, now)

    after = moved([STILL, TEA], cut, 2880, kept, begun=begun, now_min=now)

    assert after.of("S", "run").pieces == ((run.begins_min, now), (now + 40, run.ends_min + 40))
    found = {(one.job, one.step): one for one in changes(kept, after)}
    assert found["S", "run"].longer_min == 40
    assert ("T", "filter") not in found or kept.of("T", "filter").begins_min >= kept.of(
        "S", "empty"
    ).begins_min


def test_where_nothing_happened_nothing_moves():
    kept = schedule([STILL, TEA], FREE, 2880)
    now = kept.of("S", "run").begins_min
    begun = [one for one in kept.placed if one.begins_min <= now]

    after = moved([STILL, TEA], FREE, 2880, kept, begun=begun, now_min=now)

    assert changes(kept, after) == ()


def test_a_job_that_comes_new_moves_no_other_without_need():
    kept = schedule([STILL], FREE, 2880)
    now = kept.of("S", "run").begins_min + 10
    begun = [one for one in kept.placed if one.begins_min <= now]

    after = moved([STILL, TEA], FREE, 2880, kept, begun=begun, now_min=now)

    assert {one.job for one in changes(kept, after)} == {"T"}
