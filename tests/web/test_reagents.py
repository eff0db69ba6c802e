"""Reagents on their pages: made by a form, ticked, sold; whatever is typed is text."""

import re

import pytest

from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.deciding import release
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.web.app import make_app

HOSTILE = "<script>alert(1)</script>"
MAKING = {
    "code": "WAG-10", "scale": "SCALE-2", "amount": "100 mL", "mass_iodine": "1.27", "lot_iodine": "IOD-1",
    "mass_potassium_iodide": "2.00", "lot_potassium_iodide": "KI-1", "mass_water": "98.0", "lot_water": "WAT-01",
    "tick_1": "yes", "tick_2": "yes",
}  # fmt: skip


@pytest.fixture
def stocked(bench):
    for code, substance in (("IOD-1", "iodine"), ("KI-1", "potassium iodide")):
        receive_lot(bench.lab, Lot(code, LotKind.REAGENT, substance, substance), "50 g", by="TO")
        release(bench.lab, code, meaning="papers", by="MA")
    return bench


def test_a_reagent_is_made_by_its_form_and_its_lot_tells_how_long_it_keeps(stocked, said):
    answer = stocked.fill("/reagents/wagner/make?amount=100+mL", "/reagents/wagner/make", **MAKING)
    lot = said(stocked.client.get("/stock/WAG-10").text)

    assert (answer.status_code, answer.headers["location"]) == (303, "/stock/WAG-10")
    assert "its own life of 90 days. This ends first" in lot


def test_a_form_without_its_tick_comes_back_and_writes_nothing(stocked, said):
    before = stocked.digest()
    answer = stocked.fill("/reagents/wagner/make", **{**MAKING, "tick_2": ""})

    assert answer.status_code == 409
    assert "Nothing was saved" in said(answer.text)
    assert stocked.digest() == before


def test_the_tick_opens_a_dangerous_recipe_and_closes_it_again(bench, said):
    closed = said(bench.client.get("/reagents/mayer").text)
    refused = bench.fill("/reagents/mayer/tick", why="asked for", allowed="yes", by="TO")
    ticked = bench.fill("/reagents/mayer/tick", why="asked for", allowed="yes", by="MA")
    opened = said(bench.client.get("/reagents/mayer").text)

    assert (refused.status_code, ticked.status_code) == (409, 303)
    assert "1.36" not in closed
    assert "1.36" in opened


@pytest.mark.parametrize("paper", ["label", "sheet", "make", "label.pdf", "sheet.pdf"])
def test_a_closed_recipe_gives_no_paper_either(reading, paper):
    answer = reading.client.get(f"/reagents/hager/{paper}")

    assert answer.status_code == 409
    assert "1.3 g" not in answer.text


@pytest.mark.parametrize("amount", ["x", "0 mL", "-1 mL", "5 g", "1,500 mL", HOSTILE])
def test_an_amount_that_cannot_be_taken_comes_back_with_its_sentence(reading, amount):
    answer = reading.client.get("/reagents/wagner", params={"amount": amount})

    assert answer.status_code == 422
    assert 'id="amount-error"' in answer.text
    assert HOSTILE not in answer.text


@pytest.mark.parametrize("name", [HOSTILE, "..%2F..%2Fetc", "wagnerr", "a" * 300, "%F0%9F%92%A3"])
def test_a_name_that_is_no_reagent_is_told_calmly(reading, name):
    for path in (f"/reagents/{name}", f"/reagents/{name}/label", f"/reagents/{name}.json"):
        answer = reading.client.get(path)

        assert answer.status_code == 404
        assert HOSTILE not in answer.text


@pytest.mark.parametrize("act", ["open", "try", "sell"])
def test_a_bottle_has_its_forms(bench, act):
    told = {
        "open": {"note": HOSTILE},
        "try": {"blank": "clear", "positive": "precipitate"},
        "sell": {
            "amount": "5",
            "packs": "1",
            "price": "3.00 EUR",
            "buyer": "Invented School",
            "permit": "yes",
        },
    }[act]
    answer = bench.fill(f"/reagents/lots/WAG-01/{act}", **told)
    page = bench.client.get("/stock/WAG-01").text

    assert answer.status_code == 303
    assert HOSTILE not in page


def test_without_a_laboratory_the_list_and_a_recipe_open_and_nothing_can_be_made():
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from starlette.testclient import TestClient

        client = TestClient(make_app(None), base_url="http://127.0.0.1:8017")
        pages = [
            client.get(f"/reagents{one}") for one in ("", "/wagner", "/wagner/label.pdf", "/mayer", ".json")
        ]
        refused = client.get("/reagents/wagner/make")

    assert [one.status_code for one in pages] == [200] * 5
    assert "ticked in a book" in pages[3].text
    assert "1.36" not in pages[3].text
    assert refused.status_code == 409


def test_every_link_of_the_list_opens(reading):
    links = set(re.findall(r'href="(/reagents/[^"]+)"', reading.client.get("/reagents").text))

    assert len(links) == 25
    assert {reading.client.get(one).status_code for one in links} == {200}


def test_a_recipe_is_copied_altered_and_followed_from_then_on(bench, said):
    copied = bench.fill("/reagents/wagner/copy")
    form = bench.client.get("/make/procedures/wagner/alter").text
    fields = dict(re.findall(r'name="(line-1-amount)"[^>]* value="([^"]*)"', form))

    assert copied.headers["location"] == "/make/procedures/wagner/alter"
    assert fields == {"line-1-amount": "1.27 g"}
    assert "Alter the recipe" in said(bench.client.get("/reagents/wagner").text)
