"""Words that stand in a template and not in the catalogue."""

import re
from collections.abc import Iterator
from pathlib import Path

from jinja2 import Environment, nodes

TEMPLATES = Path(__file__).parents[2] / "src" / "stillroom" / "web" / "templates"
SPOKEN_ATTRIBUTES = ("aria-label", "title", "placeholder", "alt")
NOT_WORDS = frozenset({"stillroom", "stillroom.", "hands", "asking"})
"""Our own name, and the classes of a bench page and of a question."""
A4_LETTER = frozenset({"A4", "Letter"})
LOOKS_UP = frozenset({"t", "later", "say_word"})
_CODE = re.compile(r"{#.*?#}|{%.*?%}|{{.*?}}", re.DOTALL)
_MARKUP = re.compile(r"<!?[a-zA-Z/](?:[^<>\"']|\"[^\"]*\"|'[^']*')*>", re.DOTALL)
_UNSPOKEN = re.compile(r"<(script|style)\b.*?</\1>", re.DOTALL)
_SENTENCE = re.compile(r"^\W*[A-Z][a-z]|[A-Za-z]{2,},? [A-Za-z]{2,}")


def loose_words(template: str) -> list[str]:
    """Every run of letters a person would read that no look-up in the catalogue gave."""
    found = [
        one
        for one in _constants(Environment().parse(template))
        if _SENTENCE.search(one) and one not in A4_LETTER and not re.search(r'[<>="]', one)
    ]
    bare = _UNSPOKEN.sub(" ", _CODE.sub("\x00", template)).replace("<\x00", "<x").replace("</\x00", "</x")
    for attribute in SPOKEN_ATTRIBUTES:
        found += re.findall(rf'\s{attribute}="([^"]*[A-Za-z]{{2,}}[^"]*)"', bare)
    for run in re.split(r"\x00", _MARKUP.sub("\x00", bare)):
        words = " ".join(run.split())
        if re.search(r"[A-Za-zÀ-ÿ]{2,}", words) and words not in NOT_WORDS:
            found.append(words)
    return found


def _constants(node: nodes.Node) -> Iterator[str]:
    """Texts in the code of a template that may come out on the page."""
    match node:
        case nodes.Compare() | nodes.Import() | nodes.FromImport() | nodes.Include() | nodes.Extends():
            return
        case nodes.Call(node=nodes.Name(name=name)) if name in LOOKS_UP:
            return
        case nodes.Filter():
            yield from _constants(node.node) if node.node else ()
        case nodes.Pair():
            yield from _constants(node.value)
        case nodes.Getitem():
            yield from _constants(node.node)
        case nodes.Const(value=str() as text):
            yield text
        case _:
            for child in node.iter_child_nodes():
                yield from _constants(child)
