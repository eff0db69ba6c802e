"""What went otherwise than the procedure says, and what was done about it."""

from dataclasses import replace
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import DeviationNoted
from stillroom.records.entry_json import body_to_json
from stillroom.texts.catalogue import t


def note_deviation(
    lab: Laboratory,
    batch: str,
    step: str,
    what: str,
    done_about_it: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write that something went otherwise than the procedure says, and what was done about it.

    An empty ``done_about_it`` leaves the deviation open; it must be closed before release.
    """
    if not what.strip():
        raise BadEntry("A deviation says what was different", "nothing", "Write what happened")
    body = DeviationNoted(
        batch, step, what.strip(), done_about_it.strip(), closed=bool(done_about_it.strip())
    )
    with lab.act("note deviation", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        begun = pen.look.batch(batch)
        pen.look.procedure(begun.procedure, begun.version).step(step)
        return Done((pen.enter(body),), t("Written beside {step} of {batch}.", step=step, batch=batch))


def close_deviation(
    lab: Laboratory,
    entry_no: int,
    done_about_it: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write what was done about an open deviation; the open entry stays to be read."""
    if not done_about_it.strip():
        raise BadEntry("A deviation is closed by what was done about it", "nothing", "Write what was done")
    asked = {"entry_no": entry_no, "done_about_it": done_about_it}
    with lab.act("close deviation", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        entry = pen.look.entry(entry_no)
        if not isinstance(entry.body, DeviationNoted) or entry.body.closed:
            raise BadEntry(
                "Only an open deviation is closed",
                worded("entry {entry_no}, {kind}", entry_no=entry_no, kind=entry.kind),
            )
        closed = replace(entry.body, done_about_it=done_about_it.strip(), closed=True)
        number = pen.enter(closed, why=done_about_it.strip(), corrects=entry_no)
        return Done(
            (number,),
            t("The deviation at {step} of {batch} is closed.", step=entry.body.step, batch=entry.body.batch),
        )
