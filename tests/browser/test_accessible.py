"""Every page is open to everybody: no violation of WCAG 2.2 A and AA that an engine can see, and the keyboard alone.

The engine is axe-core (``axe/README.md``), run in Chromium over every address of docs/pages.md, on a phone and on a
laptop, on paper and on the dark bench. What an engine cannot see (order of the focus, a focus that shows, targets
of a thumb) is walked with the Tab key.
"""

import hashlib
import re
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.browser.conftest import Practice
from tests.habits.test_pages_are_listed import listed
from tests.long_form import some_of

pytestmark = [pytest.mark.browser, pytest.mark.slow]
AXE = Path(__file__).parent / "axe"
RULES = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
SIZES = {"phone": {"width": 390, "height": 844}, "laptop": {"width": 1280, "height": 900}}
NO_PAGES = re.compile(r"\.(ics|png|csv|xlsx)$|^/static/|^/export/|^/make/[BS]1/|^/offers/OFF-1")
"""Files; and pages of what this book has not (a Soxhlet, a maceration, an offer): tests of their own walk them."""
DILUTE = "have=96&known-by=label&want=70&amount=5&amount-as=L+wanted&temperature=31"
DOSE = (
    "strength=38.4&of=rosmarinic+acid&matter=as+is&measured-by=titrated+here&wanted=0.1&meets=about"
    "&amount=50+x+100+mL&kind=skin+leave-on&market=EU&step=0.01"
)
ORDER = (
    "product=Leaf+lotion&kind=skin+leave-on&bottles=20+x+50+mL&strength=0.1+%25+w/w&of=rosmarinic+acid"
    "&plant=rosemary&way=maceration&due=2027-03-01"
)
BLEND = (
    "stock-1=96&stock-1-amount=4+L&stock-2=78&stock-2-amount=800+g&stock-2-what=fresh+plant&temperature=20"
)
ASKED = {
    "/ask/dilute/label": DILUTE,
    "/ask/dilute/lesson": DILUTE,
    "/ask/dilute/make": urlencode({"asked": DILUTE}),
    "/ask/dose/lesson": DOSE,
    "/ask/order/lesson": ORDER,
    "/ask/order/keep": ORDER,
    "/ask/recover/lesson": "have=70&known-by=label&amount=5+L&temperature=20&stop=91&stop-as=share",
    "/ask/blend/lesson": BLEND,
    "/ask/acid/lesson": "of=hydrochloric+acid+37+%25&want=5+%25+w%2Fw&amount=1+L",
    "/ask/buffer/lesson": "pair=phosphate&ph=7.0&total=0.05+mol%2FL&amount=1+L",
    "/ask/shake/lesson": "pka=8.5&partition-ratio=60&ph=9.5&water=100+mL&solvent=90+mL",
    "/ask/cooling/lesson": "set-ups=ethanol+300+W&inlet=20&flow=0.5&hours=6",
}
"""What has to be asked before these pages have anything to say."""
BESIDES = (
    f"/ask/dilute?{DILUTE}&shows=71&drops-counted=20&drops-weigh=1", f"/ask/blend?{BLEND}",
    f"/ask/dose?{DOSE}", f"/ask/order?{ORDER}", "/make/E2", "/make/E2/step", "/make/T1",
    "/stock/E1", "/trace/T1", "/nothing-here", "/stock/NOT-THERE",
)  # fmt: skip
ANSWERS_OTHERWISE = {
    "/nothing-here": 404,
    "/stock/NOT-THERE": 404,
    "/photographs/0a1b2c": 404,
    "/orders/ORD-2/report": 422,
}
"""Pages that say why not. They are looked at like any other."""
ONLY_SENT_TO = 405
"""What an address answers that takes a form and shows nothing."""
COLOURS = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
WHOLE = "Math.max(600, document.documentElement.scrollHeight)"
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
    pages = [f"{one}?{ASKED[one]}" if one in ASKED else one for one in listed() if not NO_PAGES.search(one)]
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


def test_the_engine_sees_what_is_wrong(browser: Any, practice_pages: Practice) -> None:
    page = opened(browser, practice_pages.address, "phone")
    page.goto("/bench")
    page.evaluate(
        "document.querySelector('main').insertAdjacentHTML('afterbegin', '<img src=\"/x\"><input>')"
    )
    found = violations(page)
    page.context.close()

    assert {one.split(":")[0] for one in found} >= {"image-alt", "label"}


def shut_out(page: Any) -> list[str]:
    """What is wrong with the open page on either screen, light and dark.

    The page is looked at whole, as high as it is: what stays at the foot of the screen covers only what is scrolled
    past, and a focus is never left beneath it (see the walk by keyboard).
    """
    wrong: list[str] = []
    for size, viewport in SIZES.items():
        page.set_viewport_size(viewport)
        page.set_viewport_size({**viewport, "height": page.evaluate(WHOLE)})
        page.emulate_media(color_scheme="light")
        wrong += [f"{size}: {one}" for one in violations(page)]
        if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            wrong.append(f"{size}: wider than the screen")
    page.emulate_media(color_scheme="dark")
    wrong += [f"dark: {one}" for one in violations(page, COLOURS)]
    return wrong


def test_no_page_shuts_anybody_out(browser: Any, practice_pages: Practice) -> None:
    page = opened(browser, practice_pages.address, "phone")
    wrong: dict[str, list[str]] = {}
    for address in some_of(addresses(), 6):
        answer = page.goto(address.replace("/ask/kept/7", f"/ask/kept/{practice_pages.kept}"))
        found = shut_out(page)
        if answer.status not in (ANSWERS_OTHERWISE.get(address, 200), ONLY_SENT_TO):
            found.append(f"answered {answer.status}")
        if found:
            wrong[address] = found
    page.context.close()

    assert wrong == {}


def test_a_form_that_comes_back_shuts_nobody_out(browser: Any, practice_pages: Practice) -> None:
    page = opened(browser, practice_pages.address, "phone")
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


# ---- by keyboard ---------------------------------------------------------------------------------------------

REACHABLE = """() => {
  const groups = new Set();
  return [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex='0']")]
    .filter(one => !one.disabled && one.type !== "hidden" && one.checkVisibility({checkVisibilityCSS: true}))
    .filter(one => {
      if (one.type !== "radio") return true;
      const chosen = document.querySelector(`input[name="${one.name}"]:checked:not(:disabled)`);
      if (chosen ? chosen !== one : groups.has(one.name)) return false;
      return groups.add(one.name);
    })
    .map((one, at) => { one.dataset.walk = at; return one.outerHTML.slice(0, 70); });
}"""
FOCUSED = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const seen = [one, one.closest(".entry"), one.nextElementSibling].filter(Boolean).some(it => {
    const dress = getComputedStyle(it);
    return dress.outlineStyle !== "none" && parseFloat(dress.outlineWidth) >= 2;
  });
  const box = one.getBoundingClientRect();
  const [top, bottom] = [Math.max(box.top, 0), Math.min(box.bottom, innerHeight)];
  const above = document.elementFromPoint(box.left + box.width / 2, top + Math.min(bottom - top, 40) / 2);
  const free = !above || above.contains(one) || one.contains(above) || !above.closest(".power-off, .tray");
  const is = one.outerHTML.slice(0, 70);
  return {at: Number(one.dataset.walk ?? -1), seen, free, on: bottom > top, is};
}"""


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize("path", ["/bench", "/make/E2/step", "/stock/new", "/orders/ORD-1/plan"])
def test_the_tab_key_reaches_everything_in_order_and_is_never_trapped(
    browser: Any, practice_pages: Practice, size: str, path: str
) -> None:
    page = opened(browser, practice_pages.address, size)
    page.goto(path)
    page.wait_for_timeout(200)  # the scripts of the bench have put the step in parts
    wanted = page.evaluate(REACHABLE)
    walked: list[dict[str, Any]] = []
    for _ in range(2 * len(wanted)):  # a date has several stops
        page.keyboard.press("Tab")
        found = page.evaluate(FOCUSED)
        if found is None or (walked and found["at"] == 0):
            break
        walked.append(found)
    page.context.close()

    stops = list(dict.fromkeys(one["at"] for one in walked))
    assert stops == list(range(len(wanted))), [wanted[one] for one in range(len(wanted)) if one not in stops]
    assert [one["is"] for one in walked if not one["seen"]] == []
    assert [one["is"] for one in walked if not (one["on"] and one["free"])] == []


def test_the_first_tab_leads_past_the_running_head(browser: Any, practice_pages: Practice) -> None:
    page = opened(browser, practice_pages.address, "laptop")
    page.goto("/bench")
    page.keyboard.press("Tab")
    skip = page.evaluate("document.activeElement.className")
    in_sight = page.locator(".skip").bounding_box()["x"] >= 0
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    inside = page.evaluate("!!document.activeElement.closest('main')")
    page.context.close()

    assert (skip, in_sight, inside) == ("skip", True, True)


def test_the_contents_open_with_a_key_on_a_phone(browser: Any, practice_pages: Practice) -> None:
    page = opened(browser, practice_pages.address, "phone")
    page.goto("/bench")
    page.locator(".contents summary").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    first = page.evaluate("document.activeElement.getAttribute('href')")
    page.locator(".contents a[href='/stock']").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/stock")
    page.context.close()

    assert first == "/ask"


def test_the_dark_bench_is_chosen_with_a_key_and_stays(browser: Any, practice_pages: Practice) -> None:
    page = opened(browser, practice_pages.address, "phone", java_script_enabled=True)
    page.goto("/stock")
    page.get_by_role("button", name="Dark").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("html[data-theme=dark]")
    where = page.url
    page.goto("/bench")
    ground = page.evaluate("getComputedStyle(document.querySelector('.sheet')).backgroundColor")
    page.emulate_media(media="print")
    printed = page.evaluate("getComputedStyle(document.querySelector('.sheet')).backgroundColor")
    page.context.close()

    assert where.endswith("/stock")
    assert ground == "rgb(27, 34, 37)"
    assert printed == "rgb(255, 255, 255)"


def test_paper_carries_no_buttons_and_no_links_to_what_can_be_done(
    browser: Any, practice_pages: Practice
) -> None:
    page = opened(browser, practice_pages.address, "laptop", "dark")
    page.goto("/stock/CIN-01")
    page.emulate_media(media="print")
    shown = page.locator(".no-print, .doing, button, nav a, .power-off").all()
    left = [one.inner_text() for one in shown if one.is_visible()]
    ink = page.evaluate("getComputedStyle(document.body).color")
    page.context.close()

    assert left == []
    assert ink == "rgb(0, 0, 0)"
