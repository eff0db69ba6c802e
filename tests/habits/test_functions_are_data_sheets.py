"""A chemist who reads no Python can follow the docstring: each parameter with its unit."""

import ast
import doctest
import re
import tomllib
from itertools import pairwise

import pytest

from tests.habits.source_tree import FUNCTIONS as KINDS_OF_FUNCTION
from tests.habits.source_tree import SRC, modules, nodes, public_functions, section

OPEN_ROOMS = ("science/", "quantities/")
FUNCTIONS = {
    f"{path}:{name}": (node, is_method)
    for path, tree in modules().items()
    if path.startswith(OPEN_ROOMS)
    for name, node, is_method in public_functions(tree)
}
NUMBERS = re.compile(r"\b(float|Array|NDArray|ndarray|ArrayLike|Number|Numbers|Decimal)\b")
IS_PROPERTY = {"property", "cached_property"}
SCIENCE = [
    name for name, (_, is_method) in FUNCTIONS.items() if name.startswith("science/") and not is_method
]
SEEN = ("from-memory", "second-hand", "page-opened")
"""How a source was seen, the weakest first; an example may know less of it than ``sources.toml``, never more."""


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


def examples(name: str) -> list[doctest.Example]:
    """What the Examples section runs."""
    docstring = ast.get_docstring(FUNCTIONS[name][0]) or ""
    return doctest.DocTestParser().get_examples("\n".join(section(docstring, "Examples")) + "\n")


def sources_of(name: str) -> list[tuple[str, str]]:
    """Each source named behind a call that shows what comes out, and how it was seen."""
    behind = [one.source.rstrip("\n").partition("  # ")[2] for one in examples(name) if one.want]
    return [(text.rpartition(", ")[0], text.rpartition(", ")[2]) for text in behind if text]


@pytest.mark.parametrize("name", SCIENCE)
def test_a_function_of_science_has_an_example_that_is_run(name: str) -> None:
    function = FUNCTIONS[name][0].name
    run = examples(name)

    assert any(re.search(rf"\b{function}\(", one.source) for one in run), "no example calls it"
    assert all(one.want or one.exc_msg for one in run[-1:]), "the example says nothing of what comes out"


@pytest.mark.parametrize("name", SCIENCE)
def test_a_source_beside_an_example_says_how_it_was_seen(name: str) -> None:
    listed = tomllib.loads((SRC / "reference" / "sources.toml").read_text())
    for source, seen in sources_of(name):
        key = re.split(r"[, ]", source)[0]

        assert seen in SEEN
        assert key not in listed or SEEN.index(seen) <= SEEN.index(listed[key]["seen"])


def bare(docstring: str) -> list[str]:
    """Entries of a docstring that say no more than name and type, which stand in the signature."""
    return [
        line
        for line, after in pairwise([*section(docstring, "Parameters"), ""])
        if re.fullmatch(r"[*\w, ]+ : [^\[{]*", line) and not after.startswith(" ")
    ]


def test_no_docstring_repeats_the_names_and_types_of_a_signature() -> None:
    repeated = [
        f"{path}:{node.name}: {line}"
        for path, tree in modules().items()
        if not path.startswith((*OPEN_ROOMS, "in_python/"))
        for node in nodes(tree)
        if isinstance(node, KINDS_OF_FUNCTION)
        for line in bare(ast.get_docstring(node) or "")
    ]

    assert repeated == []


def test_what_a_field_means_stands_beneath_it() -> None:
    elsewhere = [
        f"{path}:{node.name}.{field.target.id}"
        for path, tree in modules().items()
        if not path.startswith("in_python/")
        for node in nodes(tree)
        if isinstance(node, ast.ClassDef)
        for heads in [", ".join(section(ast.get_docstring(node) or "", "Attributes"))]
        for field in node.body
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name)
        if re.search(rf"\b{field.target.id}\b[\w, ]* : ", heads)
    ]

    assert elsewhere == []
