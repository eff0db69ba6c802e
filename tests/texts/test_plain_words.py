"""What a person reads at the bench uses words a second-language reader knows: no quaint one comes back anywhere.

Searched, not recited: every sentence of both catalogues, every error, every table, starter and document, the page of
commands with every help and an answer of each among them. The words are those readers stumbled over; the plain one
stands beside each.
"""

import ast
import re
from collections.abc import Iterator

import pytest

from tests.habits.source_tree import SRC, modules
from tests.texts.sentences import said

ROOT = SRC.parents[1]
QUAINT = {
    r"\breckon": "calculate",
    r"\bslips?\b": "error",
    r"\b(anew|afresh)\b": "again",
    r"\b(put|puts|putting) (it |them |this |that |these |those |one |entry \{?\w+\}? |a \w+ )?right\b": "correct",
    r"^Leave it$": "Cancel",
    r"^Write it$": "Save",
    r"went otherwise": "deviation",
    r"weak runnings": "tails",
    r"\bthin(s|ned|ning)?\b(?! herb| layer| stream| glass| film)": "dilute",
    r"cool what boils": "cooling water",
    r"spirit back\b": "recover spirit",
    r"\bwork(s|ed|ing)? (an order|it|the order) back|\border worked back": "plan an order",
    r"find the factor": "standardise a titrant",
    r"counted from empty": "absolute pressure",
    r"poison that stays": "toxic, accumulates",
    r"scrambled": "encrypted",
    r"hold of the plant": "adsorption on the plant",
    r"marker, solvent to water": "partition ratio",
    r"water pushes out": "spirit displaced from the marc",
    r"stand for the bed": "mixing stages",
    r"moved most by": "main cause of spread",
    r"\bmiddle of the draws\b": "median",
    r"90 of 100": "5–95 %",
    r"bases mixed": "for comparison",
    r"the right column": "opening + in − out = closing",
    r"how the house is": "room and site",
    r"smallest step of (the|a) scale$": "readability",
    r"digest of the head": "checksum of the last entry",
    r"\bsafest\b": "lowest hazard",
}
DOCUMENTS = (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))
FILES = (
    *sorted((SRC / "records").rglob("*.yaml")),
    *sorted((SRC / "demo").rglob("*.yaml")),
    *sorted((SRC / "reference" / "tables").glob("*.csv")),
)
NOT_READ = re.compile(r"{\w+}|--[\w-]+|`[\w./]+`")
"""Blanks, options of a verb, names and files of the code."""


ROOMS = ("actions/", "documents/", "pages/", "products/", "questions/")
"""Whose words reach a page also where no catalogue has them: what a release line asks for, what an answer is called."""
KEPT = frozenset({"put right", "result reckoned"})
"""What the book keeps; a page says it otherwise."""


def _uncatalogued() -> Iterator[tuple[str, str]]:
    for module, tree in modules().items():
        if not module.startswith(ROOMS):
            continue
        unspoken = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            match node:
                case ast.Constant(value=str() as text) if " " in text and id(node) not in unspoken:
                    yield f"{module}:{node.lineno}", text


def _sentences() -> Iterator[tuple[str, str]]:
    yield from ((where, text) for where, text in _uncatalogued() if text not in KEPT)
    yield from ((f"said in {', '.join(where)}", sentence) for sentence, where in said().items())
    for path in (*FILES, *DOCUMENTS):
        lines = path.read_text(encoding="utf-8").splitlines()
        yield from ((f"{path.name}:{number}", line) for number, line in enumerate(lines, 1))


SAID = tuple(_sentences())


@pytest.mark.parametrize("quaint", QUAINT)
def test_no_quaint_word_is_said(quaint: str) -> None:
    word = re.compile(quaint, re.IGNORECASE)

    assert [(where, one) for where, one in SAID if word.search(NOT_READ.sub("", one))] == [], (
        f"say: {QUAINT[quaint]}"
    )


def test_the_search_reads_every_place() -> None:
    assert len(SAID) > 9000
    assert {where.split(":")[0].split()[0] for where, _ in SAID} >= {"said", "commands.md"}
    assert {"acid diluted", "an order planned"} <= {one for _, one in SAID}
