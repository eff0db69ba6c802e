"""An enquiry answered on the bench of a told book, beside its plan alone, and beside its days one draw at a time.

``python benchmarks/offer.py`` from the folder of the project. CPU, as ratios, since machines differ.
"""

import os
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import parse_qsl

from stillroom.cli.main import THREADS

for one in THREADS:
    os.environ.setdefault(one, "1")

import numpy as np  # noqa: E402

from stillroom.planning.offering.calendar import Hours, Spans  # noqa: E402

ASKED = (
    "product=Hill+tonic&kind=hair+leave-on&bottles={units}+×+50+mL&strength=0.10&of=quinine"
    "&plant=cinchona+bark&way=percolation&customer=Invented+shop"
)
TRIES = 4
DRAWS = 4096


def cpu_s(work: Callable[[], object]) -> float:
    """CPU of one piece of work [s]."""
    began = time.process_time()
    work()
    return time.process_time() - began


def one_by_one(clock: list[float], work: list[float], spans: Spans) -> list[float]:
    """When each draw is done with its work, in the first span that holds it."""
    found = []
    for at, lasts in zip(clock, work, strict=True):
        done = next((max(at, a) + lasts for a, b in spans if max(at, a) + lasts <= b), float("inf"))
        found.append(done)
    return found


def main() -> None:
    """Print what an enquiry costs, its plan, and its calendar both ways."""
    from stillroom.actions.offers.offering import offer_of
    from stillroom.planning.plan import plan
    from stillroom.questions.offer import QUESTION
    from tests.practice import copied, opened

    offers, plans = [], []
    with TemporaryDirectory() as folder, opened(copied(Path(folder))) as lab:
        for units in range(24, 25 + TRIES):
            text = dict(parse_qsl(ASKED.format(units=units)))
            now = lab.clock()
            with lab.look() as look:
                said = QUESTION.way(text).said.read(text, now.date(), {})
                offers.append(cpu_s(lambda: offer_of(look, said, now)))  # noqa: B023
                request = offer_of(look, said, now).request
            plans.append(cpu_s(lambda: plan(replace(request, seed=units))))  # noqa: B023
    whole, alone = min(offers), min(plans)
    print(f"an enquiry on the bench of the book   {whole:8.2f} s CPU, target 2")
    print(f"its plan alone, 4,096 draws           {alone:8.2f} s CPU, target 1.5")
    print(f"enquiry over plan                     {whole / alone:8.1f} times")
    spans = tuple((day * 1440 + a, day * 1440 + b) for day in range(60) for a, b in ((480, 720), (780, 960)))
    rng = np.random.default_rng(7)
    clock, work = rng.uniform(0.0, 20_000.0, DRAWS), rng.uniform(10.0, 170.0, DRAWS)
    plain = cpu_s(lambda: one_by_one(clock.tolist(), work.tolist(), spans))
    arrays = cpu_s(lambda: Hours(360.0, 0, {"": spans}).after(clock, work))
    print(f"days of a step, one draw at a time    {plain / arrays:8.1f} times the arrays")


if __name__ == "__main__":
    main()
