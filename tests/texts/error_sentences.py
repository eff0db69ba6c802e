"""Every sentence an error can say, collected from the code."""

import ast
from collections.abc import Iterator

from stillroom.errors import NONE_YET, ONE_OF
from tests.habits.source_tree import modules, nodes
from tests.texts.loose_sentences import RAISED

PARTS = ("must", "got", "do")
LOOKED_FOR = ("among", "unless", "_unknown")
"""Calls that say what a name should have been."""


def collected() -> dict[str, list[str]]:
    """Sentences by module, in the order of the alphabet."""
    found = {module: sorted(set(_sentences(tree))) for module, tree in modules().items()}
    found["errors.py"] = sorted({*found["errors.py"], *ONE_OF.values(), NONE_YET})
    return {
        module.removesuffix(".py").replace("/", "."): sentences
        for module, sentences in found.items()
        if sentences
    }


def error_calls(tree: ast.Module) -> Iterator[ast.Call]:
    """Every place an error is made."""
    for node in nodes(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in RAISED:
            yield node


def parts_of(call: ast.Call) -> Iterator[ast.expr]:
    """What must hold, what came in and what to do, each side of a condition by itself."""
    named = [one.value for one in call.keywords if one.arg in PARTS]
    waiting: list[ast.expr] = [*call.args, *named]
    while waiting:
        one = waiting.pop(0)
        if isinstance(one, ast.IfExp):
            waiting += [one.body, one.orelse]
        else:
            yield one


def _sentences(tree: ast.Module) -> Iterator[str]:
    for node in nodes(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr in LOOKED_FOR
        ):
            yield from (one.value for one in node.args[1:2] if isinstance(one, ast.Constant))
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in ("worded", "Phrase")
        ):
            yield from (one.value for one in node.args[:1] if isinstance(one, ast.Constant) and one.value)
    for call in error_calls(tree):
        yield from (
            one.value
            for one in parts_of(call)
            if isinstance(one, ast.Constant) and isinstance(one.value, str) and one.value
        )
