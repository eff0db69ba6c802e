"""A phone from the enquiry to what came of it: offer, order, day, begun late, water off, the rest, the end."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.demo.clock import StoryClock
from stillroom.demo.shelves import fill_shelves
from stillroom.demo.story import BEGINS, begin_practice
from stillroom.demo.under_way import leave_work
from tests.browser.phone import PHONE, Laptop, laptop, says

pytestmark = pytest.mark.browser
NOON = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)
ENQUIRY = "/ask/offer?tests=identity&sample=rosemary+leaf&customer=Invented+shop"
FOOT = "p.power-off"
PATIENCE_MS = 120_000
"""A fortnight is laid out meanwhile, on a busy machine."""


def bench_under_way(folder: Path) -> None:
    """A maceration stands, a Soxhlet runs, a day is laid out."""
    clock = StoryClock(BEGINS)
    with begin_practice(folder, clock) as lab:
        fill_shelves(lab, clock)
        leave_work(lab, clock)


@pytest.fixture
def top(tmp_path: Path) -> Iterator[Laptop]:
    with laptop(tmp_path / "book", bench_under_way, NOON) as made:
        yield made


def sign(page, button: str | re.Pattern[str]) -> str:
    page.get_by_label("Signed by").select_option("TO")
    with page.expect_navigation():
        page.get_by_role("button", name=button).click()
    return says(page)


def watched(page) -> list[tuple[str, str]]:
    """From when to when the Soxhlet is watched, as the list of the day says."""
    page.goto("/bench/day")
    return re.findall(r"(\d\d:\d\d)–(\d\d:\d\d) \w+ S1: siphon \(watch\)", says(page))


def begun(top: Laptop) -> list[tuple[str, str, str]]:
    with top.lab.look() as look:
        return [
            (one.body.subject, one.body.step, one.done_at)
            for one in look.bench_notes()
            if one.body.what == "begun"
        ]


def test_what_was_promised_stands_beside_what_came_after_a_day_that_went_otherwise(browser, top):
    page = browser.new_context(base_url=top.address, viewport=PHONE).new_page()
    page.set_default_timeout(PATIENCE_MS)

    page.goto(ENQUIRY)
    promised = int(re.search(r"Days promised (\d+) d", says(page))[1])
    page.get_by_role("link", name="Keep in the book?").click()
    sign(page, "Keep it")
    sign(page, "The customer accepts: make it an order")
    page.get_by_role("link", name="The order", exact=True).click()
    page.wait_for_url("**/orders/ORD-3")
    assert "not delivered yet" in says(page)

    page.goto("/bench/day")
    page.get_by_role("link", name="Lay out again").click()
    assert "The day is laid out." in sign(page, "Lay it out")
    page.goto("/bench/fortnight")
    assert "ORD-3: take in what Invented shop sends" in says(page)
    assert watched(page) == [("10:30", "15:30")]
    before = begun(top)

    top.later(20)  # nobody began at noon what was laid out for noon
    page.goto("/bench/now")
    begin = page.locator("main a", has_text=re.compile("^Begin: "))
    foot = page.locator(FOOT).bounding_box()["y"]
    assert begin.bounding_box()["y"] + begin.bounding_box()["height"] < foot
    assert page.locator(".caution").bounding_box()["y"] < foot
    step = begin.inner_text().removeprefix("Begin: ")
    begin.click()
    assert f"{step} has begun." in sign(page, re.compile("^Begin: "))

    page.get_by_role("link", name="Something changed").click()
    page.get_by_label("What happened").select_option("water")
    page.get_by_label("For how long").fill("40")
    told = sign(page, "Write it, and move the rest")
    assert "What had begun stays." in told
    assert "S1, siphon (watch): 40 min longer." in told
    assert watched(page) == [("10:30", "12:20"), ("13:00", "16:10")]
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert begun(top)[: len(before)] == before
    assert begun(top)[-1][1:] == (step, "2026-11-24T12:20:00+00:00")

    top.later(2 * 24 * 60 - 20)
    page.goto("/orders/ORD-3")
    page.get_by_role("link", name="Receive a lot").click()
    for field, value in (
        ("Code", "SAM-01"),
        ("Substance", "rosemary leaf"),
        ("Amount", "30 g"),
        ("Owner", "Invented shop"),
    ):
        page.get_by_label(field).fill(value)
    page.get_by_label("Kind").select_option(label="plant material")
    sign(page, "Receive the lot")
    page.goto("/stock/SAM-01/identity")
    page.get_by_label("It is").select_option("yes")
    page.get_by_role("textbox", name="On what evidence").fill(
        "leaf, hairs and smell compared with an authentic sample"
    )
    sign(page, "Save the decision")
    page.goto("/orders/ORD-3")
    came = says(page)

    assert f"Days {promised} took 2 days" in came
    assert "The date was kept." in came
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
