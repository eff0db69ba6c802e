"""The project's own files, as the habit tests read them."""

import ast
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SRC = ROOT / "src" / "stillroom"
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


@cache
def modules() -> dict[str, ast.Module]:
    """Every Python file under src, by its path below src/stillroom."""
    found = {str(path.relative_to(SRC)): ast.parse(path.read_text()) for path in sorted(SRC.rglob("*.py"))}
    assert len(found) > 20, "the habit tests look in the wrong place"
    return found


@cache
def nodes(tree: ast.Module) -> tuple[ast.AST, ...]:
    """Every node of a file, walked once for all tests."""
    return tuple(ast.walk(tree))


@cache
def tracked() -> tuple[Path, ...]:
    """Every file that is in the repository; without git, every file that is not made by a tool."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode == 0:
        paths = [ROOT / name for name in listed.stdout.split("\0") if name]
    else:
        paths = [path for path in ROOT.rglob("*") if not {".venv", "__pycache__"} & set(path.parts)]
    return tuple(path for path in paths if path.is_file())


def public_functions(tree: ast.Module) -> list[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef, bool]]:
    """Public functions and the public methods of public classes: name, node, and whether it is a method."""
    found = []
    for node in tree.body:
        if isinstance(node, FUNCTIONS) and not node.name.startswith("_"):
            found.append((node.name, node, False))
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            inside = [one for one in node.body if isinstance(one, FUNCTIONS) and not one.name.startswith("_")]
            found += [(f"{node.name}.{one.name}", one, True) for one in inside]
    return found


def section(docstring: str, title: str) -> list[str]:
    """Lines of one numpydoc section, without its heading."""
    lines = docstring.splitlines()
    for at, line in enumerate(lines[:-1]):
        if line.strip() == title and set(lines[at + 1].strip()) == {"-"}:
            rest = lines[at + 2 :]
            ends = (i for i, after in enumerate(rest[1:]) if after.strip() and set(after.strip()) == {"-"})
            return rest[: next(ends, len(rest))]
    return []
