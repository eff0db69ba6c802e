"""The bench minute by minute: what is taken of each limit, who has the hands full, and where a step fits first.

The rule is the plain one: each step as early as it fits, in a given order. It gives a day at once, the solver its
first idea, and moves a kept day by what has happened without turning it over.
"""

from collections.abc import Sequence

import numpy as np

from stillroom.schedule.bench import Bench, Break, Span, Worker, joined
from stillroom.schedule.jobs import Job, JobStep, Taken
from stillroom.schedule.placed import Placed

Booked = np.ndarray


class Minutes:
    """Use of a bench over a horizon; begun steps and cuts are in it from the start.

    Parameters
    ----------
    horizon_min : int
        [min]
    """

    def __init__(self, bench: Bench, horizon_min: int) -> None:
        self.bench, self.horizon_min = bench, horizon_min
        self.free: dict[str, Booked] = {}
        for one in bench.limits:
            left = np.full(horizon_min, one.most, dtype=np.int64)
            for cut in one.cuts:
                begins, ends = max(cut.begins_min, 0), max(cut.ends_min, 0)
                left[begins:ends] = np.minimum(left[begins:ends], cut.left)
            self.free[one.name] = left
        self.hands: dict[str, Booked] = {}
        self.glances = np.zeros(horizon_min, dtype=np.int64)
        self.breaks: list[tuple[str, int, int]] = []
        for worker in bench.people:
            there = np.zeros(horizon_min, dtype=bool)
            for begins, ends in worker.at_work:
                there[max(begins, 0) : max(ends, 0)] = True
            self.hands[worker.code] = there
            self.glances += there * bench.watch_most

    def begin(self, placed: Placed, step: JobStep) -> None:
        """Take what a step that has begun takes, whether or not there is enough."""
        for span in placed.pieces:
            self._take(step, span, placed.person)

    def rest(self, after_min: int = 0) -> bool:
        """Lay the breaks of everybody as early as they fit, each its own way; False where one does not."""
        for worker in self.bench.people:
            for one in worker.breaks:
                if not self.break_starts(worker, one, after_min):
                    continue
                able = self.hands[worker.code].copy()
                if not one.in_the_room:
                    able &= self.glances >= self.bench.watch_most
                starts = np.flatnonzero(_runs(able, one.minutes))
                starts = starts[
                    (starts >= max(one.earliest_min, after_min)) & (starts <= one.latest_min - one.minutes)
                ]
                if not len(starts):
                    return False
                begins, ends = int(starts[0]), int(starts[0]) + one.minutes
                self.hands[worker.code][begins:ends] = False
                if not one.in_the_room:
                    self.glances[begins:ends] -= self.bench.watch_most
                self.breaks.append((worker.code, begins, ends))
        return True

    def break_starts(self, worker: Worker, one: Break, after_min: int = 0) -> list[list[int]]:
        """From when to when a break may begin, as far as hours and what has begun tell; none where it falls away."""
        able = self.hands[worker.code].copy()
        if not one.in_the_room:
            able &= self.glances >= self.bench.watch_most
        last = one.latest_min - one.minutes
        return starts_within(able, one.minutes, max(one.earliest_min, after_min), last)

    def first_fit(
        self, job: Job, step: JobStep, minutes: int, earliest_min: int, keeps: Taken = ()
    ) -> Placed | None:
        """Where a step fits first, in one piece or in as many as it bears; None where it does not.

        Parameters
        ----------
        minutes : int
            How long it takes. [min]
        earliest_min : int
            [min]
        keeps : tuple of (str, int)
            What must be there for it beside what it takes.
        """
        able = self.able((*step.takes, *keeps))
        if step.attention == "watch":
            able &= self.glances > 0
        best: Placed | None = None
        people = step.people or tuple(self.hands)
        for person in people if step.attention == "hands" else ("",):
            mine = able & self.hands[person] if person else able
            pieces = _fit(mine, minutes, earliest_min, step.pieces, step.again_min)
            if pieces and (best is None or pieces[-1][1] < best.ends_min):
                best = Placed(job.code, step.name, pieces, person)
        return best

    def take(self, placed: Placed, step: JobStep) -> None:
        """Take what a placed step takes."""
        for span in placed.pieces:
            self._take(step, span, placed.person)

    def give_back(self, placed: Placed, step: JobStep) -> None:
        """Give back what a placed step took."""
        for span in placed.pieces:
            self._take(step, span, placed.person, -1)

    def keep(self, name: str, amount: int, begins_min: int, ends_min: int) -> None:
        """Keep something of the bench for a time [min]; a negative amount gives it back."""
        self.free[name][max(begins_min, 0) : max(ends_min, 0)] -= amount

    def _take(self, step: JobStep, span: Span, person: str, sign: int = 1) -> None:
        begins, ends = max(span[0], 0), max(span[1], 0)
        for name, amount in step.takes:
            self.free[name][begins:ends] -= sign * amount
        if step.attention == "watch":
            self.glances[begins:ends] -= sign
        if person and person in self.hands:
            self.hands[person][begins:ends] = sign < 0

    def able(self, takes: Taken) -> Booked:
        """Minutes at which so much of everything is free."""
        able = np.ones(self.horizon_min, dtype=bool)
        for name, amount in takes:
            able &= self.free[name] >= amount
        return able


def blocks_of(used: Booked) -> tuple[tuple[Span, int], ...]:
    """Stretches of one height above zero, in order."""
    edges = np.flatnonzero(np.diff(used)) + 1
    begins = np.concatenate(([0], edges))
    ends = np.concatenate((edges, [len(used)]))
    return tuple(((int(a), int(b)), int(used[a])) for a, b in zip(begins, ends, strict=True) if used[a] > 0)


def starts_within(able: Booked, minutes: int, first_min: int, last_min: int) -> list[list[int]]:
    """From when to when so many free minutes in a row begin, between two moments [min]."""
    inside = _runs(able, minutes)
    inside[: max(first_min, 0)] = False
    inside[max(last_min + 1, 0) :] = False
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(np.int8)))
    return [[a, b - 1] for a, b in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)]


def presence(bench: Bench, horizon_min: int) -> tuple[Span, ...]:
    """When anybody is there: one span for each day of work [min]."""
    every = [span for worker in bench.people for span in worker.at_work]
    return joined((max(a, 0), min(b, horizon_min)) for a, b in every)


def _runs(able: Booked, minutes: int) -> Booked:
    """Whether so many minutes in a row are free from each minute on."""
    found = np.zeros(len(able), dtype=bool)
    if minutes > len(able):
        return found
    bad = np.concatenate(([0], np.cumsum(~able)))
    found[: len(able) - minutes + 1] = bad[minutes:] == bad[: len(bad) - minutes]
    return found


def _fit(able: Booked, minutes: int, earliest_min: int, pieces: int, again_min: int) -> tuple[Span, ...]:
    whole = np.flatnonzero(_runs(able, minutes)[earliest_min:])
    in_one: tuple[Span, ...] = ()
    if len(whole):
        begins = earliest_min + int(whole[0])
        in_one = ((begins, begins + minutes),)
    if pieces == 1 or (in_one and in_one[0][0] == earliest_min):
        return in_one
    parts: list[Span] = []
    left = minutes
    for begins, ends in _spans(able, earliest_min):
        need = left + (again_min if parts else 0)
        if ends - begins <= (again_min if parts else 0):
            continue
        parts.append((begins, min(ends, begins + need)))
        left = need - (parts[-1][1] - begins)
        if left == 0:
            return tuple(parts) if not in_one or parts[-1][1] < in_one[0][1] else in_one
        if len(parts) == pieces:
            break
    return in_one


def _spans(able: Booked, earliest_min: int) -> Sequence[Span]:
    return tuple(
        (max(a, earliest_min), b) for (a, b), _ in blocks_of(able.astype(np.int64)) if b > earliest_min
    )
