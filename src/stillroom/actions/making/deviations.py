"""What went otherwise than the procedure says, and what was done about it."""

from dataclasses import replace
from typing import Any, Unpack

from stillroom.actions.book.correction import enter_again
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry
from stillroom.records.entries import DeviationNoted, Entry
from stillroom.records.entry_json import body_to_json
from stillroom.store.book_writer import BookWriter
from stillroom.texts.catalogue import t

WRITTEN_WITH_IT = 2
"""So many entries behind a step or a filling stands the deviation that was written with it."""


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


def slip_was_corrected(
    pen: BookWriter, entry: Entry[Any], step: str, number: int, why: str
) -> tuple[int, ...]:
    """Say in the deviation that an error wrote by itself that the error was corrected; both stay.

    Parameters
    ----------
    entry : Entry
        That was corrected; its first writing asked, and wrote the deviation right behind it.
    number : int
        Of the entry that stands in its place.

    Returns
    -------
    tuple of int
        Numbers of the deviations written again; empty where none was written with it.
    """
    first = entry
    while first.corrects is not None:
        first = pen.look.entry(first.corrects)
    written = [
        one for one in pen.look.deviations(entry.body.batch)
        if one.body.step == step
        and 0 < one.entry_no - first.entry_no <= WRITTEN_WITH_IT
        and (one.by, one.entered_at) == (first.by, first.entered_at)
    ]  # fmt: skip
    numbers = []
    for one in written:
        said = t(
            "entry {corrects}, of which this speaks, was corrected by entry {entry_no}: {why}",
            corrects=entry.entry_no,
            entry_no=number,
            why=why,
        )
        done = "; ".join(part for part in (one.body.done_about_it, said) if part)
        numbers.append(enter_again(pen, one, replace(one.body, done_about_it=done, closed=True), why))
    return tuple(numbers)
