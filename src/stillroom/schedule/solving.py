"""The best day: jobs on a bench, laid out so that first nothing is late, then nobody is tied up, then it ends early.

Promises a schedule that keeps every rule, the same for the same question, and says how sure it is that none is better.
The effort is counted in the solver's own steps, not in seconds, so that a slower machine finds the same.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.errors import NotEnough, worded
from stillroom.schedule.aims import AIMS, Aim, aims_of
from stillroom.schedule.bench import Bench
from stillroom.schedule.by_rule import by_rule, scheduled
from stillroom.schedule.jobs import Job, Pace
from stillroom.schedule.model import BenchModel
from stillroom.schedule.placed import Placed, Schedule
from stillroom.schedule.sound import refuse_unsound

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

EFFORT = 0.25
"""Of each aim, in the solver's own seconds: about a second of an ordinary laptop where nothing can be proven."""
TIDYING = 0.3
"""Share of that for what only tidies up."""
SEARCHES = 1
"""One search repeats itself on every machine; several that take turns were ten times slower on two cores."""
SEED = 1


def schedule(
    jobs: Sequence[Job],
    bench: Bench,
    horizon_min: int,
    *,
    begun: Sequence[Placed] = (),
    now_min: int = 0,
    pace: Pace = "usual",
    aims: Sequence[Aim] = AIMS,
    effort: float = EFFORT,
    hinted: bool = True,
    tidy: bool = True,
) -> Schedule:
    """Lay out jobs on a bench.

    Parameters
    ----------
    horizon_min : int
        How far is planned; everything ends before. [min]
    begun : sequence of Placed
        What has begun or is over: it stays where it is.
    now_min : int
        Nothing else begins before. [min]
    pace : "least", "usual" or "longest"
        Which of its durations each step is laid out with.
    aims : sequence of str
        What counts, the first most: "due", "tied up", "end".
    effort : float
        How long each aim is worked at, in the solver's own seconds.
    hinted : bool
        Whether the search begins from the day by the plain rule.
    tidy : bool
        Whether every job is drawn forward last of all, which moves the end no more.

    Returns
    -------
    Schedule
        "proven" where every aim was proven; else with how much earlier it could end.

    Raises
    ------
    BadEntry, NotEnough, UnknownName
        Something is missing, goes in a circle or is shorter than it must be; or nothing keeps all rules.
    """
    refuse_unsound(jobs, bench, horizon_min, begun)
    first = by_rule(jobs, bench, horizon_min, begun=begun, now_min=now_min, pace=pace) if hinted else None
    model = BenchModel(jobs, bench, horizon_min, begun=begun, now_min=now_min, pace=pace)
    found = solved(model, aims_of(model, aims, tidy=tidy), effort, first, aside=int(tidy and len(jobs) > 1))
    if found is not None:
        return found
    if first is not None:
        return first
    raise NotEnough(
        "Everything must fit into the time and onto the bench",
        worded(
            "no way to lay out {jobs}" if model.impossible else "none found in that time for {jobs}",
            jobs=", ".join(one.code for one in jobs),
        ),
        "Ask what would have to give" if model.impossible else "Try again with more effort, or move a job",
    )


def solved(
    model: BenchModel,
    aims: "Sequence[cp_model.LinearExprT]",
    effort: float = EFFORT,
    first: Schedule | None = None,
    aside: int = 1,
) -> Schedule | None:
    """The best schedule of a model by one aim after the other; None where none was found.

    Parameters
    ----------
    aims : sequence of expressions
        Each is made small, and then kept.
    effort : float
        For each aim, in the solver's own seconds.
    first : Schedule or None
        Where the search begins.
    aside : int
        How many of the last aims only tidy up: they need not be proven.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    ask = solver.parameters
    ask.num_workers, ask.interleave_search, ask.random_seed = SEARCHES, True, SEED
    found: Schedule | None = None
    proven, better = True, 0
    if first is not None:
        model.hint({one.key: one for one in first.placed}, first.breaks)
    main = len(aims) - aside
    for at, aim in enumerate(aims):
        model.model.minimize(aim)
        ask.max_deterministic_time = effort if at < main else effort * TIDYING
        outcome = solver.solve(model.model)
        if outcome not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            model.impossible = found is None and outcome == cp_model.INFEASIBLE
            proven = proven and at >= main
            break
        found = scheduled(
            model.jobs, model.bench, model.horizon_min, model.placed_by(solver), model.breaks_by(solver)
        )
        best = round(solver.objective_value)
        if at < main and outcome != cp_model.OPTIMAL:
            proven = False
        if at == main - 1:
            better = best - max(round(solver.best_objective_bound), 0) if not proven else 0
        model.model.add(aim <= best)
        model.hint_all(solver)
    return None if found is None else replace(found, sure="proven" if proven else "gap", better_by_min=better)
