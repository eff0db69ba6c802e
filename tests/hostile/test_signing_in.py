"""People from elsewhere: a password each, a session that ends, wrong tries that slow the one who makes them."""

import re

import pytest

from stillroom.actions.house.duties import give_duties
from stillroom.actions.house.signing_in import (
    SESSION_H,
    TRIES_A_MINUTE,
    erase_password,
    set_password,
    sign_in,
    sign_out,
    who_is,
)
from stillroom.errors import BadEntry, NotAllowed, StillroomError
from stillroom.store.foundation import NEVER_COPIED
from stillroom.web.served import SESSION
from tests.hostile.conftest import PINS, House, key_of

AT = "https://lab.example"
WORDS = {"AA": "heron lantern quarry mint", "NN": "copper violin harvest fog"}
THROUGH = {"x-forwarded-proto": "https", "x-forwarded-for": "203.0.113.7"}


@pytest.fixture
def served(house: House) -> House:
    """Anna owns, checks and makes; Nils reads. Both have a password, and the pages stand behind a proxy."""
    give_duties(house.lab, "AA", makes=True, checks=True, owns=True, by="AA")
    give_duties(house.lab, "NN", makes=False, checks=False, owns=False, by="AA")
    for person, words in WORDS.items():
        set_password(house.lab, person, words, by=person)
    house.app.state.phones, house.app.state.served_at = None, AT
    return house


def browser(house: House, **more: str):
    client = house.client_of(AT)
    client.headers.update(THROUGH | more)
    return client


def signed_in(house: House, person: str):
    client = browser(house)
    answer = client.post("/sign-in", data={"person": person, "password": WORDS[person], "to": "/stock"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/stock")
    return client


def test_nobody_sees_a_page_without_signing_in_and_the_page_to_do_so_names_nothing(served):
    client = browser(served)
    answer = client.get("/stock")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?to=/stock")
    page = client.get("/sign-in").text
    assert "small house" not in page
    assert "Anna" not in page
    assert client.get("/stock.json").status_code == 401
    assert client.post("/stock/new", data={"by": "AA"}).status_code == 401


def test_the_session_is_a_cookie_no_script_reads_and_no_other_site_sends(served):
    answer = browser(served).post("/sign-in", data={"person": "NN", "password": WORDS["NN"]})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"{SESSION}=")
    assert {"HttpOnly", "Secure", "SameSite=strict", "Path=/"} <= {one.strip() for one in cookie.split(";")}
    assert answer.headers["strict-transport-security"]


def test_a_request_that_did_not_come_over_the_encrypted_line_of_this_address_is_refused(served):
    client = signed_in(served, "NN")
    assert client.get("/bench").status_code == 200
    assert client.get("/bench", headers={"x-forwarded-proto": "http"}).status_code == 403
    assert client.get("/bench", headers={"host": "evil.example"}).status_code == 403
    assert client.post("/look", data={}, headers={"origin": "https://evil.example"}).status_code == 403


def test_what_sets_up_the_machine_is_not_done_from_elsewhere(served):
    client = signed_in(served, "AA")
    for path in ("/laboratory/phones", "/laboratory/others", "/laboratory/new", "/join/2026-11-25.AAAA"):
        assert client.get(path).status_code == 403, path
    assert client.post("/laboratory/open", data={"folder": "house"}).status_code == 403
    assert client.get("/laboratory").status_code == 200


def test_a_reader_reads_and_is_refused_where_somebody_makes_decides_or_sets_up(served):
    client = signed_in(served, "NN")
    assert client.get("/stock").status_code == 200
    for path in ("/stock/new", "/orders/new", "/laboratory/prices/new", "/laboratory/people/NN/duties"):
        answer = client.get(path)
        assert (answer.status_code, "who is: reader" in answer.text) == (409, True), path
    before = served.digest()
    typed = {
        "what": "room temperature",
        "value": "21 °C",
        "by": "AA",
        "pin": PINS["AA"],
        "request_key": "k" * 12,
    }
    assert client.post("/laboratory/conditions/new", data=typed).status_code == 409
    assert served.digest() == before


def test_who_is_signed_in_signs_for_themselves_alone(served):
    client, at = signed_in(served, "AA"), "/laboratory/conditions/new"
    offered = re.findall(r'<option value="([A-Z]{2})"', client.get(at).text)
    assert set(offered) == {"AA"}
    typed = {"what": "room temperature", "value": "21 °C", "request_key": key_of(client, at)}
    refused = client.post(at, data=typed | {"by": "HH", "pin": PINS["HH"]})
    assert (refused.status_code, "is signed in" in refused.text) == (409, True)
    assert client.post(at, data=typed | {"by": "AA", "pin": PINS["AA"]}).status_code == 303


def test_a_session_ends_by_itself_by_signing_out_and_with_its_password(served):
    client = signed_in(served, "NN")
    token = client.cookies[SESSION]
    assert who_is(served.lab, token) == "NN"
    assert client.post("/sign-out").status_code == 303
    assert who_is(served.lab, token) == ""

    late = sign_in(served.lab, "NN", WORDS["NN"], "203.0.113.7")
    served.clock.on(hours=SESSION_H - 0.01)
    assert who_is(served.lab, late) == "NN"
    served.clock.on(hours=0.02)
    assert who_is(served.lab, late) == ""

    changed = sign_in(served.lab, "NN", WORDS["NN"], "203.0.113.7")
    set_password(served.lab, "NN", "granite teapot meadow owl", by="AA")
    assert who_is(served.lab, changed) == ""
    erase_password(served.lab, "NN")
    with pytest.raises(BadEntry):
        sign_in(served.lab, "NN", "granite teapot meadow owl", "203.0.113.7")


def test_whoever_is_signed_in_sets_another_password_and_must_know_the_one_so_far(served):
    client, elsewhere = signed_in(served, "NN"), signed_in(served, "NN")
    assert "/own-password" in client.get("/stock").text
    assert client.get("/own-password").text.count('type="password"') == 2
    new = "lichen harbour brass owl"
    wrong = client.post("/own-password", data={"password": "not the right words", "new": new})
    assert wrong.status_code == 422
    assert elsewhere.get("/stock").status_code == 200
    served.clock.on(seconds=2)
    short = client.post("/own-password", data={"password": WORDS["NN"], "new": "short"})
    assert (short.status_code, "12 to 200" in short.text) == (422, True)
    assert client.post("/own-password", data={"password": WORDS["NN"], "new": new}).status_code == 200
    assert [one.get("/stock").status_code for one in (client, elsewhere)] == [303, 303]
    with pytest.raises(BadEntry):
        sign_in(served.lab, "NN", WORDS["NN"], "198.51.100.1")
    assert who_is(served.lab, sign_in(served.lab, "NN", new, "198.51.100.2")) == "NN"


def test_wrong_tries_slow_who_makes_them_and_lock_nobody_else_out(served):
    here, elsewhere = "203.0.113.7", "198.51.100.4"
    for number in range(6):
        with pytest.raises(BadEntry, match=f"after {2**number} s"):
            sign_in(served.lab, "NN", "not the right words", here)
        with pytest.raises(NotAllowed, match="too early"):
            sign_in(served.lab, "NN", WORDS["NN"], here)
        served.clock.on(seconds=2**number + 1)
    with pytest.raises(BadEntry):
        sign_in(served.lab, "NN", "not the right words", here)
    assert who_is(served.lab, sign_in(served.lab, "NN", WORDS["NN"], elsewhere)) == "NN"
    assert who_is(served.lab, sign_in(served.lab, "AA", WORDS["AA"], here)) == "AA"
    served.clock.on(seconds=3600)
    token = sign_in(served.lab, "NN", WORDS["NN"], here)
    sign_out(served.lab, token)


def test_an_address_that_tries_one_name_after_the_other_waits_and_learns_no_name(served, monkeypatch):
    monkeypatch.setattr("stillroom.actions.house.signing_in.fits", lambda hashed, words: False)
    said = set()
    for number in range(TRIES_A_MINUTE):
        with pytest.raises(BadEntry) as told:
            sign_in(served.lab, "NN" if number == 0 else f"X{number}", "wrong words here", "203.0.113.7")
        said.add(told.value.sentence)
    assert len(said) == 1
    with pytest.raises(NotAllowed, match="too early"):
        sign_in(served.lab, "AA", WORDS["AA"], "203.0.113.7")
    served.clock.on(seconds=61)
    with pytest.raises(BadEntry):
        sign_in(served.lab, "AA", WORDS["AA"], "203.0.113.7")


def test_where_a_request_came_from_is_what_the_proxy_wrote_and_not_what_the_browser_says(served):
    liar = browser(served, **{"x-forwarded-for": "198.51.100.4, 203.0.113.9"})
    liar.post("/sign-in", data={"person": "NN", "password": "not the right words"})
    with pytest.raises(NotAllowed):
        sign_in(served.lab, "NN", WORDS["NN"], "203.0.113.9")


@pytest.mark.parametrize(
    "to", ["//evil.example", "https://evil.example", "/\\evil.example", "/sign-in", "/a b"]
)
def test_after_signing_in_nobody_is_led_away(served, to):
    answer = browser(served).post("/sign-in", data={"person": "NN", "password": WORDS["NN"], "to": to})
    assert (answer.status_code, answer.headers["location"]) == (303, "/")


def test_a_password_is_long_is_no_name_and_belongs_to_somebody_with_duties(served):
    for person, new, by, says in (
        ("NN", "short", "NN", "12 to 200"),
        ("NN", "aaaaaaaaaaaaaaaa", "NN", "first one anybody"),
        ("HH", WORDS["NN"], "HH", "was given none"),
        ("AA", WORDS["NN"], "NN", "or an owner"),
        ("QQ", WORDS["NN"], "AA", "not a person"),
    ):
        with pytest.raises(StillroomError, match=says):
            set_password(served.lab, person, new, by=by)


def test_no_password_and_no_session_stands_in_the_journal_or_in_a_copy(served, tmp_path):
    import sqlite3
    from contextlib import closing

    token = sign_in(served.lab, "NN", WORDS["NN"], "203.0.113.7")
    raw = (served.lab.folder / "laboratory.book").read_bytes()
    for secret in (token, *WORDS.values()):
        assert secret.encode() not in raw
    before = served.digest()
    set_password(served.lab, "NN", "granite teapot meadow owl", by="NN")
    assert served.digest() == before

    copy = served.lab.book.backup(tmp_path / "copy.book")
    with closing(sqlite3.connect(copy)) as opened:
        counts = [opened.execute(f"SELECT count(*) FROM {one.name}").fetchone()[0] for one in NEVER_COPIED]
    assert counts == [0, 0, 0, 0]
    assert b"argon2" not in copy.read_bytes()


def test_at_ones_own_machine_nobody_signs_in(house):
    laptop = house.laptop()
    assert laptop.get("/sign-in").headers["location"] == "/"
    assert laptop.get("/bench").status_code == 200
