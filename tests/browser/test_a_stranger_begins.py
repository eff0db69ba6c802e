"""A stranger with a first product: an answer from each of the three questions, one kept, and made from a phone.

Nothing exists at the start but an empty folder. The product is not the practice one. The connection drops in the
middle of the making, and nothing is lost.
"""

import re
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.equipment_and_people import add_apparatus
from stillroom.actions.house.pins import set_pin
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.identity import decide_identity
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Apparatus
from stillroom.web.app import make_app

pytestmark = pytest.mark.browser
SCREEN = {"width": 390, "height": 844}
LAPTOP, PHONES = "127.0.0.1", "127.0.0.2"
PATIENCE_MS = 20_000
PIN = "82649"


@dataclass
class Begun:
    """The application in an empty folder, and where it is heard."""

    app: FastAPI
    address: str
    folder: Path

    @property
    def lab(self) -> Laboratory:
        return self.app.state.lab


@pytest.fixture
def begun(tmp_path: Path) -> Iterator[Begun]:
    import uvicorn

    app = make_app(None, home=tmp_path / "own")
    heard = socket.socket()
    heard.bind((LAPTOP, 0))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", lifespan="off", ws="none", http="h11"))
    serving = threading.Thread(target=server.run, kwargs={"sockets": [heard]})
    serving.start()
    yield Begun(app, f"http://{LAPTOP}:{heard.getsockname()[1]}", tmp_path / "own")
    if getattr(app.state, "phones", None):
        app.state.phones.close()
    server.should_exit = True
    serving.join(timeout=10)
    if app.state.lab:
        app.state.lab.book.close()


def page_at(browser: Any, address: str) -> Any:
    page = browser.new_context(base_url=address, viewport=SCREEN).new_page()
    page.set_default_timeout(PATIENCE_MS)
    return page


def says(page: Any) -> str:
    return " ".join(page.inner_text("main").split())


def entries_on_one_screen(page: Any) -> int:
    """How many entries the question has, when all of them and the button stand on the first screen."""
    bottoms = page.eval_on_selector_all(
        ".ask-form > .ask-row, .ask-form > .doing",
        "all => all.filter(one => one.offsetHeight).map(one => one.getBoundingClientRect().bottom)",
    )
    assert max(bottoms) <= SCREEN["height"], bottoms
    return len(bottoms) - 1


def answer(
    page: Any, question: str, entries: int, button: str, typed: dict[str, str], chosen: dict[str, str]
) -> str:
    page.goto("/ask")
    page.locator(f'a[href="/ask/{question}"]').first.click()
    page.wait_for_load_state()  # the script of the form has folded what is not asked
    assert entries_on_one_screen(page) == entries
    for name, text in typed.items():
        page.locator(f"#{name}").fill(text)
    for name, text in chosen.items():
        page.locator(f"#{name}").select_option(text)
    page.get_by_role("button", name=button).first.click()
    page.wait_for_load_state()
    return says(page)


def test_each_question_answers_a_new_product_and_one_is_kept_and_made_from_a_phone(browser, begun):
    page = page_at(browser, begun.address)
    diluted = answer(
        page, "dilute", 4, "Calculate",
        {"have": "96", "want": "70", "amount": "2", "temperature": "31"}, {"known-by": "label"},
    )  # fmt: skip
    dosed = answer(
        page, "dose", 6, "Calculate",
        {"strength": "6.2", "of": "rosmarinic acid", "plus-minus": "0.4", "wanted": "0.10", "amount": "24 × 50 mL",
         "step": "0.01"},
        {"measured-by": "outside certificate", "meets": "about", "kind": "hair leave-on"},
    )  # fmt: skip
    order = answer(
        page, "order", 6, "What does it take?",
        {"product": "Hill tonic", "bottles": "24 × 50 mL", "strength": "0.10", "of": "rosmarinic acid",
         "plant": "rosemary leaf", "due": "2027-06-01"},
        {"kind": "hair leave-on", "way": "infusion"},
    )  # fmt: skip

    assert "Spirit to weigh" in diluted
    assert "96" in diluted
    assert "rosmarinic acid" in dosed
    assert "no rule found" in dosed.casefold()
    assert "Plant to have" in order
    assert "would narrow it most" in order
    assert "quinine" not in diluted + dosed + order
    assert begun.lab is None
    assert not begun.folder.exists()

    page.get_by_role("link", name="Keep in the book?").click()
    page.get_by_label("Name of the laboratory").fill("The hill laboratory")
    page.get_by_label("Your name").fill("Ida Berg")
    page.get_by_role("button", name="Begin a book and keep it").click()
    page.wait_for_load_state()

    assert "24 × 50 mL of Hill tonic is order ORD-1" in says(page)
    page.goto("/bench")
    assert "To find out" in says(page)
    assert "assay of the plant" in says(page)

    furnish(begun.lab)
    make_from_a_phone(browser, begun)


def furnish(lab: Laboratory) -> None:
    """A scale, a lot of the plant and some water, looked at and released."""
    by = "IB"
    add_apparatus(lab, Apparatus("SCALE-1", "scale", "kitchen scale", 0.01, "g", 0.01, 6000.0), by=by)
    plant = Lot("ROS-1", LotKind.PLANT, "rosemary leaf", "rosemary leaf, cut", supplier="a grower")
    water = Lot("WAT-1", LotKind.WATER, "purified water", "water")
    receive_lot(lab, plant, "2000 g", by=by)
    receive_lot(lab, water, "20 kg", by=by)
    decide_identity(lab, "ROS-1", accepted=True, evidence="leaf and scent compared", by=by)
    for lot in ("ROS-1", "WAT-1"):
        release(lab, lot, meaning="looked at", by=by)
    set_pin(lab, by, PIN, by=by)


def open_to_phones(browser: Any, begun: Begun) -> str:
    """Open the bench to phones on the laptop, and read the address the code holds."""
    laptop = page_at(browser, begun.address)
    laptop.goto("/laboratory/phones")
    laptop.locator("#address").fill(PHONES)
    laptop.get_by_role("button", name="Open the bench to phones").click()
    laptop.wait_for_load_state()
    (found,) = set(re.findall(r"http://127\.0\.0\.2:\d+/join/[\w.-]+", laptop.content()))
    return found


def sign(page: Any) -> None:
    if page.get_by_label("Signed by").count():
        page.get_by_label("Signed by").select_option("IB")
    if page.locator("input[name=pin]").count():
        page.locator("input[name=pin]").first.fill(PIN)


def make_from_a_phone(browser: Any, begun: Begun) -> None:
    code = open_to_phones(browser, begun)
    phone = page_at(browser, code.partition("/join")[0])
    phone.goto(code)
    phone.goto("/make/new?order=ORD-1")
    phone.locator("#procedure").select_option("hill-tonic-extract")
    phone.locator("#code").fill("H1")
    phone.locator("#scale").fill("250 g")
    sign(phone)
    phone.get_by_role("button", name="Begin the batch").click()
    phone.wait_for_url("**/make/H1")
    phone.goto("/make/H1/step")
    readings = {
        "infuse": {"plant": "250.00", "water": "3744.00", "infusion": "3100.00", "wet-marc": "800.00"},
        "filter": {"clear-infusion": "3000.00"},
    }
    do(phone, "infuse", readings["infuse"])
    phone.locator(".told-here", has_text="infuse of H1 is written").wait_for()
    phone.context.set_offline(True)
    do(phone, "filter", readings["filter"])
    phone.locator(".waiting-count", has_text="1 entry waiting").wait_for()
    with begun.lab.look() as look:
        before = [one.body.step for one in look.steps("H1")]
    phone.context.set_offline(False)
    phone.locator(".told-here", has_text="filter of H1 is written").wait_for()

    assert before == ["infuse"]
    with begun.lab.look() as look:
        steps = look.steps("H1")
        assert [one.body.step for one in steps] == ["infuse", "filter"]
        assert {one.by for one in steps} == {"IB"}
    moments = [datetime.fromisoformat(one.done_at) for one in steps]
    assert moments == sorted(moments)
    assert moments[-1] <= datetime.now(UTC)


def do(phone: Any, step: str, readings: dict[str, str]) -> None:
    """Do a step, one part after the other."""
    ticks = phone.locator(".part:not(.unshown) input[type=checkbox]")
    for at in range(ticks.count()):
        ticks.nth(at).check()
    while phone.locator(".part:not(.unshown) .turning button", has_text="Next: ").count():
        for slug, reading in readings.items():
            part = phone.locator(f"#weigh-{slug}:not(.unshown)")
            if part.count() and part.is_visible():
                part.get_by_label("The scale says").fill(reading)
        phone.locator(".part:not(.unshown) .turning button", has_text="Next: ").click()
    note = phone.locator("#note")
    if note.count() and note.is_visible():
        note.fill("as it came")
    sign(phone)
    phone.get_by_role("button", name=f"Save: {step} is done").click()
    phone.get_by_role("button", name="Save it now").click()
