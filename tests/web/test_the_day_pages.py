"""Now, the day and the fortnight on their pages: from an empty one to a surprise, with twins, sheet and calendar."""

import re

import pytest
from icalendar import Calendar

from tests.web.conftest import Bench, words

PAGES = ("/bench/now", "/bench/day", "/bench/fortnight")


@pytest.fixture
def planned(bench: Bench) -> Bench:
    sent = bench.fill("/bench/now/plan", days="14")
    assert sent.status_code == 303, words(sent.text)
    return bench


@pytest.mark.parametrize("address", PAGES)
def test_an_empty_page_says_what_to_do_first(bench, address):
    page = bench.client.get(address)

    assert page.status_code == 200
    assert "No day is laid out yet." in words(page.text)
    assert "/bench/now/plan" in page.text


@pytest.mark.parametrize("address", PAGES)
@pytest.mark.parametrize("twin", [".json", ".txt", ".pdf"])
def test_each_page_of_the_day_has_its_twins(planned, address, twin):
    assert planned.client.get(f"{address}{twin}").status_code == 200


def test_now_says_who_does_what_until_when_and_begins_it(planned):
    page = planned.client.get("/bench/now")
    address = re.search(r'href="(/bench/now/begin[^"]+)"', page.text)[1].replace("&amp;", "&")
    typed = dict(
        re.findall(r'type="hidden" name="(what|job|step)" value="([^"]*)"', planned.client.get(address).text)
    )

    sent = planned.fill(address, "/bench/now/begin", **typed)

    assert sent.status_code == 303
    assert "has begun" in words(planned.client.get("/bench/now").text)
    with planned.lab.look() as look:
        assert [one.body.what for one in look.bench_notes()] == ["begun"]


def test_the_day_is_drawn_with_a_column_for_each_person_who_works_and_listed(planned):
    page = planned.client.get("/bench/day").text

    assert "<svg" in page
    assert "As a list" in words(page)
    assert len(re.findall(r"\d\d:\d\d–", words(page))) >= 2


def test_what_changed_is_written_and_what_moved_is_told(planned):
    sent = planned.fill("/bench/now/surprise", what="water", minutes="40", why="the main is being mended")

    assert sent.status_code == 303
    told = words(planned.client.get("/bench/now").text)
    assert "What had begun stays." in told or "Nothing has to move." in told


def test_minutes_that_are_none_come_back_to_their_field(planned):
    sent = planned.fill("/bench/now/surprise", what="water", minutes="a while")

    assert sent.status_code == 422
    assert "must be a whole number" in words(sent.text)


def test_a_calendar_program_reads_every_stretch_of_hands(planned):
    found = Calendar.from_ical(planned.client.get("/bench/now/calendar.ics").text)
    events = found.walk("VEVENT")

    assert len(events) >= 5
    assert all(one["dtstart"].dt.tzinfo for one in events)
    assert len({str(one["uid"]) for one in events}) == len(events)
    assert all(one.walk("VALARM") for one in events)


def test_a_day_that_is_no_date_is_refused_in_a_sentence(planned):
    page = planned.client.get("/bench/day/tomorrow")

    assert page.status_code == 422
    assert "A day is a date" in words(page.text)


def test_a_day_that_does_not_fit_tells_what_would_have_to_give(bench):
    for what, text in (("working hours", "08:00 to 08:40"), ("days of work", "Tue")):
        bench.fill(
            f"/laboratory/conditions/new?what={what.replace(' ', '+')}",
            "/laboratory/conditions/new",
            what=what,
            value=text,
        )

    sent = bench.fill("/bench/now/plan", days="14")

    assert sent.status_code == 422
    assert "Everything must fit into the time and onto the bench" in words(sent.text)
