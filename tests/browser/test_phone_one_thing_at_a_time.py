"""A step on a phone: one thing on the screen, as large as a thumb, and the same step without scripts."""

from collections.abc import Iterator

import pytest

from tests.browser.phone import PATIENCE_MS, PHONE, Laptop, laptop, mix_spirit, says, turn, weigh

pytestmark = pytest.mark.browser
THUMB_PX = 44


@pytest.fixture(scope="module")
def top(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laptop]:
    with laptop(tmp_path_factory.mktemp("practice") / "book") as made:
        yield made


def phone(browser, top: Laptop, **settings):
    page = browser.new_context(base_url=top.address, viewport=PHONE, **settings).new_page()
    page.set_default_timeout(PATIENCE_MS)
    return page


def test_each_weighing_fits_one_screen_with_what_comes_next_below_it(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.get_by_label("No flame and no open element in the room").check()
    turn(page)
    foot = page.locator("p.power-off").bounding_box()["y"]
    for slug, reading, following in (("stock-spirit", "2944", "water"), ("water", "1484", "sign and save")):
        part = page.locator(".part:not(.unshown)")
        on = part.get_by_role("button", name=f"Next: {following}")
        head, below = part.locator("h2").bounding_box(), on.bounding_box()

        assert part.get_attribute("id") == f"weigh-{slug}"
        assert page.locator(".part:not(.unshown)").count() == 1
        assert head["y"] >= 0
        assert below["y"] + below["height"] <= foot
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        weigh(page, slug, reading)


def test_what_is_pressed_at_the_bench_is_as_large_as_a_thumb(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    for _ in range(4):
        part = page.locator(".part:not(.unshown)")
        for one in part.locator("button, select, input[inputmode], label.lot, label.tick").all():
            assert one.bounding_box()["height"] >= THUMB_PX - 0.5, one.inner_text()
        if part.get_by_label("No flame and no open element in the room").count():
            part.get_by_label("No flame and no open element in the room").check()
        if part.get_by_label("The scale says").count():
            part.get_by_label("The scale says").fill("1000")
        if part.locator(".turning button", has_text="Next: ").count():
            turn(page)
    assert page.locator("p.power-off a").bounding_box()["height"] >= THUMB_PX


def test_the_pointer_and_the_running_sum_follow_what_is_typed_without_a_connection(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.context.set_offline(True)
    page.get_by_label("No flame and no open element in the room").check()
    turn(page)
    weigh(page, "stock-spirit", "2950")
    water = page.locator("#weigh-water")
    water.get_by_label("The scale says").fill("1700")
    outside = water.locator(".pointer.outside").count()
    water.get_by_label("The scale says").fill("1484")

    assert outside == 1
    assert water.locator(".pointer:not(.outside)").count() == 1
    # 2950 went in already; the target of 1484 comes on top of it.
    assert "the scale then shows 4434 g" in " ".join(water.inner_text().split())


def test_a_part_that_is_not_filled_is_not_left_and_the_write_leads_back_to_it(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.locator(".part:not(.unshown) .turning button").click()

    assert page.locator(".part:not(.unshown) .what").count() == 1


def test_a_step_is_written_with_scripts_off(browser, tmp_path):
    with laptop(tmp_path / "book") as own:
        page = phone(browser, own, java_script_enabled=False)
        page.goto("/make/E1/step")
        page.get_by_label("No flame and no open element in the room").check()
        page.locator("#weigh-stock-spirit").get_by_label("The scale says").fill("2944")
        page.locator("#weigh-water").get_by_label("The scale says").fill("1484")
        page.get_by_label("Signed by").select_option("TO")
        page.get_by_role("button", name="Save: mix spirit is done").click()

        assert "mix spirit of E1 is written" in says(page)
        assert [step for step, _ in own.steps()] == ["mix spirit"]


def test_waits_are_counted_by_the_clock_of_the_laptop_and_right_after_sleep(browser, tmp_path):
    with laptop(tmp_path / "book") as own:
        context = browser.new_context(base_url=own.address, viewport=PHONE)
        context.clock.install()
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.goto("/make/E1/step")
        mix_spirit(page)
        page.get_by_role("button", name="Save it now").click()
        turn(page)
        weigh(page, "bark", "250.00")
        page.get_by_label("Signed by").select_option("TO")
        page.get_by_role("button", name="Save: moisten is done").click()

        # the procedure lets the moist bark swell for four hours: 08:00 and 12:00
        assert "moisten was done 08:00: ready 12:00" in says(page)
        page.get_by_role("button", name="Save it now").click()
        page.locator(".told-here", has_text="moisten of E1 is written").wait_for()
        own.later(180)
        context.clock.fast_forward(180 * 60_000)
        page.clock.run_for(6_000)
        assert "ready in 59 min" in says(page)
        page.goto("/bench")
        bench = says(page)
        assert "moisten: since 2026-11-05 08:00, ready 12:00" in bench
        assert "does not ring" in bench
