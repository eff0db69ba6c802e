"""Functions are renamed and their files moved in a copy of the source: an old book still explains and corrects."""

import ast
import gzip
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from stillroom.evidence.formulas import every_formula
from tests.books.test_old_books import OLDEST
from tests.habits.source_tree import SRC, modules

MOVED = ("answers/restating.py", "answers/elsewhere/said_otherwise.py")
TRIED = '''
"""Every figure of every kept trail is reckoned again, and a titre is put right."""
import sys
from datetime import UTC, datetime
from pathlib import Path

import stillroom
from stillroom.actions.correcting.entries import correct_entry
from stillroom.actions.book.backup import verify
from stillroom.actions.book.laboratory import open_laboratory
from stillroom.evidence.answer import rerun, walk
from stillroom.evidence.trails import from_trail

folder = Path(sys.argv[1])
with open_laboratory(folder, clock=lambda: datetime(2026, 11, 25, 9, 0, tzinfo=UTC)) as lab:
    with lab.look() as look:
        answers = [from_trail(one.body.trail) for one in look.entries(kind="result reckoned")]
    figures = [one for each in answers for one in walk(each)]
    assert [one.name for one in figures if rerun(one) != one.value] == []
    correct_entry(lab, 73, "8.44 mL", why="read again", by="TO")
    with lab.look() as look:
        new = look.entries(kind="result reckoned")[-1].body
    assert new.value not in [one.value for one in answers]
    assert verify(lab.folder).troubles == ()
    print(len(figures), from_trail(new.trail).how, stillroom.__file__)
'''


def renamable() -> dict[str, str]:
    """Functions of formulas that nothing else in the source is called by: no parameter, field or other function."""
    taken: set[str] = set()
    for tree in modules().values():
        for one in ast.walk(tree):
            if isinstance(one, ast.arg | ast.keyword):
                taken.add(one.arg or "")
            elif isinstance(one, ast.Name) and isinstance(one.ctx, ast.Store):
                taken.add(one.id)
            elif isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name):
                taken.add(one.target.id)
            elif isinstance(one, ast.Constant) and isinstance(one.value, str):
                taken.add(one.value)
    names = {
        one.function.__name__ for one in every_formula() if one.function.__module__.startswith("stillroom.")
    }
    return {name: f"was_once_{name}" for name in names - taken}


def renamed_source(into: Path) -> Path:
    """The source with every such function under another name, and one file of them in another folder."""
    copy = into / "stillroom"
    shutil.copytree(SRC, copy, ignore=shutil.ignore_patterns("__pycache__"))
    names = renamable()
    known = re.compile(rf"\b({'|'.join(names)})\b")
    before, after = (re.escape(one.removesuffix(".py").replace("/", ".")) for one in MOVED)
    (copy / MOVED[1]).parent.mkdir()
    (copy / MOVED[1]).with_name("__init__.py").write_text('"""Elsewhere."""\n')
    (copy / MOVED[0]).rename(copy / MOVED[1])
    for path in copy.rglob("*.py"):
        if path.name != "former_names.py":
            said = known.sub(lambda found: names[found[0]], path.read_text())
            path.write_text(re.sub(rf"stillroom\.{before}\b", f"stillroom.{after}".replace("\\", ""), said))
    return into


def test_an_old_book_explains_and_corrects_after_every_formula_was_renamed_and_a_file_moved(
    tmp_path: Path,
) -> None:
    source = renamed_source(tmp_path / "source")
    (tmp_path / "laboratory").mkdir()
    (tmp_path / "laboratory" / "laboratory.book").write_bytes(gzip.decompress(OLDEST.read_bytes()))
    said = subprocess.run(
        [sys.executable, "-c", TRIED, str(tmp_path / "laboratory")],
        env=os.environ | {"PYTHONPATH": str(source)}, capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert said.returncode == 0, said.stderr[-2000:]
    figures, how, where = said.stdout.split()
    assert int(figures) > 100
    assert ":" not in how
    assert Path(where).is_relative_to(source)
    assert len(renamable()) > 100
