"""Count what a run of mutmut left alive, wording left out.

Run from the folder that holds ``mutants/``::

    python -m tests.mutation.tally               # the rates by file, then every survivor
    python -m tests.mutation.tally dose restate  # only files whose path holds one of these words

Wording is what a person reads and nothing reckons with: what stands in a ``raise``, in ``refusal(...)`` or in
``says=``; the name of an answer; any text of three words or more, and what is put into it.
"""

import ast
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

MUTANTS = Path("mutants")
NAMED_FIRST = {"reckoned", "reading", "assumed", "published", "spread_leaf"}
TELLS = {
    "refusal",
    "BadEntry",
    "BookTrouble",
    "NotEnough",
    "NotAllowed",
    "OutsideModel",
    "UnknownName",
    "among",
}
ALIVE = {0: "survived", 5: "no test", 33: "no test"}


@dataclass(frozen=True)
class Mutant:
    """One changed function: what stood there, what stands there now, and how it fared."""

    file: str
    key: str
    line: int
    before: str
    after: str
    is_wording: bool
    fate: str


def mutants(words: list[str]) -> Iterator[Mutant]:
    """Every mutant of the run, in the order of the files."""
    for meta in sorted(MUTANTS.rglob("*.py.meta")):
        source = meta.with_suffix("")
        name = str(source.relative_to(MUTANTS))
        if words and not any(word in name for word in words):
            continue
        functions = {
            one.name: one
            for one in ast.walk(ast.parse(source.read_text("utf-8")))
            if isinstance(one, ast.FunctionDef)
        }
        for key, code in json.loads(meta.read_text("utf-8"))["exit_code_by_key"].items():
            own = key.rpartition(".")[2]
            first = functions[own.rpartition("__mutmut_")[0] + "__mutmut_orig"]
            path, old, new = _difference([], first, functions[own])
            yield Mutant(
                name,
                key,
                _line_of(path, old),
                _told(old),
                _told(new),
                _is_wording(path, old, new),
                ALIVE.get(code, "killed") if code is not None else "not run",
            )


def _difference(path: list[ast.AST], old: object, new: object) -> tuple[list[ast.AST], object, object]:
    """The smallest part in which two trees differ, and the parts around it, outermost first."""
    if not isinstance(old, ast.AST) or type(old) is not type(new):
        return path, old, new
    apart = []
    for field in old._fields:
        one, other = getattr(old, field, None), getattr(new, field, None)
        if field == "name" or (isinstance(one, ast.AST | list) and _same(one, other)) or one == other:
            continue
        apart.append((one, other))
    if len(apart) != 1:
        return path, old, new
    one, other = apart[0]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        unlike = [(here, there) for here, there in zip(one, other, strict=True) if not _same(here, there)]
        if len(unlike) == 1 and isinstance(unlike[0][0], ast.AST):
            return _difference([*path, old], *unlike[0])
    if isinstance(one, ast.AST) and isinstance(other, ast.AST):
        return _difference([*path, old], one, other)
    return path, old, new


def _same(one: object, other: object) -> bool:
    if isinstance(one, list):
        return isinstance(other, list) and len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, ast.AST):
        return isinstance(other, ast.AST) and ast.dump(one) == ast.dump(other)
    return one == other


def _is_wording(path: list[ast.AST], old: object, new: object) -> bool:
    around = [*path, old]
    for outer, inner in zip(around, [*around[1:], None], strict=True):
        match outer:
            case ast.Raise():
                return True
            case ast.keyword(arg="says"):
                return True
            case ast.JoinedStr(values=parts) if _words(parts) >= 3:
                return True
            case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name), args=args):
                if name in TELLS or (name in NAMED_FIRST and args and inner is args[0]):
                    return True
                if inner is None and isinstance(new, ast.Call) and _only_says_changed(outer, new):
                    return True
    return isinstance(old, ast.Constant) and isinstance(old.value, str) and len(old.value.split()) >= 4


def _words(parts: list[ast.expr]) -> int:
    return sum(len(str(one.value).split()) for one in parts if isinstance(one, ast.Constant))


def _only_says_changed(old: ast.Call, new: ast.Call) -> bool:
    kept = [one for one in old.keywords if one.arg != "says"]
    return len(kept) < len(old.keywords) and _same(kept, new.keywords) and _same(old.args, new.args)


def _line_of(path: list[ast.AST], old: object) -> int:
    """Line within its function, the ``def`` being line 1."""
    placed = [one for one in (*path, old) if hasattr(one, "lineno")]
    return int(placed[-1].lineno - placed[0].lineno + 1) if placed else 1


def _told(part: object) -> str:
    if not isinstance(part, ast.AST):
        return repr(part)
    return " ".join(ast.unparse(part).split())[:200] or type(part).__name__


def report(found: list[Mutant]) -> Iterator[str]:
    """The lines of the tally: rates by file, then what survived."""
    counted = [one for one in found if not one.is_wording and one.fate != "not run"]
    for file in [*dict.fromkeys(one.file for one in counted), "all"]:
        of_file = [one for one in counted if file in (one.file, "all")]
        killed = sum(one.fate == "killed" for one in of_file)
        yield f"{100 * killed / max(len(of_file), 1):5.1f} %  {killed} of {len(of_file)}  {file}"
    yield f"{sum(one.is_wording for one in found)} are wording"
    yield f"{sum(one.fate == 'not run' for one in found)} were not run"
    for one in counted:
        if one.fate != "killed":
            yield f"\n{one.key}  ({one.fate}, line {one.line})\n  - {one.before}\n  + {one.after}"


if __name__ == "__main__":
    for words in report(list(mutants(sys.argv[1:]))):
        sys.stdout.write(f"{words}\n")
