"""Several files are entered all or none; the same command may be given again."""

from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.orders.entering import enter_files
from stillroom.demo.story import practice_file
from stillroom.errors import StillroomError


def written(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def entries(lab: Laboratory) -> int:
    with lab.look() as look:
        return len(look.entries())


def another_order(code: str) -> bytes:
    return practice_file("ORD-1.yaml").replace(b"ORD-1", code.encode())


def test_where_one_file_cannot_be_read_none_is_entered(lab: Laboratory, tmp_path: Path) -> None:
    before = entries(lab)
    files = [
        written(tmp_path, "a.yaml", another_order("ORD-8")),
        written(tmp_path, "b.yaml", b"order: ORD-9\n"),
    ]

    with pytest.raises(StillroomError, match=r"b\.yaml"):
        enter_files(lab, files, by="MA")

    assert entries(lab) == before


def test_where_the_book_refuses_one_it_says_which_went_in_and_goes_on_when_asked_again(
    lab: Laboratory, tmp_path: Path
) -> None:
    before = entries(lab)
    first = written(tmp_path, "a.yaml", another_order("ORD-8"))
    taken = written(tmp_path, "b.yaml", practice_file("ORD-1.yaml") + b"# once more\n")

    with pytest.raises(StillroomError, match=r"Entered before it: a\.yaml"):
        enter_files(lab, [first, taken], by="MA")
    again = enter_files(lab, [first, written(tmp_path, "b.yaml", another_order("ORD-9"))], by="MA")

    assert entries(lab) == before + 2
    assert "already" in again[0].says
