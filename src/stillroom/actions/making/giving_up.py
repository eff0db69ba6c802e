"""A batch is given up: ended with its reason, whatever its steps; what it used stays used.

What it made and nobody may use by mistake is stopped. A batch given up by mistake is taken up again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.actions.book.acts import Act
from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.asking.entries import needed
from stillroom.asking.readers import Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import BatchGivenUp, Entry, StatusDecided
from stillroom.records.lots import Status
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenUp(Said):
    """Why a batch ends at whatever step it stands."""

    why: str = needed(
        Words(long=True), label=later("What happened"), hint=later("Begun by mistake, spilled, spoiled"),
        must=later("A batch is given up for a reason"), do=later("Say what happened"),
    )  # fmt: skip


def _write(pen: BookWriter, batch: str, said: GivenUp) -> Done:
    pen.look.batch(batch)
    if pen.look.given_up(batch) is not None:
        raise BadEntry(
            "A batch is given up once",
            worded("{batch}, which is given up", batch=batch),
            "Nothing is left to do",
        )
    numbers = [pen.enter(BatchGivenUp(batch, said.why))]
    for lot in pen.look.lots(made_by=batch):
        if lot.kind.traits.is_wanted and _may_be_used(pen, lot.code):
            meaning = f"batch {batch} was given up: {said.why}"
            numbers.append(pen.enter(StatusDecided(lot.code, Status.STOPPED, meaning)))
    return Done(tuple(numbers), t("{batch} is given up. What it used stays used.", batch=batch))


give_up = Act(
    name="give-up",
    action="give up",
    said=GivenUp,
    writes=_write,
    of="BATCH",
    title=later("Give up {batch}"),
    lead=later(
        "The batch ends here. What it used stays used; what it made is stopped. It can be taken up again by "
        "correcting the entry."
    ),
    button=later("Give it up"),
    address="/make/{code}/give-up",
    then="/make/{code}",
    stops=True,
)


def _may_be_used(pen: BookWriter, lot: str) -> bool:
    return pen.look.status(lot) not in (Status.STOPPED, Status.REJECTED)


def _fields(_: Reader, entry: Entry[BatchGivenUp]) -> tuple[Field, ...]:
    said = "yes" if not entry.body.taken_up_again else "no"
    choices = (("yes", t("given up")), ("no", t("taken up again")))
    return (
        Field("why given up", t("why"), entry.body.why, kind="long"),
        Field("given up", t("the batch is"), said, choices=choices),
    )


def _applies(pen: BookWriter, entry: Entry[BatchGivenUp], changed: Mapping[str, str], why: str) -> Done:
    right = replace(
        entry.body,
        why=changed.get("why given up", entry.body.why),
        taken_up_again=changed.get("given up", "no" if entry.body.taken_up_again else "yes") == "no",
    )
    number = enter_again(pen, entry, right, why)
    says = (
        later("{batch} is taken up again.")
        if right.taken_up_again
        else later("{batch} is given up. What it used stays used.")
    )
    return Done((number,), t(says, batch=entry.body.batch))


GIVEN_UP = Way(
    _fields, _applies, later("Lots that were stopped with it stay stopped until somebody releases them.")
)
