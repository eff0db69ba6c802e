"""The long form of the tests and the short one: what a walk tries of all there is; and the studies, longer than both.

``python3 start.py selftest --all`` and CI run the long form: everything. ``python3 start.py selftest`` tries a fixed
share of what a long walk goes through, the same in every run and on every machine: chosen by the name of each thing, so
that a new one moves no other. Of a file that works for more than two seconds it runs the first tests, as far as one
goes: ``short_form.toml``, which ``python -m tests.long_form`` measures anew. What is left to the long form stands
in CONTRIBUTING.md. ``STILLROOM_STUDY=1`` runs the few that simulate hundreds of laboratories, runs or benches in their
whole number, with no slack for chance. ``STILLROOM_SEED`` lets what searches at random try other things.
"""

import os
import resource
import sys
import time
import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from itertools import accumulate
from pathlib import Path
from typing import TypeVar
from zlib import crc32

import pytest

ALL = bool(os.environ.get("STILLROOM_ALL"))
SHORT = bool(os.environ.get("STILLROOM_SHORT"))
STUDY = bool(os.environ.get("STILLROOM_STUDY"))
SEED = int(os.environ.get("STILLROOM_SEED", "20261130"))
FIRST_TESTS = Path(__file__).with_name("short_form.toml")
LONG_S, SHARE_S = 2.0, 1.0
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


def left_to_the_long_form(files: Iterable[str]) -> list[bool]:
    """Whether the short form leaves a test out, for tests in their order.

    Parameters
    ----------
    files : iterable of str
        The file of each.
    """
    first = tomllib.loads(FIRST_TESTS.read_text(encoding="utf-8"))
    seen: Counter[str] = Counter()
    left = []
    for one in files:
        seen[one] += 1
        left.append(SHORT and seen[one] > first.get(one, seen[one]))
    return left


class Measuring:
    """What each test works: the processor time of this process and of those that it started [s]."""

    def __init__(self) -> None:
        self.worked_s: dict[str, list[float]] = defaultdict(list)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Time one test with what it sets up."""
        before_s = _worked_s()
        result = yield
        self.worked_s[item.nodeid.partition("::")[0]].append(_worked_s() - before_s)
        return result

    def first_tests(self) -> dict[str, int]:
        """How many tests of each long file the short form runs."""
        return {
            file: sum(until_s <= SHARE_S for until_s in accumulate(each_s))
            for file, each_s in sorted(self.worked_s.items())
            if sum(each_s) > LONG_S
        }


def _worked_s() -> float:
    started = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + started.ru_utime + started.ru_stime


def _measure() -> int:
    measuring = Measuring()
    failed = pytest.main(["-q", "-n", "0"], plugins=[measuring])
    if not failed:
        lines = ["# Of a file that works for more than two seconds: how many tests the short form runs.\n"]
        lines += [f'"{file}" = {many}\n' for file, many in measuring.first_tests().items()]
        FIRST_TESTS.write_text("".join(lines), encoding="utf-8")
    return int(failed)


if __name__ == "__main__":
    sys.exit(_measure())
