"""A file holds one idea, and a reader is never more than one folder below a room.

What a browser loads (``web/static``) may be sorted into folders of its own.
"""

from collections import Counter
from pathlib import Path

from tests.habits.source_tree import SRC, modules


def test_no_file_of_the_source_is_longer_than_400_lines() -> None:
    lengths = {name: len((SRC / name).read_text().splitlines()) for name in modules()}

    assert {name: length for name, length in lengths.items() if length > 400} == {}


def test_a_room_is_at_most_one_folder_deep() -> None:
    files = [
        path for path in SRC.rglob("*") if path.is_file() and not {"__pycache__", "static"} & set(path.parts)
    ]

    assert [str(path) for path in files if len(path.relative_to(SRC).parts) > 3] == []


def test_every_folder_with_python_in_it_is_a_package() -> None:
    folders = {(SRC / name).parent for name in modules()}

    assert [str(folder) for folder in folders if not (folder / "__init__.py").exists()] == []


def test_no_file_is_a_drawer() -> None:
    drawers = {"utils", "util", "helpers", "common", "core", "manager", "misc", "base"}

    assert [name for name in modules() if drawers & set(name.removesuffix(".py").split("/"))] == []


def test_a_folder_of_acts_holds_at_most_15_files() -> None:
    folders = Counter(str(Path(name).parent) for name in modules() if not name.endswith("__init__.py"))

    assert {
        name: number for name, number in folders.items() if name.startswith("actions") and number > 15
    } == {}
