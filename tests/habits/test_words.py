"""docs/words.md is the one page of names: each quantity once, with the unit the code gives it."""

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections import Counter, defaultdict
from types import ModuleType

import pytest

import stillroom.records
import stillroom.science
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.setting_from_text import printed_unit
from stillroom.stream.kinds import KINDS
from tests.habits.source_tree import ROOT, SRC
from tests.habits.test_units_in_docstrings import entries, public_functions, sections, unit_of_name

PAGE = ROOT / "docs" / "words.md"
ROW = re.compile(r"^\| `([^`]+)` \| ([^|]+) \| ([^|]+) \| ([^|]*) \|$", re.MULTILINE)
NUMBERS = re.compile(r"\bfloat|^int$|^~N$")


def rows() -> list[tuple[str, str, str, str]]:
    return [tuple(cell.strip() for cell in row) for row in ROW.findall(PAGE.read_text())]


def written() -> dict[str, str]:
    return {name: unit for name, unit, _, _ in rows()}


def modules_of(room: ModuleType) -> list[ModuleType]:
    found = pkgutil.walk_packages(room.__path__, f"{room.__name__}.")
    return [importlib.import_module(one.name) for one in found]


def parameters() -> dict[str, set[str]]:
    """Every parameter of a public function of science, with the units its docstrings give."""
    found = defaultdict(set)
    for case in public_functions():
        (function,) = case.values
        for name, text in entries(sections(function).get("Parameters", "")).items():
            found[name].add(re.findall(r"\[([^\[\]]+)\]", text)[-1])
    return found


def fields(room: ModuleType) -> set[str]:
    """Every field of a public record of a room that holds a number."""
    return {
        one.name
        for module in modules_of(room)
        for name, record in inspect.getmembers(module, dataclasses.is_dataclass)
        if record.__module__ == module.__name__ and not name.startswith("_")
        for one in dataclasses.fields(record)
        if NUMBERS.search(one.type.__name__ if one.type in (float, int) else str(one.type))
    }


PRACTICE = SRC / "demo" / "practice"
PROCEDURES = [
    procedure_from_yaml((PRACTICE / f"{name}.yaml").read_bytes()) for name in ("bark-extract", "hair-tonic")
]
SETTINGS = sorted(
    {name for kind in KINDS.values() for name in kind.known_settings}
    | {setting.name for one in PROCEDURES for step in one.steps for setting in step.settings}
)
OTHERWISE = {"c", "k", "ethanol_capacity_j_g_k", "water_capacity_j_g_k"}
"""Letters as published, and units longer than their last letter."""


@pytest.mark.parametrize("name", sorted(parameters()))
def test_a_parameter_of_science_is_on_the_page_of_words_with_its_unit(name: str) -> None:
    assert written().get(name) in parameters()[name]


@pytest.mark.parametrize("name", SETTINGS)
def test_a_setting_of_a_step_is_on_the_page_of_words_with_its_unit(name: str) -> None:
    assert written().get(name) == (printed_unit(name) or "1")


@pytest.mark.parametrize("room", [stillroom.science, stillroom.records], ids=lambda room: room.__name__)
def test_a_number_of_a_record_is_on_the_page_of_words(room: ModuleType) -> None:
    assert sorted(fields(room) - set(written())) == []


def test_each_word_stands_once_with_a_meaning() -> None:
    names = [name for name, _, _, _ in rows()]

    assert len(names) > 100
    assert [name for name, times in Counter(names).items() if times > 1] == []
    assert [name for name, unit, meaning, _ in rows() if not unit or len(meaning) < 8] == []


def test_a_unit_that_stands_in_a_name_is_the_unit_on_the_page() -> None:
    named = {name: unit for name, unit in written().items() if name not in OTHERWISE}
    wrong = {name: unit for name, unit in named.items() if unit != (unit_of_name(name) or unit)}

    assert wrong == {}


def test_no_word_is_kept_that_nothing_uses() -> None:
    used = set(parameters()) | set(SETTINGS) | fields(stillroom.science) | fields(stillroom.records)

    assert sorted(set(written()) - used) == []
