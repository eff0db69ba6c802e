"""A page is kept while it would be made the same again, and no longer: whatever changes, it is the one made anew."""

import re
from base64 import urlsafe_b64encode
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from urllib.parse import urlencode

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.house.pins import set_pin
from stillroom.evidence.rests_on import THE_MOMENT, noticing
from stillroom.planning import forecast
from stillroom.records.entries import ConditionNoted
from stillroom.web import kept_pages
from stillroom.web.app import make_app
from tests.practice import copied
from tests.web.conftest import ADDRESS

STRENGTHS = {"have": "96", "known-by": "label", "want": "70", "amount": "5", "amount-as": "L wanted"}
LOOKED_AT = (
    "/bench", "/orders/ORD-1", "/stock", "/stock/T1.json", "/make/T1", "/make/starters", "/reagents", "/test.txt",
    "/products/T1/release", "/trace/CIN-01", "/entries/5", "/laboratory", "/offers", "/spirit",
    f"/ask/dilute?{urlencode(STRENGTHS | {'temperature': '31'})}",
)  # fmt: skip
BEGINS = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
KEY = re.compile(r'(?<=name="request_key" value=")[^"]*')


@pytest.fixture
def two(tmp_path, reading):
    """The same book behind two sets of pages: one that is looked at again and again, one that keeps nothing."""
    client, clock = type(reading.client), [BEGINS]
    with open_laboratory(copied(tmp_path), clock=lambda: clock[0]) as lab:
        keeping, fresh = make_app(lab), make_app(lab)
        fresh.state.kept_pages = SimpleNamespace(answer=lambda _request, _lab, make: make())
        with client(keeping, base_url=ADDRESS) as one, client(fresh, base_url=ADDRESS) as other:
            yield SimpleNamespace(lab=lab, clock=clock, kept=one, fresh=other, app=keeping)


def noted(two, value):
    at = two.clock[0].isoformat()
    with two.lab.book.pen(by="TO", at=at, entered_at=at) as pen:
        pen.enter(ConditionNoted("room", value, "°C", f"{value} °C"))


def test_whatever_changes_a_kept_page_is_the_one_that_is_made_anew(two):
    def an_hour_goes_by():
        two.clock[0] += timedelta(hours=1)

    def it_is_the_next_month():
        two.clock[0] += timedelta(days=20)

    changes = (
        lambda: None,
        an_hour_goes_by,
        it_is_the_next_month,
        lambda: set_pin(two.lab, "TO", "2718", by="TO"),
        lambda: noted(two, 23.5),
        lambda: two.kept.cookies.set("language", "fr") or two.fresh.cookies.set("language", "fr"),
    )
    stale = []
    for change in changes:
        change()
        for path in LOOKED_AT:
            found = [KEY.sub("", one.get(path).text) for one in (two.kept, two.kept, two.fresh)]
            stale += [path for one in found if one != found[2]]

    assert stale == []


def test_every_form_of_a_kept_page_has_a_key_of_its_own_each_time(two):
    path = "/orders/ORD-1/plan"
    looks = [KEY.findall(two.kept.get(path).text) for _ in range(3)]

    assert all(looks)
    assert all(re.fullmatch("[0-9a-f]{32}", key) for keys in looks for key in keys)
    assert len({key for keys in looks for key in keys}) == sum(map(len, looks))
    assert "etag" not in two.kept.get(path).headers


def test_a_page_without_a_form_is_known_again_until_somebody_writes(two):
    first = two.kept.get("/trace/T1")
    knowing = {"If-None-Match": first.headers["etag"]}
    again = two.kept.get("/trace/T1", headers=knowing)
    two.kept.cookies.set("theme", "dark")
    darker = two.kept.get("/trace/T1", headers=knowing)
    two.kept.cookies.delete("theme")
    noted(two, 24.0)
    later = two.kept.get("/trace/T1", headers=knowing)

    assert (again.status_code, again.content) == (304, b"")
    assert first.headers["cache-control"] == "private,no-cache"
    assert (darker.status_code, later.status_code) == (200, 200)
    assert later.headers["etag"] not in (first.headers["etag"], darker.headers["etag"])


def test_a_page_goes_out_compressed_where_that_is_taken(two):
    plain = two.kept.get("/trace/T1", headers={"Accept-Encoding": "identity"})
    short = two.kept.get("/trace/T1", headers={"Accept-Encoding": "gzip"})

    assert short.text == plain.text
    assert int(short.headers["content-length"]) < len(plain.content) / 3
    assert "content-encoding" not in plain.headers


def test_what_was_said_once_is_not_kept_and_nothing_of_a_phone_stays_in_its_browser(two, monkeypatch):
    two.kept.cookies.set("said", urlsafe_b64encode(b"1|It was heard.").decode())
    told = two.kept.get("/laboratory")
    two.kept.cookies.delete("said")
    monkeypatch.setattr(kept_pages, "comes_from_a_phone", lambda _scope: True)
    phone = two.kept.get("/trace/T1")

    assert "It was heard." in told.text
    assert "etag" not in told.headers
    assert "It was heard." not in two.kept.get("/laboratory").text
    assert "etag" not in phone.headers
    assert phone.headers["cache-control"] == "no-store"


def test_the_oldest_pages_go_when_there_are_too_many(two, monkeypatch):
    monkeypatch.setattr(kept_pages, "MOST_BYTES", 60_000)
    for path in ("/trace/T1", "/stock", "/orders", "/trace/E1", "/test", "/make"):
        two.kept.get(path)
    pages = two.app.state.kept_pages

    assert 0 < pages._bytes <= 60_000
    assert pages._bytes == sum(len(one.content) for one in pages._kept.values())


def test_whoever_asks_the_clock_is_noticed_and_the_day_alone_is_told_apart(two):
    with noticing() as at_a_moment:
        two.lab.clock()
    with noticing() as on_a_day:
        assert two.lab.today() == BEGINS.date()

    assert THE_MOMENT in at_a_moment
    assert on_a_day == {"the day": BEGINS.date()}


def test_a_page_is_made_of_one_look_at_the_book_whatever_is_written_meanwhile(two):
    with two.lab.one_look() as look:
        before = look.head
        noted(two, 24.5)
        with two.lab.look() as within:
            assert within is look
            assert within.head == before

    with two.lab.look() as after:
        assert after.head.entry_no == before.entry_no + 1


def test_the_page_of_a_batch_runs_its_stream_twice_at_most_and_not_again_for_what_is_written_elsewhere(
    two, monkeypatch
):
    """The forecast ran the same draws again for each figure that it gave: eight tenths of a second a page."""
    runs, runs_it = [], forecast.run_for_record
    monkeypatch.setattr(
        forecast, "run_for_record", lambda *given, **more: runs.append(given) or runs_it(*given, **more)
    )
    counted = []
    for _ in range(3):
        assert two.fresh.get("/make/E1").status_code == 200
        counted.append(len(runs))
        noted(two, 23.5)

    assert 1 <= counted[0] <= 2
    assert counted == [counted[0]] * 3
