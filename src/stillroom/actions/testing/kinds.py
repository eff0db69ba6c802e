"""The kinds of test, one file each: what is entered, what counts, what is written, and what is told of it.

A new kind is a file with an ``Act`` in it, and its line here; every door walks this table.
"""

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

from stillroom.actions.book.acts import Act

KINDS: Mapping[str, str] = {
    "titration": "titration:titrate",
}
"""Each kind by its verb, and where it is declared, in the order in which a lot offers them."""


@cache
def kind_of_test(name: str) -> Act[Any]:
    """A kind of test.

    Parameters
    ----------
    name : str
        Key of ``KINDS``. [text]
    """
    module, _, declared = KINDS[name].partition(":")
    found: Act[Any] = getattr(import_module(f"stillroom.actions.testing.{module}"), declared)
    return found


@cache
def kinds_of_test() -> tuple[Act[Any], ...]:
    """Every kind."""
    return tuple(kind_of_test(name) for name in KINDS)
