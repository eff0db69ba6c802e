"""At the command line, too, a person with a PIN proves it; and the verb that sets one."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory, open_laboratory
from stillroom.actions.house.duties import give_duties
from stillroom.actions.house.equipment_and_people import join_person
from stillroom.actions.house.pins import check_pin, has_pin, pin_facts, set_pin
from stillroom.cli.main import stillroom
from stillroom.errors import NotAllowed, StillroomError
from stillroom.records.people import Person
from tests.habits.source_tree import SRC

NOTED = ("note", "room temperature", "31 °C", "--by", "AA")


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Laboratory]:
    with begin_laboratory(tmp_path / "house", "A small house", Person("AA", "Anna Alm", True)) as lab:
        yield lab


def run(lab: Laboratory, *arguments: str, pin: str | None = None, types: str = "") -> Result:
    return CliRunner().invoke(
        stillroom, [*arguments, "--in", str(lab.folder)], env={"STILLROOM_PIN": pin}, input=types
    )


def test_a_person_without_a_pin_signs_as_before(house):
    assert run(house, *NOTED).exit_code == 0


@pytest.mark.parametrize(("pin", "says"), [("5938", "must be the one of who signs"), (None, "needs the PIN")])
def test_a_person_with_a_pin_writes_nothing_without_it(house, pin, says):
    set_pin(house, "AA", "8264", by="AA")
    before = house.book.digest()
    refused = run(house, *NOTED, pin=pin).exception

    assert isinstance(refused, StillroomError)
    assert says in refused.sentence
    assert house.book.digest() == before


def test_a_person_with_a_pin_signs_with_it(house):
    set_pin(house, "AA", "8264", by="AA")
    before = house.book.digest()

    assert run(house, *NOTED, pin="8264").exit_code == 0
    assert house.book.digest() != before


def test_a_pin_is_typed_twice_unseen_and_set(house):
    answer = run(house, "pin", "AA", types="8264\n8264\n")

    assert answer.exit_code == 0
    assert "8264" not in answer.output
    check_pin(house, "AA", "8264")


def test_a_pin_is_changed_with_the_present_one(house):
    set_pin(house, "AA", "8264", by="AA")
    refused = run(house, "pin", "AA", pin="5938", types="4071\n4071\n").exception

    assert isinstance(refused, StillroomError)
    assert pin_facts(house)["AA"].wrong_tries == 1


def test_a_pin_is_not_forgotten_while_somebody_can_set_it_anew(house):
    set_pin(house, "AA", "8264", by="AA")
    refused = run(house, "pin", "AA", "--forgotten").exception

    assert isinstance(refused, StillroomError)
    assert "AA can do so" in refused.sentence
    assert has_pin(house, "AA")


def test_every_verb_that_signs_opens_the_laboratory_where_the_pin_is_asked():
    by_the_side_door = {
        path.stem
        for path in (SRC / "cli").glob("*.py")
        if re.search(
            r"from stillroom\.actions\.book\.laboratory import .*\bopen_laboratory\b", path.read_text()
        )
    }

    assert by_the_side_door == {"asking", "demo", "pins", "serving"}, "these ask nobody for a PIN"


def test_where_somebody_has_a_pin_whoever_copies_the_book_signs(house, tmp_path):
    copy = tmp_path / "copies" / "first.book"
    assert run(house, "book", "backup", str(copy)).exit_code == 0
    set_pin(house, "AA", "8264", by="AA")
    second = copy.with_name("second.book")
    for more, pin, says in (
        ((), None, "signs too"),
        (("--by", "AA"), "5938", "must be the one of who signs"),
        (("--by", "QQ"), "8264", "not a person"),
    ):
        refused = run(house, "book", "backup", str(second), *more, pin=pin).exception
        assert isinstance(refused, StillroomError)
        assert says in refused.sentence
        assert not second.exists()
    forgive(house)
    assert run(house, "book", "backup", str(second), "--by", "AA", pin="8264").exit_code == 0


def forgive(house):
    with house.book.pins() as pins:
        pins.count("AA", wrong_tries=0, not_before="")


def test_whoever_was_given_no_duty_of_an_owner_copies_nothing(house, tmp_path):
    join_person(house, Person("HH", "Hans Holm"), by="AA")
    give_duties(house, "HH", makes=True, checks=False, owns=False, by="AA")
    refused = run(house, "book", "backup", str(tmp_path / "copy.book"), "--by", "HH").exception
    assert isinstance(refused, NotAllowed)
    assert run(house, "book", "backup", str(tmp_path / "copy.book"), "--by", "AA").exit_code == 0


def test_a_laboratory_is_begun_with_a_first_person_who_signs_with_a_pin(tmp_path):
    def begin(typed: str) -> Result:
        words = [
            "new",
            str(tmp_path / "own"),
            "--name",
            "A small house",
            "--person",
            "AA: Anna Alm",
            "--with-pin",
        ]
        return CliRunner().invoke(stillroom, words, input=typed)

    assert isinstance(begin("1234\n1234\n").exception, StillroomError)
    assert isinstance(begin("").exception, StillroomError)  # nobody sits there
    assert not (tmp_path / "own").exists()
    assert begin("8264\n8264\n").exit_code == 0
    with open_laboratory(tmp_path / "own") as lab:
        assert has_pin(lab, "AA")
        check_pin(lab, "AA", "8264")
