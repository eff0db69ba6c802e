"""The day laid out by the solver, against the plain rule, and against the same solver without a first idea.

``python benchmarks/shared_bench.py`` from the folder of the project. Ratios, since machines differ.
"""

import time

from stillroom.schedule.by_rule import by_rule
from stillroom.schedule.solving import schedule
from tests.schedule.published import worked_day
from tests.schedule.random_benches import random_day

DAYS = 12
EFFORT = 0.2


def main() -> None:
    """Print end and time tied up by solver and rule, and the time with and without a first idea."""
    jobs, bench = worked_day()
    plain = by_rule(jobs, bench, 1440)
    ours = schedule(jobs, bench, 1440)
    if plain is not None:
        print(f"worked day: ends {ours.end_min} min, by the plain rule {plain.end_min} min")
    end, tied, first_s, bare_s = [0, 0], [0, 0], 0.0, 0.0
    for seed in range(DAYS):
        jobs, bench, horizon = random_day(seed)
        plain = by_rule(jobs, bench, horizon)
        if plain is None:
            continue
        began = time.perf_counter()
        ours = schedule(jobs, bench, horizon, effort=EFFORT)
        first_s += time.perf_counter() - began
        began = time.perf_counter()
        schedule(jobs, bench, horizon, effort=EFFORT, hinted=False)
        bare_s += time.perf_counter() - began
        end = [end[0] + ours.end_min, end[1] + plain.end_min]
        tied = [tied[0] + ours.tied_min, tied[1] + plain.tied_min]
    print(
        f"random days: end {end[0] / end[1]:.2f}, somebody tied up {tied[0] / tied[1]:.2f} of the plain rule"
    )
    print(f"time with a first idea {first_s / bare_s:.2f} of without")


if __name__ == "__main__":
    main()
