"""How warm a step of a batch was that boils down, as somebody read it; and its procedure as the bench ran it.

A reading is of its batch and its step, at the time it is signed for. Nothing is told of a time before the first.
"""

from dataclasses import replace
from datetime import datetime

from stillroom.actions.book.siphonings_tapped import as_tapped
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.procedures import Procedure, Setting, Step
from stillroom.science.extraction.heat_dose import heat_dose_min
from stillroom.store.reader import Reader
from stillroom.stream.kinds import KINDS
from stillroom.stream.kinds.stopping import BREAKDOWN, DOSE, GENTLE_C, USUAL_BREAKDOWN, USUAL_GENTLE_C
from stillroom.texts.catalogue import t

WARM = "temperature of the liquid"
DOSE_DOUBT = 0.1
"""Of a dose by a thermometer that is 1 to 2 K off (common practice, no source). [1]"""


def warm_steps(look: Reader, batch: str) -> tuple[str, ...]:
    """Names of the steps of a batch whose warmth may be read."""
    steps = look.procedure_of(batch).steps
    return tuple(one.name for one in steps if one.kind in KINDS and DOSE in KINDS[one.kind].may)


def warmth_of(look: Reader, batch: str, step: str) -> list[Entry[ReadingTaken]]:
    """What was read at a step, in the order of the times."""
    return sorted(look.readings(batch, WARM, step), key=lambda one: datetime.fromisoformat(one.done_at))


def dose_read(look: Reader, batch: str, step: Step) -> Setting | None:
    """The heat dose of what was read at a step; None where fewer than two temperatures were."""
    read = warmth_of(look, batch, step.name)
    if len(read) < 2:
        return None
    begins = datetime.fromisoformat(read[0].done_at)
    minutes = [(datetime.fromisoformat(one.done_at) - begins).total_seconds() / 60.0 for one in read]
    given = {one.name: one.value for one in step.settings}
    dose_min = heat_dose_min(
        minutes, [one.body.value for one in read],
        given.get(GENTLE_C, USUAL_GENTLE_C), given.get(BREAKDOWN, USUAL_BREAKDOWN),
    )  # fmt: skip
    because = t("{count} temperatures of {batch}, entries {first} to {last}", count=len(read), batch=batch,
                first=read[0].entry_no, last=read[-1].entry_no)  # fmt: skip
    return Setting(DOSE, dose_min, "min", "lognormal", DOSE_DOUBT, "measured", because)


def as_it_ran(look: Reader, batch: str, procedure: Procedure) -> Procedure:
    """The procedure of a batch with what the bench saw of steps that are done: siphonings tapped, temperatures read."""
    done = {one.body.step for one in look.steps(batch)}
    found = as_tapped(look, batch, procedure)

    def ran(step: Step) -> Step:
        warm = step.name in done and step.kind in KINDS and DOSE in KINDS[step.kind].may
        read = dose_read(look, batch, step) if warm else None
        return step if read is None else replace(step, settings=(*step.settings, read))

    return replace(found, steps=tuple(ran(one) for one in found.steps))
