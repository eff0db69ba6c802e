"""A person walks the whole way on a phone: order, plan, test, release, batch, a wrong mass put right, trace.

The practice laboratory has its shelves filled and the bark unpacked; everything else is done in the browser.
"""

import socket
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.demo.clock import StoryClock
from stillroom.demo.shelves import SUPPLIER, fill_shelves
from stillroom.demo.story import BEGINS, begin_practice
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.web.app import make_app
from tests.browser.phone import turn, weigh

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}
PATIENCE_MS = 20_000


def prepare(folder: Path) -> None:
    clock = StoryClock(BEGINS)
    with begin_practice(folder, clock) as lab:
        fill_shelves(lab, clock)
        bark = Lot("CIN-01", LotKind.PLANT, "cinchona bark", "cinchona bark, whole quills", supplier=SUPPLIER)
        receive_lot(lab, bark, "2000 g", by="TO", at=clock.at("2026-11-03 08:30"), apparatus="SCALE-1")


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the pages of the practice laboratory are served."""
    import uvicorn

    folder = tmp_path_factory.mktemp("practice") / "book"
    prepare(folder)
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    with open_laboratory(folder, clock=lambda: datetime(2026, 11, 5, 10, 0, tzinfo=UTC)) as lab:
        settings = uvicorn.Config(make_app(lab), log_level="warning", lifespan="off", ws="none", http="h11")
        server = uvicorn.Server(settings)
        serving = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        serving.start()
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        server.should_exit = True
        serving.join(timeout=10)


def open_page(browser, address, **settings):
    page = browser.new_context(base_url=address, viewport=PHONE, **settings).new_page()
    page.set_default_timeout(PATIENCE_MS)
    return page


def says(page) -> str:
    return " ".join(page.inner_text("main").split())


def press(page, button: str) -> None:
    """Sign a step and press its button: it waits ten seconds in the phone, and no page is left."""
    page.get_by_label("Signed by").select_option("TO")
    page.get_by_role("button", name=button).click()


def send(page, button: str, by: str = "TO") -> str:
    page.get_by_label("Signed by").select_option(by)
    with page.expect_navigation():
        page.get_by_role("button", name=button).click()
    return says(page)


def fits_the_phone(page) -> bool:
    page.wait_for_load_state("load")  # words can be read before the style sheet is there
    return page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_a_person_walks_from_the_order_to_the_trace_and_puts_a_wrong_mass_right(browser, address):
    page = open_page(browser, address)
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda told: troubles.append(told.text) if told.type == "error" else None)

    # The order, worked back to the plant.
    page.goto("/")
    page.get_by_role("link", name="ORD-1").click()
    page.get_by_role("link", name="Plan this order").click()
    assert "Not kept yet" in says(page)
    assert "in 95 of 100 such batches" in send(page, "Keep this plan", by="MA")
    assert "Kept as entry" in says(page)
    assert fits_the_phone(page)

    # The bark: what it is, a test beside its controls, its release.
    page.goto("/stock/CIN-01")
    page.get_by_role("link", name="Decide what it is").click()
    page.get_by_label("It is").select_option("yes")
    page.get_by_label("On what evidence").fill("quills and section compared with the voucher specimen")
    assert "is accepted as what it is called" in send(page, "Save the decision", by="MA")
    page.get_by_role("link", name="Test it").click()
    page.get_by_role("link", name="Precipitate test").click()
    page.get_by_label("Reagent").select_option("DRA-01")
    page.get_by_label("The sample gave").select_option("precipitate")
    page.get_by_label("The blank gave").select_option("not done")
    page.get_by_label("The positive control gave").select_option("precipitate")
    assert "no result" in send(page, "Save what was seen")
    page.get_by_role("link", name="Precipitate test").click()
    page.get_by_label("Reagent").select_option("DRA-01")
    page.get_by_label("The sample gave").select_option("precipitate")
    page.get_by_label("The blank gave").select_option("clear")
    page.get_by_label("The positive control gave").select_option("precipitate")
    assert "present" in send(page, "Save what was seen")
    page.goto("/stock/CIN-01/release")
    page.get_by_label("What it rests on").fill("identity accepted, precipitate beside its controls")
    assert "may release" in send(page, "Release it", by="TO")
    assert "Nothing was saved" in says(page)
    assert "CIN-01 is released" in send(page, "Release it", by="MA")

    # The batch, one step after the other.
    page.goto("/orders/ORD-1")
    page.get_by_role("link", name="Begin a batch").click()
    page.get_by_label("Procedure").select_option("bark-extract")
    page.get_by_label("Code").fill("E1")
    page.get_by_label("Batch size").fill("250 g")
    assert "is begun at 250 g" in send(page, "Begin the batch")
    page.get_by_role("link", name="Next: mix spirit").click()
    assert "Caution: Flammable vapour" in says(page)
    assert fits_the_phone(page)
    page.get_by_label("No flame and no open element in the room").check()
    turn(page)
    spirit, water = page.locator("#weigh-stock-spirit"), page.locator("#weigh-water")
    assert spirit.get_by_role("radio", name="SPI-01").is_checked()
    weigh(page, "stock-spirit", "2944")
    water.get_by_label("The scale says").fill("1700")
    water.locator(".pointer.outside").wait_for()
    weigh(page, "water", "1494")
    press(page, "Save: mix spirit is done")
    page.get_by_role("button", name="Save it now").click()
    page.locator(".told-here", has_text="mix spirit of E1 is written").wait_for()
    assert page.locator("h1").last.inner_text() == "moisten"

    # The wrong mass: put right, and both can be read.
    page.get_by_role("link", name="Entry").click()
    wrong = page.url.rsplit("/", 1)[1]
    assert "1494 g" in says(page)
    page.get_by_role("link", name="Correct it").click()
    page.locator("#mass-water").fill("1484 g")
    page.get_by_label("In your own words").fill("read an eight as a nine")
    assert "said 1494 g, now 1484 g" in send(page, "Save the correction")
    assert "Corrected by" in says(page)
    page.goto("/make/E1")
    page.get_by_role("heading", name="1. mix spirit").click()  # a step that is done is folded
    sheet = says(page)
    assert "1494 g" in sheet
    assert "1484 g" in sheet
    assert "read an eight as a nine" in sheet
    page.get_by_role("link", name=f"{wrong}, now").click()
    page.wait_for_url("**/entries/*")
    assert f"Corrects entry {wrong}" in says(page)

    # The bark goes in, and the trace knows where it is.
    page.goto("/make/E1/step")
    turn(page)
    assert page.locator("#weigh-bark").get_by_role("radio", name="CIN-01").is_checked()
    weigh(page, "bark", "250.00")
    press(page, "Save: moisten is done")
    page.get_by_role("button", name="Save it now").click()
    page.locator(".told-here", has_text="moisten of E1 is written").wait_for()
    page.goto("/trace")
    page.get_by_label("Code of a lot or batch").fill("CIN-01")
    page.get_by_role("button", name="Trace it").click()
    trace = says(page)
    assert "Trace of CIN-01" in trace
    assert "250.00 g" in trace
    assert "batch E1" in trace
    assert fits_the_phone(page)
    assert [one for one in troubles if "409" not in one] == []  # the release that was refused on purpose


@pytest.mark.parametrize("path", ["/bench", "/orders/ORD-1/plan", "/stock/CIN-01", "/sources", "/stock/new"])
def test_a_page_can_be_read_and_used_with_scripts_off(browser, address, path):
    page = open_page(browser, address, java_script_enabled=False)
    page.goto(path)

    assert page.locator("h1").inner_text()
    assert page.locator("nav.across, details.contents").count() == 2


def test_a_form_is_sent_with_scripts_off(browser, address):
    page = open_page(browser, address, java_script_enabled=False)
    page.goto("/stock/CIN-01/count")
    page.get_by_label("What really stands on the shelf").fill("1999 g")

    assert "1999 g found on the shelf" in send(page, "Save the count")
