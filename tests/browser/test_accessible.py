"""Every page is open to everybody: no violation of WCAG 2.2 A and AA that an engine can see, and the keyboard alone.

The engine is axe-core (``axe/README.md``), run in Chromium over every address of docs/pages.md, on a phone and on a
laptop, on paper and on the dark bench. What an engine cannot see (order of the focus, a focus that shows, targets
of a thumb) is walked with the Tab key.
"""

import hashlib
import re
from pathlib import Path
from typing import Any

import pytest

from tests.habits.test_pages_are_listed import listed

pytestmark = [pytest.mark.browser, pytest.mark.slow]
AXE = Path(__file__).parent / "axe"
RULES = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
SIZES = {"phone": {"width": 390, "height": 844}, "laptop": {"width": 1280, "height": 900}}
NO_PAGES = re.compile(r"\.ics$|^/static/")
BESIDES = (
    "/make/E2",
    "/make/E2/step",
    "/make/T1",
    "/stock/E1",
    "/trace/T1",
    "/nothing-here",
    "/stock/NOT-THERE",
)
NOT_THERE = {"/nothing-here", "/stock/NOT-THERE"}
COLOURS = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
ENGINE = """async (only) => (await axe.run(document, {runOnly: only, resultTypes: ["violations"]}))
.violations.map(one => one.id + ": " + one.help + " | " + one.nodes.map(node => node.target.join(" ") + " " +
(node.any[0] || node.all[0] || node.none[0] || {message: ""}).message).slice(0, 3).join(" || "))"""
FORMS = (
    ("/stock/new", {"code": "Ü Ü", "amount": "a handful"}),
    ("/orders/new", {"bottles": "many"}),
    ("/make/new", {"scale": "much"}),
    ("/stock/CIN-01/weigh-again", {}),
    ("/test/CIN-01/control", {}),
    ("/make/E2/step", {}),
)


def addresses() -> list[str]:
    pages = [one for one in listed() if not NO_PAGES.search(one)]
    return list(dict.fromkeys([*pages, *BESIDES]))


def violations(page: Any, only: dict[str, Any] = RULES) -> list[str]:
    """What the engine finds on the page that is open; it is run past the page's own content policy."""
    if not page.evaluate("'axe' in window"):
        page.evaluate((AXE / "axe.min.js").read_text(encoding="utf-8"))
    found: list[str] = page.evaluate(ENGINE, only)
    return found


def opened(browser: Any, address: str, size: str, light: str = "light", **more: Any) -> Any:
    context = browser.new_context(
        base_url=address, viewport=SIZES[size], color_scheme=light, reduced_motion="reduce", **more
    )
    page = context.new_page()
    page.set_default_timeout(20_000)
    return page


def test_the_engine_is_the_one_that_is_named() -> None:
    digest = hashlib.sha256((AXE / "axe.min.js").read_bytes()).hexdigest()

    assert digest in (AXE / "README.md").read_text()
    assert "Mozilla Public License" in (AXE / "LICENCE.txt").read_text()


def test_the_engine_sees_what_is_wrong(browser: Any, practice_pages: str) -> None:
    page = opened(browser, practice_pages, "phone")
    page.goto("/bench")
    page.evaluate(
        "document.querySelector('main').insertAdjacentHTML('afterbegin', '<img src=\"/x\"><input>')"
    )
    found = violations(page)
    page.context.close()

    assert {one.split(":")[0] for one in found} >= {"image-alt", "label"}


def shut_out(page: Any) -> list[str]:
    """What is wrong with the open page on either screen, on paper and on the dark bench."""
    wrong: list[str] = []
    for size, viewport in SIZES.items():
        page.set_viewport_size(viewport)
        page.emulate_media(color_scheme="light")
        wrong += [f"{size}: {one}" for one in violations(page)]
        if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            wrong.append(f"{size}: wider than the screen")
        page.emulate_media(color_scheme="dark")
        wrong += [f"{size}, dark: {one}" for one in violations(page, COLOURS)]
    return wrong


def test_no_page_shuts_anybody_out(browser: Any, practice_pages: str) -> None:
    page = opened(browser, practice_pages, "phone")
    wrong: dict[str, list[str]] = {}
    for address in addresses():
        answer = page.goto(address)
        if answer.status >= 400 and address not in NOT_THERE:
            wrong[address] = [f"answered {answer.status}"]
        elif found := shut_out(page):
            wrong[address] = found
    page.context.close()

    assert wrong == {}


def test_a_form_that_comes_back_shuts_nobody_out(browser: Any, practice_pages: str) -> None:
    page = opened(browser, practice_pages, "phone")
    wrong: dict[str, list[str]] = {}
    for address, typed in FORMS:
        page.goto(address)
        for name, value in typed.items():
            page.locator(f"main [name='{name}']").first.fill(value)
        page.evaluate(
            "const form = document.querySelector('main form[method=post]'); form.noValidate = true; form.submit()"
        )
        page.wait_for_load_state()
        page.locator(".trouble").first.wait_for()
        if found := shut_out(page):
            wrong[address] = found
    page.context.close()

    assert wrong == {}
