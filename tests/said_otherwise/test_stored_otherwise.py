"""What is received, weighed, titrated, dried or counted in two wordings is written as the same figures, or refused.

The act is done twice in one laboratory and each time undone before it is kept; everything it would have written is
compared to 1e-9, trails too. What the act changes at lots that left follows from what it writes, and takes ten times as
long: it is worked out in one try in five. STILLROOM_TRIES sets how many; thousands by hand:
``python -m tests.said_otherwise.test_stored_otherwise 0 10000``.
"""

import math
import os
import random
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import nullcontext
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.releasing import after_release
from stillroom.actions.releasing.deciding import release
from stillroom.errors import StillroomError, UnknownName
from stillroom.records.entry_json import body_to_json
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.store.book_writer import BookWriter
from tests.long_form import times
from tests.practice import copied, opened
from tests.said_otherwise.verbs import VERBS

TRIES = int(os.environ.get("STILLROOM_TRIES", times(60, 30)))
SEED = 20261130
SAME = 1e-9
NOT_WHOLE = "an error without a part"
LOOKED_AFTER = 5
"""One try in so many looks at released lots too."""
Figures = list[tuple[str, float]]


class Undone(Exception):
    """The act was done, and is not kept."""

    def __init__(self, figures: Figures) -> None:
        super().__init__()
        self.figures = figures


def prepared(folder: Path) -> Laboratory:
    """The told laboratory with what a reagent is made of."""
    lab = opened(copied(folder))
    for code, substance in (("IOD-1", "iodine"), ("KI-1", "potassium iodide")):
        receive_lot(lab, Lot(code, LotKind.REAGENT, substance, substance), "50 g", by="TO")
        release(lab, code, meaning="papers", by="MA")
    begin_batch(lab, "E8", "bark-extract", "250 g", order="ORD-1", by="TO")
    return lab


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laboratory]:
    with prepared(tmp_path_factory.mktemp("stored")) as one:
        yield one


def figures_in(found: Any, path: str = "") -> Iterator[tuple[str, float]]:
    """Every number, by its place; those of a trail by the name of the answer, since its keys follow the words."""
    if isinstance(found, bool) or found is None or isinstance(found, str):
        return
    if isinstance(found, int | float):
        yield path, float(found)
    elif isinstance(found, Mapping) and "top" in found:
        rows = [(f"{one['name']} {one['unit']}", one) for one in found["rows"].values()]
        told = [(name, one["value"], one["standard_uncertainty"] or 0.0) for name, one in rows]
        for name, value, sure in sorted(told, key=lambda row: (row[0], f"{row[1]:.9e}", f"{row[2]:.9e}")):
            yield f"{path}/{name}", value
            yield f"{path}/{name} ±", sure
    elif isinstance(found, Mapping):
        for name in sorted(found):
            yield from figures_in(found[name], f"{path}/{name}")
    else:
        for at, one in enumerate(found):
            yield from figures_in(one, f"{path}/{at}")


def _undo(pen: BookWriter) -> None:
    raise Undone([one for entry in pen.written() for one in figures_in(body_to_json(entry.body), entry.kind)])


def _nothing(*_: object) -> tuple[str, ...]:
    return ()


def written(lab: Laboratory, verb: str, said: Mapping[str, str]) -> tuple[Figures, str]:
    """The figures an act would write, or the sentence why not."""
    try:
        with patch.object(BookWriter, "finish", _undo):
            VERBS[verb].does(lab, said)
    except Undone as done:
        return done.figures, ""
    except StillroomError as error:
        parts = ("must", "do") if isinstance(error, UnknownName) else ("must", "got", "do")
        return [], error.sentence if all(getattr(error, part) for part in parts) else NOT_WHOLE
    raise AssertionError(f"{verb} wrote nothing")


def one_try(lab: Laboratory, number: int) -> tuple[str, str, bool]:
    """Say one fact in two wordings to one act, and compare what is written."""
    rng = random.Random(SEED * 1_000_003 + number)
    verb = rng.choice(list(VERBS))
    facts = VERBS[verb].facts
    name = rng.choice(list(facts))
    beside = {one: fact(rng)[0].text for one, fact in facts.items() if one != name}
    wordings = facts[name](rng)
    first, other = wordings[0], rng.choice(wordings)
    case = f"try {number}: {verb}, {name}: {first.text!r}, {other.text!r}\nwith {beside}"
    with patch.object(after_release, "look_after", _nothing) if number % LOOKED_AFTER else nullcontext():
        base, refused = written(lab, verb, {**beside, name: first.text})
        assert not refused, f"{case}\n{refused}"
        again, refused = written(lab, verb, {**beside, name: other.text})
    assert refused != NOT_WHOLE, case
    if refused:
        assert other.may_refuse, f"{case}\n{refused}"
        return verb, name, True
    assert base, case
    assert [at for at, _ in base] == [at for at, _ in again] or not other.alike, case
    for (at, one), (_, two) in zip(base, again, strict=False):
        same = math.isclose(one, two, rel_tol=SAME, abs_tol=1e-12)
        assert same or not other.alike, f"{case}\n{at}: {one!r} and {two!r}"
    return verb, name, False


def test_what_is_stored_is_the_same_however_it_is_said(lab: Laboratory) -> None:
    told = [one_try(lab, number) for number in range(TRIES)]

    assert len({verb for verb, *_ in told}) > len(VERBS) / 2
    assert sum(refused for *_, refused in told) < len(told) / 3


@pytest.mark.parametrize("verb", VERBS)
def test_each_act_writes_figures(lab: Laboratory, verb: str) -> None:
    said = {name: fact(random.Random(1))[0].text for name, fact in VERBS[verb].facts.items()}
    found, refused = written(lab, verb, said)

    assert (refused, bool(found)) == ("", True)


def tried(first: int, last: int) -> Iterator[str]:
    """What a range of tries finds, and how many there were."""
    refused = findings = 0
    with tempfile.TemporaryDirectory(prefix="stored-") as folder, prepared(Path(folder)) as lab:
        for number in range(first, last):
            try:
                refused += one_try(lab, number)[-1]
            except Exception as error:  # noqa: BLE001
                findings += 1
                yield f"{type(error).__name__}: {error}"
    yield f"tries {first} to {last - 1}: {refused} refused with a reason, {findings} findings"


if __name__ == "__main__":
    for one in tried(int(sys.argv[1]), int(sys.argv[2])):
        sys.stdout.write(f"{one}\n")
        sys.stdout.flush()
