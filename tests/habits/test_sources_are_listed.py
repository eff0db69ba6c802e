"""A source named in a docstring stands in ``sources.toml``; every published row names one that does."""

import ast
import csv
import re
import tomllib
from pathlib import Path

import pytest

from tests.habits.source_tree import SRC, modules, nodes, section

SOURCES = SRC / "reference" / "sources.toml"
TABLES = sorted((SRC / "reference" / "tables").glob("*.csv"))
NO_SOURCE = "common practice"


def listed() -> dict[str, dict[str, object]]:
    return tomllib.loads(SOURCES.read_text())


def named(docstring: str) -> list[str]:
    """Keys of the References section: the first word of each line at the margin, or after a semicolon."""
    lines = [line for line in section(docstring, "References") if re.match(r"\S", line)]
    parts = [part.strip() for line in lines for part in line.split(";")]
    return [
        re.split(r"[\s,:]", part.removeprefix(".. ").lstrip("-* "))[0].strip("`") for part in parts if part
    ]


def docstrings(tree: ast.Module) -> list[str]:
    owners = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    return [text for node in nodes(tree) if isinstance(node, owners) and (text := ast.get_docstring(node))]


def test_every_source_named_in_a_docstring_is_listed() -> None:
    known = listed()
    unknown = {
        f"{name}: {key}"
        for name, tree in modules().items()
        for text in docstrings(tree)
        if NO_SOURCE not in " ".join(section(text, "References"))
        for key in named(text)
        if key not in known
    }

    assert unknown == set()


def test_every_source_says_how_it_was_seen() -> None:
    ways = {"page-opened", "second-hand", "from-memory"}

    assert {key: one.get("seen") for key, one in listed().items() if one.get("seen") not in ways} == {}


def test_there_are_tables() -> None:
    assert TABLES


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_a_table_has_a_passport_and_every_row_a_source(path: Path) -> None:
    known = listed()
    passport = tomllib.loads(path.with_suffix(".toml").read_text())
    rows = list(csv.DictReader(path.read_text().splitlines()))

    assert rows
    assert passport
    assert {row.get("source") for row in rows} <= set(known)
