"""The sums of the bench answer with no laboratory and no scripts, and give the same under every ending."""

import io
import re
import warnings
from collections.abc import Iterator
from html import unescape
from typing import Any
from urllib.parse import urlencode

import pytest
from pypdf import PdfReader

from stillroom.actions.questions import KEPT, QUESTIONS
from stillroom.web.app import make_app
from tests.web.conftest import ADDRESS

SUMS = tuple(name for name in QUESTIONS if name not in KEPT)

ASKED = {
    "recover": {
        "have": "70",
        "known-by": "label",
        "amount": "5 L",
        "temperature": "20",
        "stop": "91",
        "stop-as": "share",
    },
    "blend": {
        "stock-1": "96", "stock-1-amount": "4 L", "stock-2": "83", "stock-2-amount": "3 L",
        "stock-2-what": "recovered", "want": "70", "amount": "5 L", "temperature": "20",
    },
    "acid": {"of": "hydrochloric acid 37 %", "want": "5 %", "amount": "1.000 L"},
    "buffer": {"pair": "phosphate", "ph": "7.0", "total": "0.05 mol/L", "amount": "1 L"},
    "factor": {
        "titrant": "sodium hydroxide", "strength": "0.1 mol/L", "standard": "potassium hydrogen phthalate",
        "mass-1": "0.4085", "titre-1": "20.06", "mass-2": "0.4120", "titre-2": "20.22", "mass-3": "0.4061",
        "titre-3": "19.94", "blank": "0.04",
    },
    "shake": {"pka": "8.5", "partition-ratio": "60", "ph": "9.5", "water": "100 mL", "solvent": "90 mL"},
    "siphon": {"residues": "412; 251; 156; 94; 58", "collected": "18.42", "cycle": "14", "remain": "0.1 %"},
    "cooling": {"set-ups": "4 × acetone 123.5 W", "inlet": "31", "flow": "0.5", "hours": "6"},
    "strengthen": {"lots": "E1 36.2 ± 0.8 % 120 g; E2 41.0 % 60 g", "want": "38 %"},
    "kinetics": {"table": "0 0; 10 6.32; 20 8.65; 40 9.82; 80 10.0", "at": "30 min"},
    "season": {"month": "3 kg", "price": "40 EUR/kg", "short": "90 EUR/kg"},
    "compare": {"plant": "rosemary leaf", "of": "rosmarinic acid", "charge": "50 g"},
}  # fmt: skip
SAYS = {
    "recover": "5 L of 70 % v/v through a simple still",
    "blend": "5 L of 70 % v/v spirit, blended",
    "acid": "1.000 L of 5 % hydrochloric acid",
    "buffer": "1 L of phosphate buffer, pH 7.0",
    "factor": "Factor of sodium hydroxide 0.1 mol/L",
    "shake": "Shaking 100 mL out with 90 mL at pH 9.5",
    "siphon": "When the Soxhlet may stop",
    "cooling": "Cooling 4 set-ups: acetone",
    "strengthen": "A blend of 160.0 g at 38.00 %",
    "kinetics": "A time–yield table, fitted",
    "season": "A plant for 12 months of orders",
    "compare": "Ways of extracting rosemary leaf, for rosmarinic acid",
}


@pytest.fixture(scope="module")
def outside() -> Iterator[Any]:
    """A client at the pages while no laboratory is open."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    with TestClient(make_app(None), base_url=ADDRESS) as client:
        yield client


def address(name: str, ending: str = "", **more: str) -> str:
    return f"/ask/{name}{ending}?{urlencode({**ASKED[name], **more})}"


def test_the_sums_are_found_from_the_doors(outside: Any) -> None:
    assert {f"/ask/{name}" for name in SUMS} <= set(
        re.findall(r'href="(/ask/\w+)"', outside.get("/ask").text)
    )


@pytest.mark.parametrize("name", SUMS)
def test_a_sum_asks_by_get_and_signs_nothing(outside: Any, name: str) -> None:
    page = outside.get(f"/ask/{name}")

    assert page.status_code == 200
    assert 'method="get"' in page.text
    assert 'name="by"' not in page.text


@pytest.mark.parametrize("name", SUMS)
def test_a_sum_and_its_twins_say_the_same(outside: Any, name: str) -> None:
    page = outside.get(address(name))
    data = outside.get(address(name, ".json")).json()
    text = outside.get(address(name, ".txt")).text
    paper = PdfReader(io.BytesIO(outside.get(address(name, ".pdf")).content))

    assert data["title"] == SAYS[name]
    assert SAYS[name] in text
    assert SAYS[name] in unescape(page.text)
    assert SAYS[name].split()[-1] in paper.pages[0].extract_text()


def test_each_meaning_of_a_percentage_has_a_link_that_answers_with_it(outside: Any) -> None:
    links = [
        unescape(one)
        for one in re.findall(r'href="(/ask/acid\?[^"]*basis=[^"]*)"', outside.get(address("acid")).text)
    ]

    assert len(links) == 4
    assert all("What it then is" in outside.get(one).text for one in links)


def test_the_set_up_that_fails_stands_first_on_the_page(outside: Any) -> None:
    page = unescape(outside.get(address("cooling")).text)

    assert "the first to fail is acetone set-up 2" in page
    assert page.index("the first to fail") < page.index("Each condenser")


@pytest.mark.parametrize(
    ("name", "field", "said", "words"),
    [
        ("acid", "amount", "0 L", "above zero"),
        ("buffer", "ph", "3", "between pH 4.54 and 9.27"),
        ("recover", "stop", "0", "above 0 and below 100"),
        ("recover", "temperature", "", "never filled in"),
        ("cooling", "inlet", "", "never filled in"),
        ("cooling", "altitude", "9000", "between -450 and 5000 m"),
    ],
)
def test_a_bad_entry_is_told_at_its_field(outside: Any, name: str, field: str, said: str, words: str) -> None:
    page = outside.get(address(name, **{field: said}))
    told = re.search(rf'id="{field}-error">.*?</p>', page.text)

    assert page.status_code == 422
    assert told
    assert words in unescape(told.group())


def test_an_entry_that_nobody_said_is_opened_by_its_link(outside: Any) -> None:
    page = unescape(outside.get(address("acid")).text)
    link = re.search(r'href="(/ask/acid\?[^"#]*open=density)', page)

    assert link
    assert re.search(r'<input id="density"[^>]*autofocus', outside.get(link.group(1)).text)
