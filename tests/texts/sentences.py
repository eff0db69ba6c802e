"""Every sentence that is said to a person, found in the code, and the files of the other languages.

``python -m tests.texts.sentences`` takes from each file what is said nowhere and sorts the rest;
``python -m tests.texts.sentences de Deutsch`` begins another language, with every sentence still to be said.
"""

import ast
import re
import sys
from collections.abc import Iterator, Mapping
from functools import cache

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po as write_catalog

from stillroom.texts.catalogue import FOLDER, LANGUAGES, POINT, sentences
from tests.habits.source_tree import modules
from tests.texts.error_sentences import collected
from tests.texts.loose_words import TEMPLATES

WORDS_OF_THE_BOOK = frozenset(
    {
        "Power",
        "Water",
        "absent",
        "alkaloids",
        "asked",
        "assumed",
        "batch",
        "bench",
        "berberine",
        "caffeine",
        "cannot be seen here",
        "certificate",
        "decided",
        "done",
        "escin",
        "gallic acid",
        "given up",
        "in date",
        "label",
        "linalool",
        "lot",
        "met",
        "misread the scale",
        "missing",
        "no result",
        "not met",
        "not tested",
        "order",
        "out of date",
        "over",
        "plan",
        "planned",
        "power",
        "present",
        "quinine",
        "rejected",
        "release",
        "released",
        "rosmarinic acid",
        "running",
        "stopped",
        "suspended",
        "timers",
        "total alkaloids",
        "total phenols",
        "trace",
        "typed wrongly",
        "undecided",
        "waiting",
        "water",
        "water and power",
        "within",
        "wrong line",
    }
)
"""What stands in the book as a value and is shown in words: a status, a kind of page, a marker."""
SAYS = ("t", "later")
_IN_A_TEMPLATE = re.compile(r"""\b(?:t|later)\(((?:"[^"]*"|'(?:[^'\\]|\\.)*')(?: if [^,)]* else "[^"]*")?)""")


@cache
def said() -> Mapping[str, tuple[str, ...]]:
    """Every sentence with the modules and templates it stands in, those of errors among them."""
    found: dict[str, list[str]] = {}
    for module, tree in modules().items():
        for sentence in said_in(tree):
            found.setdefault(sentence, []).append(module)
    for module, told in collected().items():
        for sentence in told:
            found.setdefault(sentence, []).append(f"{module.replace('.', '/')}.py")
    for path in sorted(TEMPLATES.rglob("*.html")):
        for sentence in said_in_template(path.read_text(encoding="utf-8")):
            found.setdefault(sentence, []).append(f"web/templates/{path.name}")
    for sentence in WORDS_OF_THE_BOOK:
        found.setdefault(sentence, []).append("the book")
    return {sentence: tuple(dict.fromkeys(where)) for sentence, where in sorted(found.items())}


def spoken_at(place: str) -> tuple[str, ...]:
    """What a module or template says, apart from its errors."""
    if place.endswith(".html"):
        return tuple(said_in_template((TEMPLATES / place.rpartition("/")[2]).read_text(encoding="utf-8")))
    return tuple(said_in(modules()[place]))


def said_in(tree: ast.Module) -> Iterator[str]:
    """What a module says or keeps to say later, apart from its errors."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in SAYS
            and node.args
        ):
            yield from _texts(node.args[0])


def _texts(node: ast.expr) -> Iterator[str]:
    match node:
        case ast.Constant(value=str() as text):
            yield text
        case ast.IfExp():
            yield from _texts(node.body)
            yield from _texts(node.orelse)


def said_in_template(text: str) -> Iterator[str]:
    """What a template says."""
    for found in _IN_A_TEMPLATE.finditer(text):
        yield from said_in(ast.parse(f"t({found[1]})"))


def write_po(code: str, told: Mapping[str, str], own_name: str = "") -> None:
    """Write the file of a language: what it says, by the English, in the order of the alphabet."""
    catalog = Catalog(locale=code, project="stillroom", charset="utf-8", fuzzy=False)
    for english in sorted(told):
        places = [(where, None) for where in said().get(english, ())]
        catalog.add(english, told[english], locations=places).flags.clear()
    path = FOLDER / f"{code}.po"
    with path.open("wb") as file:
        write_catalog(file, catalog, width=110, sort_output=True, omit_header=True)
    head = (
        f"# stillroom in {own_name or LANGUAGES[code]}: each sentence of the code in English, and its words.\n"
        'msgid ""\nmsgstr ""\n"Language: '
        + code
        + '\\n"\n"X-Own-Name: '
        + (own_name or LANGUAGES[code])
        + '\\n"\n'
        '"Content-Type: text/plain; charset=utf-8\\n"\n"Content-Transfer-Encoding: 8bit\\n"\n\n'
    )
    path.write_text(head + path.read_text(encoding="utf-8"), encoding="utf-8")


def main(code: str = "", own_name: str = "") -> None:
    """Begin one language, or bring every file into step with the code."""
    if code:
        write_po(code, dict.fromkeys(said(), ""), own_name)
        return
    for each in sorted(set(LANGUAGES) - {"en"}):
        write_po(each, {one: text for one, text in sentences(each).items() if one in said() and one != POINT})


if __name__ == "__main__":
    main(*sys.argv[1:])
