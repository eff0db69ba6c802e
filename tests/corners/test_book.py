"""The doors to the book are as few as promised, and whoever alters it behind its back is named."""

import ast
import importlib
import sqlite3
import tomllib
from pathlib import Path

import pytest

from stillroom.actions.book.backup import verify
from stillroom.cli.main import main
from stillroom.errors import BookTrouble
from tests.habits.source_tree import ROOT, modules
from tests.practice import copied

CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]


def contract(kind: str) -> dict:
    (found,) = [one for one in CONTRACTS if one["type"] == kind]
    return found


def test_only_acts_and_pages_may_import_the_book() -> None:
    protected = contract("protected")

    assert protected["protected_modules"] == ["stillroom.store"]
    assert protected["allowed_importers"] == ["stillroom.actions", "stillroom.pages"]


def test_the_rooms_stand_in_their_order_with_none_left_out() -> None:
    layers = contract("layers")

    assert layers["exhaustive"] is True
    assert layers["layers"].index("actions") < layers["layers"].index("documents | store")
    assert "web | demo" in layers["layers"]
    assert set(contract("forbidden")["forbidden_modules"]) >= {"os", "sqlite3", "datetime", "time", "random"}


@pytest.mark.parametrize("room", ["demo", "web", "cli", "documents"])
def test_a_room_outside_never_names_the_book(room: str) -> None:
    found = {
        name: module
        for name, tree in modules().items()
        if name.startswith(f"{room}/")
        for node in ast.walk(tree)
        for module in _imported(node)
        if module.startswith("stillroom.store") or module.split(".")[0] in ("sqlite3", "sqlalchemy")
    }

    assert any(name.startswith(f"{room}/") for name in modules())
    assert found == {}


def _imported(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [one.name for one in node.names]
    if isinstance(node, ast.ImportFrom):
        return [node.module or ""]
    return []


def alter(folder: Path, words: str) -> None:
    """One statement behind the book's back, its guards laid aside for the moment."""
    connection = sqlite3.connect(folder / "laboratory.book", isolation_level=None)
    guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        connection.execute(f'DROP TRIGGER "{name}"')
    assert connection.execute(words).rowcount == 1
    for _, sql in guards:
        connection.execute(sql)
    connection.close()


def test_one_altered_movement_of_the_practice_book_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path)
    assert verify(folder).troubles == ()
    alter(
        folder,
        "UPDATE movements SET amount = 12020000 WHERE lot = 'E1' AND amount = 13020000 AND entry_no = 122",
    )

    found = verify(folder).troubles
    with pytest.raises(SystemExit, match="2"):
        main(["book", "verify", "--in", str(folder)])
    said = capsys.readouterr()

    assert len(found) == 1
    assert "The row of entry 122" in found[0]
    assert "in movements was altered: amount is 12020000 and must be 13020000" in found[0]
    assert "amount is 12020000 and must be 13020000" in said.err
    assert said.out == ""


def test_the_guards_stop_whoever_forgets_to_lay_them_aside(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    connection = sqlite3.connect(folder / "laboratory.book")

    for words in ("UPDATE movements SET amount = 1", "DELETE FROM journal", "UPDATE journal SET text = ''"):
        with pytest.raises(sqlite3.IntegrityError, match=r"."):
            connection.execute(words)
    connection.close()
    assert verify(folder).troubles == ()


def test_a_folder_without_a_book_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(BookTrouble, match=r"no laboratory\.book"):
        verify(tmp_path)


COVERED = {
    "story answers typed in": (
        "tests.habits.test_no_answer_is_typed_in:test_no_expected_figure_of_a_story_occurs_in_the_source",
        "tests.corners.test_inputs_move_figures:test_a_titre_moves_the_assay_and_the_content_of_the_plant",
        "tests.corners.test_inputs_move_figures:test_a_drying_moves_the_dried_content_and_nothing_as_is",
        "tests.corners.test_inputs_move_figures:test_the_pka_moves_what_shaking_out_carries_over",
        "tests.corners.test_inputs_move_figures:test_the_strength_of_the_spirit_moves_what_is_weighed_of_it",
        "tests.corners.test_inputs_move_figures:test_a_larger_bottle_moves_fill_bulk_and_active_alike",
    ),
    "deterministic plan with a bell curve glued on, or padded": (
        "tests.planning.test_supply_is_met:test_the_mass_that_meets_it_lies_within_one_per_cent_of_the_plan",
        "tests.planning.test_supply_is_met:test_one_per_cent_less_plant_is_not_enough",
        "tests.planning.test_supply_is_met:test_one_per_cent_more_plant_is_enough_with_room_to_spare",
    ),
    "trail as hand-written prose": (
        "tests.corners.test_trails:test_every_reading_is_an_entry_of_the_book_that_holds_its_value",
        "tests.corners.test_trails:test_every_published_leaf_is_a_row_of_a_table_with_its_source",
        "tests.corners.test_trails:test_every_answer_runs_again_to_the_value_it_has",
    ),
    "demo written straight into tables": (
        "tests.corners.test_book:test_a_room_outside_never_names_the_book",
        "tests.corners.test_book:test_only_acts_and_pages_may_import_the_book",
    ),
    "verify only rehashes": ("tests.corners.test_book:test_one_altered_movement_of_the_practice_book_is_named",),
    "killed simulated by an exception": (
        "tests.store.test_killed:test_fifty_killed_writers_lose_nothing_they_acknowledged",
    ),
    "nothing changed unasserted": (
        "tests.actions.test_bad_input:test_a_slip_is_told_in_one_sentence_and_changes_nothing",
    ),
    "second person is another string": (
        "tests.corners.test_release:test_whoever_weighed_dosed_or_tested_is_no_second_person",
        "tests.corners.test_release:test_alone_only_after_a_night_and_the_paper_says_no_second_person",
    ),
}  # fmt: skip
"""Where corners get cut, and the tests that would notice."""


@pytest.mark.parametrize("corner", COVERED)
def test_every_corner_that_could_be_cut_has_its_test(corner: str) -> None:
    for named in COVERED[corner]:
        module, _, function = named.partition(":")

        assert callable(getattr(importlib.import_module(module), function))


def test_the_writers_are_killed_by_a_signal_that_cannot_be_caught() -> None:
    killed = importlib.import_module("tests.store.test_killed")

    assert killed.KILLS >= 50
    assert "signal.SIGKILL" in Path(killed.__file__).read_text()
