"""Random benches against the rules in plain Python; what cannot be is named; the same question has one answer."""

from dataclasses import replace

import pytest

from stillroom.errors import BadEntry, NotEnough, StillroomError, UnknownName
from stillroom.schedule.bench import Bench, Break, Limit, Worker, series_limit
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Hold, Job, JobStep
from stillroom.schedule.solving import schedule
from stillroom.science.heat.condensers import outlet_c
from tests.long_form import studied
from tests.schedule.random_benches import random_day
from tests.schedule.rules_checked import broken_rules

LITTLE = 0.02
SEEDS = studied(1000, 150, 40)
ONE = Worker("A", "Ann", ((480, 1020),))


@pytest.mark.parametrize("tens", range(SEEDS // 10))
def test_no_random_bench_breaks_a_rule(tens):
    for seed in range(10 * tens, 10 * tens + 10):
        jobs, bench, horizon = random_day(seed)
        plain = by_rule(jobs, bench, horizon)
        if plain is not None:
            assert broken_rules(jobs, bench, horizon, plain) == [], seed
        try:
            found = schedule(jobs, bench, horizon, effort=LITTLE)
        except NotEnough:
            assert plain is None, seed
            continue
        assert broken_rules(jobs, bench, horizon, found) == [], seed


@pytest.mark.parametrize("spoil", ["earlier", "another person", "shorter", "left out"])
def test_the_rules_in_plain_python_see_a_spoiled_schedule(spoil):
    jobs, bench, horizon = random_day(7)
    found = by_rule(jobs, bench, horizon)
    last = found.placed[-1]
    (a, b), rest = last.pieces[-1], last.pieces[:-1]
    changed = {
        "earlier": replace(last, pieces=tuple((x - 600, y - 600) for x, y in last.pieces)),
        "another person": replace(last, person="nobody at all"),
        "shorter": replace(last, pieces=(*rest, (a, b - 1))),
        "left out": None,
    }[spoil]
    spoiled = replace(found, placed=(*found.placed[:-1], *((changed,) if changed else ())))

    assert broken_rules(jobs, bench, horizon, spoiled)


@pytest.mark.parametrize("pace", ["least", "usual", "longest"])
def test_a_day_is_laid_out_at_the_pace_asked(pace):
    jobs, bench, horizon = random_day(3)

    found = schedule(jobs, bench, horizon, pace=pace, effort=LITTLE)

    assert broken_rules(jobs, bench, horizon, found, pace=pace) == []


def test_the_same_question_has_the_same_answer():
    jobs, bench, horizon = random_day(2)

    assert schedule(jobs, bench, horizon, effort=0.1) == schedule(jobs, bench, horizon, effort=0.1)


def test_what_is_due_comes_before_an_early_end():
    long, short = (
        Job("LONG", "", (JobStep("x", 100),), due_min=600),
        Job("SHORT", "", (JobStep("x", 30), JobStep("y", 60, "free"))),
    )

    found = schedule([short, long], Bench((ONE,), ()), 1440)

    assert not found.late
    assert found.of("LONG", "x").begins_min == 480


def test_nobody_waits_in_the_room_for_what_can_cool_alone():
    job = Job("J", "", (JobStep("load", 30), JobStep("stand", 300, "free"), JobStep("filter", 30)))
    two_days = Worker("A", "Ann", ((480, 1020), (1920, 2460)))

    first = schedule([job], Bench((two_days,), ()), 2880, aims=("due", "end"))
    found = schedule([job], Bench((two_days,), ()), 2880)

    assert (first.end_min, first.tied_min) == (840, 360)
    assert found.tied_min == 60


def test_somebody_stays_with_a_still_while_another_eats():
    still = Job("S", "", (JobStep("run", 500, "watch"),))
    eats = (Break(30, 720, 780),)
    alone = Bench((replace(ONE, breaks=eats),), ())
    two = Bench((replace(ONE, breaks=eats), Worker("B", "Ben", ((480, 1020),), eats)), ())

    with pytest.raises(NotEnough, match="no way to lay out S"):
        schedule([still], alone, 1440)
    found = schedule([still], two, 1440)

    assert broken_rules([still], two, 1440, found) == []
    (_, a, b), (_, c, d) = found.breaks
    assert b <= c or d <= a


def test_glass_is_kept_until_it_is_washed_and_dry():
    job = Job(
        "A",
        "",
        (JobStep("fill", 10), JobStep("wash", 20), JobStep("dry", 120, "free")),
        holds=(Hold("flask", "fill", "dry"),),
    )
    bench = Bench((ONE,), (Limit("flask", 1),))

    found = schedule([job, replace(job, code="B")], bench, 1440)

    first, second = sorted((found.of("A", "fill").begins_min, found.of("B", "fill").begins_min))
    assert second - first >= 150


def test_condensers_in_series_give_their_water_no_more_heat_than_it_may_take():
    limit = series_limit(0.5, 18.0, 78.3)

    assert outlet_c(18.0, float(limit.most), 0.5) <= 58.3
    assert outlet_c(18.0, float(limit.most + 1), 0.5) > 58.3


SOUND = Job("J", "job", (JobStep("a", 10), JobStep("b", 10)))
MUFFLE, TWO_BATHS = JobStep("a", 10, takes=(("muffle", 1),)), JobStep("a", 10, takes=(("bath", 2),))
NO_WAIT = JobStep("b", 10, wait_least_min=30, wait_most_min=5)
QUICK_IS_SLOW = JobStep("a", 10, least_min=20)


@pytest.mark.parametrize(
    ("job", "kind", "says"),
    [
        (replace(SOUND, steps=(MUFFLE,)), UnknownName, "'muffle' is not something of this bench"),
        (replace(SOUND, steps=(TWO_BATHS,)), NotEnough, "J, a, needs 2 × of bath"),
        (replace(SOUND, steps=(JobStep("a", 10, after=("b",)), JobStep("b", 10))), BadEntry, "J: a, b"),
        (replace(SOUND, after=("J",)), BadEntry, "No step may wait for itself"),
        (replace(SOUND, steps=(JobStep("a", 10), NO_WAIT)), BadEntry, "at most 5 min, at least 30 min"),
        (
            replace(SOUND, steps=(JobStep("a", 10, people=("Z",)),)),
            UnknownName,
            "'Z' is not a person of this",
        ),
        (replace(SOUND, due_min=-5), BadEntry, r"J \(job\), which was due already"),
        (replace(SOUND, steps=(QUICK_IS_SLOW,)), BadEntry, "J, a: 20, 10, 10 min"),
        (replace(SOUND, steps=()), BadEntry, "A job has steps"),
    ],
)
def test_what_cannot_be_is_one_sentence_that_names_it(job, kind, says):
    with pytest.raises(kind, match=says) as caught:
        schedule([job], Bench((ONE,), (Limit("bath", 1),)), 1440)

    assert isinstance(caught.value, StillroomError)
