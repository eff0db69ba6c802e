"""How many days an order takes, when to begin, and what is said where that day is past."""

from stillroom.documents.blocks import Facts
from stillroom.documents.showing import number
from stillroom.planning.working_days import WhenToBegin
from stillroom.texts.catalogue import t


def days_facts(when: WhenToBegin, due: str) -> Facts:
    """How many days the work takes, when to begin, and what is said where that day is past.

    Parameters
    ----------
    when : WhenToBegin
    due : str
        ISO date of the order.
    """
    days, begin = when.days, when.begin_by
    if when.is_past:
        begin = t(
            "ordering.past_begin",
            begin_by=when.begin_by,
            today=when.today,
            ready=when.ready_at_the_earliest,
            due=due,
            days=days.days,
        )
    return Facts(
        (
            (t("ordering.working_days"), t("ordering.nothing_else_done", days=days.days)),
            (t("ordering.begin_by"), begin),
            (
                t("ordering.counted_at"),
                t("ordering.hours_a_day_because", hours_per_day=when.hours_per_day, because=when.because),
            ),
            (t("ordering.what_takes_longest"), f"{days.longest_step}, {number(days.longest_h, 1)} h"),
        )
    )
