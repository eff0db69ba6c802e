"""The questions answer with no laboratory and no scripts, keep everything said in their address, and write nothing."""

import io
import re
import warnings
from collections.abc import Iterator
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from stillroom.actions.house.describing import describe_house
from stillroom.actions.house.equipment_and_people import add_instrument
from stillroom.actions.house.house_facts import note_condition
from stillroom.web.app import make_app
from stillroom.web.ask import DOORS
from tests.web.conftest import ADDRESS, Bench, now, words

DILUTE = "/ask/dilute?have=96&known-by=label&want=70&amount=5&amount-as=L+wanted&temperature=31"
DOSE = (
    "/ask/dose?strength=38.4&of=rosmarinic+acid&matter=as+is&measured-by=titrated+here&wanted=0.1&meets=about"
    "&amount=50+x+100+mL&kind=skin+leave-on&market=EU&step=0.01"
)
QUESTIONS = {"dilute": DILUTE, "dose": DOSE}


@pytest.fixture(scope="module")
def outside() -> Iterator[Any]:
    """A client at the pages while no laboratory is open."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    with TestClient(make_app(None), base_url=ADDRESS) as client:
        yield client


def with_ending(address: str, ending: str) -> str:
    path, _, query = address.partition("?")
    return f"{path}{ending}?{query}"


def test_three_doors_stand_open_without_a_laboratory(outside: Any) -> None:
    page = outside.get("/ask")

    assert page.status_code == 200
    assert {"/ask/dilute", "/ask/dose", "/ask/order"} <= set(re.findall(r'href="(/ask/\w+)"', page.text))


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_has_no_script_of_its_own_and_asks_by_get(outside: Any, name: str) -> None:
    page = outside.get(f"/ask/{name}").text

    assert 'method="get"' in page
    assert not re.findall(r"<script(?![^>]*htmx)", page)
    assert "request_key" not in page
    assert 'name="by"' not in page


@pytest.mark.parametrize("name", QUESTIONS)
def test_an_answer_and_its_twins_say_the_same(outside: Any, name: str) -> None:
    address = QUESTIONS[name]
    html, data, text, sheet = (
        outside.get(with_ending(address, end)) for end in ("", ".json", ".txt", ".pdf")
    )
    figures = [
        one["value"]
        for block in data.json()["blocks"]
        if block["block"] == "Numbers"
        for one in block["items"]
    ]
    printed = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(sheet.content)).pages)

    assert [one.status_code for one in (html, data, text, sheet)] == [200] * 4
    assert len(figures) > 4
    for figure in figures:
        assert figure in words(html.text)
        assert figure in text.text
        assert figure in printed


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_link_of_an_answer_opens(outside: Any, name: str) -> None:
    page = outside.get(QUESTIONS[name]).text
    links = {unescape(one) for one in re.findall(r'href="(/ask/[^"]*)"', page)}
    papers = {one for one in links if ".pdf" not in one and "/keep" not in one}

    assert any("/lesson?" in one for one in papers)
    assert any("open=" in one for one in papers)
    assert {one: outside.get(one).status_code for one in papers} == dict.fromkeys(papers, 200)


@pytest.mark.parametrize("name", QUESTIONS)
def test_each_thing_nobody_said_is_one_tap_away_and_then_no_longer_listed(outside: Any, name: str) -> None:
    fields = DOORS[name]({}, "", date(2026, 11, 25)).fields
    links = re.findall(r'href="(/ask/[^"]*open=([\w-]+))"', outside.get(QUESTIONS[name]).text)
    opened = {field: outside.get(unescape(address)).text for address, field in links}

    assert len(opened) > 2
    for field, page in opened.items():
        assert field in fields
        assert re.search(rf'id="{field}"[^>]* autofocus', page)
    said = outside.get(f"{QUESTIONS[name]}&{'division=0.5' if name == 'dilute' else 'density=0.95'}").text
    assert ("open=division" if name == "dilute" else "open=density") not in said


def test_a_strength_that_says_dried_is_dosed_as_dried_where_the_form_says_nothing_beside_it(
    outside: Any,
) -> None:
    untouched = DOORS["dose"]({}, "", None).rows
    begins = {one.name: one.value for row in untouched for one in row.controls}
    typed = {
        "strength": "40 % dried", "of": "rosmarinic acid", "wanted": "0.1", "amount": "5 kg",
        "kind": "skin leave-on", "step": "0.01", "loss-on-drying": "20 %",
    }  # fmt: skip

    page = outside.get("/ask/dose.json", params=begins | typed)

    # By hand: 40 % of the dried extract is 32 % of it as it is; 5 g wanted of 5 kg, over 0.32.
    assert page.status_code == 200
    assert "15.62 g" in words(page.text) or "15.63 g" in words(page.text)


def test_what_was_typed_is_kept_when_it_cannot_be_answered(outside: Any) -> None:
    page = outside.get(DILUTE.replace("want=70", "want=99"))
    said = words(page.text)

    assert page.status_code == 422
    assert "above 0 and up to the 96.0 % v/v at hand" in said
    assert 'value="99"' in page.text
    assert 'value="31"' in page.text


def test_over_the_law_is_refused_with_the_question_kept(outside: Any) -> None:
    page = outside.get(
        DOSE.replace("rosmarinic+acid", "quinine").replace("skin", "hair").replace("=0.1&", "=0.3&")
    )

    assert page.status_code == 409
    assert "as quinine base" in words(page.text)
    assert 'value="0.3"' in page.text


def test_an_error_of_the_data_twin_is_data(outside: Any) -> None:
    answer = outside.get(with_ending(DILUTE.replace("want=70", "want=99"), ".json"))

    assert answer.status_code == 422
    assert answer.json()["error"] == "BadEntry"


@pytest.mark.parametrize("name", QUESTIONS)
def test_html_in_every_field_is_text(outside: Any, name: str) -> None:
    hostile = "<img src=x onerror=a>"
    for field in DOORS[name]({}, "", date(2026, 11, 25)).fields:
        page = outside.get(f"/ask/{name}", params={field: hostile, "open": field})

        assert hostile not in page.text
        assert outside.get(f"/ask/{name}", params={field: hostile}).status_code < 500


def test_a_label_can_be_printed(outside: Any) -> None:
    address = DILUTE.replace("/dilute?", "/dilute/label?")
    sheet = outside.get(with_ending(address, ".pdf"))
    printed = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(sheet.content)).pages)

    assert "70 % v/v" in printed
    assert "Use by" in printed
    assert outside.get(address).status_code == 200


def test_nothing_is_written_where_nothing_was_begun(
    outside: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for address in QUESTIONS.values():
        outside.get(address)

    assert list(tmp_path.iterdir()) == []


def test_the_last_room_temperature_is_offered_and_one_tap_takes_it(bench: Bench) -> None:
    note_condition(bench.lab, "room temperature", "31 °C", by="TO", at=now())
    asked = bench.client.get("/ask/dilute").text
    taken = bench.client.get("/ask/dilute?have=96&want=70&amount=5&take=temperature", follow_redirects=False)
    answer = bench.client.get(taken.headers["location"])

    assert "Take 31 °C, noted today 09:00" in words(asked)
    assert 'id="temperature" name="temperature" type="text" value=""' in asked
    assert taken.status_code == 303
    assert "31 °C" in words(answer.text)


def test_a_vessel_of_the_book_is_filled_with_one_tap(bench: Bench) -> None:
    asked = bench.client.get("/ask/dilute").text
    taken = bench.client.get(
        "/ask/dilute?have=96&known-by=label&want=70&temperature=31&take=FLASK-1", follow_redirects=False
    )
    answer = bench.client.get(taken.headers["location"])

    assert "Fill FLASK-1, measuring flask of 250 mL" in words(asked)
    assert "vessel=borosilicate+glass" in taken.headers["location"]
    assert "FLASK-1 (250 mL) filled to its mark with 70 % v/v spirit" in words(answer.text)


def test_a_flask_of_one_figure_has_its_mark_there(bench: Bench) -> None:
    add_instrument(bench.lab, "vessels", "50 mL measuring flask", by="TO", at=now())
    asked = words(bench.client.get("/ask/dilute").text)
    taken = bench.client.get("/ask/dilute?have=96&take=VESSEL-1", follow_redirects=False)

    assert "Fill VESSEL-1, 50 mL measuring flask" in asked
    assert "amount=50" in taken.headers["location"]
    assert "vessel=" not in taken.headers["location"].replace("vessel-called=", "")


def test_a_field_nobody_noted_is_not_offered_nor_taken(bench: Bench) -> None:
    asked = bench.client.get("/ask/dilute?have=96&take=temperature")

    assert 'value="temperature"' not in asked.text
    assert asked.status_code == 422


def test_a_table_that_was_pasted_brings_its_lines_through_the_address(reading):
    lines = "min; mg/g\r\n0; 0\r\n10;\t6,32\r\n20; 8,65\r\n40; 9,82\r\n80; 10"
    answer = reading.client.get("/ask/kinetics", params={"table": lines})

    assert answer.status_code == 200
    assert reading.client.get("/ask/kinetics%0a").status_code == 400
    assert reading.client.get("/ask/kinetics", params={"table": "0 0\x00"}).status_code == 400


@pytest.mark.parametrize(
    ("name", "price"), [("season", "40 CHF/kg"), ("blend", "14 CHF/L"), ("offer", "450 CHF")]
)
def test_a_hint_shows_a_price_in_the_currency_of_the_laboratory(bench: Bench, name: str, price: str) -> None:
    in_euro = words(bench.client.get(f"/ask/{name}").text)
    describe_house(bench.lab, {"currency": "CHF"}, by="TO", at=now())
    asked = words(bench.client.get(f"/ask/{name}").text)

    assert price.replace("CHF", "EUR") in in_euro
    assert price in asked
    assert "EUR" not in asked
