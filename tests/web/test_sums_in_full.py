"""The sums of the bench in full: each figure in each twin, the story, bad entries kept, HTML as text."""

import io
import json
import re
import warnings
from collections.abc import Iterator
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from stillroom.actions.questions import KEPT, QUESTIONS
from stillroom.web.app import make_app
from stillroom.web.ask import DOORS
from tests.web.conftest import ADDRESS, words

SUMS = tuple(name for name in QUESTIONS if name not in KEPT)

STORY = next(
    one["expect"]
    for one in json.loads((Path(__file__).parents[1] / "reference_checks" / "stories.json").read_text())
    if one["id"] == "S3"
)
BARE = "/ask/acid?of=hydrochloric+acid+37+%25&want=5+%25&amount=1.000+L&density=1.184"
ASKED = {
    "recover": "/ask/recover?have=70&known-by=label&amount=5+L&temperature=20&stop=80&stop-as=distillate",
    "blend": "/ask/blend?stock-1=96&stock-1-amount=4+L&stock-2=83&stock-2-amount=3+L&stock-2-what=recovered&want=70"
    "&amount=5+L&temperature=20",
    "acid": f"{BARE}&basis=w%2Fw",
    "buffer": "/ask/buffer?pair=phosphate&ph=7.0&total=0.05+mol%2FL&amount=1+L",
    "factor": "/ask/factor?titrant=sodium+hydroxide&strength=0.1+mol%2FL&standard=potassium+hydrogen+phthalate"
    "&mass-1=0.4085&titre-1=20.06&mass-2=0.4120&titre-2=20.22&mass-3=0.4061&titre-3=19.94&blank=0.04",
    "shake": "/ask/shake?pka=8.5&partition-ratio=60&ph=9.5&water=100&solvent=90",
    "siphon": "/ask/siphon?residues=412%3B+251%3B+156%3B+94%3B+58&collected=18.42&cycle=14",
    "cooling": "/ask/cooling?set-ups=4+%C3%97+ethanol+12+mL%2Fmin&inlet=24&flow=0.5&hoses=series&hours=6",
    "strengthen": "/ask/strengthen?lots=E1+36.2+%C2%B1+0.8+%25+120+g%3B+E2+41.0+%25+60+g&want=38+%25",
    "kinetics": "/ask/kinetics?table=0+0%3B+10+6.32%3B+20+8.65%3B+40+9.82%3B+80+10.0",
    "season": "/ask/season?month=3+kg&price=40+EUR%2Fkg&short=90+EUR%2Fkg&months=12",
    "compare": "/ask/compare?plant=rosemary+leaf&of=rosmarinic+acid&charge=50+g",
}
BAD = {
    "recover": (
        ASKED["recover"].replace("stop=80", "stop=90"),
        "never gives more than 85.9 % v/v",
        "stop",
        "90",
    ),
    "blend": (
        ASKED["blend"].replace("amount=5+L", "amount=50+L"),
        "enough ethanol at hand",
        "amount",
        "50 L",
    ),
    "acid": (
        ASKED["acid"].replace("want=5+", "want=50+"),
        "up to the 37 % w/w of the bottle",
        "want",
        "50 %",
    ),
    "buffer": (ASKED["buffer"].replace("ph=7.0", "ph=3"), "between pH 4.54 and 9.27", "ph", "3"),
    "factor": (
        ASKED["factor"].replace("titre-2=20.22", "titre-2="),
        "Replicate 2 needs both",
        "titre-1",
        "20.06",
    ),
    "shake": (ASKED["shake"].replace("water=100", "water=0"), "above zero", "water", "0"),
    "siphon": (ASKED["siphon"].replace("cycle=14", "cycle=0"), "above zero", "cycle", "0"),
    "cooling": (ASKED["cooling"].replace("inlet=24", "inlet=80"), "between 0 and 60 °C", "inlet", "80"),
    "strengthen": (
        ASKED["strengthen"].replace("want=38", "want=50"),
        "between its weakest and its strongest",
        "want",
        "50 %",
    ),
    "kinetics": (f"{ASKED['kinetics']}&at=-1", "cannot be negative", "at", "-1"),
    "season": (ASKED["season"].replace("months=12", "months=0"), "1 to 24 whole months", "months", "0"),
    "compare": (ASKED["compare"].replace("charge=50", "charge=0"), "above zero", "charge", "0 g"),
}


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


def test_the_sums_stand_below_the_doors(outside: Any) -> None:
    page = outside.get("/ask").text
    links = re.findall(r'href="(/ask/\w+)"', page)

    assert {f"/ask/{name}" for name in SUMS} <= set(links)
    assert links.index("/ask/order") < min(links.index(f"/ask/{name}") for name in SUMS)


@pytest.mark.parametrize("name", SUMS)
def test_an_answer_and_its_twins_say_the_same(outside: Any, name: str) -> None:
    html, data, text, sheet = (
        outside.get(with_ending(ASKED[name], end)) for end in ("", ".json", ".txt", ".pdf")
    )
    figures = [
        one["value"]
        for block in data.json()["blocks"]
        if block["block"] == "Numbers"
        for one in block["items"]
    ]
    printed = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(sheet.content)).pages)

    assert [one.status_code for one in (html, data, text, sheet)] == [200] * 4
    assert len(figures) > 2
    for figure in figures:
        assert figure in words(html.text)
        assert figure in text.text
        assert figure in printed


def test_each_reading_of_a_bare_percentage_has_a_link_that_answers_it(outside: Any) -> None:
    page = outside.get(BARE)
    links = {unescape(one) for one in re.findall(r'href="(/ask/acid\?[^"]*basis=[^"]*)"', page.text)}
    answers = {one: outside.get(one) for one in links}
    leads = [outside.get(with_ending(one, ".json")).json()["lead"] for one in links]

    assert page.status_code == 200
    assert len(links) == len(STORY)
    assert {one.status_code for one in answers.values()} == {200}
    assert all(lead.startswith("Meant as ") for lead in leads)
    assert len(set(leads)) == len(STORY)


def test_the_table_of_readings_holds_the_figures_of_the_story(outside: Any) -> None:
    data = outside.get(with_ending(BARE, ".json")).json()
    table = next(block for block in data["blocks"] if block["block"] == "Table")
    found = {row[0]["text"]: row for row in table["rows"]}

    for basis, key in {"w/w": "ww", "w/v": "wv", "v/v": "vv_of_conc", "label": "c1v1"}.items():
        assert float(found[basis][3]) == pytest.approx(STORY[key]["mL"], abs=0.1)
        assert float(found[basis][5]) == pytest.approx(STORY[key]["mol_L"], abs=0.001)


@pytest.mark.parametrize("name", SUMS)
def test_what_nobody_said_is_listed_and_one_tap_away(outside: Any, name: str) -> None:
    page = outside.get(ASKED[name].replace("&density=1.184", "")).text
    links = re.findall(r'href="(/ask/[^"]*open=([\w-]+))"', page)

    assert "What nobody said" in words(page)
    assert len({field for _, field in links}) > 1
    for address, field in links:
        assert re.search(rf'id="{field}"[^>]* autofocus', outside.get(unescape(address)).text)


@pytest.mark.parametrize("name", SUMS)
def test_what_was_typed_is_kept_when_it_cannot_be_answered(outside: Any, name: str) -> None:
    address, says, field, typed = BAD[name]
    page, data = outside.get(address), outside.get(with_ending(address, ".json"))

    assert page.status_code in {409, 422}
    assert says in words(page.text)
    assert re.search(rf'name="{field}"[^>]*value="{typed}"|value="{typed}"[^>]*name="{field}"', page.text)
    assert data.status_code == page.status_code
    assert says in json.dumps(data.json(), ensure_ascii=False)


@pytest.mark.parametrize("name", SUMS)
def test_html_in_every_field_is_text(outside: Any, name: str) -> None:
    hostile = "<img src=x onerror=a>"
    for field in DOORS[name]({}, "", date(2026, 11, 25)).fields:
        opened = outside.get(f"/ask/{name}", params={field: hostile, "open": field})
        asked = outside.get(f"{ASKED[name]}&{field}={hostile}")

        assert hostile not in opened.text + asked.text
        assert max(opened.status_code, asked.status_code) < 500


def test_a_density_that_was_said_is_no_longer_among_what_nobody_said(outside: Any) -> None:
    said, unsaid = (
        outside.get(one).text for one in (ASKED["acid"], ASKED["acid"].replace("&density=1.184", ""))
    )

    assert "open=density" in unsaid
    assert "open=density" not in said


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("/ask/acid/lesson?of=hydrochloric+acid+37+%25&want=5+%25&amount=1+L&basis=w%2Fw", "A tempting way"),
        ("/ask/buffer/lesson?pair=phosphate&ph=7.0&total=0.05+mol%2FL&amount=1+L", "A tempting way"),
        ("/ask/cooling/lesson?set-ups=acetone+100+W&inlet=24&flow=0.5&hours=6", "A tempting way"),
        ("/ask/siphon/lesson?residues=310+190+118&collected=9&cycle=12", ""),
    ],
)
def test_a_lesson_has_its_address_and_its_sheet(outside: Any, address: str, says: str) -> None:
    page = outside.get(address)
    sheet = outside.get(address.replace("/lesson?", "/lesson.pdf?"))

    assert (page.status_code == 200) is bool(says)
    assert says in page.text
    assert sheet.content.startswith(b"%PDF") is bool(says)
