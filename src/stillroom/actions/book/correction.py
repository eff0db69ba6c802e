"""How an entry of one kind is put right: which of its fields may be, and what is written instead.

A ``Way`` stands beside what it puts right; ``correcting`` holds the table of them. The new entry names the old one
and keeps the time at which the thing was done; when it was put right is the time it was entered.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.records.entries import Body, Entry
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader


@dataclass(frozen=True, slots=True)
class Field:
    """One thing an entry says that may be put right."""

    name: str
    """Such as "mass glycerin", "note": what a correction calls it."""
    label: str
    """What a form writes beside it."""
    says: str
    """What stands there now, as it was written."""
    unit: str = ""
    """Taken where a figure is written without one."""
    kind: Literal["text", "long", "date"] = "text"
    """Kind of the field of a form."""
    choices: tuple[tuple[str, str], ...] = ()
    """What may be chosen, and its words; empty for what is written freely."""
    line: str = ""
    """Line of the step it belongs to, "" for none."""


Fields: TypeAlias = Callable[[Reader, Entry[Any]], tuple[Field, ...]]
Applies: TypeAlias = Callable[[BookWriter, Entry[Any], Mapping[str, str], str], Done]


@dataclass(frozen=True, slots=True)
class Way:
    """How entries of one kind are put right."""

    fields: Fields
    """What of an entry may be put right; the first one is meant where none is named."""
    applies: Applies
    """Takes the pen, the entry, the fields that changed and the reason; writes the new entry and what follows
    from it."""
    follows: str
    """Name of the sentence that says what follows."""


def enter_again(pen: BookWriter, old: Entry[Any], body: Body, why: str, *, done_at: str = "") -> int:
    """Write an entry in place of another, done when that was done unless another time is given.

    Parameters
    ----------
    done_at : str
        ISO time, where the time itself is put right.

    Returns
    -------
    int
        Number of the new entry.
    """
    return pen.enter(
        body,
        done_at=done_at or old.done_at,
        why=reason_of(why),
        corrects=old.entry_no,
        attachments=old.attachments,
    )


def reason_of(why: str) -> str:
    """The reason of a correction.

    Raises
    ------
    BadEntry
        There is none.
    """
    if not why.strip():
        raise BadEntry(
            "A correction says how the error happened",
            "nothing",
            "Write the reason in a few words",
            where="why",
        )
    return why.strip()


def order_stands_in(lab: Laboratory, code: str) -> int:
    """Number of the entry that an order stands in, the last correction of it."""
    with lab.look() as look:
        taken = look.latest("order taken", look.order(code).code)
    if taken is None:
        raise UnknownName(worded("Order {code} stands in no entry", code=code), do="Open the orders")
    return taken.entry_no
