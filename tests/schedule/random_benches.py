"""Benches and jobs made by chance from a seed: every rule of the records is there now and then."""

from random import Random

from stillroom.schedule.bench import Bench, Break, Limit, Worker
from stillroom.schedule.jobs import Hold, Job, JobStep


def random_day(seed: int, most_jobs: int = 5) -> tuple[list[Job], Bench, int]:
    chance = Random(seed)
    days = chance.choice((1, 1, 2, 3))
    horizon = days * 1440
    people = []
    for code in ("A", "B")[: chance.choice((1, 1, 2))]:
        begins = chance.choice((420, 480, 510))
        ends = chance.choice((960, 1020, 1080))
        breaks = [
            Break(chance.choice((20, 30)), day * 1440 + 690, day * 1440 + 840, chance.random() < 0.4)
            for day in range(days)
            if chance.random() < 0.5
        ]
        people.append(
            Worker(
                code,
                code,
                tuple((day * 1440 + begins, day * 1440 + ends) for day in range(days)),
                tuple(breaks),
            )
        )
    limits = [
        Limit("power", chance.choice((1840, 2944)), "W"),
        Limit("condenser", chance.choice((1, 2, 3))),
        Limit("tap water", chance.choice((600, 1200)), "mL/min"),
        Limit("bath", chance.choice((1, 2))),
        Limit("flask", chance.choice((2, 3))),
    ]
    for at, one in enumerate(limits):
        if chance.random() < 0.3:
            begins = chance.randrange(400, 900)
            limits[at] = one.cut(
                begins, begins + chance.choice((20, 40, 120)), chance.choice((0, one.most // 2)), "off"
            )
    codes = [worker.code for worker in people]
    jobs: list[Job] = []
    for number in range(chance.randint(1, most_jobs)):
        steps = []
        for place in range(chance.randint(1, 6)):
            attention = chance.choice(("hands", "hands", "watch", "free"))
            takes = []
            if attention == "watch":
                takes = [("power", chance.choice((300, 600, 1000)))]
                takes += [("condenser", 1), ("tap water", 500)] if chance.random() < 0.6 else [("bath", 1)]
            elif chance.random() < 0.3:
                takes = [(chance.choice(("bath", "flask")), 1)]
            forks = place > 1 and chance.random() < 0.3
            usual = chance.choice((5, 10, 15, 20, 30, 45, 60, 90, 120))
            steps.append(
                JobStep(
                    f"s{place}", usual, attention, tuple(takes),
                    after=tuple({f"s{chance.randrange(place)}" for _ in range(2)}) if forks else None,
                    least_min=usual - usual // 4, longest_min=usual + usual // 3,
                    wait_least_min=chance.choice((0, 0, 0, 10)),
                    wait_most_min=chance.choice((None, None, None, 15, 60)) if place else None,
                    pieces=chance.choice((1, 1, 1, 2, 3)), again_min=chance.choice((0, 5)),
                    people=(chance.choice(codes),) if attention == "hands" and chance.random() < 0.2 else (),
                )
            )  # fmt: skip
        holds = ()
        if chance.random() < 0.3:
            first = chance.randrange(len(steps))
            holds = (Hold("flask", steps[first].name, steps[-1].name),)
        jobs.append(
            Job(
                f"J{number}", f"job {number}", tuple(steps),
                due_min=chance.choice((None, None, 900, horizon)), earliest_min=chance.choice((0, 0, 500)), holds=holds,
                after=(f"J{chance.randrange(number)}",) if number and chance.random() < 0.2 else (),
                weight=chance.choice((1, 1, 3)),
            )
        )  # fmt: skip
    return jobs, Bench(tuple(people), tuple(limits), watch_most=chance.choice((1, 2, 3))), horizon
