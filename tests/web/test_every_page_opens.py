"""Every page opens, leads nowhere that is not there, and says the same as HTML, as data, as text and on paper."""

import re
from html import unescape
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from stillroom.actions.book.laboratory import begin_laboratory
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.giving_up import give_up
from stillroom.documents import blocks
from stillroom.documents.blocks import (
    BLOCKS,
    Caution,
    Choice,
    Empty,
    Facts,
    Finder,
    Heading,
    LabelFace,
    Link,
    Mark,
    Numbers,
    Page,
    PenLines,
    Points,
    Prose,
    Reasons,
    River,
    ScanCode,
    Shown,
    ShownLeaf,
    Table,
    TurnOver,
)
from stillroom.records.people import Person
from stillroom.texts.catalogue import speaking
from stillroom.web.jinja_environment import block_names, environment, set_once
from tests.web.conftest import opened

PAGES = (
    "/bench",
    "/bench/power-or-water-off",
    "/orders",
    "/orders/ORD-1",
    "/orders/ORD-1/plan",
    "/stock",
    "/stock/CIN-01",
    "/stock/E1",
    "/make",
    "/make/E1",
    "/make/T1",
    "/make/starters",
    "/make/starters/maceration",
    "/make/starters/alkaloid-clean-up",
    "/reagents",
    "/reagents/wagner",
    "/reagents/wagner/sheet",
    "/reagents/wagner/label",
    "/reagents/mayer",
    "/reagents/shinoda",
    "/reagents/fehling-benedict",
    "/reagents/lots/DRA-01/label",
    "/reagents/lots/DRA-01/certificate",
    "/test",
    "/test/E1",
    "/products",
    "/products/T1/release",
    "/products/T1/certificate",
    "/products/E1/certificate",
    "/products/T1/label",
    "/trace",
    "/trace/CIN-01",
    "/trace/T1",
    "/why/plan/ORD-1/plant_g",
    "/entries/5",
    "/sources",
    "/laboratory",
    "/laboratory/verified",
)


def words_of(html: str) -> str:
    """What a person reads, spaces and digit padding left out."""
    seen = re.sub(r'<span class="pad"[^>]*>.*?</span>', "", html, flags=re.DOTALL)
    return re.sub(r"\s+", "", unescape(re.sub(r"<[^>]+>", " ", seen)))


def texts(thing: Any) -> list[str]:
    """Every text of the data twin that a person is meant to read."""
    if isinstance(thing, list):
        return [one for below in thing for one in texts(below)]
    if isinstance(thing, dict):
        hidden = {
            "block",
            "href",
            "answer",
            "name",
            "exact",
            "kind",
            "leaves",
            "how",
            "basis",
            "unit",
            "label",
            "plus_minus",
            "put_right",
        }
        return [one for key, below in thing.items() if key not in hidden for one in texts(below)]
    return [thing] if isinstance(thing, str) else []


@pytest.mark.parametrize("path", PAGES)
def test_a_page_says_the_same_as_html_and_as_data_and_as_text(reading, path):
    html, data, text = (reading.client.get(path + suffix) for suffix in ("", ".json", ".txt"))
    page, plain = words_of(html.text), set(re.findall(r"\w+", text.text))
    body = data.json()
    told = [one for block in body["blocks"] for one in texts(block)]

    assert (html.status_code, data.status_code, text.status_code) == (200, 200, 200)
    assert body["title"] in html.text.replace("&#39;", "'")
    assert len(told) > 2
    assert [one for one in told if re.sub(r"\s+", "", one) not in page] == []
    assert {word for one in told for word in re.findall(r"\w+", one)} - plain == set()


@pytest.mark.parametrize("path", ["/orders/ORD-1/plan", "/products/T1/certificate", "/products/T1/label"])
def test_a_page_can_be_printed_and_the_sheet_carries_its_code(reading, path):
    answer = reading.client.get(path + ".pdf")
    sheet = PdfReader(BytesIO(answer.content))
    printed = " ".join(one.extract_text() for one in sheet.pages)

    assert answer.headers["content-type"] == "application/pdf"
    assert ("T1" if "T1" in path else "ORD-1") in printed


def test_no_link_of_any_page_leads_nowhere(reading):
    waiting, seen, broken = ["/"], set(), []
    while waiting:
        address = waiting.pop()
        answer = reading.client.get(address)
        if answer.status_code != 200:
            broken.append((address, answer.status_code))
        if address.endswith((".json", ".txt", ".css")):
            continue
        for found in re.findall(r'href="(/[^"#]*)', answer.text):
            link = unescape(found)
            known = link.endswith((".pdf", ".json", ".txt")) or link.startswith("/static/fonts")
            many = re.match(r"/(entries|why)/", link) and len(seen) > 140
            if not known and not many and link not in seen:
                seen.add(link)
                waiting.append(link)

    assert broken == []
    assert len(seen) > 100


def test_the_address_of_the_laboratory_leads_to_the_bench(reading):
    answer = reading.client.get("/", follow_redirects=False)

    assert (answer.status_code, answer.headers["location"]) == (303, "/bench")


@pytest.mark.parametrize(
    "path", ["/nowhere", "/stock/NO-SUCH", "/entries/none", "/make/E1/nothing", "/why/9999"]
)
def test_what_is_not_there_is_told_calmly_in_the_same_hand(reading, said, path):
    answer = reading.client.get(path)

    assert answer.status_code == 404
    assert '<nav class="across"' in answer.text
    assert "Traceback" not in answer.text
    assert "Back" in said(answer.text)


def test_a_mistyped_code_is_offered_the_nearest(reading, said):
    told = said(reading.client.get("/trace/CIN-10").text)

    assert "CIN-01" in told.partition("Did you mean")[2]


def test_a_page_that_cannot_be_asked_like_that_says_so(reading, said):
    answer = reading.client.delete("/bench")

    assert answer.status_code == 405
    assert "Open it, then use its form" in said(answer.text)


def test_a_page_can_be_asked_for_its_head_alone(reading):
    assert reading.client.head("/stock").status_code == 200


# Every kind of block is known to the template, and printed by it.

LEAF = ShownLeaf("reading", "leaf of the number", "/entries/1")
ONE_OF_EACH = {
    Heading: (Heading("a heading"), "a heading"),
    Prose: (Prose("a sentence"), "a sentence"),
    Numbers: (Numbers((Shown("a label", "1.5", "0.2", "g", "as is", "a reason", (LEAF,)),)), "leaf of the number"),
    Facts: (Facts((("a fact", Mark("released")),)), "released"),
    Table: (Table(("Head",), ((Link("a cell", "/bench"),),)), "a cell"),
    Caution: (Caution("a hazard", "a moment", "a wording"), "a wording"),
    Points: (Points(("a point",)), "a point"),
    River: (River("<svg></svg>", "<svg></svg>", "the stream"), "the stream"),
    PenLines: (PenLines(("a line for ink",)), "a line for ink"),
    ScanCode: (ScanCode("T1", "a caption"), "a caption"),
    Reasons: (Reasons((("a name", "1", "", "a leaf"),)), "a leaf"),
    LabelFace: (LabelFace(90, 50, "a title", ("large",), ("small",), "T1", ("by pen",)), "by pen"),
    Empty: (Empty("nothing here", "because"), "nothing here"),
    Finder: (Finder("/stock", "bark", (Choice("state", "Status", (("waiting", "waits"),)),), "1 to 50"), "1 to 50"),
    TurnOver: (TurnOver("on the back"), "on the back"),
}  # fmt: skip


def rendered(block: blocks.Block) -> str:
    page = Page("A page", "page", "", (block,), practice=True)
    return environment().get_template("page.html").render(page=page, here="")


@pytest.mark.parametrize("kind", BLOCKS, ids=lambda kind: kind.__name__)
def test_every_kind_of_block_is_printed(kind):
    block, expected = ONE_OF_EACH[kind]

    assert kind.__name__ in block_names()
    assert expected in rendered(block)


def test_a_block_is_set_again_only_where_it_would_read_otherwise():
    block, again = (
        Caution("Heat", "while it boils", "Stay beside it. Keep a lid at hand.") for _ in range(2)
    )
    first = set_once(block, False, False)

    assert set_once(again, False, False) is first
    assert "folded" not in first
    assert "folded" in set_once(block, True, False)
    assert "The rest of it" not in first
    assert "The rest of it" in set_once(block, False, True)
    assert "Attention" not in first
    with speaking("fr"):
        assert "Attention" in set_once(block, False, False)


def test_the_template_knows_no_kind_that_does_not_exist():
    assert set(block_names()) == {kind.__name__ for kind in BLOCKS}


def test_where_most_draws_lie_stands_beside_the_value():
    page = rendered(Numbers((Shown("plant", "94.9", unit="g", span="80.1 to 96.4"),)))

    assert "80.1 to 96.4" in page


def test_an_uncertainty_carries_its_sign_on_the_page():
    page = rendered(Numbers((Shown("plant", "94.9", "2.1 (k = 2)", "g"),)))

    assert "± 2.1 (k = 2)" in re.sub(r"<[^>]+>", "", page)


def test_an_empty_laboratory_says_what_to_put_where_first(tmp_path, said):
    with begin_laboratory(tmp_path / "new", "An empty house", Person("AA", "Anna Alm", True)) as lab:
        for page in opened(lab.folder):
            told = {path: said(page.client.get(path).text) for path in ("/bench", "/stock", "/make", "/test")}

    assert "Begin with an order of bottles" in told["/bench"]
    assert "Receive the first" in told["/stock"]
    assert "Nothing is being made" in told["/make"]
    assert "tested before it is released" in told["/test"]


def test_the_trace_of_a_batch_that_is_no_lot_leads_nowhere_that_is_not_there(bench: Any) -> None:
    begin_batch(bench.lab, "E77", "bark-extract", "100 g", by="TO")
    give_up(bench.lab, "E77", why="begun by mistake", by="TO")
    page = bench.client.get("/trace/E77").text
    leads = {unescape(one) for one in re.findall(r'href="(/trace/E77/[a-z]+)"', page)}

    assert leads
    assert {one: bench.client.get(one).status_code for one in leads} == dict.fromkeys(leads, 200)
