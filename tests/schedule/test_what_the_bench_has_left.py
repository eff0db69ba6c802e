"""What a bench has left: one more job laid into it draw by draw lies where the rule and the solver lay it."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from stillroom.planning.offering.calendar import Hours, in_one_piece, in_pieces
from stillroom.schedule.bench import Bench, Limit, Worker
from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.jobs import Job, JobStep
from stillroom.schedule.openings import openings
from stillroom.schedule.solving import schedule
from tests.long_form import studied
from tests.schedule.random_benches import random_day

TAKES = {"": (), "boils": (("power", 600), ("condenser", 1), ("tap water", 500)), "bath": (("bath", 1),)}
SEEDS = studied(300, 60, 30)


def chain(chance: Random) -> list[tuple[str, int, int]]:
    return [
        (chance.choice(list(TAKES)), chance.choice((10, 30, 60, 150)), chance.choice((0, 0, 20, 200)))
        for _ in range(chance.randint(1, 5))
    ]


def as_job(links: list[tuple[str, int, int]], earliest_min: int) -> Job:
    steps = []
    for at, (kind, work, free) in enumerate(links):
        steps.append(JobStep(f"{at} work", work, "hands", TAKES[kind]))
        steps += [JobStep(f"{at} free", free, "free")] if free else []
    return Job("new", "new", tuple(steps), earliest_min=earliest_min)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_one_more_job_ends_where_the_rule_lays_it(seed):
    chance = Random(seed)
    jobs, bench, horizon = random_day(seed)
    bench = replace(bench, watch_most=3)
    standing = by_rule(jobs, bench, horizon)
    if standing is None:
        return
    links, earliest = chain(chance), chance.randrange(0, horizon // 2)
    placed = tuple(replace(one, begun=True) for one in standing.placed)
    laid = by_rule([*jobs, as_job(links, earliest)], bench, horizon, begun=placed)
    free = openings(bench, jobs, placed, horizon, 0, TAKES)

    clock, fits = np.array([float(earliest)]), True
    for kind, work, left_alone in links:
        clock, found = in_one_piece(clock, np.array([float(work)]), free[kind])
        fits &= bool(found[0])
        clock = clock + left_alone

    held = any(
        job.holds for job in jobs
    )  # the rule forgets what a job that has begun keeps: it may lie earlier
    if laid is not None and fits:
        ends = max(one.ends_min for one in laid.placed if one.job == "new")
        assert clock[0] >= ends if held else clock[0] == ends


def test_for_one_more_job_the_solver_finds_nothing_earlier_than_the_rule():
    chance = Random(4)
    bench = Bench(
        (Worker("A", "A", ((480, 960), (1920, 2400))),),
        (
            Limit("power", 1840, "W"),
            Limit("condenser", 2),
            Limit("tap water", 1200, "mL/min"),
            Limit("bath", 1),
        ),
    )
    first = Job(
        "first", "first", (JobStep("boils", 200, "hands", TAKES["boils"]), JobStep("stands", 90, "free"))
    )
    standing = schedule([first], bench, 2880)
    for _ in range(8):
        new = as_job(chain(chance), 480)
        begun = tuple(replace(one, begun=True) for one in standing.placed)
        ruled = by_rule([first, new], bench, 2880, begun=begun)
        best = schedule([first, new], bench, 2880, begun=begun, aims=("end",), hinted=False)

        assert ruled is not None
        assert ruled.end_min == best.end_min


def test_what_fits_in_no_span_goes_on_in_the_next():
    spans = ((480, 960), (1920, 2400))
    ended, fits = in_pieces(np.array([0.0, 900.0, 960.0]), np.array([600.0, 60.0, 480.0]), spans)

    assert ended.tolist() == [2040.0, 960.0, 2400.0]
    assert fits.all()
    assert not in_pieces(np.array([0.0]), np.array([961.0]), spans)[1][0]


def test_beyond_what_is_known_of_the_bench_work_passes_in_working_hours():
    hours = Hours(480.0, 0, {"": ((480, 960),)})

    assert float(hours.after(0.0, 120.0)) == 600.0
    assert float(hours.after(960.0, 120.0)) == 1440.0 + 120.0
    assert float(hours.after(300.0, 0.0)) == 300.0


def test_two_peoples_spans_are_not_one_persons():
    bench = Bench((Worker("A", "A", ((480, 540),)), Worker("B", "B", ((540, 660),))), ())
    free = openings(bench, (), (), 1440, 0, {"": ()})[""]
    ended, _ = in_one_piece(np.array([480.0]), np.array([90.0]), free)

    assert ended[0] == 630.0
