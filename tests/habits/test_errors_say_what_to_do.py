"""An error raised on purpose is one of ``stillroom.errors``: what must hold, what came in, what to do.

Python's own kinds are raised only where Python's protocol asks for them, in a function named with
double underscores.
"""

import ast
import builtins
from collections.abc import Iterator

from tests.habits.source_tree import FUNCTIONS, modules

OWN_KINDS = {
    name
    for name, thing in vars(builtins).items()
    if isinstance(thing, type) and issubclass(thing, BaseException)
}
PROTOCOL = {"AttributeError", "TypeError", "KeyError", "IndexError", "StopIteration"}
NOT_PROTOCOL = {"__init__", "__post_init__", "__new__"}
COMMAND_MAY_EXIT = {"SystemExit"}


def foreign_raises(tree: ast.AST, inside: str = "") -> Iterator[tuple[int, str]]:
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Raise) and node.exc is not None:
            what = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            asked_for = inside.startswith("__") and inside not in NOT_PROTOCOL
            if isinstance(what, ast.Name) and what.id in OWN_KINDS - (PROTOCOL if asked_for else set()):
                yield node.lineno, what.id
        yield from foreign_raises(node, node.name if isinstance(node, FUNCTIONS) else inside)


OF_ITS_OWN = {"store/head_line.py": {"ValueError"}}
"""Programs that stand without the rest of stillroom, and so without its errors; their callers say them in its words."""


def test_every_error_is_raised_in_our_own_words() -> None:
    found = {}
    for name, tree in modules().items():
        may = COMMAND_MAY_EXIT if name.startswith("cli/") else OF_ITS_OWN.get(name, set())
        if raised := [f"line {line}: {kind}" for line, kind in foreign_raises(tree) if kind not in may]:
            found[name] = raised

    assert found == {}


def test_a_foreign_error_would_be_found() -> None:
    tree = ast.parse(
        "def dose():\n    raise ValueError('no')\ndef __getattr__(name):\n    raise AttributeError(name)"
    )

    assert list(foreign_raises(tree)) == [(2, "ValueError")]
