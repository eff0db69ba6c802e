"""Who comes in at which door: yesterday's code, a foreign page, a stranger, a phone where only the laptop belongs."""

import re

import pytest

from stillroom.actions.house.phones import close_to_phones, join_code
from stillroom.web.forms import JOINED
from tests.habits.test_pages_are_listed import served
from tests.hostile.conftest import LAN, PINS, key_of

FOREIGN = {"origin": "http://evil.example"}


def test_the_code_of_today_joins_and_yesterdays_does_not(house):
    code = join_code(house.lab, LAN)
    today = house.stranger().get(f"/join/{code}").status_code
    house.clock.on(days=1)
    late = house.stranger().get(f"/join/{code}")

    assert today == 200
    assert late.status_code != 200
    assert "holds for the day" in late.text
    assert JOINED not in late.cookies


def test_a_phone_that_joined_yesterday_is_out_today(house):
    phone = house.phone()
    before = phone.get("/bench").status_code
    house.clock.on(days=1)

    assert before == 200
    assert phone.get("/bench").status_code == 403


@pytest.mark.parametrize(
    "altered", ["x", "", "2026-11-25.", "2026-11-25.AAAAAAAAAAAAAAAAAAAAAA", "../bench", "%00"]
)
def test_a_made_up_code_does_not_join(house, altered):
    join_code(house.lab, LAN)
    answer = house.stranger().get(f"/join/{altered}")

    assert answer.status_code != 200
    assert JOINED not in answer.cookies


def test_a_code_for_another_address_does_not_join(house):
    assert house.stranger().get(f"/join/{join_code(house.lab, '127.0.0.3')}").status_code != 200


def test_closing_the_bench_throws_phones_out(house):
    phone = house.phone()
    close_to_phones(house.lab)

    assert phone.get("/bench").status_code == 403


def test_a_stranger_gets_nothing_but_the_words_to_scan_at_any_address(house):
    stranger = house.stranger()
    addresses = [re.sub(r"{[^}]*}", "AA", path) for path in served() if not path.startswith("/join/")]
    let_in = [
        (how, path)
        for path in [*addresses, "/static/style.css", "/bench.json", "/nowhere"]
        for how in ("get", "post")
        if (answer := getattr(stranger, how)(path)).status_code != 403 or "small house" in answer.text
    ]

    assert len(addresses) > 60
    assert let_in == []


@pytest.mark.parametrize(
    "path",
    ["/laboratory/phones", "/laboratory/people/AA/pin", "/laboratory/new", "/laboratory/others",
     "/laboratory/scales/new", "/laboratory/people/new"],
)  # fmt: skip
def test_a_phone_opens_nothing_that_sets_the_laboratory_up(house, path):
    phone = house.phone()

    assert phone.get(path).status_code == 403
    assert phone.post(path, data={}).status_code == 403
    assert house.laptop().get(path).status_code == 200


@pytest.mark.parametrize("door", ["laptop", "phone"])
@pytest.mark.parametrize(
    "told", [FOREIGN, {"origin": "null"}, {"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"}]
)
def test_another_origin_cannot_post(house, door, told):
    client = getattr(house, door)()
    before = house.digest()
    typed = {"what": "room temperature", "text": "31 °C", "by": "AA", "pin": PINS["AA"],
             "request_key": key_of(client, "/laboratory/conditions/new")}  # fmt: skip
    answer = client.post("/laboratory/conditions/new", data=typed, headers=told)

    assert answer.status_code == 403
    assert house.digest() == before


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "127.0.0.2:8018",
        "localhost.evil.example",
        "[::1].evil.example",
        "localhost:1@evil.example",
        "",
    ],
)
def test_a_name_that_is_not_this_machine_is_refused(house, host):
    assert house.laptop().get("/bench", headers={"host": host}).status_code == 403


def test_the_phones_door_answers_to_its_own_address_only(house):
    assert house.phone().get("/bench", headers={"host": "127.0.0.1:8018"}).status_code == 403


@pytest.mark.parametrize(
    "path", ["/bench", "/nowhere", "/static/style.css", "/ask/dilute", "/make/%2e%2e/step", "/bench.json"]
)
def test_every_answer_is_dressed(house, path):
    answer = house.laptop().get(path)

    assert "default-src 'self'" in answer.headers["content-security-policy"]
    assert "script" not in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "same-origin"


def test_a_form_too_long_is_refused(house):
    client = house.laptop()
    answer = client.post("/orders/paste", data={"text": "x" * 1_100_000, "by": "AA"})

    assert answer.status_code == 413


def test_no_page_holds_a_script_of_its_own(house):
    for path in ("/bench", "/ask/order", "/laboratory/phones", "/orders/new", "/stock/new"):
        html = house.laptop().get(path).text

        assert re.findall(r"<script(?![^>]*\ssrc=)", html) == [], path
        assert not re.search(r"\son[a-z]+=", html), path


def test_an_answer_to_an_error_in_the_program_is_dressed_too(house, monkeypatch):
    def broken(*_: object) -> None:
        raise RuntimeError("the shelf fell down beside somebody")

    monkeypatch.setattr("stillroom.web.pages.page_json", broken)
    client = house.laptop()
    client._transport.raise_server_exceptions = False
    answer = client.get("/bench.json")

    assert answer.status_code == 500
    assert "default-src 'self'" in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "somebody" not in answer.text
