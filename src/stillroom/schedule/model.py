"""The bench as a constraint model: one interval for each piece of a step, people, limits, waits and breaks.

Promises that every solution keeps the rules of the records. What has begun is no longer decided: it stands in what is
left of people and limits, and never makes a plan impossible by itself.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stillroom.schedule.bench import Bench, Span, Worker
from stillroom.schedule.jobs import Job, JobStep, Pace
from stillroom.schedule.minutes import Minutes, blocks_of, starts_within
from stillroom.schedule.placed import Placed

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


@dataclass(slots=True)
class StepVars:
    """A step in the model: its pieces, whether each is there, and who does it."""

    job: Job
    step: JobStep
    begins: "list[cp_model.IntVar]"
    ends: "list[cp_model.LinearExprT]"
    lengths: "list[cp_model.IntVar | int]"
    pieces: "list[cp_model.IntervalVar]"
    there: "list[cp_model.IntVar]"
    persons: "dict[str, cp_model.IntVar]" = field(default_factory=dict)
    last: "cp_model.LinearExprT" = 0


class BenchModel:
    """A constraint model of jobs on a bench.

    Parameters
    ----------
    horizon_min : int
        [min]
    now_min : int
        Nothing else begins before. [min]
    """

    def __init__(
        self,
        jobs: Sequence[Job],
        bench: Bench,
        horizon_min: int,
        *,
        begun: Sequence[Placed] = (),
        now_min: int = 0,
        pace: Pace = "usual",
    ) -> None:
        from ortools.sat.python import cp_model

        self.jobs, self.bench, self.horizon_min = tuple(jobs), bench, horizon_min
        self.now_min, self.pace = now_min, pace
        self.impossible = False
        self.over: "list[cp_model.IntVar]" = []  # noqa: UP037
        self.model = cp_model.CpModel()
        self.begun = {one.key: one for one in begun}
        self.table = Minutes(bench, horizon_min)
        for job in jobs:
            for step in job.steps:
                if (job.code, step.name) in self.begun:
                    self.table.begin(self.begun[(job.code, step.name)], step)
        self.steps: dict[tuple[str, str], StepVars] = {}
        self.breaks: "list[tuple[str, cp_model.IntVar, int]]" = []  # noqa: UP037
        self.always = self.model.new_constant(1)
        for job in jobs:
            for step in job.steps:
                if (job.code, step.name) not in self.begun:
                    self.steps[(job.code, step.name)] = self._step(job, step)
        self._waits()
        self._people()
        self._limits()

    def end_of(self, job: Job) -> "cp_model.LinearExprT":
        """When the last step of a job is over [min]."""
        ends = [self._ends((job.code, step.name)) for step in job.steps]
        if len(ends) == 1:
            return ends[0]
        latest = max([self.horizon_min, *(one.ends_min for one in self.begun.values())])
        last = self.model.new_int_var(0, latest, f"end {job.code}")
        self.model.add_max_equality(last, ends)
        return last

    def hint(self, placed: Mapping[tuple[str, str], Placed], breaks: Sequence[tuple[str, int, int]]) -> None:
        """Begin the search from a schedule that is there already."""
        m = self.model
        m.clear_hints()  # type: ignore[no-untyped-call]
        for key, one in self.steps.items():
            if key not in placed:
                continue
            spans = placed[key].pieces
            for at, begins in enumerate(one.begins):
                m.add_hint(begins, spans[min(at, len(spans) - 1)][0])
            for person, literal in one.persons.items():
                if literal is not self.always:
                    m.add_hint(literal, person == placed[key].person)
        left = list(breaks)
        for person, begins, _ in self.breaks:
            known = next((one for one in left if one[0] == person), None)
            if known:
                left.remove(known)
                m.add_hint(begins, known[1])

    def hint_all(self, found: "cp_model.CpSolver") -> None:
        """Begin the search from what a solver found, every variable of it: nothing has to be found again."""
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        hint, values = self.model.proto.solution_hint, found.response_proto.solution
        hint.vars.extend(range(len(values)))
        hint.values.extend(values)

    def placed_by(self, value: "cp_model.CpSolver") -> tuple[Placed, ...]:
        """Every step in its place, what has begun among them."""
        found = list(self.begun.values())
        for one in self.steps.values():
            spans = tuple(
                (value.value(begins), value.value(ends))
                for begins, ends, there in zip(one.begins, one.ends, one.there, strict=True)
                if value.boolean_value(there)
            )
            person = next((who for who, literal in one.persons.items() if value.boolean_value(literal)), "")
            found.append(Placed(one.job.code, one.step.name, _together(spans), person))
        return tuple(found)

    def breaks_by(self, value: "cp_model.CpSolver") -> tuple[tuple[str, int, int], ...]:
        """Person, begin and end of every break [min]."""
        found = ((who, value.value(begins), length) for who, begins, length in self.breaks)
        return tuple((who, begins, begins + length) for who, begins, length in found)

    def step_of(self, key: tuple[str, str]) -> JobStep:
        """The step of a job and a name."""
        return next(job for job in self.jobs if job.code == key[0]).step(key[1])

    def _step(self, job: Job, step: JobStep) -> StepVars:
        from ortools.sat.python import cp_model

        m, minutes = self.model, step.minutes(self.pace)
        earliest = max(self.now_min, job.earliest_min)
        called = f"{job.code} {step.name}"
        one = StepVars(job, step, [], [], [], [], [])
        if step.pieces == 1:
            starts = self._starts(step, minutes, earliest)
            begins = m.new_int_var_from_domain(cp_model.Domain.from_intervals(starts or [[0, 0]]), called)
            if not starts:
                m.add_bool_or([])
            one.begins, one.ends, one.lengths, one.there = (
                [begins],
                [begins + minutes],
                [minutes],
                [self.always],
            )
            one.pieces = [m.new_fixed_size_interval_var(begins, minutes, called)]
            one.last = begins + minutes
        else:
            self._in_pieces(one, minutes, earliest, called)
        if step.attention == "hands":
            people = step.people or tuple(worker.code for worker in self.bench.people)
            if len(people) == 1:
                one.persons = {people[0]: self.always}
            else:
                one.persons = {who: m.new_bool_var(f"{called} by {who}") for who in people}
                m.add_exactly_one(one.persons.values())
        return one

    def _in_pieces(self, one: StepVars, minutes: int, earliest: int, called: str) -> None:
        m, step, horizon = self.model, one.step, self.horizon_min
        for at in range(step.pieces):
            begins = m.new_int_var(earliest, horizon, f"{called} {at}")
            ends = m.new_int_var(earliest, horizon, f"{called} {at} end")
            length = m.new_int_var(0, minutes + step.again_min, f"{called} {at} min")
            literal = self.always if at == 0 else m.new_bool_var(f"{called} {at} there")
            one.pieces.append(m.new_optional_interval_var(begins, length, ends, literal, called))
            if at:
                m.add(begins >= one.ends[-1])
                m.add_implication(literal, one.there[-1])
                m.add(length == 0).only_enforce_if(~literal)
                m.add(begins == one.ends[-1]).only_enforce_if(~literal)
                m.add(ends == begins).only_enforce_if(~literal)
                m.add(length >= step.again_min + 1).only_enforce_if(literal)
                m.add(begins >= one.ends[-1] + 1).only_enforce_if(literal)
            else:
                m.add(length >= 1)
            one.begins.append(begins)
            one.ends.append(ends)
            one.there.append(literal)
            one.lengths.append(length)
        m.add(sum(one.lengths) == minutes + step.again_min * sum(one.there[1:]))
        one.last = one.ends[-1]

    def _starts(self, step: JobStep, minutes: int, earliest: int) -> list[list[int]]:
        """From when to when a step in one piece may begin, as far as hours and cuts alone tell."""
        able = np.ones(self.horizon_min, dtype=bool)
        for name, amount in step.takes:
            able &= self.table.free[name] >= amount
        if step.attention == "watch":
            able &= self.table.glances > 0
        elif step.attention == "hands":
            people = step.people or tuple(self.table.hands)
            able &= np.any([self.table.hands[who] for who in people], axis=0)
        return starts_within(able, minutes, earliest, self.horizon_min)

    def _ends(self, key: tuple[str, str]) -> "cp_model.LinearExprT":
        return self.begun[key].ends_min if key in self.begun else self.steps[key].last

    def _has_begun(self, job: Job, places: Sequence[int]) -> bool:
        """Whether all of some steps have begun: what waits for them can no longer be told to wait less."""
        return all((job.code, job.steps[at].name) in self.begun for at in places)

    def _waits(self) -> None:
        m = self.model
        for job in self.jobs:
            for at, step in enumerate(job.steps):
                one = self.steps.get((job.code, step.name))
                if one is None:
                    continue
                before = [self._ends((job.code, job.steps[place].name)) for place in job.before(at)]
                for ended in before:
                    m.add(one.begins[0] >= ended + step.wait_least_min)
                if before and step.wait_most_min is not None and self._has_begun(job, job.before(at)):
                    over = m.new_int_var(0, 2**30, "waits too long")
                    ended_at = m.new_int_var(0, 2**30, "the last of those before")
                    m.add_max_equality(ended_at, before)
                    m.add(over >= one.begins[0] - ended_at - step.wait_most_min)
                    self.over.append(over)
                elif before and step.wait_most_min is not None:
                    late = (
                        [m.new_bool_var("the last of those before") for _ in before]
                        if len(before) > 1
                        else [True]
                    )
                    m.add_bool_or(late)
                    for literal, ended in zip(late, before, strict=True):
                        added = m.add(one.begins[0] <= ended + step.wait_most_min)
                        if literal is not True:
                            added.only_enforce_if(literal)
            if job.after:
                firsts = [self.steps[job.code, job.steps[at].name] for at in range(len(job.steps))
                          if not job.before(at) and (job.code, job.steps[at].name) in self.steps]  # fmt: skip
                for other in self.jobs:
                    if other.code in job.after:
                        for one in firsts:
                            for step in other.steps:
                                m.add(one.begins[0] >= self._ends((other.code, step.name)))

    def _people(self) -> None:
        m, watch = self.model, self.bench.watch_most
        away: "list[tuple[cp_model.IntervalVar, int]]" = []  # noqa: UP037
        for worker in self.bench.people:
            busy = [self._fixed(span) for span, _ in blocks_of(~self.table.hands[worker.code])]
            for interval, in_the_room in self._breaks_of(worker):
                busy.append(interval)
                if not in_the_room:
                    away.append((interval, watch))
            for one in self.steps.values():
                literal = one.persons.get(worker.code)
                if literal is None:
                    continue
                if len(one.persons) == 1:
                    busy += one.pieces
                    continue
                for at in range(len(one.pieces)):
                    is_mine = literal
                    if at:
                        is_mine = m.new_bool_var("mine")
                        m.add_min_equality(is_mine, [literal, one.there[at]])
                    busy.append(
                        m.new_optional_interval_var(
                            one.begins[at], one.lengths[at], one.ends[at], is_mine, "mine"
                        )
                    )
            m.add_no_overlap(busy)
        watched = [one for one in self.steps.values() if one.step.attention == "watch"]
        if watched:
            most = watch * len(self.bench.people)
            used = most - np.clip(self.table.glances, 0, most)
            self._cumulative([(piece, 1) for one in watched for piece in one.pieces] + away, used, most)

    def _breaks_of(self, worker: Worker) -> "list[tuple[cp_model.IntervalVar, bool]]":
        from ortools.sat.python import cp_model

        m, found = self.model, []
        for one in worker.breaks:
            starts = self.table.break_starts(worker, one, self.now_min)
            if not starts:
                continue
            begins = m.new_int_var_from_domain(cp_model.Domain.from_intervals(starts), f"break {worker.code}")
            self.breaks.append((worker.code, begins, one.minutes))
            found.append((m.new_fixed_size_interval_var(begins, one.minutes, "break"), one.in_the_room))
        return found

    def _limits(self) -> None:
        for limit in self.bench.limits:
            taken: "list[tuple[cp_model.IntervalVar, int]]" = []  # noqa: UP037
            for one in self.steps.values():
                amount = sum(much for name, much in one.step.takes if name == limit.name)
                if amount:
                    taken += [(piece, amount) for piece in one.pieces]
            taken += [(kept, much) for kept, much in self._holds(limit.name)]
            if taken:
                used = limit.most - np.clip(self.table.free[limit.name], 0, limit.most)
                self._cumulative(taken, used, limit.most)

    def _holds(self, name: str) -> "list[tuple[cp_model.IntervalVar, int]]":
        m, found = self.model, []
        for job in self.jobs:
            for one in job.holds:
                if one.takes != name or (job.code, one.ends_with) in self.begun:
                    continue
                first = (job.code, one.begins_with)
                begins = self.now_min if first in self.begun else self.steps[first].begins[0]
                ends = self._ends((job.code, one.ends_with))
                length = m.new_int_var(0, self.horizon_min, "kept")
                kept = m.new_interval_var(begins, length, ends, "kept")
                found.append((kept, one.amount))
        return found

    def _cumulative(
        self, taken: "list[tuple[cp_model.IntervalVar, int]]", used: np.ndarray, most: int
    ) -> None:
        fixed = [(self._fixed(span), height) for span, height in blocks_of(used)]
        every = [*taken, *fixed]
        if most == 1:
            self.model.add_no_overlap([one for one, height in every if height])
        else:
            self.model.add_cumulative([one for one, _ in every], [much for _, much in every], most)

    def _fixed(self, span: Span) -> "cp_model.IntervalVar":
        return self.model.new_fixed_size_interval_var(span[0], span[1] - span[0], "")


def _together(spans: Sequence[Span]) -> tuple[Span, ...]:
    found: list[Span] = []
    for begins, ends in spans:
        if found and found[-1][1] == begins:
            found[-1] = (found[-1][0], ends)
        else:
            found.append((begins, ends))
    return tuple(found)
