"""The figures of an answer by names a program can rely on: the attributes of what was found.

Promises that a name does not hang on words a person reads: labels are reworded and translated, names stay. The names of
each question stand in a list that only grows (``tests/questions/figures.txt``).
"""

import dataclasses
from collections.abc import Iterator, Mapping
from typing import TypeAlias

from stillroom.answers.budget import Stated
from stillroom.evidence.answer import Answer

Known: TypeAlias = "Answer | Stated"
WRAPPED = "found"
"""An attribute of this name only wraps what was found, and is no part of a name."""


def figures_of(found: object) -> dict[str, Known]:
    """Every figure of what was found, by name.

    Parameters
    ----------
    found : object
        Record of answers, of records and of tuples of these; ``figures`` of a record that names them itself.

    Returns
    -------
    dict of str to Answer or Stated
        "water", "remaining_share", "set_ups.2.limit"; what is numbered is numbered from 1.

    Examples
    --------
    >>> from stillroom.evidence.answer import assumed
    >>> @dataclasses.dataclass
    ... class Mixed:
    ...     water: Answer
    ...     lines: tuple[Answer, ...]
    >>> of_a_line = assumed("spirit", 2.0, "g", "an example")
    >>> list(figures_of(Mixed(assumed("water", 1.0, "g", "an example"), (of_a_line,))))
    ['water', 'lines.1']
    """
    return dict(_figures(found, ()))


def _figures(found: object, path: tuple[str, ...]) -> Iterator[tuple[str, Known]]:
    if isinstance(found, Answer | Stated):
        yield ".".join(path), found
        return
    inside: Iterator[tuple[str, object]]
    own = getattr(found, "figures", None)
    if isinstance(own, Mapping):
        inside = iter(own.items())
    elif dataclasses.is_dataclass(found):
        inside = ((one.name, getattr(found, one.name)) for one in dataclasses.fields(found))
    elif isinstance(found, tuple | list):
        inside = ((str(at), one) for at, one in enumerate(found, 1))
    elif isinstance(found, Mapping):
        inside = ((str(key), one) for key, one in found.items())
    else:
        return
    for name, one in inside:
        yield from _figures(one, path if name == WRAPPED else (*path, name))


def answer_in(known: Known) -> Answer:
    """The answer, with or without its budget."""
    return known.answer if isinstance(known, Stated) else known
