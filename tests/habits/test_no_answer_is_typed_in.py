"""The figures that the worked stories expect are worked out, never typed into the source.

A figure counts when it has at least four significant digits; shorter ones ("0.6", "98.0") occur everywhere by
chance. Figures that a story is also given (its inputs) and the rows of published tables are left out.
"""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.habits.source_tree import ROOT, SRC

STORIES = json.loads((ROOT / "tests" / "reference_checks" / "stories.json").read_text())
TEXTS = {".py", ".toml", ".yaml", ".json", ".html", ".typ", ".txt", ".csv"}
NUMBER = re.compile(r"(?<![\w.])\d+(?:_\d+)*(?:\.\d+)?(?:[eE][-+]?\d+)?(?![\w.]*\d)")


def numbers_in(thing: Any) -> Iterator[float]:
    if isinstance(thing, dict):
        thing = list(thing.values())
    if isinstance(thing, list):
        for one in thing:
            yield from numbers_in(one)
    elif isinstance(thing, int | float) and not isinstance(thing, bool):
        yield thing


def digits(number: float) -> str:
    """Significant digits alone, so that 13.021 g is found as 13021 mg and as 0.013021 kg."""
    return format(number, ".12g").split("e")[0].replace(".", "").strip("-0")


GIVEN = {digits(number) for story in STORIES for number in numbers_in(story["inputs"])}
EXPECTED = {
    digits(number): story["id"]
    for story in STORIES
    for number in numbers_in(story["expect"])
    if len(digits(number)) >= 4 and digits(number) not in GIVEN
}


def typed_in(text: str) -> set[str]:
    return {EXPECTED[found] for hit in NUMBER.findall(text) if (found := digits(float(hit))) in EXPECTED}


def test_no_expected_figure_of_a_story_occurs_in_the_source() -> None:
    files = [
        path
        for path in SRC.rglob("*")
        if path.suffix in TEXTS and SRC / "reference" / "tables" not in path.parents
    ]
    found = {str(path.relative_to(SRC)): stories for path in files if (stories := typed_in(path.read_text()))}

    assert len(files) > 20
    assert found == {}


@pytest.mark.parametrize("text", ["dose_g = 13.021", "13_021", "1.3021e-2", "| 309.405 | 8.255 |"])
def test_a_typed_answer_would_be_found(text: str) -> None:
    assert typed_in(text)


def test_what_a_story_is_given_may_be_written() -> None:
    assert typed_in("309.405, 38.4, 1.015") == set()
