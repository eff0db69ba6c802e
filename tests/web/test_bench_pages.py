"""The pages of the bench: water or power off, waits, a sheet entered, a figure put right by a tap, a warm room."""

import json
import re
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest

from stillroom import web
from stillroom.actions.bench.outages import outages_now
from stillroom.actions.making.batches import begin_batch
from stillroom.texts.catalogue import LANGUAGES
from stillroom.web.script_words import SCRIPT_WORDS


@pytest.fixture
def making(bench):
    begin_batch(
        bench.lab, "E2", "bark-extract", "250 g", by="TO", at=datetime(2026, 11, 25, 7, 0, tzinfo=UTC)
    )
    return bench


SHEET = {
    "mix-spirit-at": "2026-11-25T08:10", "tick-mix-spirit-1": "yes",
    "mass-mix-spirit-stock-spirit": "2944", "lot-mix-spirit-stock-spirit": "SPI-01",
    "scale-mix-spirit-stock-spirit": "SCALE-1", "mass-mix-spirit-water": "1484",
    "lot-mix-spirit-water": "WAT-01", "scale-mix-spirit-water": "SCALE-1",
}  # fmt: skip

MOISTENED = {
    "moisten-at": "2026-11-25T08:30", "mass-moisten-bark": "250", "lot-moisten-bark": "CIN-01",
    "scale-moisten-bark": "SCALE-2",
}  # fmt: skip


def test_a_cut_is_noted_from_the_page_that_says_what_to_do_and_comes_back_there(making, said):
    noted = making.fill("/bench/power-or-water-off", what="off power")
    page = said(making.client.get("/bench/power-or-water-off").text)
    twice = making.fill("/bench/power-or-water-off", what="off power")

    assert noted.status_code == 303
    assert "Power has been off since" in page
    assert page.index("Heat off at the plug first") < page.index("Power has been off since")
    assert twice.status_code == 422
    assert making.fill("/bench/power-or-water-off", what="back power").status_code == 303
    assert outages_now(making.lab) == ()


@pytest.mark.parametrize(
    "path", ["/bench", "/make/E2/step", "/make/E2", "/make/E2/deviation", "/make/E2/sheet"]
)
def test_every_bench_page_leads_to_water_or_power_is_off(making, path):
    assert '<a href="/bench/power-or-water-off"' in making.client.get(path).text


def test_the_calendar_of_a_batch_is_sent_as_one(making):
    nothing = making.client.get("/bench/timers/E2.ics")
    making.fill("/make/E2/sheet", **SHEET, **MOISTENED)
    answer = making.client.get("/bench/timers/E2.ics")

    assert nothing.status_code == 422
    assert answer.headers["content-type"].startswith("text/calendar")
    assert "SUMMARY:E2: moisten is ready" in answer.text


def test_a_sheet_keeps_its_photograph_and_a_slip_comes_back_at_its_field(making):
    from PIL import Image

    picture = BytesIO()
    Image.new("RGB", (40, 30), "white").save(picture, "PNG")
    before = making.digest()
    wrong = making.fill("/make/E2/sheet", **{**SHEET, "mass-mix-spirit-water": "much"})
    key = making.key("/make/E2/sheet")
    right = making.client.post(
        "/make/E2/sheet",
        data={**SHEET, "by": "TO", "request_key": key},
        files={"photograph": ("sheet.png", picture.getvalue(), "image/png")},
        follow_redirects=False,
    )
    with making.lab.look() as look:
        entry = look.steps("E2")[0]

    assert wrong.status_code == 422
    assert 'id="mass-mix-spirit-water-error"' in wrong.text
    assert before != making.digest()
    assert right.status_code == 303
    assert len(entry.attachments) == 1
    assert making.lab.book.attachment(entry.attachments[0])[:2] == b"\xff\xd8"
    assert (entry.done_at[:16], entry.entered_at[:16]) == ("2026-11-25T08:10", "2026-11-25T09:00")


def test_a_slip_at_the_bench_is_told_in_french_with_what_was_typed_as_it_was(making, said):
    making.client.cookies.set("language", "fr")
    before = making.digest()
    slip = making.fill("/make/E2/sheet", **{**SHEET, "mass-mix-spirit-water": "{0.__class__} much"})
    nothing = making.client.get("/make/E99")
    making.client.cookies.clear()
    told, gone = (said(page.text).replace("\u00a0", " ") for page in (slip, nothing))

    assert slip.status_code == 422
    assert "Une grandeur commence par un nombre. Reçu : '{0.__class__} much'." in told
    assert "'E99' n’est pas connu ici" in gone
    assert "Local codes" not in told
    assert making.digest() == before


def test_a_sheet_that_is_sent_twice_is_written_once(making):
    sent = SHEET | MOISTENED | {"request_key": making.key("/make/E2/sheet"), "by": "TO"}
    first = making.client.post("/make/E2/sheet", data=sent, follow_redirects=False)
    before = making.digest()
    again = making.client.post("/make/E2/sheet", data=sent, follow_redirects=False)

    assert (first.status_code, again.status_code) == (303, 303)
    assert making.digest() == before


def test_a_sheet_opened_before_somebody_wrote_its_first_step_drops_nothing_that_stands_on_it(making, said):
    """Of an older sheet only what was still to be written was taken, and the rest left out without a word."""
    key = making.key("/make/E2/sheet")
    making.fill("/make/E2/sheet", **SHEET)
    before = making.digest()
    older = SHEET | MOISTENED | {"mass-mix-spirit-water": "1500", "request_key": key, "by": "MA"}
    answer = making.client.post("/make/E2/sheet", data=older, follow_redirects=False)

    assert answer.status_code == 422
    assert "mix spirit" in said(answer.text)
    assert making.digest() == before


def test_a_step_after_a_gap_in_the_sheet_asks_for_the_time_that_is_missing(making):
    before = making.digest()
    answer = making.fill("/make/E2/sheet", **{**SHEET, "mix-spirit-at": "", "moisten-at": "2026-11-25T08:30"})

    assert answer.status_code == 422
    assert 'id="mix-spirit-at-error"' in answer.text
    assert making.digest() == before


def test_a_figure_is_put_right_by_one_tap_with_the_old_value_and_a_common_reason(making, said):
    making.fill("/make/E2/sheet", **SHEET)
    sheet = making.client.get("/make/E2").text
    with making.lab.look() as look:
        number = look.steps("E2")[0].entry_no
    path = f"/entries/{number}/correct?line=water"
    form = making.client.get(path).text
    without = making.fill(path, f"/entries/{number}/correct", **{"mass-water": "1480 g", "line": "water"})
    fields = {"mass-water": "1480 g", "line": "water", "slip": "misread the scale"}
    done = making.fill(path, f"/entries/{number}/correct", **fields)
    page = said(making.client.get("/make/E2").text)

    assert f'href="{path}"' in sheet
    assert 'value="1484 g"' in form
    assert 'id="mass-stock-spirit"' not in form
    assert without.status_code == 422
    assert done.status_code == 303
    assert "1484 g" in page
    assert "1480 g" in page
    assert "misread the scale" in page


def test_a_script_is_answered_with_data_and_the_same_sentences(making):
    data = {"accept": "application/json"}
    fields = {
        "step": "mix spirit", "tick-1": "yes", "by": "TO", "request_key": "phone-key-1",
        "at": "2026-11-25T08:05:00+00:00",
        "mass-stock-spirit": "2944", "lot-stock-spirit": "SPI-01", "scale-stock-spirit": "SCALE-1",
        "mass-water": "x", "lot-water": "WAT-01", "scale-water": "SCALE-1",
    }  # fmt: skip
    refused = making.client.post("/make/E2/step", data=fields, headers=data)
    taken = making.client.post("/make/E2/step", data={**fields, "mass-water": "1484"}, headers=data)
    again = making.client.post("/make/E2/step", data={**fields, "mass-water": "1484"}, headers=data)
    other = making.client.post("/make/E2/step", data={**fields, "book": "f" * 32}, headers=data)

    assert (refused.status_code, taken.status_code, again.status_code, other.status_code) == (
        422,
        200,
        200,
        409,
    )
    assert "mass-water" in refused.json()["at"]
    assert taken.json()["entries"] == again.json()["entries"]
    assert taken.json()["then"] == "/make/E2/step"
    assert "the book it was typed for" in other.json()["says"]


def test_the_filling_page_says_first_that_the_room_is_warmer_than_the_flash_point(bench, said):
    from stillroom.actions.house.house_facts import note_condition

    begin_batch(bench.lab, "T3", "hair-tonic", "500 g", by="TO", order="ORD-2")
    unknown = bench.client.get("/make/T1/fill").text
    note_condition(bench.lab, "room temperature", "31 °C", by="TO")
    warm = said(bench.client.get("/make/T1/fill").text)
    refused = bench.fill("/make/T1/fill", **{"room-temperature": "31", "units": "1", "left-over": "0"})

    assert 'name="room-temperature" type="text" value=""' in unknown
    assert "Nobody has noted it yet" in said(unknown)
    assert warm.index("The room is warmer than the flash point") < warm.index("Flammable vapour")
    assert "Last: 31 °C, noted today" in warm
    assert refused.status_code == 409
    assert "cooled or aired" in said(refused.text)


def test_the_scripts_have_every_word_they_say_in_every_language_and_none_they_never_use(bench):
    folder = Path(web.__file__).parent / "static" / "bench"
    scripts = "".join(path.read_text(encoding="utf-8") for path in folder.glob("*.js"))
    served = bench.client.get("/static/bench/languages.js")
    spoken = json.loads(served.text.removeprefix("export const LANGUAGES = ").rstrip(";\n"))
    again = bench.client.get("/static/bench/languages.js", headers={"If-None-Match": served.headers["etag"]})

    assert served.headers["content-type"].startswith("text/javascript")
    assert again.status_code == 304
    assert sorted(spoken) == sorted(LANGUAGES)
    assert spoken["fr"]["goOn"] == "Continuer"
    assert set(re.findall(r'\bsay\("(\w+)"', scripts)) <= set(SCRIPT_WORDS)
    assert [name for name in SCRIPT_WORDS if f'"{name}"' not in scripts] == []
