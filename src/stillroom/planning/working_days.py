"""Days of work: steps one after the other, hands and eyes in working hours, what passes by itself round the clock.

Promises a count for one pair of hands that does nothing else. Says nothing about bench places, water or power that
other jobs take: that is the schedule's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stillroom.errors import BadEntry, worded
from stillroom.planning.outcome import StepForecast

MINUTES_PER_DAY = 24 * 60
DAYS_PER_WEEK = 7
SATURDAY = 5
DAYS_BESIDES = 2
"""For what is no step: assay, decisions, labels; common practice, no source. [d]"""
MOST_DAYS = 20_000
"""About a working life and a half: beyond it a calendar tells nothing. [d]"""


@dataclass(frozen=True, slots=True)
class WorkingDays:
    """How long the steps take."""

    days: int
    """Working days from the first step to the last. [d]"""
    longest_step: str
    """The step that takes longest by itself: hands, watching and what passes alone, without the nights between."""
    longest_h: float
    """How long that is. [h]"""


@dataclass(frozen=True, slots=True)
class WhenToBegin:
    """How many days an order takes, and the last day to begin it."""

    days: WorkingDays
    begin_by: str
    """ISO date."""
    hours_per_day: float
    """Working hours of a day. [h]"""
    because: str
    """Where the working hours come from."""
    today: str = ""
    """ISO date it was asked."""
    ready_at_the_earliest: str = ""
    """ISO date; of work that begins today."""

    @property
    def is_past(self) -> bool:
        """Whether the last day to begin is over already."""
        return self.begin_by < self.today


def when_to_begin(
    steps: Sequence[StepForecast], due: str, hours_per_day: float, because: str, today: date
) -> WhenToBegin:
    """Days of an order and the last day to begin, with two days besides for assay, decisions and labels.

    Parameters
    ----------
    steps : sequence of StepForecast
        Each with its minutes. [min]
    due : str
        ISO date. [date]
    hours_per_day : float
        Working hours of a day. [h]
    because : str
        Where they come from.
    today : date
        The day it is asked. [date]

    Raises
    ------
    BadEntry
        As of ``working_days``.
    """
    days = working_days(steps, hours_per_day, besides=DAYS_BESIDES)
    return WhenToBegin(
        days, begin_by(due, days.days), hours_per_day, because, today.isoformat(), ready_by(today, days.days)
    )


def working_days(steps: Sequence[StepForecast], hours_per_day: float, *, besides: int = 0) -> WorkingDays:
    """Count the working days of steps done one after the other.

    Parameters
    ----------
    steps : sequence of StepForecast
        Each with its minutes. [min]
    hours_per_day : float
        Working hours of a day. [h]
    besides : int
        Days for what is no step: assay, decisions, labels. [d]

    Returns
    -------
    WorkingDays
        The count, and what takes longest. [d]

    Raises
    ------
    BadEntry
        The working hours do not lie above 0 and up to 24, or there are no steps.

    Notes
    -----
    Hands and watching are used up in working hours and go on the next morning where a day ends; the rest of a step
    passes day and night. A step is taken up on the day it can begin.
    """
    if not 0 < hours_per_day <= 24:
        raise BadEntry(
            "The working hours of a day lie above 0 and up to 24", f"{hours_per_day:g} h", "8 h is usual"
        )
    if not steps:
        raise BadEntry("Days are counted from steps", "none", "Name a procedure with steps")
    clock_min, day_min = 0.0, hours_per_day * 60.0
    longest, longest_min = steps[0].step, 0.0
    for step in steps:
        clock_min = _worked(clock_min, step.hands_min + step.watch_min, day_min) + step.free_min
        own_min = step.hands_min + step.watch_min + step.free_min
        if own_min > longest_min:
            longest, longest_min = step.step, own_min
    whole = int(clock_min // MINUTES_PER_DAY) + 1
    if whole > MOST_DAYS:
        raise BadEntry(
            worded("Days of work are counted up to {most} for one order", most=MOST_DAYS),
            worded("{whole:.0f} working days", whole=float(whole)),
            "Look at the number and the size of the bottles", where="bottles",
        )  # fmt: skip
    return WorkingDays(whole + besides, longest, longest_min / 60.0)


def begin_by(due: str, days: int) -> str:
    """The last day to begin so that the work ends on the day it is due; Saturdays and Sundays are free.

    Parameters
    ----------
    due : str
        ISO date. [date]
    days : int
        Working days. [d]

    Returns
    -------
    str
        ISO date. [date]
    """
    one = date.fromisoformat(due)
    while one.weekday() >= SATURDAY:
        one -= timedelta(days=1)
    for _ in range(days - 1):
        one -= timedelta(days=1)
        while one.weekday() >= SATURDAY:
            one -= timedelta(days=1)
    return one.isoformat()


def ready_by(today: date, days: int) -> str:
    """The day that work begun on a day is ready; Saturdays and Sundays are free.

    Parameters
    ----------
    today : date
        The first day. [date]
    days : int
        Working days. [d]

    Returns
    -------
    str
        ISO date. [date]
    """
    one = today
    while one.weekday() >= SATURDAY:
        one += timedelta(days=1)
    for _ in range(days - 1):
        one += timedelta(days=1)
        while one.weekday() >= SATURDAY:
            one += timedelta(days=1)
    return one.isoformat()


def _worked(clock_min: float, work_min: float, day_min: float) -> float:
    """The clock after so many minutes of work, which only pass in working hours."""
    while work_min > 0:
        day, at_min = divmod(clock_min, MINUTES_PER_DAY)
        left_min = day_min - at_min
        if left_min <= 0:
            clock_min = (day + 1) * MINUTES_PER_DAY
            continue
        spent_min = min(left_min, work_min)
        clock_min += spent_min
        work_min -= spent_min
    return clock_min
