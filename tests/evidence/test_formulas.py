"""Every formula has one name that never changes: what a book holds is found again, wherever the function stands."""

import ast
import importlib
import inspect
import re
from collections import Counter
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import get_origin, get_type_hints

import pytest

from stillroom.errors import BadEntry, BookTrouble
from stillroom.evidence.answer import reading, reckoned
from stillroom.evidence.former_names import FORMER_NAMES
from stillroom.evidence.formulas import ROOMS, Formula, every_formula, formula, formula_named, name_of
from stillroom.evidence.seal import seal
from tests.habits.source_tree import modules

KEPT = Path(__file__).parent / "formulas.txt"
"""Name, parameters (= where one may be left out) and parts of the result of every formula a book may hold."""
OURS = tuple(one for one in every_formula() if one.function.__module__.startswith("stillroom."))
CALCULATION = tuple(f"stillroom.{room}." for room in ROOMS)


def written(one: Formula) -> str:
    taken = inspect.signature(one.function).parameters.values()
    said = ", ".join(each.name + ("=" if each.default is not each.empty else "") for each in taken)
    parts = ", ".join(parts_of(one))
    return f"{one.name}({said})" + (f" -> {parts}" if parts else "")


def parts_of(one: Formula) -> list[str]:
    given = get_type_hints(one.function).get("return")
    record = get_origin(given) or given
    return [each.name for each in fields(record)] if is_dataclass(record) else []


def kept() -> dict[str, tuple[dict[str, bool], list[str]]]:
    """Parameters of every kept formula, each with whether it may be left out, and the parts of its result."""
    found = {}
    for line in KEPT.read_text().splitlines():
        name, taken, parts = re.fullmatch(r"([^(]+)\(([^)]*)\)(?: -> (.+))?", line).groups(default="")
        listed = {one.rstrip("="): one.endswith("=") for one in taken.split(", ") if one}
        found[name] = (listed, parts.split(", ") if parts else [])
    return found


@pytest.mark.parametrize("name", kept())
def test_a_kept_name_its_parameters_and_its_parts_are_there_for_ever(name: str) -> None:
    one = formula_named(name)
    taken = inspect.signature(one.function).parameters
    listed, parts = kept()[name]

    assert set(listed) <= set(taken)
    assert [
        each for each, free in listed.items() if free and taken[each].default is inspect.Parameter.empty
    ] == []
    assert [
        each for each in taken if each not in listed and taken[each].default is inspect.Parameter.empty
    ] == []
    assert set(parts) <= set(parts_of(one))
    assert one.takes_named_inputs == ("inputs" in listed)


def test_a_new_formula_is_written_into_the_list_that_only_grows() -> None:
    missing = [written(one) for one in OURS if one.name not in kept()]

    assert missing == [], f"Write these lines into {KEPT.name}"


def test_a_name_is_short_of_the_trade_and_means_one_function() -> None:
    assert [one.name for one in OURS if not re.fullmatch(r"[a-z]+(-([a-z]+|\d+))*", one.name)] == []
    assert [one.name for one in OURS if len(one.name) > 40] == []
    assert [many for many, times in Counter(one.function for one in OURS).items() if times > 1] == []


def test_a_formula_stands_in_a_calculation_room() -> None:
    assert [one.name for one in OURS if not one.function.__module__.startswith(CALCULATION)] == []


def test_every_function_that_is_handed_over_to_be_reckoned_has_a_name() -> None:
    """Also those that are picked from a table or handed on by a helper: whatever such a file hands over uncalled."""
    without, with_name = set(), set()
    for path, tree in modules().items():
        if any(
            isinstance(one, ast.ImportFrom) and "reckoned" in {each.name for each in one.names}
            for one in tree.body
        ):
            for function in handed_over(path, tree):
                (with_name if function in {one.function for one in OURS} else without).add(function)

    assert {f"{one.__module__}:{one.__qualname__}" for one in without} == set()
    assert len(with_name) > 120


def _where_formulas_are_named(path: str, tree: ast.Module) -> list[ast.AST]:
    """A question also hands readers and choices to its machine: there only what stands inside ``reckoned``."""
    if not path.startswith("questions/"):
        return [tree]
    return [
        one
        for one in ast.walk(tree)
        if isinstance(one, ast.Call) and isinstance(one.func, ast.Name) and one.func.id == "reckoned"
    ]


def handed_over(path: str, tree: ast.Module) -> list:
    """Functions of the calculation rooms that give numbers and are named in a file without being called."""
    module = importlib.import_module("stillroom." + path.removesuffix(".py").replace("/", "."))
    called = {id(one.func) for one in ast.walk(tree) if isinstance(one, ast.Call)}
    found = []
    for one in (each for part in _where_formulas_are_named(path, tree) for each in ast.walk(part)):
        if id(one) in called:
            continue
        if isinstance(one, ast.Name) and isinstance(one.ctx, ast.Load):
            value = vars(module).get(one.id)
        elif isinstance(one, ast.Attribute) and isinstance(one.value, ast.Name):
            value = getattr(vars(module).get(one.value.id), one.attr, None)
        else:
            continue
        if inspect.isfunction(value) and value.__module__.startswith(CALCULATION):
            given = value.__annotations__.get("return")
            if given not in (bool, str, None) and "Answer" not in str(given) and "Content" not in str(given):
                found.append(value)
    return found


def test_a_function_without_a_name_is_not_reckoned_with() -> None:
    with pytest.raises(BadEntry, match=r"must have a stable name.*test_formulas:unnamed.*@formula"):
        reckoned("a", unnamed, unit="g", inputs={"mass_g": reading("a", 1.0, "g", "entry 1")})


def unnamed(mass_g: float) -> float:
    return mass_g


@formula("test-first-name")
def first(mass_g: float) -> float:
    return mass_g


def test_two_functions_never_share_a_name_and_none_has_two() -> None:
    with pytest.raises(BadEntry, match=r"must not have one name.*'test-first-name'"):
        formula("test-first-name")(unnamed)
    with pytest.raises(BadEntry, match=r"one name only.*'test-first-name' and 'test-second-name'"):
        formula("test-second-name")(first)

    assert name_of(first) == "test-first-name"
    with pytest.raises(BookTrouble, match="must be known"):
        formula_named("test-second-name")


def test_the_table_of_former_names_is_closed() -> None:
    assert seal(dict(FORMER_NAMES))[:20] == "c48624cd7b5d1d1dbb1f"


@pytest.mark.parametrize("dotted", FORMER_NAMES)
def test_what_a_former_book_named_by_its_path_is_found_by_its_name(dotted: str) -> None:
    assert formula_named(dotted) is formula_named(FORMER_NAMES[dotted])
    assert FORMER_NAMES[dotted] in kept()


def test_an_unknown_path_is_never_imported() -> None:
    with pytest.raises(BookTrouble, match="must be known"):
        formula_named("stillroom.answers.restating:renamed")
    with pytest.raises(BookTrouble, match="must be known"):
        formula_named("os:getpid")
