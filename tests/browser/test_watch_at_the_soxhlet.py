"""A Soxhlet at 390 pixels from heat to the next plan: taps, one missed, vials, a power cut, stop, marc, its plant."""

import os
import shutil
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.watching.siphonings_noted import measure_extractor
from tests.browser.marc import check_the_marc, others_of, plan_again
from tests.browser.phone import PATIENCE_MS, PHONE, Laptop, laptop, says
from tests.browser.test_accessible import shut_out
from tests.practice import ENDS, told_folder

CYCLE_MIN = 12.0


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laptop]:
    folder = tmp_path_factory.mktemp("watch") / "laboratory"
    with laptop(folder, lambda into: shutil.copytree(told_folder(), into), ENDS) as made:
        before = made.time - timedelta(minutes=30)
        copy_procedure(made.lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=before)
        begin_batch(made.lab, "S1", "bark-soxhlet", "12 g", by="TO", at=before)
        measure_extractor(made.lab, "S1", crest="85 mL", heel="25 mL", by="TO", at=before)
        yield made


@pytest.fixture(scope="module")
def phone(browser: Any, bench: Laptop) -> Iterator[Any]:
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(f"{bench.address}/make/S1")
    yield page
    context.close()


def siphon(bench: Laptop, phone: Any, minutes: float = CYCLE_MIN) -> None:
    """It siphons after so many minutes, and a thumb says so."""
    before = taps(bench)
    bench.later(minutes)
    phone.goto(f"{bench.address}/make/S1/watch")
    if not phone.get_by_label("Signed by").input_value():
        phone.get_by_label("Signed by").select_option("TO")
    phone.get_by_role("button", name="It siphoned").click()
    for _ in range(100):
        if taps(bench) > before:
            return
        phone.wait_for_timeout(50)
    pytest.fail("the tap did not reach the book")


def taps(bench: Laptop) -> int:
    with bench.lab.look() as look:
        return len(look.readings("S1", "siphoned"))


def shot(phone: Any, name: str) -> None:
    folder = os.environ.get("STILLROOM_SHOTS")
    if folder:
        phone.screenshot(path=str(Path(folder) / f"{name}.png"))


def test_a_run_is_watched_with_one_thumb_from_heat_to_stop(bench: Laptop, phone: Any) -> None:
    phone.get_by_role("link", name="Watch the Soxhlet").click()
    assert "Nothing siphoned yet" in says(phone)
    phone.get_by_label("Signed by").select_option("TO")
    phone.get_by_role("button", name="Heat is on").click()
    phone.get_by_role("button", name="Heat is on").wait_for(state="detached")

    siphon(bench, phone, 31.0)
    siphon(bench, phone)
    assert "Not yet: the slow share does not show" in says(phone)
    for _ in range(2):
        siphon(bench, phone)
    big = phone.get_by_role("button", name="It siphoned").bounding_box()
    assert big["width"] > 300
    assert big["y"] + big["height"] < PHONE["height"]
    assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    shot(phone, "watch-early")

    siphon(bench, phone, 2 * CYCLE_MIN)  # one was not tapped
    siphon(bench, phone)
    phone.goto(f"{bench.address}/make/S1/watch")
    assert "Not tapped, but counted: siphoning 5" in says(phone)

    for halvings in ("5", "6", "6"):
        siphon(bench, phone)
        phone.locator("summary", has_text="Looked at").first.click()
        phone.get_by_label("Its colour matches").select_option(halvings)
        phone.get_by_role("button", name="Save what was looked at").click()
        phone.locator("#watch-more", has_text={"5": "1:32", "6": "1:64"}[halvings]).wait_for(state="attached")

    siphon(bench, phone, CYCLE_MIN + 47.0)  # power was off, and nobody noted it
    phone.goto(f"{bench.address}/make/S1/watch")
    assert "After siphoning 10 it stood 47 min" in says(phone)
    shot(phone, "watch-late")

    for _ in range(8):
        if "Stop now" in says(phone):
            break
        siphon(bench, phone)
        phone.goto(f"{bench.address}/make/S1/watch")
    assert "Stop now" in says(phone)
    shot(phone, "watch-stop")
    phone.emulate_media(color_scheme="dark")
    shot(phone, "watch-dark")
    phone.emulate_media(color_scheme="light")

    phone.get_by_role("link", name="Heat off, and finish the step").click()
    assert "siphonings in" in says(phone)
    assert "by the watch" in says(phone)


def test_without_a_connection_every_tap_waits_and_arrives_with_its_time(bench: Laptop, phone: Any) -> None:
    phone.goto(f"{bench.address}/make/S1/watch")
    before = taps(bench)
    phone.context.set_offline(True)
    for _ in range(2):
        phone.get_by_role("button", name="It siphoned").click()
        phone.wait_for_timeout(1700)
    assert taps(bench) == before
    phone.context.set_offline(False)
    for _ in range(200):
        if taps(bench) == before + 2:
            break
        phone.wait_for_timeout(100)

    assert taps(bench) == before + 2


def test_a_tap_is_taken_back(bench: Laptop, phone: Any) -> None:
    phone.goto(f"{bench.address}/make/S1/watch")
    before = taps(bench)
    phone.get_by_role("button", name="It siphoned").click()
    for _ in range(200):
        if taps(bench) == before + 1:
            break
        phone.wait_for_timeout(100)
    phone.goto(f"{bench.address}/make/S1/watch")
    phone.get_by_role("link", name="Take the last tap back").click()
    phone.get_by_role("button", name="Take it back").click()
    phone.get_by_text("The last tap is taken back").wait_for()


@pytest.mark.parametrize(
    "page", ["watch", "siphoned", "not-siphoned", "watched", "crest", "marc", "log", "set-up", "step"]
)
def test_no_page_of_a_soxhlet_shuts_anybody_out(bench: Laptop, phone: Any, page: str) -> None:
    phone.goto(f"{bench.address}/make/S1/{page}")
    wrong = shut_out(phone)
    phone.set_viewport_size(PHONE)

    assert wrong == []


def finished(bench: Laptop) -> None:
    """Every step of the batch is signed, each outlet as heavy as planned but for a rich extract."""
    while in_hand := step_in_hand(bench.lab, "S1"):
        bench.later(60.0)
        weighed = [
            Weighed(one.line, f"{one.planned_g or 1.0:.2f} g",
                    one.lots[0].code if one.direction == "in" else "", "")
            for one in in_hand.lines
        ]  # fmt: skip
        do_step(
            bench.lab, "S1", in_hand.step.name, weighed, ticks=in_hand.step.ticks, note="as it was", by="TO"
        )


def test_the_marc_is_checked_what_it_gave_stands_with_its_plant_and_the_next_plan_is_narrower_and_moved(
    bench: Laptop, phone: Any
) -> None:
    before = others_of(bench)
    finished(bench)
    check_the_marc(bench, phone, "S1", marc="9.0 g", taken="2.00 g", gave="20 mg", extract="1.71 g")
    phone.get_by_text("5.0 % was still inside. The watch said").first.wait_for()  # 90 mg of 1.80 g
    phone.goto(f"{bench.address}/make/S1")

    assert "The marc, checked" in says(phone)
    assert "5.0 % was still inside. The watch said" in says(phone)
    phone.get_by_role("link", name="cinchona bark").first.click()
    phone.locator("tr", has_text="S1").first.wait_for()
    assert "g of 100 g dry" in says(phone)
    assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    shot(phone, "plant")

    after = others_of(bench)
    assert after.uncertainty_in_unit < 0.9 * before.uncertainty_in_unit
    assert abs(after.value / before.value - 1.0) > 0.03
    plan_again(bench, phone)
    shot(phone, "next-plan")


def test_no_page_of_a_day_that_is_laid_out_shuts_anybody_out(bench: Laptop, phone: Any) -> None:
    phone.goto(f"{bench.address}/bench/now/plan")
    phone.get_by_label("Signed by").select_option("TO")
    with phone.expect_navigation():
        phone.locator("main form button[type=submit]").last.click()
    for page in ("now", "day", "fortnight", "now/surprise"):
        phone.goto(f"{bench.address}/bench/{page}")
        assert "No day is laid out" not in says(phone)
        assert shut_out(phone) == [], page
