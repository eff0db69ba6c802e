"""What went otherwise than the procedure says, and what was done about it."""

from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry
from stillroom.records.entries import DeviationNoted
from stillroom.records.entry_json import body_to_json
from stillroom.texts.catalogue import t


def note_deviation(
    lab: Laboratory, batch: str, step: str, what: str, done_about_it: str, **sign: Unpack[Signed]
) -> Done:
    """Write that something went otherwise than the procedure says, and what was done about it.

    An empty ``done_about_it`` leaves the deviation open; it must be closed before release.
    """
    if not what.strip():
        raise BadEntry("A deviation says what was different", "nothing", "Write what happened")
    body = DeviationNoted(
        batch, step, what.strip(), done_about_it.strip(), closed=bool(done_about_it.strip())
    )
    with lab.act("note deviation", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.procedure_of(batch).step(step)
        return Done((pen.enter(body),), t("Written beside {step} of {batch}.", step=step, batch=batch))
