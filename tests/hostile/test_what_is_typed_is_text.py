"""What is typed shows as text: every field of every form takes a script and gives back letters."""

import re
from html.parser import HTMLParser
from urllib.parse import quote

import pytest

from stillroom.actions.house.house_facts import note_condition
from tests.hostile.conftest import PINS
from tests.web.conftest import reading as reading
from tests.web.conftest import told as told

SCRIPT = '<script>alert(1)</script>"><img src=x onerror=alert(1)>'
RAW = re.compile(r"<script>alert|<img src=x")
FORMS = (
    "/orders/new", "/orders/paste", "/stock/new", "/make/procedures/new", "/laboratory/scales/new",
    "/laboratory/people/new", "/laboratory/prices/new", "/laboratory/conditions/new",
    "/laboratory/people/AA/pin", "/laboratory/new", "/products/ceilings/new", "/bench/power-or-water-off",
)  # fmt: skip
QUESTIONS = ("/ask/dilute", "/ask/dose", "/ask/order", "/ask/acid", "/ask/buffer", "/ask/cooling")


class Fields(HTMLParser):
    """Names of the fields of a page, and where its form is sent."""

    def __init__(self) -> None:
        super().__init__()
        self.names: dict[str, str] = {}
        self.action = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        if (
            tag == "form"
            and told.get("method") == "post"
            and not (told.get("action") or "").startswith("/look")
        ):
            self.action = told.get("action") or ""
        if tag in ("input", "select", "textarea") and told.get("name"):
            self.names[str(told["name"])] = str(told.get("value") or "")


def fields(html: str) -> Fields:
    found = Fields()
    found.feed(html)
    return found


@pytest.mark.parametrize("path", FORMS)
def test_a_form_gives_back_letters(house, path):
    client = house.laptop()
    found = fields(client.get(path).text)
    assert found.names, path
    typed = dict.fromkeys(found.names, SCRIPT) | {
        "request_key": "a-key-of-the-test",
        "by": "AA",
        "pin": PINS["AA"],
    }
    answer = client.post(found.action or path, data=typed)

    assert answer.status_code < 500
    assert not RAW.search(answer.text)


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_gives_back_letters(house, question):
    client = house.laptop()
    names = fields(client.get(question).text).names
    answer = client.get(question, params=dict.fromkeys(names, SCRIPT))

    assert answer.status_code < 500
    assert not RAW.search(answer.text)


@pytest.mark.parametrize(
    "path", ["/stock/", "/make/", "/orders/", "/entries/", "/trace/", "/why/", "/join/", "/make/starters/"]
)
@pytest.mark.parametrize(
    "part", ["%3Cscript%3Ealert(1)%3C%2Fscript%3E", "..%2f..%2fetc%2fpasswd", "%2e%2e", "%27%3B--"]
)
def test_a_part_of_an_address_is_no_more_than_a_name(house, path, part):
    answer = house.laptop().get(path + part)

    assert 300 <= answer.status_code < 500
    assert not RAW.search(answer.text)
    assert "root:" not in answer.text


def test_a_name_full_of_markup_is_kept_and_shown_as_text(house):
    client = house.laptop()
    found = fields(client.get("/laboratory/people/new").text)
    typed = dict(found.names) | {
        "name": SCRIPT, "code": "ZZ", "by": "AA", "pin": PINS["AA"],
    }  # fmt: skip
    client.post(found.action, data=typed)
    note_condition(house.lab, "room temperature", "31 °C", by="AA")
    pages = [client.get(path).text for path in ("/laboratory", "/laboratory/phones", "/orders/new", "/bench")]

    assert not any(RAW.search(one) for one in pages)


NO_COUNT = ("9" * 5_000, "²", "-1", "1e5")
"""What asks to be read as a count, and is longer than a machine reads or no digit of one."""


def test_a_number_in_an_address_that_is_none_is_not_found(reading):
    """An address of 4,301 digits was answered with a fault."""
    paths = {route.path for route in reading.client.app.routes if "{" in getattr(route, "path", "")}
    asked = [re.sub(r"{[^}]*}", quote(one), path) for path in sorted(paths) for one in NO_COUNT]
    wrong = [path for path in asked if reading.client.get(path, follow_redirects=False).status_code >= 500]

    assert len(asked) > 200
    assert wrong == []


@pytest.mark.parametrize("typed", NO_COUNT)
@pytest.mark.parametrize(("question", "field"), [("season", "months"), ("offer", "valid")])
def test_a_count_that_is_none_is_asked_back(reading, question, field, typed):
    """ "²" is a digit to the machine, and no number: a fault, found among 50,000 requests."""
    answer = reading.client.get(f"/ask/{question}.json", params={field: typed})

    assert answer.status_code == 422
    assert f"{field}: " in answer.json()["says"]


def test_a_row_of_a_form_that_has_no_number_is_passed_over(reading):
    fields = {f"{what}-{at}-name": "soak" for what in ("line", "step") for at in NO_COUNT}
    answer = reading.client.post("/make/procedures/new", data=fields | {"request_key": "0" * 16})

    assert answer.status_code == 422
