"""The rules of the bench in plain Python, minute by minute: written from their text, and knowing nothing of the solver.

It gives the sentences of every rule that a schedule breaks. What has begun is a fact: it breaks no rule by itself.
"""

from collections import Counter

from stillroom.schedule.bench import Bench
from stillroom.schedule.jobs import Job
from stillroom.schedule.placed import Placed, Schedule


def broken_rules(
    jobs: list[Job], bench: Bench, horizon: int, plan: Schedule, begun: tuple[Placed, ...] = (), now: int = 0,
    pace: str = "usual",
) -> list[str]:  # fmt: skip
    wrong: list[str] = []
    stays = {(one.job, one.step) for one in begun}
    lies = {(one.job, one.step): one for one in plan.placed}
    steps = {(job.code, step.name): (job, step) for job in jobs for step in job.steps}
    if len(lies) != len(plan.placed):
        wrong.append("a step lies twice")
    wrong += [f"{key} is nowhere" for key in steps.keys() - lies.keys()]
    wrong += [f"{key} is nobody's step" for key in lies.keys() - steps.keys()]
    for one in begun:
        if lies.get((one.job, one.step)) is None or lies[(one.job, one.step)].pieces != one.pieces:
            wrong.append(f"{one.job} {one.step} had begun and moved")
    if wrong:
        return wrong

    # Each step: its minutes, its pieces, its time, its person.
    for key, (job, step) in steps.items():
        if key in stays:
            continue
        one = lies[key]
        lasts = sum(b - a for a, b in one.pieces)
        asked = {"usual": step.usual_min, "least": step.least_min, "longest": step.longest_min}[
            pace
        ] or step.usual_min
        if lasts != asked + step.again_min * (len(one.pieces) - 1):
            wrong.append(f"{key} takes {lasts} min")
        if len(one.pieces) > step.pieces:
            wrong.append(f"{key} is interrupted too often")
        if any(b <= a for a, b in one.pieces) or any(
            a < b for (_, b), (a, _) in zip(one.pieces, one.pieces[1:], strict=False)
        ):
            wrong.append(f"{key} has pieces out of order")
        if one.pieces[0][0] < max(now, job.earliest_min) or one.pieces[-1][1] > horizon:
            wrong.append(f"{key} lies outside its time")
        if (step.attention == "hands") != bool(one.person):
            wrong.append(f"{key} has the wrong kind of person")
        if one.person and step.people and one.person not in step.people:
            wrong.append(f"{key} is done by somebody who cannot")

    # Order and waits.
    for job in jobs:
        for place, step in enumerate(job.steps):
            if (job.code, step.name) in stays:
                continue
            names = step.after if step.after is not None else ((job.steps[place - 1].name,) if place else ())
            ends = [lies[(job.code, name)].pieces[-1][1] for name in names]
            begins = lies[(job.code, step.name)].pieces[0][0]
            if ends and begins < max(ends) + step.wait_least_min:
                wrong.append(f"{job.code} {step.name} begins too early")
            waits = begins - max(ends) - step.wait_most_min if ends and step.wait_most_min is not None else 0
            told = {(one.job, one.step): one.minutes for one in plan.waits_over}.get((job.code, step.name), 0)
            if max(waits, 0) != told:
                wrong.append(f"{job.code} {step.name} waits {waits} min too long and says {told}")
            if waits > 0 and not all((job.code, name) in stays for name in names):
                wrong.append(f"{job.code} {step.name} waits too long")
        for other in job.after:
            over = max(one.pieces[-1][1] for one in plan.placed if one.job == other)
            for step in job.steps:
                if (job.code, step.name) not in stays and lies[(job.code, step.name)].pieces[0][0] < over:
                    wrong.append(f"{job.code} does not wait for {other}")

    # What is there, and who: minute by minute.
    doing = [[] for _ in range(horizon)]
    for key, one in lies.items():
        for a, b in one.pieces:
            for minute in range(max(a, 0), min(b, horizon)):
                doing[minute].append(key)
    rests = [(who, minute) for who, a, b in plan.breaks for minute in range(a, b)]
    resting = Counter(rests)
    for minute, keys in enumerate(doing):
        new = [key for key in keys if key not in stays]
        for limit in bench.limits:
            left = min(
                [limit.most, *(cut.left for cut in limit.cuts if cut.begins_min <= minute < cut.ends_min)]
            )
            taken = sum(much for key in keys for name, much in steps[key][1].takes if name == limit.name)
            asks = sum(much for key in new for name, much in steps[key][1].takes if name == limit.name)
            for job in jobs:
                for hold in job.holds:
                    kept_from = lies[(job.code, hold.begins_with)].pieces[0][0]
                    kept_to = lies[(job.code, hold.ends_with)].pieces[-1][1]
                    if hold.takes == limit.name and kept_from <= minute < kept_to:
                        taken += hold.amount
            if taken > left and asks:
                wrong.append(f"minute {minute}: {taken} of {limit.name}, {left} are there ({keys})")
        present = {w.code for w in bench.people if any(a <= minute < b for a, b in w.at_work)}
        away = {
            w.code
            for w in bench.people
            if resting[(w.code, minute)] and not _rests_in_the_room(w, minute, plan)
        }
        hands = Counter(lies[key].person for key in keys if steps[key][1].attention == "hands")
        for key in new:
            _, step = steps[key]
            who = lies[key].person
            if step.attention == "hands" and (who not in present or hands[who] > 1 or resting[(who, minute)]):
                wrong.append(f"minute {minute}: {who} has no hands for {key}")
            if step.attention == "watch":
                watching = sum(1 for other in keys if steps[other][1].attention == "watch")
                if watching > bench.watch_most * len(present - away):
                    wrong.append(f"minute {minute}: nobody watches {key}")
    for (who, minute), count in resting.items():
        if count > 1:
            wrong.append(f"minute {minute}: {who} rests twice")

    # What the schedule says of itself.
    ends = {job.code: max(lies[(job.code, step.name)].pieces[-1][1] for step in job.steps) for job in jobs}
    if plan.end_min != max(ends.values()):
        wrong.append("the end is not the end")
    late = {job.code: ends[job.code] - job.due_min for job in jobs if job.due_min is not None}
    if {one.job: one.minutes for one in plan.late} != {code: by for code, by in late.items() if by > 0}:
        wrong.append("what is late is not said")
    return wrong


def _rests_in_the_room(worker, minute: int, plan: Schedule) -> bool:
    for who, a, b in plan.breaks:
        if who == worker.code and a <= minute < b:
            fits = [
                one
                for one in worker.breaks
                if one.minutes == b - a and one.earliest_min <= a and b <= one.latest_min
            ]
            return all(one.in_the_room for one in fits)
    return False
