"""docs/rooms.md and its picture, drawn from the code: the rooms, what each stands on, and where a thing is found.

``.venv/bin/python -m tests.habits.rooms_page``, from the folder of the project, writes both anew. The order of the
rooms is read from pyproject.toml, what a room is for from its first line, what it stands on from its imports.
"""

import ast
import re
import textwrap
import tomllib
from collections.abc import Iterator
from functools import cache
from xml.sax.saxutils import escape

from tests.habits.source_tree import ROOT, SRC, modules, nodes

PAGE, PICTURE = ROOT / "docs" / "rooms.md", ROOT / "docs" / "pictures" / "rooms.svg"
WIDE, MARGIN, GAP, LINE = 860, 16, 12, 16
MARKS = {
    "questions": "where a question is: one file each",
    "actions": "where an act is: a folder for each subject",
    "pages": "where a page is: a file for each subject",
    "science": "where its science is",
    "reference": "where its figures are",
    "records": "where a kind of lot is: lot_kinds.py",
    "stream": "where a kind of step is: kinds/",
}
HEAD = """\
# The rooms of the house

![The rooms, the upper standing on the lower](pictures/rooms.svg)

A room imports only from the rooms below it. Look from the top: where somebody speaks to the tool (`web`, `cli`,
`in_python`), what they see (`pages`), what they do (`actions`), what they ask (`questions`), how it is calculated
(`answers`, `science`), and who says so (`reference`).

Picture and tables are drawn from the code by `.venv/bin/python -m tests.habits.rooms_page`, and a test compares them.
"""


@cache
def layers() -> list[list[str]]:
    """Rooms from the top, those of one height together."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    return [[one.strip() for one in row.split("|")] for row in contracts[0]["layers"]]


def room_of(name: str) -> str:
    """The room a file of the source, or a dotted module below stillroom, stands in."""
    return name.split("/")[0].split(".")[0].removesuffix(".py")


@cache
def imported(tree: ast.Module) -> set[str]:
    """Modules of the house that a file imports, dotted and without the name of the house."""
    found = set()
    for node in nodes(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("stillroom."):
            found.add(node.module.removeprefix("stillroom."))
    return found


def said_of(room: str) -> str:
    """The first line of a room: what it is for."""
    name = f"{room}/__init__.py" if (SRC / room).is_dir() else f"{room}.py"
    return (ast.get_docstring(modules()[name]) or "").splitlines()[0]


def stands_on(room: str) -> list[str]:
    """Rooms that a room imports, from the top."""
    used = {
        room_of(one) for name, tree in modules().items() if room_of(name) == room for one in imported(tree)
    }
    return [one for row in layers() for one in row if one in used - {room, "errors", "texts"}]


def file_of(module: str) -> str:
    """The file of a dotted module, below src/stillroom."""
    path = module.replace(".", "/")
    return f"{path}.py" if f"{path}.py" in modules() else f"{path}/__init__.py"


def science_of(name: str) -> list[str]:
    """Files of science that a file uses, by itself or through the answers, products and substances it uses."""
    found: set[str] = set()
    seen: set[str] = set()
    ahead = [name]
    while ahead:
        here = ahead.pop()
        if here in seen:
            continue
        seen.add(here)
        for module in imported(modules()[here]):
            if room_of(module) == "science":
                found.add(file_of(module))
            elif room_of(module) in ("answers", "products") or file_of(module).startswith(f"{name[:-3]}_"):
                ahead.append(file_of(module))
    return sorted(found)


def questions() -> Iterator[tuple[str, str, list[str]]]:
    """File, what it says of itself, and its science, of every file that declares a question."""
    for name, tree in modules().items():
        assigned = [
            target for node in tree.body if isinstance(node, (ast.Assign, ast.AnnAssign))
            for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
        ]  # fmt: skip
        declares = {one.id for one in assigned if isinstance(one, ast.Name)}
        if room_of(name) == "questions" and "QUESTION" in declares:
            yield name, (ast.get_docstring(tree) or "").splitlines()[0], science_of(name)


def served() -> Iterator[tuple[str, str]]:
    """Address of a page and the file that makes it."""
    for name, tree in modules().items():
        if room_of(name) != "web":
            continue
        homes = {
            one.asname or one.name: file_of(node.module.removeprefix("stillroom."))
            for node in nodes(tree)
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("stillroom.")
            for one in node.names
        }
        for node in nodes(tree):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id == "serve_page"
            ):
                address, build = node.args[1], node.args[2]
                inside = [one.id for one in ast.walk(build) if isinstance(one, ast.Name)]
                home = next((homes[one] for one in inside if homes.get(one, "").startswith("pages/")), name)
                if isinstance(address, ast.Constant):
                    yield str(address.value), home


def picture() -> str:
    """The rooms as SVG, in black on white and white on black alike."""
    parts: list[str] = []
    top = MARGIN
    for row in layers():
        wide = (WIDE - 2 * MARGIN - GAP * (len(row) - 1)) / len(row)
        texts = []
        for room in row:
            signs = int((wide - 24) / 6.6)
            says = textwrap.wrap(said_of(room).replace("``", ""), signs)
            below = stands_on(room)
            on = textwrap.wrap("stands on " + ", ".join(below), signs) if below else []
            texts.append([*(("says", one) for one in says), *(("on", one) for one in on)])
        tall = 34 + LINE * max(len(one) for one in texts)
        for at, (room, lines) in enumerate(zip(row, texts, strict=True)):
            left = MARGIN + at * (wide + GAP)
            parts.append(f'<rect x="{left:.0f}" y="{top}" width="{wide:.0f}" height="{tall}" rx="3"/>')
            parts.append(f'<text class="name" x="{left + 12:.0f}" y="{top + 20}">{room}</text>')
            if room in MARKS:
                parts.append(
                    f'<text class="mark" x="{left + wide - 12:.0f}" y="{top + 20}">{escape(MARKS[room])}</text>'
                )
            for down, (kind, line) in enumerate(lines):
                parts.append(
                    f'<text class="{kind}" x="{left + 12:.0f}" y="{top + 38 + LINE * down}">{escape(line)}</text>'
                )
        top += tall + GAP
    style = (
        "text{font:13px sans-serif;fill:#222}.name{font-weight:bold;font-size:15px}"
        ".mark{text-anchor:end;font-style:italic}.on{fill:#555}rect{fill:#fff;stroke:#222}"
        "@media(prefers-color-scheme:dark){text{fill:#eee}.on{fill:#bbb}rect{fill:#1c1c1c;stroke:#ccc}}"
    )
    size = f'viewBox="0 0 {WIDE} {top}" width="{WIDE}" height="{top}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img">'
    title = "<title>The rooms of the house, the upper standing on the lower</title>"
    return "\n".join([head, title, f"<style>{style}</style>", *parts, "</svg>"]) + "\n"


def page() -> str:
    """The page: the picture, the rooms, where a question is and where a page is."""
    lines = [HEAD, "## Rooms, from the top", "", "| room | what it is for | stands on |", "|---|---|---|"]
    lines += [
        f"| `{room}` | {said_of(room)} | {', '.join(f'`{one}`' for one in stands_on(room)) or '–'} |"
        for row in layers()
        for room in row
    ]
    lines += [
        "", "## Where a question is, and its science", "",
        "What is asked, worked out, told and taught stands in the question's file; what it looks like on a page, in a",
        "form, at the command and in JSON is read off it by `asking`.", "",
        "| question | what it says | its page | its science |", "|---|---|---|---|",
    ]  # fmt: skip
    lines += [
        f"| `{name}` | {said} | `/ask/{name[10:-3]}` | {', '.join(f'`{one}`' for one in science) or '–'} |"
        for name, said, science in questions()
    ]
    lines += ["", "## Where a page is", "", "| address | made in |", "|---|---|"]
    lines += [f"| `{address}` | `{home}` |" for address, home in sorted(served())]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)) + "\n"


def drawn() -> dict[str, str]:
    """What stands in each of the two files."""
    return {str(PAGE.relative_to(ROOT)): page(), str(PICTURE.relative_to(ROOT)): picture()}


if __name__ == "__main__":
    for name, text in drawn().items():
        (ROOT / name).write_text(text, encoding="utf-8")
