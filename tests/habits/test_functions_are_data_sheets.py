"""A chemist who reads no Python can follow the docstring: each parameter with its unit."""

import ast
import re

import pytest

from tests.habits.source_tree import modules, public_functions, section

OPEN_ROOMS = ("science/", "quantities/")
FUNCTIONS = {
    f"{path}:{name}": (node, is_method)
    for path, tree in modules().items()
    if path.startswith(OPEN_ROOMS)
    for name, node, is_method in public_functions(tree)
}
NUMBERS = re.compile(r"\b(float|Array|NDArray|ndarray|ArrayLike|Number|Numbers|Decimal)\b")
IS_PROPERTY = {"property", "cached_property"}


def parameters(node: ast.FunctionDef | ast.AsyncFunctionDef, is_method: bool) -> list[ast.arg]:
    named = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    fixed = any(isinstance(mark, ast.Name) and mark.id == "staticmethod" for mark in node.decorator_list)
    return named[1:] if is_method and not fixed else named


def entries(docstring: str) -> dict[str, str]:
    """The Parameters section: name and everything said about it."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in section(docstring, "Parameters"):
        if re.match(r"\S", line) and " : " in line:
            names = [name.strip() for name in line.split(" : ")[0].split(",")]
        for name in names:
            found[name] = found.get(name, "") + line + "\n"
    return found


def test_every_module_says_what_it_promises() -> None:
    assert [name for name, tree in modules().items() if not ast.get_docstring(tree)] == []


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_is_documented_and_typed(name: str) -> None:
    node, is_method = FUNCTIONS[name]

    assert ast.get_docstring(node), "no docstring"
    assert node.returns is not None, "what comes back has no type"
    assert [one.arg for one in parameters(node, is_method) if one.annotation is None] == []


@pytest.mark.parametrize("name", [name for name in FUNCTIONS if name.startswith("science/")])
def test_a_function_of_science_names_every_parameter_and_the_unit_of_every_number(name: str) -> None:
    node, is_method = FUNCTIONS[name]
    said = entries(ast.get_docstring(node) or "")
    wanted = parameters(node, is_method)
    numbers = [one.arg for one in wanted if one.annotation and NUMBERS.search(ast.unparse(one.annotation))]

    assert [one.arg for one in wanted if one.arg not in said] == []
    assert [one for one in numbers if not re.search(r"\[[^\]]+\]", said[one])] == []
