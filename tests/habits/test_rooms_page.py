"""The picture of the rooms is in step with the code, and a newcomer finds in it what is looked for."""

import pytest

from tests.habits import rooms_page
from tests.habits.source_tree import ROOT, SRC, modules


@pytest.mark.parametrize("name", sorted(rooms_page.drawn()))
def test_picture_and_page_are_those_of_the_code(name: str) -> None:
    written = (ROOT / name).read_text(encoding="utf-8")

    assert written == rooms_page.drawn()[name], "run: .venv/bin/python -m tests.habits.rooms_page"


def test_every_room_is_in_the_picture_and_says_what_it_is_for() -> None:
    rooms = {one for row in rooms_page.layers() for one in row}
    there = {rooms_page.room_of(name) for name in modules()} - {"__init__", "__main__"}

    assert there == rooms
    for room in rooms:
        assert f">{room}</text>" in rooms_page.picture()
        assert len(rooms_page.said_of(room)) > 10


def test_a_newcomer_finds_a_question_its_science_and_a_page() -> None:
    found = {name: science for name, _, science in rooms_page.questions()}
    homes = dict(rooms_page.served())

    assert "science/solutions/acidity.py" in found["questions/buffer.py"]
    assert homes["/stock/{code}"] == "pages/stock.py"
    assert homes["/trace/{code}"] == "pages/tracing.py"
    assert all((SRC / one).is_file() for one in (*found, *homes.values()))
