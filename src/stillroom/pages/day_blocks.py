"""What the pages of the day say alike: that none is laid out, what no longer holds, what moved."""

from datetime import datetime

from stillroom.actions.day.live import LiveDay
from stillroom.documents.blocks import Block, Empty, Heading, Link, Points
from stillroom.documents.day_shown import Shown, clock_at, shown_day
from stillroom.documents.day_words import change_words, late_words
from stillroom.schedule.moving import changes
from stillroom.texts.catalogue import t

PLAN = "/bench/now/plan"


def no_day() -> Block:
    """What an empty page of the day says."""
    return Empty(
        t("No day is laid out yet."),
        t("Laid out once, it tells what to do now and next, for everybody who works here."),
        Link(t("Lay out the day"), PLAN),
    )


def shown_of(day: LiveDay) -> tuple[Shown, ...]:
    """Every stretch of the day as it goes."""
    return shown_day(day.kept.jobs, day.kept.bench, day.schedule, day.over)


def standing(day: LiveDay) -> list[Block]:
    """What is otherwise than it was laid out, first of all."""
    found: list[str] = list(late_words(day.schedule))
    if not day.fits:
        found.insert(0, t("The rest no longer fits as it was laid out: lay out the day again."))
    if day.now_min >= day.horizon_min:
        found.insert(0, t("What was laid out has ended: lay out the day again."))
    return [Points(tuple(found), "missing")] if found else []


def moved_blocks(day: LiveDay, now: datetime) -> list[Block]:
    """What lies elsewhere than where it was laid out; it stands last, since it is folded."""
    if not (day.moved and day.fits):
        return []
    every = changes(day.kept.schedule, day.schedule)
    ahead = [one for one in every if one.now_min is None or one.now_min >= day.now_min]
    said = change_words(ahead, lambda minute: clock_at(day.begins, minute, now))
    return [Heading(t("Moved since it was laid out"), folded=True), Points(said)] if said else []
