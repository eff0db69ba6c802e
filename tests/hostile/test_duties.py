"""Every address says the duty it needs; who was given other duties is refused there, whichever way they come."""

from collections.abc import Iterator
from dataclasses import astuple
from typing import Any

import pytest

from stillroom.actions.correcting.entries import put_right
from stillroom.actions.house.duties import duties_of, give_duties, holds, must_hold
from stillroom.actions.house.equipment_and_people import join_person
from stillroom.errors import NotAllowed, StillroomError
from stillroom.records.people import Person
from stillroom.web.app import make_app
from stillroom.web.duties import SIGNED_IN, Addresses, DutyNeeded, duty_said
from tests.hostile.conftest import PINS, key_of

WRITES = {"POST", "PUT", "PATCH", "DELETE"}
WITHOUT = {"/look", "/sign-in", "/sign-out", "/own-password"}
"""Addresses that write nothing into the journal, so that nobody needs a duty to send a form there."""


def routes(of: Any) -> Iterator[Any]:
    for one in of.routes:
        inside = getattr(one, "original_router", None)
        yield from routes(inside) if inside is not None else (one,)


ADDRESSES = [one for one in routes(make_app(None)) if one.path != "/static"]


def test_every_address_says_its_duty_and_nobody_writes_without_one():
    assert len(ADDRESSES) > 400
    for route in ADDRESSES:
        needs = duty_said(route)
        assert needs is not None, route.path
        if route.methods & WRITES and route.path not in WITHOUT:
            assert needs in ("maker", "checker", "owner"), route.path


def test_whatever_is_shown_answers_to_its_head_alone_too(house):
    """A form was not there for whoever asked for its head."""
    shown = [one for one in ADDRESSES if "GET" in one.methods]
    plain = [one.path for one in shown if "{" not in one.path and not one.path.startswith("/join")]
    client = house.laptop()

    assert [one.path for one in shown if "HEAD" not in one.methods] == []
    assert len(plain) > 100
    for path in plain:
        got, head = client.get(path), client.head(path)
        assert (head.status_code, head.headers.get("content-type")) == (
            got.status_code, got.headers.get("content-type"),
        ), path  # fmt: skip


def test_a_router_takes_no_address_without_a_duty():
    with pytest.raises(TypeError, match="needs"):
        Addresses().get("/somewhere")


def given(house, person: str, makes: bool, checks: bool, owns: bool, by: str = "AA") -> None:
    give_duties(house.lab, person, makes=makes, checks=checks, owns=owns, by=by)


def held(house, person: str) -> set[str]:
    with house.lab.look() as look:
        return {one for one in ("reader", "maker", "checker", "owner") if holds(look, person, one)}


def note(client, by: str, **more: str):
    typed = {"what": "room temperature", "value": "21 °C", "by": by, **more}
    typed["request_key"] = key_of(client, "/laboratory/conditions/new")
    return client.post("/laboratory/conditions/new", data=typed)


def test_whoever_was_given_none_does_everything_and_the_check_is_the_right_to_release(house):
    assert held(house, "AA") == {"reader", "maker", "checker", "owner"}
    assert held(house, "NN") == {"reader", "maker", "owner"}
    assert held(house, "QQ") == {"reader"}
    assert note(house.laptop(), "NN").status_code == 303


def test_a_reader_signs_nothing_at_the_laptop_and_a_maker_does_not_set_up(house):
    laptop = house.laptop()
    given(house, "NN", False, False, False)
    before = house.digest()
    refused = note(laptop, "NN")
    assert refused.status_code == 409
    assert "has the duty of a maker" in refused.text
    assert house.digest() == before

    given(house, "NN", True, False, False)
    assert note(laptop, "NN").status_code == 303
    typed = {"of": "glycerin", "price": "9 EUR/kg", "by": "NN"}
    typed["request_key"] = key_of(laptop, "/laboratory/prices/new")
    assert laptop.post("/laboratory/prices/new", data=typed).status_code == 409


def test_a_phone_holds_who_signs_to_their_duties(house):
    phone = house.phone()
    assert note(phone, "HH", pin=PINS["HH"]).status_code == 303
    given(house, "HH", False, False, True)
    assert note(phone, "HH", pin=PINS["HH"]).status_code == 409


def test_who_is_signed_in_as_a_reader_reaches_readers_addresses_only(house):
    given(house, "NN", False, False, False)
    request = type("Asked", (), {"scope": {SIGNED_IN: "NN"}, "app": house.app})()
    held = {one: DutyNeeded(one) for one in ("anybody", "reader", "maker", "checker", "owner")}
    for needs in ("anybody", "reader"):
        held[needs](request)
    for needs in ("maker", "checker", "owner"):
        with pytest.raises(NotAllowed, match="NN, who is: reader"):
            held[needs](request)
    assert all(held[duty_said(one)] in [each.dependency for each in one.dependencies] for one in ADDRESSES)


def test_nobody_gives_what_they_do_not_have_and_somebody_is_left_to_decide(house):
    before = house.digest()
    for person, duties, by, says in (
        ("HH", (True, True, False), "NN", "right to another"),
        ("AA", (True, False, True), "AA", "somebody who decides"),
        ("AA", (True, False, True), "HH", "right to another"),
        ("QQ", (True, False, True), "AA", "not a person"),
    ):
        with pytest.raises(StillroomError, match=says):
            given(house, person, *duties, by=by)
    assert house.digest() == before


def test_the_last_owner_stays_one(house):
    given(house, "HH", True, False, False)
    given(house, "NN", True, False, False)
    with pytest.raises(NotAllowed, match="has an owner"):
        given(house, "AA", True, True, False)
    with pytest.raises(NotAllowed, match="Only an owner"):
        given(house, "NN", True, False, True, by="NN")


def test_the_duty_to_check_is_the_right_to_release_and_is_said_in_one_place(house):
    given(house, "HH", True, True, False)
    with house.lab.look() as look:
        assert look.person("HH").may_release
    with pytest.raises(NotAllowed, match="releases as a checker"):
        join_person(house.lab, Person("HH", "Hans Holm", may_release=False), by="AA")


def test_duties_are_given_on_a_page_told_in_the_book_and_put_right(house):
    laptop = house.laptop()
    at = "/laboratory/people/NN/duties"
    typed = {"makes": "yes", "checks": "no", "owns": "no", "by": "AA", "pin": PINS["AA"]}
    assert laptop.post(at, data=typed | {"request_key": key_of(laptop, at)}).status_code == 303
    assert held(house, "NN") == {"reader", "maker"}
    assert "Give duties" in laptop.get("/laboratory").text
    with house.lab.look() as look:
        number = look.head.entry_no
    assert "maker" in laptop.get(f"/entries/{number}").text

    put_right(house.lab, number, {"makes": "no"}, why="he only looks", by="AA")
    with house.lab.look() as look:
        assert astuple(duties_of(look, "NN")) == ("NN", False, False, False)
    with pytest.raises(NotAllowed):
        must_hold(house.lab, "NN", "maker")
