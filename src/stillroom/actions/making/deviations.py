"""What went otherwise than the procedure says, and what was done about it."""

from dataclasses import dataclass, replace
from typing import Any

from stillroom.actions.book.acts import Act
from stillroom.actions.book.correction import enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.making.steps_in_hand import next_step
from stillroom.asking.entries import needed, taken
from stillroom.asking.readers import Words
from stillroom.asking.said import Said
from stillroom.records.entries import DeviationNoted, Entry
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

WRITTEN_WITH_IT = 2
"""So many entries behind a step or a filling stands the deviation that was written with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise(Said):
    """At which step something went otherwise than the procedure says, what, and what was done about it."""

    step: str = needed(Words(), label=later("At which step"), offers="step of it", argument=True)
    what: str = needed(
        Words(long=True), label=later("What was different"), must=later("A deviation says what was different"),
        do=later("Write what happened"), argument=True,
    )  # fmt: skip
    done: str = taken(
        "", Words(long=True), label=later("What was done about it"), hint=later("Left empty, it stays open"),
        help="What was done about it; left out, it stays open.",
    )  # fmt: skip


def _write(pen: BookWriter, batch: str, said: Otherwise) -> Done:
    """The deviation; one about which nothing was done must be closed before release."""
    pen.look.procedure_of(batch).step(said.step)
    body = DeviationNoted(batch, said.step, said.what, said.done, closed=bool(said.done))
    return Done((pen.enter(body),), t("Written beside {step} of {batch}.", step=said.step, batch=batch))


def _offered(look: Reader, batch: str) -> dict[str, str]:
    step = next_step(look, batch)
    return {"step": step.name} if step else {}


note_deviation = Act(
    name="deviation",
    action="note deviation",
    said=Otherwise,
    writes=_write,
    help="WHAT was different at STEP of BATCH; an open deviation is closed before release.",
    of="BATCH",
    title=later("Report a deviation"),
    lead=later("Written beside the step. Left open, it is closed before release."),
    button=later("Save"),
    address="/make/{code}/deviation",
    then="/make/{code}",
    offered=_offered,
)


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
