"""Markup, zero bytes, turned lines and far too long texts typed into every form of a full laboratory stay text.

The practice laboratory is walked for its forms; each is sent with an attack in every field, and with one in its
words only, so that some are written. Afterwards the pages are walked again.
"""

import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from io import BytesIO
from typing import Any
from urllib.parse import quote, quote_plus

import pytest
from pypdf import PdfReader

from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.web.app import make_app
from tests.hostile.attacked import MARKUP, WORKED_OUT, FoundForm, PageRead, opened_pages
from tests.long_form import some_of
from tests.practice import copied

BEGIN = ("/", "/ask", "/ask/dilute", "/ask/dose", "/ask/order", "/laboratory", "/stock/new", "/entries/5")
TYPED = {
    "markup": MARKUP,
    "a script for an address": "javascript:alert(1)",
    "a zero byte": "rose\x00mary",
    "a turned line": "rose\u202eyram",
    "one long line": "x" * 100_000,
    "many long lines": "\n".join(["<b>" + "x" * 990] * 100),
    "out of the folder": "../../../etc/passwd",
}
WRITTEN_TOO = ("markup", "a script for an address", "many long lines")
SEEN_BY_NOBODY = ("a zero byte", "a turned line", "one long line")
OPENS_A_SOCKET = "/laboratory/phones/open"
OPENS_ANOTHER_BOOK = ("/laboratory/new", "/laboratory/open")
STRENGTH = "0.1 % w/w total alkaloids as quinine"
UNITS = {"vessels": "mL", "measures": "mL", "burettes": "mL", "thermometers": "°C", "heaters": "W"}
# What must be a quantity, a date or a choice of words, so that a form with an attack in its words is written.
KEPT = {
    "by": "TO", "at": "", "amount": "1.000 g", "found": "1.0 %", "value": "31 °C", "price": "1.00 EUR/kg",
    "strength": "0.1 mol/L", "due": "2027-01-20", "use-by": "2028-01-20", "bottles": "40 × 100 mL",
    "aim": STRENGTH, "scale": "1 kg", "kind": "plant material", "market": "EU", "stated": "",
    "declared-at-least": STRENGTH, "plant": "rosemary leaf", "line": "stock spirit",
}  # fmt: skip


AS_A_FORM = {"content-type": "application/x-www-form-urlencoded"}
quoted = cache(quote_plus)
"""An attack of a hundred thousand letters is made fit for sending once."""


@dataclass(frozen=True)
class Attacked:
    """A laboratory whose every form is known, and a client at the laptop."""

    lab: Laboratory
    client: Any
    forms: tuple[FoundForm, ...]

    def head(self) -> str:
        """The seal of the last entry: another one after every entry that is written."""
        with self.lab.look() as look:
            return look.head.digest

    def send(self, form: FoundForm, fields: dict[str, str]) -> Any:
        if form.method == "get":
            return self.client.get(form.action, params=in_an_address(fields))
        body = "&".join(f"{quoted(name)}={quoted(value)}" for name, value in fields.items())
        return self.client.post(form.action, content=body, headers=AS_A_FORM)


@pytest.fixture(scope="module")
def attacked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Attacked]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    folder = copied(tmp_path_factory.mktemp("attacked"))
    with (
        open_laboratory(folder, clock=lambda: datetime(2026, 11, 25, 9, tzinfo=UTC)) as lab,
        TestClient(make_app(lab), base_url="http://127.0.0.1:8017", follow_redirects=False) as client,
    ):
        found: dict[str, FoundForm] = {}
        for html in opened_pages(client, BEGIN).values():
            for form in PageRead(html).forms:
                found.setdefault(form.method + form.pattern, form)
        yield Attacked(lab, client, tuple(found.values()))


def in_an_address(fields: dict[str, str]) -> dict[str, str]:
    """The fields cut to what an address holds: the server hears none beyond 64 kB (uvicorn, from memory)."""
    return {name: value[: 30_000 // len(fields)] for name, value in fields.items()}


def in_words_only(form: FoundForm, text: str) -> dict[str, str]:
    """The form with an attack where words are asked, and all else as it must be."""
    code = "A-" + re.sub(r"[^a-z]", "", form.pattern)[:30]
    unit = next((unit for page, unit in UNITS.items() if page in form.action), "g")
    instrument = {
        "smallest-step": f"0.1 {unit}",
        "largest": f"99 {unit}",
        "standard-uncertainty": f"0.1 {unit}",
    }
    sure = form.action.split("/")[2] if form.action.count("/") > 2 else ""
    stands = {name: value for name, (_, value) in form.fields.items() if value[:1].isdigit()}
    chosen = {name: value for name, (kind, value) in form.fields.items() if kind == "fixed" and value}
    kept = {**KEPT, **instrument, "sure": sure, "code": code, "order": code, **stands, **chosen, "by": "TO"}
    return form.filled(text, "1.000", kept=kept)


def came_alive(answer: Any) -> list[str]:
    """What of an answer would run in a browser, or was worked out by the program."""
    if "text/html" not in answer.headers.get("content-type", ""):
        return []
    worked = [WORKED_OUT] if WORKED_OUT in answer.text else []
    return PageRead(answer.text).alive + worked + (["<img src=x"] if "<img src=x" in answer.text else [])


def test_whatever_is_typed_into_every_field_of_every_form_stays_text(attacked):
    broken, alive, slipped, written = [], [], [], set()
    forms = [one for one in attacked.forms if one.action not in OPENS_ANOTHER_BOOK]
    tried = some_of(((form.method, form.pattern, name) for form in forms for name in TYPED), 8)
    for form in forms:
        for name, text in TYPED.items():
            if name != "markup" and (form.method, form.pattern, name) not in tried:
                continue
            where = f"{form.method} {form.action}: {name}"
            everywhere = form.filled(text, text, kept={"by": "TO", "at": ""})
            also = name in WRITTEN_TOO and form.action != OPENS_A_SOCKET
            before = attacked.head()
            for fields in (everywhere, *((in_words_only(form, text),) if also else ())):
                answer = attacked.send(form, fields)
                broken += [where] if answer.status_code >= 500 else []
                alive += [(where, one) for one in came_alive(answer)]
            if attacked.head() != before:
                has_words = any(text == value for value in everywhere.values())
                slipped += [where] if name in SEEN_BY_NOBODY and has_words else []
                written |= {form.pattern} if name == "markup" else set()
    pages = opened_pages(attacked.client, BEGIN, of_each=2)
    shown = [path for path, html in pages.items() if "&lt;script&gt;alert(1)" in html]

    assert len(attacked.forms) > 40
    assert (broken, alive, slipped) == ([], [], [])
    assert len(written) >= 12, written
    assert len(shown) >= 5, "no page shows what was typed, so that nothing was tried"
    assert {path: PageRead(html).alive for path, html in pages.items() if PageRead(html).alive} == {}
    assert [path for path, html in pages.items() if WORKED_OUT in html or "<img src=x" in html] == []


def test_every_form_that_is_signed_names_its_book_and_writes_into_no_other(attacked):
    signed = [one for one in attacked.forms if one.method == "post" and "by" in one.fields]
    before, refused = attacked.head(), 0
    for form in signed:
        if form.action in OPENS_ANOTHER_BOOK:
            continue
        assert "book" in form.fields, form.action
        answer = attacked.send(form, in_words_only(form, "hill") | {"book": "f" * 32})
        assert answer.status_code in (303, 409, 422), form.action
        refused += answer.status_code == 409

    assert attacked.head() == before
    assert refused > 0.9 * len(signed)


def test_what_was_typed_is_set_on_paper_as_it_stands(attacked):
    sent = {"name": MARKUP, "supplier": MARKUP, "owner": MARKUP, "by": "TO", "request_key": "b" * 12}
    lot = {"code": "ATT-90", "kind": "plant material", "substance": MARKUP, "amount": "10.0 g"}
    told = attacked.client.post("/stock/new", data={**sent, **lot})

    assert told.status_code == 303
    for path in ("/stock", "/stock/ATT-90", "/trace/ATT-90"):
        paper = attacked.client.get(path + ".pdf")
        words = "".join(one.extract_text() for one in PdfReader(BytesIO(paper.content)).pages)
        words = re.sub(r"[\s\u200b]", "", words)

        assert paper.status_code == 200, path
        assert "#panic(191)" in words, path
        assert WORKED_OUT not in words, path


@pytest.mark.parametrize("door", ["dilute", "dose", "order", "acid", "buffer", "cooling"])
@pytest.mark.parametrize("suffix", ["", ".json", ".txt"])
def test_a_question_in_an_address_is_text(attacked, door, suffix):
    form = next(one for one in attacked.forms if one.action == f"/ask/{door}")
    for text in TYPED.values():
        for fields in (dict.fromkeys(form.fields, text), form.filled(text, "1.000")):
            answer = attacked.client.get(f"/ask/{door}{suffix}", params=in_an_address(fields))

            assert answer.status_code in (200, 400, 404, 409, 414, 422), text[:40]
            assert came_alive(answer) == []


PARTS = (
    "../../etc/passwd",
    "..",
    "%2e%2e",
    "..\\..\\x",
    MARKUP,
    "a\x00b",
    "\u202eE1",
    "E1;DROP TABLE journal",
    "x" * 9000,
)
PATHS = (
    "/stock/{}", "/stock/{}/count", "/orders/{}", "/make/{}", "/make/{}/sheet", "/test/{}", "/trace/{}",
    "/products/{}/certificate", "/products/{}/label", "/entries/{}", "/why/{}", "/photographs/{}",
    "/laboratory/people/{}/pin", "/laboratory/{}/new", "/make/starters/{}", "/make/procedures/{}", "/static/{}",
    "/ask/{}", "/join/{}", "/trace/find?code={}", "/why/plan/{}/plant_g", "/sources/{}",
)  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_a_part_of_an_address_leads_nowhere_else(attacked, path):
    for part in PARTS:
        for written in (quote(part, safe=""), quote(part, safe="/%")):
            for suffix in ("", ".json"):
                answer = attacked.client.get(path.format(written) + suffix)
                where = path.format(written)[:80] + suffix

                assert answer.status_code < 500, where
                assert "root:" not in answer.text, where
                assert came_alive(answer) == [], where
                assert not answer.headers.get("location", "/").startswith(("//", "http", "/\\")), where


@pytest.mark.parametrize(
    "path",
    [
        "/entries/9223372036854775808",
        "/entries/9223372036854775808/correct",
        "/why/9223372036854775808",
        "/why/²",
        "/ask/kept/9223372036854775808",
        "/make/NOPE/dose?extract=E1&scale=SCALE-3",
        "/make/T1/dose?extract=NOPE&scale=SCALE-3",
        "/reagents/wagner?amount=8531745973310627 L",
        "/reagents/wagner?amount=1e30 L",
        "/spirit?month=0000-01",
        "/stock/%ED%A0%80",
    ],
)
def test_a_number_or_a_name_that_nobody_has_is_told_and_breaks_nothing(attacked, path):
    assert attacked.client.get(path).status_code < 500


@pytest.mark.parametrize("header", ["referer", "origin"])
@pytest.mark.parametrize(
    "named", ["http://[bad", "http://", "://", "http://[::1", "\udcff".encode("utf-8", "surrogateescape")]
)
def test_a_header_that_is_no_address_is_a_strangers(attacked, header, named):
    for send in (attacked.client.get, attacked.client.post):
        for path in ("/stock/new", "/look", "/nothing-here"):
            assert send(path, headers={header: named}).status_code < 500
