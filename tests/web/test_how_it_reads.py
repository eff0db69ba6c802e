"""How any page reads: the deferral once, times as a person writes them, no tail of a float, no tick before a failure.

Every page that can be reached is read, as HTML and as text.
"""

import re
from collections.abc import Iterator
from html import unescape

import pytest

from tests.web.conftest import Bench, words

DEFERS = "Local codes and licensed practice come first."
RAW_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d")
FLOAT_TAIL = re.compile(r"\d\.\d*(?:0{6,}[1-9]|9{6,}\d)")
ONE_OF_MANY = re.compile(
    r"(?<![.,\d· ])\b1 (?:lots|movements|batches|bottles|entries|days|results|steps|hours|siphonings)\b|movements 1\b"
)
MOST_OF_ONE_KIND = 25
"""Entries and reasons are many and alike: so many of each are read."""


@pytest.fixture(scope="session")
def pages(reading: Bench) -> dict[str, str]:
    """Every page that can be reached, as it is sent."""
    found, waiting, of_a_kind = {}, ["/"], dict.fromkeys(("entries", "why"), 0)
    while waiting:
        address = waiting.pop()
        found[address] = reading.client.get(address).text
        for link in _links(found[address]):
            kind = link.split("/")[1]
            if kind in of_a_kind:
                of_a_kind[kind] += 1
            if link not in found and link not in waiting and of_a_kind.get(kind, 0) <= MOST_OF_ONE_KIND:
                waiting.append(link)
    return found


def _links(html: str) -> Iterator[str]:
    for link in re.findall(r'href="(/[^"#]*)', html):
        if not re.search(r"\.(pdf|json|txt|css|js|png|ics|svg|csv|xlsx)|^/static", link):
            yield unescape(link)


def _read(html: str) -> str:
    """What is read of a page; what is copied word for word from the journal is left out."""
    seen = re.sub(r"<(script|style|template|pre|code)\b.*?</\1>", " ", html, flags=re.DOTALL)
    return words(re.sub(r"<(/?(?:td|th|dd|dt|li|p|h\d|summary))\b", r" ¦ <\1", seen))


def test_every_page_says_once_that_local_codes_come_first(pages):
    often = {address: said for address, html in pages.items() if (said := _read(html).count(DEFERS)) != 1}

    assert len(pages) > 100
    assert often == {}


def test_a_sheet_says_once_that_local_codes_come_first_where_it_warns(reading, pages):
    for address in ("/make/T1", "/make/E1", "/orders/ORD-1/plan", "/trace/CIN-01", "/reagents/wagner/sheet"):
        text = " ".join(reading.client.get(f"{address}.txt").text.split())

        assert text.count(DEFERS) == 1, address


@pytest.mark.parametrize("raw", [RAW_TIME, FLOAT_TAIL, ONE_OF_MANY], ids=["time", "float", "one of many"])
def test_no_page_shows_what_only_a_machine_writes(pages, raw):
    assert {address: found[0] for address, html in pages.items() if (found := raw.search(_read(html)))} == {}


def test_no_sign_of_success_stands_before_what_was_only_written(bench):
    bench.fill("/stock/CIN-01/identity", accepted="no", evidence="a leaf of another plant beside the drawer")

    assert "✓" not in bench.client.get("/stock/CIN-01").text.partition('class="said"')[2][:200]
