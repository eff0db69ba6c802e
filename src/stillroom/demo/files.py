"""Files of the practice laboratory, shipped with the package. Every figure in them is invented."""

import csv
from importlib import resources
from io import StringIO

FOLDER = resources.files("stillroom.demo") / "practice"


def practice_file(name: str) -> bytes:
    """A file of the practice laboratory: "laboratory.yaml", "ORD-1.yaml", ..."""
    return FOLDER.joinpath(name).read_bytes()


def practice_rows(name: str) -> list[dict[str, str]]:
    """A table of the practice laboratory, row by row."""
    return list(csv.DictReader(StringIO(practice_file(name).decode("utf-8"))))
