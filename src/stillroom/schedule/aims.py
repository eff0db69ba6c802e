"""What a good day is: first nothing late, then nobody tied up for nothing, then an early end."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal, TypeAlias

from stillroom.schedule.minutes import presence
from stillroom.schedule.model import BenchModel

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Aim: TypeAlias = Literal["due", "tied up", "end"]
AIMS: tuple[Aim, ...] = ("due", "tied up", "end")


def aims_of(model: BenchModel, aims: Sequence[Aim], *, tidy: bool = True) -> "list[cp_model.LinearExprT]":
    """What is made small, one after the other; last of all every job ends as early as it may."""
    m, jobs = model.model, model.jobs
    ends = [model.end_of(job) for job in jobs]
    end = m.new_int_var(0, 2**30, "end")
    m.add_max_equality(end, ends)
    made: "dict[Aim, Callable[[], list[cp_model.LinearExprT]]]" = {  # noqa: UP037
        "due": lambda: lateness(model, ends),
        "tied up": lambda: [sum(_attended_spans(model))] if any(
            step.attention != "free" for job in jobs for step in job.steps) else [],
        "end": lambda: [end],
    }  # fmt: skip
    found = [one for aim in aims for one in made[aim]()]
    if model.over:
        found.insert(0, sum(model.over))
    return [*found, sum(ends)] if tidy and len(jobs) > 1 else found


def lateness(model: BenchModel, ends: "Sequence[cp_model.LinearExprT]") -> "list[cp_model.LinearExprT]":
    """Minutes that jobs end after they are due, by their weight; none where nothing is due.

    Parameters
    ----------
    ends : sequence of expressions
        Of each job. [min]
    """
    m = model.model
    found = []
    for job, end in zip(model.jobs, ends, strict=True):
        if job.due_min is not None:
            late = m.new_int_var(0, 2**30, f"{job.code} late")
            m.add(late >= end - job.due_min)
            found.append(job.weight * late)
    return [sum(found)] if found else []


def _attended_spans(model: BenchModel) -> "list[cp_model.LinearExprT]":
    """For each day of work, how long somebody must be there [min]."""
    m = model.model
    found: "list[cp_model.LinearExprT]" = []  # noqa: UP037
    days = presence(model.bench, model.horizon_min)
    attended = [one for one in model.steps.values() if one.step.attention != "free"]
    standing = [
        span
        for key, placed in model.begun.items()
        if model.step_of(key).attention != "free"
        for span in placed.pieces
    ]
    within: "dict[tuple[int, int, int], cp_model.IntVar]" = {}  # noqa: UP037
    for at, one in enumerate(attended):
        for piece, there in enumerate(one.there):
            if len(days) == 1:
                within[at, piece, 0] = there
                continue
            literals = [m.new_bool_var(f"day {day}") for day in range(len(days))]
            m.add(sum(literals) == there)
            for day, literal in enumerate(literals):
                within[at, piece, day] = literal
    for day, (begins, ends) in enumerate(days):
        first = m.new_int_var(begins, ends, f"first {day}")
        last = m.new_int_var(begins, ends, f"last {day}")
        m.add(last >= first)
        for at, one in enumerate(attended):
            for piece in range(len(one.pieces)):
                literal = within[at, piece, day]
                m.add(first <= one.begins[piece]).only_enforce_if(literal)
                m.add(last >= one.ends[piece]).only_enforce_if(literal)
        busy = [
            within[at, 0, day] * one.step.minutes(model.pace)
            for at, one in enumerate(attended)
            if one.step.attention == "hands" and len(one.pieces) == 1
        ]
        if busy:  # says no more than the intervals do, but bounds the search from below
            m.add(sum(busy) <= len(model.bench.people) * (last - first))
        for a, b in standing:
            if a < ends and b > begins:
                m.add(first <= max(a, begins))
                m.add(last >= min(b, ends))
        found.append(last - first)
    return found
