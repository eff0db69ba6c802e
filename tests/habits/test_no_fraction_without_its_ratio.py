"""Nobody outside ``quantities`` takes a content as a plain fraction without naming what is divided by what."""

import ast

from tests.habits.source_tree import modules, nodes

NAME = "fraction"


def bare_fractions(module: ast.Module) -> list[int]:
    """Lines that read the attribute ``fraction``, however it is reached."""
    return [
        one.lineno
        for one in nodes(module)
        if (isinstance(one, ast.Attribute) and one.attr == NAME)
        or (
            isinstance(one, ast.Call)
            and ast.unparse(one.func) in ("getattr", "attrgetter", "operator.attrgetter")
            and any(isinstance(arg, ast.Constant) and arg.value == NAME for arg in one.args)
        )
    ]


def test_no_fraction_stands_without_its_ratio_outside_quantities() -> None:
    found = {
        path: lines
        for path, module in modules().items()
        if not path.startswith("quantities") and (lines := bare_fractions(module))
    }

    assert found == {}


def test_the_habit_sees_a_bare_fraction() -> None:
    seen = ast.parse('share = parse("96 %").fraction\nother = getattr(found, "fraction")')

    assert bare_fractions(seen) == [1, 2]
