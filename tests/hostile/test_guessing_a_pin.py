"""A PIN is guessed: it gets slower, then it is locked, on one thread and on eight, today and after a restart."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

import argon2
import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.house import pins
from stillroom.actions.house.pins import check_pin, forget_pin, has_pin, pin_facts, prove, set_pin
from stillroom.errors import BadEntry, NotAllowed, UnknownName
from tests.hostile.conftest import PINS

WRONG = "5938"


def guess(house, person="HH", pin=WRONG) -> str:
    with pytest.raises((BadEntry, NotAllowed)) as refused:
        check_pin(house.lab, person, pin)
    return refused.value.sentence


def guess_until_locked(house, person="HH") -> list[int]:
    """Guess as soon as each guess counts; gives the waits in seconds."""
    waits = []
    for tries in range(1, 11):
        guess(house, person)
        assert pin_facts(house.lab)[person].wrong_tries == tries
        waits.append(2 ** (tries - 1))
        house.clock.on(seconds=waits[-1])
    return waits


def test_the_right_pin_lets_sign(house):
    check_pin(house.lab, "HH", PINS["HH"])

    assert pin_facts(house.lab)["HH"].wrong_tries == 0


def test_each_wrong_pin_makes_the_next_wait_twice_as_long_and_ten_lock_it(house):
    guess_until_locked(house)
    house.clock.on(days=400)

    assert "locked" in guess(house, pin=PINS["HH"])


def test_a_try_that_comes_too_early_is_not_looked_at_even_when_right(house):
    guess(house)
    guess_early = guess(house, pin=PINS["HH"])
    house.clock.on(seconds=1)
    check_pin(house.lab, "HH", PINS["HH"])

    assert "too early" in guess_early
    assert pin_facts(house.lab)["HH"].wrong_tries == 0


def test_eight_threads_guess_no_faster_than_one(house, monkeypatch):
    looked_at = []
    monkeypatch.setattr(pins, "fits", lambda hashed, pin: looked_at.append(pin) or False)

    def try_it(number: int) -> None:
        with suppress(BadEntry, NotAllowed):
            check_pin(house.lab, "HH", f"{number:04d}")

    with ThreadPoolExecutor(8) as many:
        list(many.map(try_it, range(1000, 1040)))

    assert len(looked_at) == 1
    assert pin_facts(house.lab)["HH"].wrong_tries == 1


def test_two_programs_guessing_at_once_share_one_count(house, monkeypatch):
    """The lock of one process does not hold another: the count in the book does."""

    class NoLock:
        def __enter__(self) -> None: ...
        def __exit__(self, *_: object) -> None: ...

    looked_at = []
    monkeypatch.setattr(pins, "_one_at_a_time", NoLock())
    monkeypatch.setattr(pins, "fits", lambda hashed, pin: looked_at.append(pin) or False)

    def try_it(number: int) -> None:
        with suppress(BadEntry, NotAllowed), open_laboratory(house.lab.folder, clock=house.clock) as another:
            check_pin(another, "HH", f"{number:04d}")

    with ThreadPoolExecutor(8) as many:
        list(many.map(try_it, range(1000, 1016)))

    assert len(looked_at) == 1


def test_a_right_pin_sent_twice_at_once_is_right_both_times(house):
    with ThreadPoolExecutor(2) as both:
        answers = list(both.map(lambda _: check_pin(house.lab, "HH", PINS["HH"]), range(2)))

    assert answers == [None, None]


def test_the_count_outlives_a_restart(house):
    guess(house)
    with open_laboratory(house.lab.folder, clock=house.clock) as again:
        with pytest.raises(NotAllowed, match="too early"):
            check_pin(again, "HH", PINS["HH"])

        assert pin_facts(again)["HH"].wrong_tries == 1


def test_a_locked_pin_is_set_anew_by_somebody_who_may_release(house):
    guess_until_locked(house)
    with pytest.raises(NotAllowed, match="locked"):
        set_pin(house.lab, "HH", "4071", by="HH", pin=PINS["HH"])
    set_pin(house.lab, "HH", "4071", by="AA", pin=PINS["AA"])
    check_pin(house.lab, "HH", "4071")


def test_somebody_else_sets_no_pin_and_nobody_without_their_own(house):
    with pytest.raises(BadEntry, match="must be the one of who signs"):
        set_pin(house.lab, "HH", "4071", by="HH", pin=WRONG)
    with pytest.raises(NotAllowed, match="somebody who may release"):
        set_pin(house.lab, "AA", "4071", by="NN")
    with pytest.raises(BadEntry, match="needs the PIN"):
        set_pin(house.lab, "HH", "4071", by="AA")

    check_pin(house.lab, "AA", PINS["AA"])


@pytest.mark.parametrize("new", ["123", "1234", "9876", "0000", "123456789", "12a4", "", "١٢٣٤", "12 4"])
def test_a_pin_that_is_none_or_would_be_tried_first_is_refused(house, new):
    with pytest.raises(BadEntry, match="PIN"):
        set_pin(house.lab, "NN", new, by="NN")

    assert not has_pin(house.lab, "NN")


def test_a_name_outside_the_book_goes_the_same_way_and_takes_the_same_work(house, monkeypatch):
    hashed = []
    monkeypatch.setattr(pins, "fits", lambda one, pin: hashed.append(one) or False)
    known, unknown = guess(house, "HH"), guess(house, "QQ")
    again = guess(house, "HH"), guess(house, "ZZ")

    assert known == unknown
    assert again[0] == again[1]
    assert len(hashed) == 2
    costs = [one.split("$")[1:4] for one in hashed]
    assert costs[0] == costs[1], "another cost would take another time"


def test_nobody_signs_on_a_phone_without_a_pin_but_at_the_laptop_they_may(house):
    prove(house.lab, "NN", "")
    with pytest.raises(NotAllowed, match="From a phone a person signs with a PIN"):
        prove(house.lab, "NN", "", on_a_phone=True)
    with pytest.raises(BadEntry, match="needs the PIN"):
        prove(house.lab, "HH", "")


def test_a_pin_is_taken_away_only_when_nobody_is_left_to_set_it_anew(house):
    guess_until_locked(house)
    with pytest.raises(NotAllowed, match="AA can do so"):
        forget_pin(house.lab, "HH")
    guess_until_locked(house, "AA")
    forget_pin(house.lab, "AA")

    assert not has_pin(house.lab, "AA")
    with pytest.raises(UnknownName, match="has no PIN"):
        forget_pin(house.lab, "NN")


def test_each_guess_at_what_is_kept_of_a_pin_takes_64_megabytes_three_times(monkeypatch):
    monkeypatch.setattr("argon2.PasswordHasher", argon2._password_hasher.PasswordHasher)
    hashed = pins.hash_of("2718")

    assert hashed.startswith(
        "$argon2id$v=19$m=65536,t=3,p=4$"
    )  # RFC 9106, section 4, second choice, from memory
    assert pins.fits(hashed, "2718")
    assert not pins.fits(hashed, WRONG)


def test_a_copy_of_the_book_carries_nothing_of_a_pin(house, tmp_path):
    kept = {one.person: one.hashed for one in house.lab.book.pins_kept()}
    copy = house.lab.book.backup(tmp_path / "copy.book")
    content = copy.read_bytes()

    assert all(hashed.startswith("$argon2id$") for hashed in kept.values())
    assert all(hashed.encode() not in content for hashed in kept.values())
    assert b"$argon2" not in content


def test_a_pin_stands_in_no_entry_and_changes_none(house):
    before = house.digest()
    set_pin(house.lab, "NN", "5093", by="NN")

    assert house.digest() == before
    assert house.lab.book.verify().holds


def test_a_book_of_an_earlier_version_gets_the_table_when_it_is_opened(house):
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(house.lab.book.place.path)) as connection:
        for table in ("pins", "index_made"):  # such a book was made before both
            connection.execute(f"DROP TABLE {table}")
        connection.commit()
    with open_laboratory(house.lab.folder, clock=house.clock) as again:
        set_pin(again, "NN", "5093", by="NN")

        assert has_pin(again, "NN")
