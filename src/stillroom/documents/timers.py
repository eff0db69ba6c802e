"""What stands and waits, by the clock: since when, ready when, no later than when, and what a cut did to that.

Every time is reckoned from a written time, so it is right after a phone has slept. None of them rings.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from stillroom.documents.calendar_entry import CalendarEntry
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class Timer:
    """One wait of a batch in hand.

    ``batch``, ``step``: the step whose minutes are running.
    """

    batch: str
    step: str
    since: datetime
    """When they began: the time that was written."""
    ready: datetime | None
    """When the step may be gone on with."""
    no_later: datetime | None
    """When what it gave must be used."""
    supposed: bool = False
    """True where nobody wrote that the step has begun: it is reckoned as if it had, at ``since``."""
    cuts: tuple[str, ...] = ()
    """What water or power did meanwhile."""

    @property
    def says(self) -> str:
        """The wait in one sentence."""
        parts = [t("if begun {when}" if self.supposed else "since {when}", when=clock(self.since))]
        if self.ready is not None:
            parts.append(t("ready {when}", when=clock(self.ready, self.since)))
        if self.no_later is not None:
            parts.append(t("no later than {when}", when=clock(self.no_later, self.since)))
        return ", ".join(parts)


def clock(moment: datetime, beside: datetime | None = None) -> str:
    """A moment as it stands on the wall, with its day unless it is the day of the one beside it."""
    same_day = beside is not None and beside.date() == moment.date()
    return f"{moment:%H:%M}" if same_day else f"{moment:%Y-%m-%d %H:%M}"


def calendar_entries(timers: Sequence[Timer], book_id: str) -> tuple[CalendarEntry, ...]:
    """The moments of some waits, for a calendar.

    Parameters
    ----------
    book_id : str
        Identity of the book, so that the same moment keeps its name.
    """
    found = []
    for one in timers:
        for name, moment, title in (
            ("ready", one.ready, t("{batch}: {step} is ready", batch=one.batch, step=one.step)),
            (
                "no-later",
                one.no_later,
                t("{batch}: use what {step} gave now", batch=one.batch, step=one.step),
            ),
        ):
            if moment is not None:
                uid = f"{one.batch}-{one.step}-{name}@{book_id}".replace(" ", "-")
                says = ". ".join(
                    (
                        t("{step} of {batch}: {says}", step=one.step, batch=one.batch, says=one.says),
                        *one.cuts,
                    )
                )
                found.append(CalendarEntry(uid, moment, title, says))
    return tuple(found)
