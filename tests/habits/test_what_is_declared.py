"""What is imported is declared, what is declared is imported, and what is shipped along says under which licence."""

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from tests.habits.source_tree import ROOT, SRC, tracked

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
NOT_IMPORTED_BY_NAME = {
    "python-multipart": "fastapi reads forms with it",
    "psycopg": "named in the address of a server",
}
TOOLS = {
    "httpx": "the test client of fastapi speaks with it",
    "import-linter": "a command", "mypy": "a command", "ruff": "a command", "pytest-xdist": "a plug-in of pytest",
}  # fmt: skip
OURS = {"stillroom", "tests", "benchmarks"}


def plain(name: str) -> str:
    """The name of a package as every index writes it."""
    return re.sub(r"[-_.]+", "-", re.split(r"[\[<>=!~; ]", name)[0]).lower()


def imported(root: Path) -> set[str]:
    """Packages that run-time code below a folder imports; what stands under TYPE_CHECKING is left out."""
    found: set[str] = set()
    for path in root.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
                node.body = []
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                found |= {one.name.split(".")[0] for one in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module.split(".")[0])
    others = found - OURS - set(sys.stdlib_module_names)
    known = packages_distributions()
    return {plain(known[one][0]) for one in others}


def declared(*lists: str) -> set[str]:
    """Packages of the run itself ("run"), of an extra or of a group."""
    extras, groups = PROJECT["project"]["optional-dependencies"], PROJECT["dependency-groups"]
    run = {"run": PROJECT["project"]["dependencies"]}
    return {plain(one) for name in lists for one in (run | extras | groups)[name]}


def test_the_source_imports_what_is_declared_and_nothing_else() -> None:
    said = declared("run", *PROJECT["project"]["optional-dependencies"])

    assert imported(SRC) | set(NOT_IMPORTED_BY_NAME) == said


def test_the_tests_import_what_is_declared_and_nothing_else() -> None:
    used = imported(ROOT / "tests") | imported(ROOT / "benchmarks")
    here = declared("dev")

    assert used - declared("run", *PROJECT["project"]["optional-dependencies"]) <= here
    assert here <= used | set(TOOLS)


def test_the_licence_names_whose_it_is_and_the_package_names_the_licence() -> None:
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    project = PROJECT["project"]

    assert "Apache License" in text
    assert re.search(r"Copyright \d{4} the stillroom authors", text)
    assert project["license"] == "Apache-2.0"
    assert project["authors"] == [{"name": "the stillroom authors"}]
    assert {"description", "readme", "requires-python", "keywords", "classifiers", "license-files"} <= set(
        project
    )


@pytest.mark.parametrize("ending", [".ttf", ".woff2", ".min.js"])
def test_what_others_made_stands_in_the_list_of_licences(ending: str) -> None:
    listed = (ROOT / "licences" / "README.md").read_text(encoding="utf-8")
    shipped = {one.relative_to(ROOT) for one in tracked() if one.name.endswith(ending)}

    assert shipped
    for one in shipped:
        family = one.name.split("-")[0]
        assert f"`{one}`" in listed or f"`{one.parent}`" in listed, one
        assert family != "fallback" or one.stem.removeprefix("fallback-") in listed, one
