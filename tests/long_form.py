"""The long form of the tests and the short one: what a walk tries of all there is; and the studies, longer than both.

``python3 start.py selftest --all`` and CI run the long form: everything. ``python3 start.py selftest`` tries a fixed
share of what a long walk goes through, the same in every run and on every machine: chosen by the name of each thing, so
that a new one moves no other. What is left to the long form stands in CONTRIBUTING.md. ``STILLROOM_STUDY=1`` runs the
few that simulate hundreds of laboratories, runs or benches in their whole number, with no slack for chance.
"""

import os
from collections.abc import Iterable
from typing import TypeVar
from zlib import crc32

import pytest

ALL = bool(os.environ.get("STILLROOM_ALL"))
STUDY = bool(os.environ.get("STILLROOM_STUDY"))
One = TypeVar("One")
only_in_the_long_form = pytest.mark.skipif(not ALL, reason="in the long form: selftest --all")


def some_of(everything: Iterable[One], one_in: int) -> list[One]:
    """All of them in the long form, else about one in so many, and never none.

    Parameters
    ----------
    everything : iterable
    one_in : int
        Of how many one is taken. [1]
    """
    found = list(everything)
    chosen = [one for one in found if crc32(repr(one).encode()) % one_in == 0]
    return found if ALL else chosen or found[:1]


def times(in_all: int, in_short: int) -> int:
    """How often something is tried. [1]."""
    return in_all if ALL else in_short


def studied(in_study: int, in_all: int, in_short: int) -> int:
    """How often something is simulated. [1]."""
    return in_study if STUDY else times(in_all, in_short)
