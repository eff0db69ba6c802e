"""Each phone has a cookie of its own: one is thrown out alone, and its wrong PINs lock it, not the person."""

import re

import pytest

from stillroom.actions.house.phones import close_to_phones, join_code
from stillroom.actions.house.phones_joined import MOST_PHONES, TRIES_OF_A_PHONE, phone_joins, phones_joined
from stillroom.actions.house.pins import pin_facts, prove
from stillroom.errors import BadEntry, NotAllowed, StillroomError
from stillroom.web.forms import JOINED
from tests.hostile.conftest import LAN, PINS, key_of


def condition(client, pin, by="HH"):
    typed = {"what": "room temperature", "value": "21 °C", "by": by, "pin": pin}
    typed["request_key"] = key_of(client, "/laboratory/conditions/new")
    return client.post("/laboratory/conditions/new", data=typed)


def test_two_phones_hold_two_cookies_and_one_is_thrown_out_alone(house):
    lost, other = house.phone(), house.phone()
    assert lost.cookies[JOINED] != other.cookies[JOINED]
    shown = house.laptop().get("/laboratory/phones").text
    keys = re.findall(r"/laboratory/phones/([0-9a-f]+)/out", shown)
    assert len(keys) == 2
    assert other.post(f"/laboratory/phones/{keys[0]}/out").status_code == 403
    assert house.laptop().post(f"/laboratory/phones/{keys[0]}/out").status_code == 303

    assert lost.get("/bench").status_code == 403
    assert other.get("/bench").status_code == 200
    assert house.laptop().post("/laboratory/phones/0123456789abcdef/out").status_code == 404


def test_a_phone_is_called_otherwise_at_the_laptop_and_every_name_is_its_own(house):
    first, _ = house.phone(), house.phone()
    laptop, keys = house.laptop(), [one.key for one in phones_joined(house.lab)]
    assert laptop.post(f"/laboratory/phones/{keys[0]}/name", data={"name": "Anna"}).status_code == 303
    assert "Anna" in laptop.get("/laboratory/phones").text
    for key, name in ((keys[1], "anna"), (keys[1], ""), ("0123456789abcdef", "Nils")):
        answer = laptop.post(f"/laboratory/phones/{key}/name", data={"name": name})
        assert answer.status_code in (404, 422), (key, name)
    assert first.post(f"/laboratory/phones/{keys[0]}/name", data={"name": "Mine"}).status_code == 403
    assert [one.name for one in phones_joined(house.lab)] == ["Anna", "Phone 2"]
    assert first.get("/bench").status_code == 200


def test_a_cookie_made_up_or_of_another_phone_does_not_come_in(house):
    phone = house.phone()
    key, day, seal = phone.cookies[JOINED].split(".")
    forged = phone_joins(house.lab, "")
    for shown in (
        f"{forged.key}.{day}.{seal}",
        f"{key}x.{day}.{seal}",
        f"{day}.{seal}",
        f".{day}.{seal}",
        key,
        ".",
    ):
        stranger = house.stranger()
        stranger.cookies.set(JOINED, shown)
        assert stranger.get("/bench").status_code == 403
    assert phone.get("/bench").status_code == 200


def test_wrong_pins_on_a_phone_throw_it_out_and_leave_the_laptop_alone(house):
    phone, before = house.phone(), house.digest()
    for number in range(TRIES_OF_A_PHONE):
        answer = condition(phone, "1470")
        assert answer.status_code == 422, answer.text
        if number < TRIES_OF_A_PHONE - 1:
            assert pin_facts(house.lab)["HH"].wrong_tries == 0
            prove(house.lab, "HH", PINS["HH"])  # the laptop takes the right one at once
            house.clock.on(seconds=2**number + 1)

    assert phone.get("/bench").status_code == 403
    assert pin_facts(house.lab)["HH"].wrong_tries == 1
    assert house.digest() == before
    with pytest.raises(NotAllowed, match="one that is out"):
        prove(house.lab, "HH", PINS["HH"], on_a_phone=True, phone=phone.cookies[JOINED].split(".")[0])
    house.clock.on(seconds=2)
    prove(house.lab, "HH", PINS["HH"])


def test_a_phone_waits_after_a_wrong_pin_whoever_is_tried_next(house):
    key = house.phone().cookies[JOINED].split(".")[0]
    with pytest.raises(BadEntry, match="counts after 1 s"):
        prove(house.lab, "HH", "1470", on_a_phone=True, phone=key)
    with pytest.raises(NotAllowed, match="too early"):
        prove(house.lab, "AA", PINS["AA"], on_a_phone=True, phone=key)
    other = house.phone().cookies[JOINED].split(".")[0]
    prove(house.lab, "AA", PINS["AA"], on_a_phone=True, phone=other)
    house.clock.on(seconds=1.1)
    prove(house.lab, "AA", PINS["AA"], on_a_phone=True, phone=key)

    assert [one.wrong_tries for one in phones_joined(house.lab)] == [0, 0]


def test_who_scans_again_and_again_locks_the_person_after_ten_phones(house):
    guessed = 0
    for _ in range(12):
        key = phone_joins(house.lab, "").key
        for number in range(TRIES_OF_A_PHONE):
            try:
                prove(house.lab, "HH", "1470", on_a_phone=True, phone=key)
            except StillroomError:
                guessed += 1
            house.clock.on(seconds=2**number + 1)
        house.clock.on(seconds=600)

    assert pin_facts(house.lab)["HH"].locked
    with pytest.raises(BadEntry):
        prove(house.lab, "HH", PINS["HH"], on_a_phone=True, phone=phone_joins(house.lab, "").key)


def test_closing_the_bench_forgets_every_phone_and_nobody_joins_without_end(house):
    phone = house.phone()
    close_to_phones(house.lab)
    assert phone.get("/bench").status_code == 403
    assert phones_joined(house.lab) == ()
    code = join_code(house.lab, LAN)
    for _ in range(MOST_PHONES):
        phone_joins(house.lab, "Android")

    assert house.stranger().get(f"/join/{code}").status_code == 403
    assert phones_joined(house.lab)[-1].name == f"Phone {MOST_PHONES}, Android"
