"""The siphonings of a batch that somebody tapped, and its procedure with as many siphonings as there were.

A tap is a reading of its batch. What a fresh filling of the thimble began is counted by itself.
"""

from dataclasses import replace
from datetime import datetime

from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.procedures import Procedure, Setting
from stillroom.science.extraction.watching_taps import siphonings_of
from stillroom.store.reader import Reader

HEAT, TAP, FILLED = "heat on", "siphoned", "fresh filling"
IT_SIPHONED = "it siphoned"
SOXHLET = "soxhlet"


def watched_step(look: Reader, batch: str) -> str:
    """Name of the step of a batch that is watched: its Soxhlet that is not done, else the last one; "" for none."""
    steps = [one.name for one in look.procedure_of(batch).steps if one.kind == SOXHLET]
    done = {entry.body.step for entry in look.steps(batch)}
    return next((one for one in steps if one not in done), steps[-1] if steps else "")


def taps_of(look: Reader, batch: str, step: str) -> list[Entry[ReadingTaken]]:
    """The taps of a step that stand, in the order of their times, since the thimble was filled last."""
    found = (one for one in since_filled(look, batch, TAP, step) if one.body.value > 0.0)
    return sorted(found, key=lambda one: (_moment(one), one.entry_no))


def since_filled(look: Reader, batch: str, what: str | None, step: str | None) -> list[Entry[ReadingTaken]]:
    """Readings of a batch since a fresh filling went into the thimble, all of them where none did.

    Parameters
    ----------
    what, step : str or None
        As ``look.readings`` takes them.
    """
    filled = max((_moment(one) for one in look.readings(batch, FILLED)), default=0.0)
    return [one for one in look.readings(batch, what, step) if _moment(one) >= filled]


def _moment(entry: Entry[ReadingTaken]) -> float:
    return datetime.fromisoformat(entry.done_at).timestamp()


def as_tapped(look: Reader, batch: str, procedure: Procedure) -> Procedure:
    """The procedure of a batch with the siphonings that its Soxhlet had by its taps; as planned until it is done."""
    name = watched_step(look, batch)
    if not name or name not in {one.body.step for one in look.steps(batch)}:
        return procedure
    taps = taps_of(look, batch, name)
    if not taps:
        return procedure
    begins = _moment(taps[0])
    counts = [0 if one.body.as_written == IT_SIPHONED else round(one.body.value) for one in taps]
    found = siphonings_of([(_moment(one) - begins) / 60.0 for one in taps], counts)

    def seen(one: Setting) -> Setting:
        if one.name == "cycles":
            return replace(one, value=float(found.minutes.size), because=f"{len(taps)} taps of {batch}")
        return one

    steps = tuple(
        replace(one, settings=tuple(seen(each) for each in one.settings)) if one.name == name else one
        for one in procedure.steps
    )
    return replace(procedure, steps=steps)
