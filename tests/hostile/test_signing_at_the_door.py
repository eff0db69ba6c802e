"""Who signs proves it before anything is done, on every form; a PIN is never shown again, kept or logged."""

import logging
import re

import pytest
from fastapi.routing import APIRoute

from tests.hostile.conftest import PINS, key_of

NOTED = "/laboratory/conditions/new"
A_LOT = {
    "code": "ROS-01",
    "kind": "plant material",
    "substance": "rosemary leaf",
    "amount": "1.000 kg",
    "owner": "ours",
}


def send(client, **typed):
    return client.post("/stock/new", data={"request_key": key_of(client, "/stock/new"), **A_LOT, **typed})


def posted_to(app) -> list[str]:
    """Every address a form is sent to, with something in place of its parts."""
    found, waiting = set(), list(app.routes)
    while waiting:
        one = waiting.pop()
        waiting += getattr(getattr(one, "original_router", None), "routes", ())
        if isinstance(one, APIRoute) and "POST" in one.methods:
            found.add(re.sub(r"{[^}]*}", "1", one.path))
    return sorted(found)


def test_a_phone_signs_with_the_pin_and_is_soon_forgotten(house):
    answer = send(house.phone(), by="HH", pin=PINS["HH"])
    hand = next(one for one in answer.headers.get_list("set-cookie") if one.startswith("hand="))

    assert answer.status_code == 303
    assert "Max-Age=900" in hand


@pytest.mark.parametrize(
    "typed",
    [{"by": "HH"}, {"by": "HH", "pin": "5938"}, {"by": "NN"}, {"by": "NN", "pin": "5938"}, {"by": "QQ"}],
)
def test_a_phone_writes_nothing_without_the_right_pin(house, typed):
    before = house.digest()
    answer = send(house.phone(), **typed)

    assert answer.status_code in (409, 422)
    assert "Nothing was saved" in answer.text
    assert house.digest() == before


def test_at_the_laptop_a_person_with_a_pin_needs_it_and_another_does_not(house):
    laptop, before = house.laptop(), house.digest()
    refused = send(laptop, by="HH")

    assert refused.status_code == 422
    assert 'id="pin-error"' in refused.text
    assert house.digest() == before
    assert send(laptop, by="NN").status_code == 303


def test_no_form_of_any_page_writes_from_a_phone_without_a_pin(house):
    phone, before, addresses = house.phone(), house.digest(), posted_to(house.app)
    answers = {one: phone.post(one, data={"by": "HH", "request_key": "a" * 12}) for one in addresses}

    assert len(addresses) > 25
    assert {one: answer.status_code for one, answer in answers.items() if answer.status_code >= 500} == {}
    assert house.digest() == before


def test_a_pin_comes_back_in_no_form_and_stands_in_no_entry_and_no_log(house, caplog):
    caplog.set_level(logging.DEBUG)
    laptop = house.laptop()
    refused = send(laptop, by="HH", pin=PINS["HH"], amount="much")
    send(laptop, by="HH", pin=PINS["HH"])
    with house.lab.book.look() as look:
        texts = look._connection.exec_driver_sql("SELECT text FROM journal").scalars().all()

    assert refused.status_code == 422
    assert PINS["HH"] not in refused.text
    assert any("ROS-01" in one for one in texts)
    assert not any(PINS["HH"] in one for one in texts)
    assert PINS["HH"] not in caplog.text


def test_only_those_with_a_pin_are_offered_on_a_phone(house):
    phone, laptop = (client.get("/stock/new").text for client in (house.phone(), house.laptop()))

    assert "Nils Nord" in laptop
    assert "Nils Nord" not in phone
    assert 'type="password" inputmode="numeric"' in phone


def test_a_pin_is_set_on_the_page_at_the_laptop_and_nowhere_else(house):
    where, typed = "/laboratory/people/NN/pin", {"by": "NN", "new": "5093", "again": "5093"}
    away = house.phone().post(where, data=typed)
    different = house.laptop().post(where, data={**typed, "again": "5094"})
    there = house.laptop().post(where, data=typed)

    assert (away.status_code, different.status_code, there.status_code) == (403, 422, 303)
    assert "5093" not in different.text
    assert send(house.phone(), by="NN", pin="5093").status_code == 303


def test_another_laboratory_is_begun_and_opened_by_somebody_who_signs_with_a_pin(house):
    laptop, folder = house.laptop(), house.lab.folder
    house.app.state.phones = None
    begun = {"name": "Another", "person": "Otto Oak"}
    for more in ({}, {"by": "HH"}, {"by": "HH", "pin": "1111"}, {"by": "ZZ", "pin": "8264"}):
        answer = laptop.post("/laboratory/new", data=begun | more)
        assert answer.status_code in (404, 422), answer.text
        house.clock.on(minutes=5)
        opened = laptop.post("/laboratory/open", data={"folder": folder.name} | more)
        assert opened.status_code in (404, 422), opened.text
        house.clock.on(minutes=5)
    assert house.app.state.lab is house.lab
    assert [one.name for one in folder.parent.iterdir() if (one / "laboratory.book").exists()] == [
        folder.name
    ]
    taken = laptop.post("/laboratory/new", data=begun | {"by": "AA", "pin": PINS["AA"]})

    assert taken.status_code == 303
    assert house.app.state.lab is not house.lab
    house.app.state.lab.book.close()
