"""A bed is watched at 390 pixels by drops and colour; a marc is checked, and the next plan is narrower and moved."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stillroom.actions.making.batches import begin_batch
from tests.browser.marc import check_the_marc, others_of, plan_again
from tests.browser.phone import PATIENCE_MS, PHONE, Laptop, laptop, says
from tests.practice import ENDS, told_folder


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Laptop]:
    with laptop(tmp_path / "laboratory", lambda into: shutil.copytree(told_folder(), into), ENDS) as made:
        begin_batch(made.lab, "E9", "bark-extract", "100 g", by="TO")
        yield made


def looked(bench: Laptop, phone: Any, minutes: float, **fields: str) -> str:
    bench.later(minutes)
    phone.goto(f"{bench.address}/make/E9/watch")
    phone.get_by_label("Signed by").first.select_option("TO")
    for label, value in fields.items():
        phone.get_by_label(label.replace("_", " ")).first.fill(value)
    with phone.expect_navigation():
        phone.locator("details.looked button[type=submit]").click()
    return says(phone)


def test_a_bed_is_watched_its_marc_checked_and_the_next_plan_is_narrower(bench: Laptop, browser: Any) -> None:
    phone = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True).new_page()
    phone.set_default_timeout(PATIENCE_MS)
    looked(bench, phone, 1.0, Drops_in_a_minute="40", Drops_that_fill_5_mL="250")
    for hours, colour in ((2.0, "1"), (3.0, "0.5"), (4.0, "0.2")):
        told = looked(bench, phone, 60.0 * hours, Drops_in_a_minute="40", Colour_over_the_first=colour)
    assert "drops in a minute: 40" in told
    assert "Dripped so far" in told
    assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]

    before = others_of(bench)
    check_the_marc(bench, phone, "E1", marc="150 g", taken="5.00 g", gave="90 mg", extract="76 g")
    phone.get_by_text("3.4 % was still inside").first.wait_for()  # 90 mg / 5 g * 150 g = 2.7 g; 2.7 / 78.7
    phone.goto(f"{bench.address}/make/E1")
    assert "The marc, checked" in says(phone)
    phone.get_by_role("link", name="cinchona bark").first.click()
    assert "g of 100 g dry" in says(phone)

    after = others_of(bench)
    assert after.uncertainty_in_unit < 0.9 * before.uncertainty_in_unit
    assert abs(after.value / before.value - 1.0) > 0.01
    plan_again(bench, phone)
    phone.context.close()
