"""How long a step takes here: this laboratory's own times, else the procedure's, else what is usual.

Own times are those of steps that were tapped when they began and written when they were done. Least, usual and longest
are the shortest, the middle and the longest of them.
"""

from dataclasses import dataclass
from datetime import datetime
from statistics import median_low

import numpy as np

from stillroom.actions.orders.forecasting import work_of_course
from stillroom.actions.orders.work_planned import charge_planned
from stillroom.errors import StillroomError
from stillroom.records.procedures import Procedure, Step
from stillroom.reference.tables import Row, table
from stillroom.schedule.jobs import Attention
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.kind import Work

PARTS: tuple[Attention, ...] = ("hands", "watch", "free")
NOTHING_SAID_MIN = 30
"""Hands of a step of which nothing is known; common practice, no source. [min]"""


@dataclass(frozen=True, slots=True)
class StepTimes:
    """Minutes of hands, watching and nobody, and from where they are known.

    ``hands_min``, ``watch_min``, ``free_min``: [min]
    ``least_share``, ``longest_share``: how much shorter and longer it may be, as a share of the usual. [1]
    """

    hands_min: int
    watch_min: int
    free_min: int
    least_share: float = 1.0
    longest_share: float = 1.0
    own_runs: int = 0
    """How often it was done here with its beginning tapped."""
    assumed: bool = False
    """Whether neither the procedure nor the laboratory knows."""

    def minutes(self, part: Attention) -> int:
        """Minutes of one part [min]."""
        return {"hands": self.hands_min, "watch": self.watch_min, "free": self.free_min}[part]


def usual_work(kind: str) -> Row | None:
    """The row of the table of usual work for a kind of step or other work; None where it has none."""
    return next((one for one in table("bench_work").rows if one.key == kind), None)


def minutes_of(row: Row | None, column: str) -> int:
    """A cell of that table; an empty one is none."""
    value = None if row is None else row[column]
    return round(float(value)) if isinstance(value, int | float) else 0


def times_of(look: Reader, procedure: Procedure, step: Step, batch: str = "", order: str = "") -> StepTimes:
    """How long a step takes here.

    Parameters
    ----------
    batch : str
        Whose mass it is for; "" before one is begun.
    order : str
        Whose size it is for before that; "" for none.
    """
    hands, watch, free = _asked(look, procedure, step, batch, order)
    usual = {part: minutes_of(usual_work(step.kind), f"{part}_min") for part in PARTS}
    assumed = hands + watch + free == 0 or (not watch and usual["watch"] > 0)
    if hands + watch + free == 0:
        hands, free = usual["hands"], usual["free"]
    if not watch:
        watch = usual["watch"]  # the procedure states its hands only, and no mass says how long it boils
    hands = hands if hands + watch + free else NOTHING_SAID_MIN
    own = own_minutes(look, procedure.code).get(step.name, ())
    if not own:
        return StepTimes(hands, watch, free, assumed=assumed)
    middle, said = median_low(own), hands + watch + free
    share = middle / said
    hands, watch, free = (max(round(one * share), 1) if one else 0 for one in (hands, watch, free))
    return StepTimes(hands, watch, free, min(own) / middle, max(own) / middle, len(own))


@once
def own_minutes(look: Reader, procedure: str) -> dict[str, tuple[int, ...]]:
    """What each step of a procedure took here, of the runs whose beginning was tapped [min]."""
    tapped: dict[tuple[str, str], datetime] = {}
    for one in look.bench_notes():
        if one.body.what == "begun":
            tapped[one.body.subject, one.body.step] = datetime.fromisoformat(one.done_at)
    found: dict[str, list[int]] = {}
    subjects = {subject for subject, _ in tapped}
    batches = [one for one in look.batches_by(procedure) if one in subjects]
    look.batches_ahead(batches)
    for batch in batches:
        for entry in look.steps(batch):
            since = tapped.get((batch, entry.body.step))
            if since is None or entry.body.not_done:
                continue
            took = round((datetime.fromisoformat(entry.done_at) - since).total_seconds() / 60)
            if took > 0:
                found.setdefault(entry.body.step, []).append(took)
    return {name: tuple(minutes) for name, minutes in found.items()}


def _asked(look: Reader, procedure: Procedure, step: Step, batch: str, order: str) -> tuple[int, int, int]:
    """What the procedure states and its kind asks for the mass of the batch or order, else what its settings say."""
    work = _work(look, procedure, step.name, batch, order)
    if work is not None:
        found = [round(float(np.median(one))) for one in (work.hands_min, work.watch_min, work.free_min)]
        return found[0], found[1], found[2]
    own = {one.name: one.value for one in step.settings}
    watch = step.watch_min + own.get("cycles", 0.0) * own.get("cycle_min", 0.0) + own.get("distil_min", 0.0)
    free = step.free_min + (own.get("portions", 1.0) * own.get("contact_min", 0.0))
    return round(step.hands_min), round(watch), round(free)


def _work(look: Reader, procedure: Procedure, step: str, batch: str, order: str) -> Work | None:
    account = None
    if batch:
        try:
            account = work_of_course(look, batch)
        except StillroomError:
            return None
    elif order and procedure.purpose == "extraction":
        account = charge_planned(look, order)
    if account is None or not account.reaches(step):
        return None
    return account.step(step).work
