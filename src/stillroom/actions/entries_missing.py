"""Entries of a question that were left empty, told all at once."""

from collections.abc import Mapping

from stillroom.errors import BadEntry
from stillroom.records.sections import SeveralBadEntries


def refuse_missing(fields: Mapping[str, str], needed: Mapping[str, tuple[str, str]]) -> None:
    """Refuse a question while an entry it needs is empty.

    Parameters
    ----------
    fields : mapping of str to str
        What was said.
    needed : mapping of str to (str, str)
        Field, what it must hold, and what to do.

    Raises
    ------
    BadEntry
        One entry is empty, or several.
    """
    errors = [
        BadEntry(must, "nothing", do, where=name)
        for name, (must, do) in needed.items()
        if not fields.get(name, "").strip()
    ]
    if len(errors) > 1:
        raise SeveralBadEntries.of(errors)
    if errors:
        raise errors[0]
