"""A stranger with a phone asks: every entry and the button on one screen, an answer, one tap for what nobody said."""

import socket
import threading
from collections.abc import Iterator
from typing import Any

import pytest

from stillroom.web.app import make_app

pytestmark = pytest.mark.browser
WIDTH, HEIGHT = 390, 844
THUMB_PX = 44


@pytest.fixture(scope="module")
def pages() -> Iterator[Any]:
    """A phone at the pages while no laboratory is open."""
    import uvicorn
    from playwright.sync_api import sync_playwright

    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    settings = uvicorn.Config(make_app(None), log_level="warning", lifespan="off", ws="none", http="h11")
    server = uvicorn.Server(settings)
    serving = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    serving.start()
    with sync_playwright() as playing:
        browser = playing.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-gpu"]
        )
        address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        page = browser.new_context(base_url=address, viewport={"width": WIDTH, "height": HEIGHT}).new_page()
        page.set_default_timeout(20_000)
        yield page
        browser.close()
    server.should_exit = True
    serving.join(timeout=10)


def on_screen(page: Any) -> list[tuple[str, float, float]]:
    """Every control of the question that can be seen: name, bottom edge, height."""
    found = page.eval_on_selector_all(
        ".ask-form > .ask-row input, .ask-form > .ask-row select, .ask-form > .doing button",
        "all => all.map(one => [one, one.getBoundingClientRect()])"
        ".filter(([one, box]) => box.height > 0 && getComputedStyle(one).visibility != 'hidden')"
        ".map(([one, box]) => [one.name || 'button', box.bottom, box.height])",
    )
    return [(name, bottom, height) for name, bottom, height in found]


@pytest.mark.parametrize(("question", "entries"), [("dilute", 4), ("dose", 6)])
def test_every_entry_and_the_button_are_on_one_screen(pages: Any, question: str, entries: int) -> None:
    pages.goto(f"/ask/{question}")
    seen = on_screen(pages)
    rows = pages.eval_on_selector_all(
        ".ask-form > .ask-row", "all => all.filter(one => one.getBoundingClientRect().height > 0).length"
    )

    assert rows == entries
    assert seen[-1][0] == "button"
    assert [name for name, bottom, _ in seen if bottom > HEIGHT] == []
    assert [name for name, _, height in seen if height < THUMB_PX] == []
    assert pages.evaluate("document.documentElement.scrollWidth") == WIDTH


def test_four_entries_lead_to_an_answer_and_one_tap_to_what_nobody_said(pages: Any) -> None:
    from playwright.sync_api import expect

    pages.goto("/ask/dilute")
    for field, text in (("have", "96"), ("want", "70"), ("amount", "5"), ("temperature", "31")):
        pages.fill(f"#{field}", text)
    pages.click("text=Calculate")
    pages.get_by_text("Spirit to weigh").first.wait_for()
    answer = pages.inner_text("main")
    pages.click("text=how sure the strength is")

    assert "Spirit to weigh" in answer
    expect(pages.locator("#have-plus-minus")).to_be_focused()
    assert pages.input_value("#have") == "96"


def test_a_bottle_takes_three_weighings_in_place_of_one_figure(pages: Any) -> None:
    pages.goto("/ask/dilute")
    before = {name for name, _, _ in on_screen(pages)}
    pages.select_option("#known-by", "bottle")
    after = {name for name, _, _ in on_screen(pages)}

    assert "bottle-water" not in before
    assert {"bottle-empty", "bottle-water", "bottle-spirit"} <= after
    assert "have" not in after


def test_six_entries_lead_to_a_dose(pages: Any) -> None:
    pages.goto("/ask/dose")
    for field, text in (
        ("strength", "38.4"), ("of", "rosmarinic acid"), ("plus-minus", "1.2"), ("wanted", "0.1"),
        ("amount", "50 x 100 mL"), ("step", "0.01"),
    ):  # fmt: skip
        pages.fill(f"#{field}", text)
    pages.click("text=Calculate")
    pages.get_by_text("Extract to weigh").first.wait_for()
    answer = pages.inner_text("main")

    assert "Extract to weigh" in answer
    assert "That never means it is allowed" in answer
