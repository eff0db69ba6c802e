"""The phone at the bench loses nothing: no connection, a dead battery, a stopped laptop, a double press, a mis-tap."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from stillroom.actions.bench.form_choices import book_id
from stillroom.actions.house.pins import set_pin
from tests.browser.phone import (
    PATIENCE_MS,
    PHONE,
    Laptop,
    laptop,
    mix_spirit,
    moisten,
    percolate,
    says,
    turn,
    weigh,
)

pytestmark = pytest.mark.browser


@pytest.fixture
def top(tmp_path: Path) -> Iterator[Laptop]:
    with laptop(tmp_path / "book") as made:
        yield made


def phone(browser, top: Laptop, **settings):
    """A phone whose clock the test moves."""
    context = browser.new_context(base_url=top.address, viewport=PHONE, **settings)
    context.clock.install()
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    return page


def later(page, top: Laptop, minutes: float) -> None:
    top.later(minutes)
    page.clock.fast_forward(int(60_000 * minutes))


def now(page) -> None:
    page.get_by_role("button", name="Save it now").click()


def written(page, step: str) -> None:
    page.locator(".told-here", has_text=f"{step} of E1 is written").wait_for()


def waits(page, words: str) -> None:
    page.locator(".waiting-count", has_text=words).wait_for()


def kept_in(page) -> str:
    return page.evaluate("JSON.stringify(Object.entries(localStorage))")


def test_steps_done_without_a_connection_arrive_once_in_order_with_their_times(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    mix_spirit(page)
    now(page)
    written(page, "mix spirit")
    page.context.set_offline(True)
    later(page, top, 20)
    moisten(page)
    now(page)
    waits(page, "1 entry waiting")
    later(page, top, 60 * 25)
    percolate(page)
    now(page)
    waits(page, "2 entries waiting")
    before = top.steps()
    top.later(30)
    page.context.set_offline(False)
    written(page, "percolate")

    assert before == [("mix spirit", "2026-11-05T08:00")]
    assert top.steps() == [
        ("mix spirit", "2026-11-05T08:00"),
        ("moisten", "2026-11-05T08:20"),
        ("percolate", "2026-11-06T09:20"),
    ]
    page.goto("/make/E1")
    page.get_by_role("heading", name="3. percolate").click()  # a step that is done is folded
    assert "Done 2026-11-06 09:20 by TO; entered 2026-11-06 09:50" in says(page)
    page.goto("/trace/E1")
    page.get_by_role("heading", name="Entered later than done").click()
    assert "percolate 2026-11-06 09:20 2026-11-06 09:50" in says(page)


def test_entries_that_wait_outlive_a_dead_phone(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.context.set_offline(True)
    mix_spirit(page)
    now(page)
    waits(page, "1 entry waiting")
    left = page.context.storage_state()
    page.context.close()
    assert top.steps() == []

    again = phone(browser, top, storage_state=left)
    again.goto("/bench")
    written(again, "mix spirit")

    assert [step for step, _ in top.steps()] == ["mix spirit"]
    assert "stillroom waiting" not in kept_in(again)


def test_a_double_press_writes_once_and_goes_on_by_one_step(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    mix_spirit(page, press=False)
    page.get_by_role("button", name="Save: mix spirit is done").dblclick()
    now(page)
    written(page, "mix spirit")

    assert [step for step, _ in top.steps()] == ["mix spirit"]
    assert page.locator("h1").last.inner_text() == "moisten"


def test_an_answer_that_is_lost_on_the_way_does_not_write_twice(browser, top):
    page = phone(browser, top)
    lost: list[int] = []

    def lose(route) -> None:
        answer = route.fetch()
        if lost:
            route.fulfill(response=answer)
            return
        lost.append(answer.status)
        route.abort()

    page.goto("/make/E1/step")
    page.route(
        "**/make/E1/step", lambda route: lose(route) if route.request.method == "POST" else route.continue_()
    )
    mix_spirit(page)
    now(page)
    waits(page, "1 entry waiting")
    page.get_by_role("button", name="Send now").click()
    page.locator(".told-here", has_text="It was written already").wait_for()

    assert lost == [200]
    assert [step for step, _ in top.steps()] == ["mix spirit"]


def test_a_mis_tap_is_taken_back_within_ten_seconds_and_nothing_is_written(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    mix_spirit(page)
    assert "mix spirit is saved in 10 s" in says(page)
    page.clock.run_for(6_000)
    assert "mix spirit is saved in 4 s" in says(page)
    page.get_by_role("button", name="Take it back").click()
    page.clock.run_for(30_000)

    assert "Nothing was saved" in says(page)
    assert top.steps() == []
    assert page.locator("h1").last.inner_text() == "mix spirit"
    assert page.locator("#mass-water").input_value() == "1484"
    page.get_by_role("button", name="Save: mix spirit is done").dispatch_event("click")
    page.clock.run_for(11_000)
    written(page, "mix spirit")
    assert [step for step, _ in top.steps()] == ["mix spirit"]


def test_a_page_that_is_left_sends_what_was_pressed_at_once(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    mix_spirit(page)
    page.goto("/make/E1")
    page.locator(".told-here .said").wait_for()

    assert [step for step, _ in top.steps()] == ["mix spirit"]


def test_a_laptop_that_was_stopped_and_started_gets_everything(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    top.stop()
    mix_spirit(page)
    now(page)
    waits(page, "1 entry waiting")
    moisten(page)
    now(page)
    waits(page, "2 entries waiting")
    top.start()
    page.clock.run_for(8_000)
    written(page, "moisten")

    assert [step for step, _ in top.steps()] == ["mix spirit", "moisten"]


def test_a_refused_entry_stops_the_row_shows_its_sentence_and_is_put_right_in_its_place(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.get_by_label("No flame and no open element in the room").check()
    turn(page)
    weigh(page, "stock-spirit", "2944")
    weigh(page, "water", "1684")
    page.get_by_label("Signed by").select_option("TO")
    page.context.set_offline(True)
    page.get_by_role("button", name="Save: mix spirit is done").click()
    now(page)
    moisten(page)
    now(page)
    waits(page, "2 entries waiting")
    page.context.set_offline(False)
    page.locator(".tray .trouble").wait_for()

    assert "water: 1684 g where 1484 g was planned" in says(page)
    assert top.steps() == []
    page.reload()
    assert page.locator("h1").last.inner_text() == "mix spirit"
    assert page.locator("#mass-water").input_value() == "1684"
    assert "Weigh again; or say in the note what happened" in page.locator(".part:not(.unshown)").inner_text()
    turn(page)
    page.get_by_label("Note").fill("More water went in; strength to be read.")
    page.get_by_role("button", name="Save: mix spirit is done").click()
    now(page)
    written(page, "moisten")
    assert [step for step, _ in top.steps()] == ["mix spirit", "moisten"]


def test_a_forgotten_step_is_written_before_the_one_that_was_refused_for_it(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step?step=moisten")
    moisten(page)
    now(page)
    page.locator(".tray .trouble", has_text="Write mix spirit first").wait_for()
    page.goto("/make/E1/step?step=mix%20spirit")
    assert page.locator("h1").last.inner_text() == "mix spirit"
    page.locator("#mass-stock-spirit").evaluate("one => (one.value = '294,4')")
    page.locator("#mass-stock-spirit").dispatch_event("input")
    assert "Far from 2944" in page.locator("#weigh-stock-spirit").text_content()
    page.locator("#scale-stock-spirit").evaluate("one => (one.value = 'SCALE-2')")
    page.locator("#mass-stock-spirit").evaluate("one => (one.value = '601')")
    page.locator("#mass-stock-spirit").dispatch_event("input")
    assert "SCALE-2 takes 600 g at most" in page.locator("#weigh-stock-spirit").text_content()
    page.locator("#scale-stock-spirit").evaluate("one => (one.value = 'SCALE-1')")
    mix_spirit(page)
    now(page)
    written(page, "moisten")

    assert [step for step, _ in top.steps()] == ["mix spirit", "moisten"]
    page.goto("/make/E1/step")
    assert page.locator("h1").last.inner_text() == "percolate"


def test_what_is_typed_comes_back_after_a_reload_and_is_gone_once_written(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.get_by_label("No flame and no open element in the room").check()
    turn(page)
    weigh(page, "stock-spirit", "2944")
    page.locator("#mass-water").fill("148")
    page.reload()

    assert page.get_by_label("No flame and no open element in the room").is_checked()
    assert page.locator("#mass-stock-spirit").input_value() == "2944"
    assert page.locator("#mass-water").input_value() == "148"
    mix_spirit(page)
    now(page)
    written(page, "mix spirit")
    assert "1484" not in kept_in(page)


def test_a_note_of_what_went_otherwise_stays_when_the_laptop_does_not_answer(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/deviation")
    page.get_by_label("What was different").fill("the cap was off for an hour")
    page.get_by_label("Signed by").select_option("TO")
    page.context.set_offline(True)
    page.get_by_role("button", name="Save").click()
    page.get_by_role("button", name="Take it back").click()
    assert page.get_by_label("What was different").input_value() == "the cap was off for an hour"
    page.context.set_offline(False)
    page.reload()
    assert page.get_by_label("What was different").input_value() == "the cap was off for an hour"
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/make/E1")

    assert "the cap was off for an hour" in says(page)
    page.goto("/make/E1/deviation")
    assert page.get_by_label("What was different").input_value() == ""


def test_an_entry_that_waited_for_another_book_is_refused(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.context.set_offline(True)
    mix_spirit(page)
    now(page)
    waits(page, "1 entry waiting")
    mine = book_id(top.lab)
    page.evaluate(
        "mine => localStorage.setItem('stillroom waiting',"
        " localStorage.getItem('stillroom waiting').replaceAll(mine, 'f'.repeat(32)))",
        mine,
    )
    page.context.set_offline(False)
    page.locator(".tray .trouble", has_text="the book it was typed for").wait_for()

    assert top.steps() == []


def test_a_pin_is_never_kept_and_is_asked_once_for_all_that_waits_after_a_reload(browser, top):
    set_pin(top.lab, "TO", "4711", by="MA")
    page = phone(browser, top)
    page.goto("/make/E1/step")
    page.context.set_offline(True)
    mix_spirit(page, press=False)
    page.locator("#pin").fill("4711")
    page.get_by_role("button", name="Save: mix spirit is done").click()
    now(page)
    turn(page)
    weigh(page, "bark", "250.00")
    page.locator("#pin").fill("4711")
    page.get_by_role("button", name="Save: moisten is done").click()
    now(page)
    waits(page, "2 entries waiting")
    assert "4711" not in kept_in(page)

    # the phone stays, without a connection: closed, it would send from memory
    left = page.context.storage_state()
    again = phone(browser, top, storage_state=left)
    again.goto("/bench")
    again.get_by_label("PIN of TO, for 2 waiting").fill("4712")
    again.get_by_role("button", name="Use it").click()
    again.locator(".pin-form .error").wait_for()
    assert top.steps() == []
    top.later(10)
    again.get_by_label("PIN of TO, for 2 waiting").fill("4711")
    again.get_by_role("button", name="Use it").click()
    written(again, "moisten")

    assert [step for step, _ in top.steps()] == ["mix spirit", "moisten"]
    assert "4711" not in kept_in(again)


def test_a_plain_form_waits_for_the_laptop_and_is_written_once_with_its_time(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/deviation")
    page.locator("#what").fill("The bath stood at 62 °C")
    page.locator("#done").fill("Turned it down")
    page.locator("#by").select_option("TO")
    page.context.set_offline(True)
    later(page, top, 20)
    page.get_by_role("button", name=re.compile("^Save")).first.click()
    now(page)
    waits(page, "1 entry waiting")
    assert page.locator("form button[type=submit]").first.is_disabled()
    top.later(30)
    page.context.set_offline(False)
    page.locator(".told-here .said").wait_for()

    with top.lab.look() as look:
        (noted,) = look.deviations("E1")
    page.get_by_role("link", name="Go on").click()
    page.wait_for_url("**/make/E1")

    assert noted.body.what == "The bath stood at 62 °C"
    assert (noted.done_at[:16], noted.entered_at[:16]) == ("2026-11-05T08:20", "2026-11-05T08:50")


def test_a_plain_form_refused_after_waiting_is_put_right_in_its_place(browser, top):
    page = phone(browser, top)
    page.goto("/make/E1/deviation")
    page.locator("#by").select_option("TO")
    page.locator("#what").fill(" ")
    page.context.set_offline(True)
    page.evaluate("document.querySelector('form[data-draft]').noValidate = true")
    page.get_by_role("button", name=re.compile("^Save")).first.click()
    now(page)
    waits(page, "1 entry waiting")
    page.context.set_offline(False)
    page.get_by_role("button", name="Open and correct it").click()
    page.locator("#what").fill("The bath stood at 62 °C")
    page.get_by_role("button", name=re.compile("^Save")).first.click()
    now(page)
    page.locator(".told-here .said").wait_for()

    with top.lab.look() as look:
        assert [one.body.what for one in look.deviations("E1")] == ["The bath stood at 62 °C"]


def test_a_draft_does_not_empty_a_list_that_no_longer_offers_what_was_chosen(browser, top):
    page = phone(browser, top)
    page.goto("/stock/CIN-01/drying")
    page.locator("[name=dish]").fill("31,42")
    first = page.locator("[name=apparatus]").input_value()
    page.evaluate(
        """() => Object.entries(localStorage).forEach(([key, kept]) =>
           localStorage.setItem(key, kept.replace(/\\["apparatus","[^"]*"\\]/, '["apparatus",""]')))"""
    )
    assert '[\\"apparatus\\",\\"\\"]' in kept_in(page)
    page.reload()
    assert page.locator("[name=dish]").input_value() == "31,42"
    assert page.locator("[name=apparatus]").input_value() == first != ""
