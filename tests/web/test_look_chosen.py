"""Light, language and paper: chosen at the foot of a page, kept in this browser, never written in the book."""

from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader

LETTER_WIDTH_PT = 612  # ANSI/ASME Y14.1, size A: 8.5 in; from-memory


def choose(reading, page: str, **typed: str):
    client = reading.client
    client.cookies.clear()
    return client.post(
        "/look", data=typed, headers={"referer": f"{client.base_url}{page}"}, follow_redirects=False
    )


def test_the_dark_bench_is_chosen_without_a_script_and_leads_back(reading) -> None:
    before = reading.digest()
    answer = choose(reading, "/why/plan/ORD-1/plant_g?x=1", theme="dark")
    page = reading.client.get("/bench").text
    reading.client.cookies.clear()

    assert (answer.status_code, answer.headers["location"]) == (303, "/why/plan/ORD-1/plant_g?x=1")
    assert '<html lang="en" data-theme="dark">' in page
    assert 'value="dark" aria-pressed="true"' in page
    assert reading.digest() == before


def test_as_the_device_takes_the_choice_back(reading) -> None:
    choose(reading, "/bench", theme="dark")
    reading.client.post("/look", data={"theme": "device"}, follow_redirects=False)
    page = reading.client.get("/bench").text
    reading.client.cookies.clear()

    assert "data-theme" not in page


def test_french_is_kept_for_every_page_and_asked_once_in_an_address(reading) -> None:
    once = reading.client.get("/bench?language=fr").text
    after = reading.client.get("/bench").text
    choose(reading, "/bench", language="fr")
    kept = reading.client.get("/make/E1").text
    reading.client.cookies.clear()

    assert '<html lang="fr"' in once
    assert "Rien n’est en cours." in once
    assert '<html lang="en"' in after
    assert "Laboratoire d’exercice : données inventées" in kept.replace("\u00a0", " ")


def test_a_label_is_printed_in_the_language_of_the_address(reading) -> None:
    text = reading.client.get("/products/T1/label.txt?language=fr").text.replace("\u00a0", " ")

    assert "Au moins 0,095 % m/m" in text
    assert "At least" not in text


def test_letter_is_remembered_after_it_was_asked_for_once(reading) -> None:
    reading.client.cookies.clear()
    asked = reading.client.get("/products/T1/label.pdf?paper=letter")
    again = reading.client.get("/stock/CIN-01.pdf")
    reading.client.cookies.clear()
    later = reading.client.get("/stock/CIN-01.pdf")
    widths = [round(PdfReader(BytesIO(one.content)).pages[0].mediabox.width) for one in (asked, again, later)]

    assert widths == [LETTER_WIDTH_PT, LETTER_WIDTH_PT, 595]


@pytest.mark.parametrize(
    ("name", "value"), [("theme", "plaid"), ("language", "../en"), ("paper", "a4;x=1"), ("theme", "<b>")]
)
def test_what_is_no_choice_is_not_kept(reading, name: str, value: str) -> None:
    answer = choose(reading, "/bench", **{name: value})
    page = reading.client.get(f"/bench?{name}={value}")

    assert "set-cookie" not in answer.headers
    assert page.status_code == 200
    assert value not in page.text


@pytest.mark.parametrize(
    "referer", ["https://elsewhere.example/bench", "", "http://127.0.0.1:8017//elsewhere.example"]
)
def test_a_choice_never_leads_to_another_place(reading, referer: str) -> None:
    reading.client.cookies.clear()
    answer = reading.client.post(
        "/look", data={"theme": "dark"}, headers={"referer": referer}, follow_redirects=False
    )
    reading.client.cookies.clear()

    assert answer.headers["location"] in ("/", "/elsewhere.example")


def test_a_certificate_is_a_picture_at_its_own_address(reading) -> None:
    answer = reading.client.get("/products/T1/certificate.png")

    assert answer.headers["content-type"] == "image/png"
    assert Image.open(BytesIO(answer.content)).format == "PNG"
    assert 'href="/products/T1/certificate.png"' in reading.client.get("/products/T1/certificate").text
