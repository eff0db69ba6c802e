"""How many days an order takes, when to begin, and what is said where that day is past."""

from stillroom.documents.blocks import Facts
from stillroom.documents.numbers_shown import number
from stillroom.planning.working_days import WhenToBegin
from stillroom.texts.catalogue import t


def days_facts(when: WhenToBegin, due: str) -> Facts:
    """How many days the work takes, when to begin, and what is said where that day is past.

    Parameters
    ----------
    due : str
        ISO date of the order.
    """
    days, begin = when.days, when.begin_by
    if when.is_past:
        begin = t(
            "{begin_by}, which is past. Begun on {today}, it is ready on {ready} at the "
            "earliest: {due} cannot be met by {days} working days.",
            begin_by=when.begin_by,
            today=when.today,
            ready=when.ready_at_the_earliest,
            due=due,
            days=days.days,
        )
    return Facts(
        (
            (t("Working days"), t("{days}, if nothing else is done", days=days.days)),
            (t("Begin by"), begin),
            (
                t("Counted at"),
                t(
                    "{hours_per_day:g} h a day, {because}",
                    hours_per_day=when.hours_per_day,
                    because=when.because,
                ),
            ),
            (t("What takes longest"), f"{days.longest_step}, {number(days.longest_h, 1)} h"),
        )
    )
