"""Published instances as jobs on a bench, each with the optimum that was printed."""

from stillroom.schedule.bench import Bench, Limit
from stillroom.schedule.jobs import Job, JobStep

# Jobs as [machine, duration]. FT06 and FT20: Fisher and Thompson 1963; LA01: Lawrence 1984; both of the OR-Library
# job-shop set. Instances second-hand (a repository of collected instances), optima second-hand (listed in surveys).
FT06 = (55, [
    [[2, 1], [0, 3], [1, 6], [3, 7], [5, 3], [4, 6]], [[1, 8], [2, 5], [4, 10], [5, 10], [0, 10], [3, 4]],
    [[2, 5], [3, 4], [5, 8], [0, 9], [1, 1], [4, 7]], [[1, 5], [0, 5], [2, 5], [3, 3], [4, 8], [5, 9]],
    [[2, 9], [1, 3], [4, 5], [5, 4], [0, 3], [3, 1]], [[1, 3], [3, 3], [5, 9], [0, 10], [4, 4], [2, 1]],
])  # fmt: skip
LA01 = (666, [
    [[1, 21], [0, 53], [4, 95], [3, 55], [2, 34]], [[0, 21], [3, 52], [4, 16], [2, 26], [1, 71]],
    [[3, 39], [4, 98], [1, 42], [2, 31], [0, 12]], [[1, 77], [0, 55], [4, 79], [2, 66], [3, 77]],
    [[0, 83], [3, 34], [2, 64], [1, 19], [4, 37]], [[1, 54], [2, 43], [4, 79], [0, 92], [3, 62]],
    [[3, 69], [4, 77], [1, 87], [2, 87], [0, 93]], [[2, 38], [0, 60], [1, 41], [3, 24], [4, 83]],
    [[3, 17], [1, 49], [4, 25], [0, 44], [2, 98]], [[4, 77], [3, 79], [2, 43], [1, 75], [0, 96]],
])  # fmt: skip
FT20 = (1165, [
    [[0, 29], [1, 9], [2, 49], [3, 62], [4, 44]], [[0, 43], [1, 75], [3, 69], [2, 46], [4, 72]],
    [[1, 91], [0, 39], [2, 90], [4, 12], [3, 45]], [[1, 81], [0, 71], [4, 9], [2, 85], [3, 22]],
    [[2, 14], [1, 22], [0, 26], [3, 21], [4, 72]], [[2, 84], [1, 52], [4, 48], [0, 47], [3, 6]],
    [[1, 46], [0, 61], [2, 32], [3, 32], [4, 30]], [[2, 31], [1, 46], [0, 32], [3, 19], [4, 36]],
    [[0, 76], [3, 76], [2, 85], [1, 40], [4, 26]], [[1, 85], [2, 61], [0, 64], [3, 47], [4, 90]],
    [[1, 78], [3, 36], [0, 11], [4, 56], [2, 21]], [[2, 90], [0, 11], [1, 28], [3, 46], [4, 30]],
    [[0, 85], [2, 74], [1, 10], [3, 89], [4, 33]], [[2, 95], [0, 99], [1, 52], [3, 98], [4, 43]],
    [[0, 6], [1, 61], [4, 69], [2, 49], [3, 53]], [[1, 2], [0, 95], [3, 72], [4, 65], [2, 25]],
    [[0, 37], [2, 13], [1, 21], [3, 89], [4, 55]], [[0, 86], [1, 74], [4, 88], [2, 48], [3, 79]],
    [[1, 69], [2, 51], [0, 11], [3, 89], [4, 74]], [[0, 13], [1, 7], [2, 76], [3, 52], [4, 45]],
])  # fmt: skip
# Project j301_1: Kolisch and Sprecher 1997, PSPLIB, set j30. Instance second-hand (a reader of that library), optimum
# from memory. Activities are counted from 1; the first and the last take no time.
PROJECT_END = 43
PROJECT_DURATIONS = [
    0, 8, 4, 6, 3, 8, 5, 9, 2, 7, 9, 2, 6, 3, 9, 10, 6, 5, 3, 7, 2, 7, 2, 3, 3, 7, 8, 3, 7, 2, 2, 0,
]  # fmt: skip
PROJECT_SUCCESSORS = [
    [2, 3, 4], [6, 11, 15], [7, 8, 13], [5, 9, 10], [20], [30], [27], [12, 19, 27], [14], [16, 25], [20, 26], [14],
    [17, 18], [17], [25], [21, 22], [22], [20, 22], [24, 29], [23, 25], [28], [23], [24], [30], [30], [31], [28],
    [31], [32], [32], [32], [],
]  # fmt: skip
PROJECT_REQUESTS = [
    [0, 0, 0, 0], [4, 0, 0, 0], [10, 0, 0, 0], [0, 0, 0, 3], [3, 0, 0, 0], [0, 0, 0, 8], [4, 0, 0, 0], [0, 1, 0, 0],
    [6, 0, 0, 0], [0, 0, 0, 1], [0, 5, 0, 0], [0, 7, 0, 0], [4, 0, 0, 0], [0, 8, 0, 0], [3, 0, 0, 0], [0, 0, 0, 5],
    [0, 0, 0, 8], [0, 0, 0, 7], [0, 1, 0, 0], [0, 10, 0, 0], [0, 0, 0, 6], [2, 0, 0, 0], [3, 0, 0, 0], [0, 9, 0, 0],
    [4, 0, 0, 0], [0, 0, 4, 0], [0, 0, 0, 7], [0, 8, 0, 0], [0, 7, 0, 0], [0, 7, 0, 0], [0, 0, 2, 0], [0, 0, 0, 0],
]  # fmt: skip
PROJECT_CAPACITIES = [12, 13, 4, 12]


def job_shop(shop: list[list[list[int]]]) -> tuple[list[Job], Bench]:
    jobs = [
        Job(
            f"J{number}",
            f"job {number}",
            tuple(
                JobStep(f"s{place}", minutes, "free", ((f"M{machine}", 1),))
                for place, (machine, minutes) in enumerate(row)
            ),
        )
        for number, row in enumerate(shop)
    ]
    machines = sorted({machine for row in shop for machine, _ in row})
    return jobs, Bench((), tuple(Limit(f"M{one}", 1) for one in machines))


def project() -> tuple[list[Job], Bench]:
    real = [at for at, minutes in enumerate(PROJECT_DURATIONS) if minutes]
    steps = tuple(
        JobStep(
            f"a{at + 1}",
            PROJECT_DURATIONS[at],
            "free",
            tuple((f"R{number}", much) for number, much in enumerate(PROJECT_REQUESTS[at]) if much),
            after=tuple(f"a{one + 1}" for one in real if at + 1 in PROJECT_SUCCESSORS[one]),
        )
        for at in real
    )
    limits = tuple(Limit(f"R{number}", most) for number, most in enumerate(PROJECT_CAPACITIES))
    return [Job("P", "project", steps)], Bench((), limits)


CONDENSER = ("condenser", 1)
HEATING_ENDS_MIN = 510


def worked_day(
    current_a: float = 10.0, lines: int = 2, not_printed: str = "still"
) -> tuple[list[Job], Bench]:
    """Worked day: one person from 08:00, heating until 16:30, two condenser lines, 1840 W, three watched at most.

    Invented and solved exactly elsewhere; second-hand. Its printed steps last 1040 min where it prints 1100 min one
    after the other: 60 min are not printed. With 20 min between cooling and stripping, and 40 min of hands at the
    end of a shorter job (here: the still or the tea things are washed), every printed figure comes out. Watts are those
    of the table beside it.
    """
    from stillroom.schedule.bench import Worker, power_limit

    bath = (("bath", 1), ("power", 1000))
    soxhlet = (
        JobStep("load", 30), JobStep("run", 240, "watch", (CONDENSER, ("power", 300))), JobStep("cool", 30, "free"),
        JobStep("set up the still", 20), JobStep("strip", 75, "watch", (CONDENSER, ("power", 300))),
        JobStep("partition", 60),
    )  # fmt: skip
    tea = (
        JobStep("weigh", 15), JobStep("infuse", 30, "watch", bath), JobStep("filter", 30),
        JobStep("concentrate", 105, "watch", bath),
        JobStep("pipette", 30), JobStep("develop", 60, "free"), JobStep("read", 15, wait_most_min=5),
        *((JobStep("wash", 40),) if not_printed == "tea" else ()),
    )  # fmt: skip
    still = (
        JobStep("load", 20), JobStep("first run", 120, "watch", (CONDENSER, ("power", 600))), JobStep("load again", 40),
        JobStep("second run", 120, "watch", (CONDENSER, ("power", 600))), JobStep("empty", 20),
        *((JobStep("wash", 40),) if not_printed == "still" else ()),
    )  # fmt: skip
    jobs = [Job("SOXHLET", "Soxhlet", soxhlet), Job("TEA", "tea", tea), Job("STILL", "still", still)]
    limits = (power_limit(current_a).cut(HEATING_ENDS_MIN, 1440), Limit("condenser", lines), Limit("bath", 1))
    return jobs, Bench((Worker("A", "A", ((0, 1440),)),), limits)
