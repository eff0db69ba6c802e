"""On a phone a step fits one screen and the answer of a page comes first: the rest folds until somebody unfolds it."""

from collections.abc import Iterator

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.products.dosing import decide_dose
from stillroom.records.starters import starters
from stillroom.web.app import make_app
from tests.browser.conftest import served
from tests.browser.phone import PATIENCE_MS, PHONE
from tests.practice import copied, opened

pytestmark = pytest.mark.browser
SCREENS = 6
PLANTS = {
    "hydrodistillation": ("lavender flower", "linalool"),
    "alkaloid-clean-up": ("cinchona bark", "quinine"),
}
OTHERS = ("sage leaf", "rosmarinic acid")
LONG = (
    "/orders/ORD-1/plan",
    "/stock/CIN-01",
    "/stock/E1",
    "/stock/T1",
    "/make/E1",
    "/make/T1",
    "/trace/T1",
    "/trace/E1",
)
TURN_TO = """async (at) => {
  const bench = document.querySelector(".bench");
  if (at > 0) {
    const { partly } = await import("/static/bench/parts.js");
    const steps = [...bench.querySelectorAll(":scope > template")];
    const section = steps[at - 1].content.firstElementChild.cloneNode(true);
    bench.querySelector(":scope > .bench-step").replaceWith(section);
    partly(section.querySelector("form"));
  }
  scrollTo(0, 0);
  return document.querySelector(".bench-step").dataset.step;
}"""
MEASURED = """() => {
  const seen = (one) => one && one.getBoundingClientRect().height > 0 && !one.closest("details:not([open])");
  const part = document.querySelector(".bench-step .part:not(.unshown)");
  const fields = [...part.querySelectorAll("input:not([type=hidden]), select, textarea")].filter(seen);
  const done = [...part.querySelectorAll("button:not(.quiet)")].filter(seen).pop();
  const foot = document.querySelector("p.power-off").getBoundingClientRect().top;
  const ends = [part.querySelector(".what, h2"), fields[0], done]
    .filter(Boolean).map((one) => one.getBoundingClientRect());
  return { low: Math.max(...ends.map((one) => one.bottom)), high: Math.min(...ends.map((one) => one.top)), foot,
    fields: fields.length, done: done?.textContent ?? "" };
}"""
SQUEEZED = """() => [...document.querySelectorAll("dl.facts > dd")]
  .filter((one) => one.offsetWidth && one.offsetWidth < one.parentElement.offsetWidth / 3)
  .map((one) => one.textContent)"""
UNSEEN = """() => [...document.querySelectorAll("main details > :not(summary)")]
  .filter((one) => !one.closest("figcaption") && !one.getClientRects().length).length"""


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The told laboratory with a batch of every starter, of the practice extraction and of a dosed tonic begun."""
    with opened(copied(tmp_path_factory.mktemp("short"))) as lab:
        begun = ["E9", "T9"]
        begin_batch(lab, "E9", "bark-extract", "100 g", by="TO")
        begin_batch(lab, "T9", "hair-tonic", "2.000 kg", by="TO", order="ORD-1")
        decide_dose(lab, "T9", "E1", scale="SCALE-2", by="TO")
        for number, one in enumerate(starters(), start=1):
            plant, marker = PLANTS.get(one.name, OTHERS)
            copy_procedure(lab, one.name, plant, marker, f"way-{number}", by="TO")
            begin_batch(lab, f"W{number}", f"way-{number}", "100 g", by="TO")
            begun.append(f"W{number}")
        with served(make_app(lab)) as address:
            yield address, tuple(begun)


@pytest.fixture
def phone(browser, many):
    page = browser.new_context(base_url=many[0], viewport=PHONE).new_page()
    page.set_default_timeout(PATIENCE_MS)
    return page


def test_what_to_do_the_first_field_and_the_finish_fit_one_screen_at_every_step(phone, many):
    too_low, steps = [], 0
    for batch in many[1]:
        phone.goto(f"/make/{batch}/step")
        of = 1 + phone.locator(".bench > template").count()
        for at in range(of):
            name = phone.evaluate(TURN_TO, at)
            found = phone.evaluate(MEASURED)
            steps += 1
            if found["high"] < 0 or found["low"] > found["foot"] or not found["done"]:
                too_low.append((batch, name, found))
            if at:
                phone.goto(f"/make/{batch}/step")

    assert steps > 40
    assert too_low == []


@pytest.mark.parametrize("path", LONG)
def test_a_long_page_is_no_longer_than_six_screens_before_it_is_unfolded(phone, path):
    phone.goto(path)

    assert phone.evaluate("document.documentElement.scrollHeight") <= SCREENS * PHONE["height"]


@pytest.mark.parametrize("path", [*LONG, "/products/T1/certificate", "/products/T1/release"])
def test_what_is_said_of_a_thing_keeps_a_third_of_a_phone_however_long_its_name(phone, path):
    phone.goto(path)

    assert phone.evaluate(SQUEEZED) == []


def test_a_page_prints_whole_whatever_is_folded(phone):
    phone.goto("/make/E1")
    phone.emulate_media(media="print")
    hidden = phone.evaluate(UNSEEN)

    assert phone.locator("main details").count() > 10
    assert hidden == 0
