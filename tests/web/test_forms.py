"""Forms: written once, refused from elsewhere, given back with what was typed and nothing written."""

import re
from html import unescape

import pytest

from stillroom.actions.bench.form_choices import next_up, scale_for
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.records.people import Apparatus
from tests.web.filled_in import fields_in

EVIL = "<script>alert('x')</script><img src=x onerror=alert(1)>\"'&"
A_LOT = {
    "code": "CIN-09",
    "kind": "plant material",
    "substance": "cinchona bark",
    "amount": "1.000 kg",
    "owner": "ours",
}
AN_ORDER = {
    "order": "ORD-9", "customer": "Invented shop", "product": "Bark hair tonic", "extraction": "bark-extract",
    "formula": "hair-tonic", "kind": "hair leave-on", "market": "EU", "bottles": "20 × 100 mL",
    "aim": "0.100 % w/w total alkaloids as quinine", "declared-at-least": "0.095 % w/w total alkaloids as quinine",
    "due": "2027-01-31",
}  # fmt: skip


# Written once.


def test_a_lot_is_received_and_the_page_says_so(bench, said):
    answer = bench.fill("/stock/new", **A_LOT)
    page = bench.client.get(answer.headers["location"])

    assert (answer.status_code, answer.headers["location"]) == (303, "/stock/CIN-09/plant")
    assert "CIN-09 is on the shelf and waiting" in said(page.text)


def test_what_was_done_is_said_once(bench, said):
    bench.fill("/stock/new", **A_LOT)
    first, second = (said(bench.client.get("/stock/CIN-09").text) for _ in range(2))

    assert "is on the shelf and waiting" in first
    assert "is on the shelf and waiting" not in second


def test_a_form_sent_twice_is_written_once(bench):
    typed = {"request_key": bench.key("/stock/new"), "by": "TO", **A_LOT}
    first = bench.client.post("/stock/new", data=typed, follow_redirects=False)
    between = bench.digest()
    second = bench.client.post("/stock/new", data=typed, follow_redirects=False)

    assert (first.status_code, second.status_code) == (303, 303)
    assert bench.digest() == between


def test_the_person_who_signed_is_offered_again(bench):
    bench.fill("/stock/new", by="JU", **A_LOT)

    assert '<option value="JU" selected>' in bench.client.get("/stock/new").text


def test_a_thing_done_earlier_keeps_both_times(bench, said):
    bench.fill("/stock/new", at="2026-11-24T15:30", **A_LOT)
    number = re.search(r"/entries/(\d+)", bench.client.get("/stock/CIN-09").text)
    page = said(bench.client.get(f"/entries/{number[1]}").text)

    assert "Done 2026-11-24 15:30" in page
    assert "Entered 2026-11-25 09:00" in page


# Refused from elsewhere.


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
    ids=["other origin", "null origin", "other port", "cross-site", "same-site"],
)
def test_a_form_sent_from_elsewhere_is_refused(bench, headers):
    before, typed = bench.digest(), {"request_key": bench.key("/stock/new"), "by": "TO", **A_LOT}
    answer = bench.client.post("/stock/new", data=typed, headers=headers)

    assert answer.status_code == 403
    assert bench.digest() == before


def test_a_form_sent_from_its_own_page_is_taken(bench):
    own = {"origin": "http://127.0.0.1:8017", "sec-fetch-site": "same-origin"}
    typed = {"request_key": bench.key("/stock/new"), "by": "TO", **A_LOT}

    assert bench.client.post("/stock/new", data=typed, headers=own, follow_redirects=False).status_code == 303


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "[::2]:8017", "", "192.168.0.7:8017"]
)
def test_another_host_is_refused(reading, host):
    assert reading.client.get("/bench", headers={"host": host}).status_code == 403


def test_a_form_that_is_too_long_is_not_read(bench):
    before = bench.digest()
    answer = bench.client.post("/stock/new", content=b"code=" + b"x" * 1_000_001)

    assert answer.status_code == 413
    assert bench.digest() == before


def test_a_page_runs_no_script_from_elsewhere_and_lies_in_no_frame(reading):
    headers = reading.client.get("/bench").headers

    assert "default-src 'self'" in headers["content-security-policy"]
    assert "script-src" not in headers["content-security-policy"]
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"


# What a person typed is text.


def test_markup_in_a_field_is_shown_as_text(bench):
    typed = {**A_LOT, "name": EVIL, "supplier": EVIL, "stated": EVIL}
    bench.fill("/stock/new", **typed)
    pages = [bench.client.get(path).text for path in ("/stock/CIN-09", "/stock", "/bench", "/trace/CIN-09")]

    assert all("<script>alert" not in page and "<img src=x" not in page for page in pages)
    assert EVIL in unescape(pages[0])


def test_markup_in_what_comes_back_is_shown_as_text(bench):
    answer = bench.fill("/stock/new", **{**A_LOT, "code": EVIL, "name": EVIL})

    assert answer.status_code == 422
    assert "<script>alert" not in answer.text
    assert "<img src=x" not in answer.text
    assert EVIL in unescape(answer.text)


@pytest.mark.parametrize("path", ["/stock/%3Cscript%3E", "/trace/%3Cimg%20src=x%3E", "/why/%3Cscript%3E"])
def test_markup_in_an_address_is_shown_as_text(reading, path):
    assert not re.search(r"<script>(?!<)|<img src=x", reading.client.get(path).text)


def test_what_was_said_before_cannot_carry_markup(reading):
    from base64 import urlsafe_b64encode

    cookie = urlsafe_b64encode(f"1|{EVIL}".encode()).decode()
    page = reading.client.get("/bench", headers={"cookie": f"said={cookie}"}).text

    assert "<script>alert" not in page


def test_the_search_leads_to_a_trace_and_nowhere_else(reading):
    answer = reading.client.get("/trace/find", params={"code": "//evil.example/"}, follow_redirects=False)

    assert answer.headers["location"].startswith("/trace/%2F%2Fevil")


# Bad input: one clear sentence, and an unchanged book.

BAD = [
    ("/stock/new", {**A_LOT, "amount": "1,500 g"}, "amount", "1,500 g"),
    ("/stock/new", {**A_LOT, "amount": "-2 kg"}, "amount", ""),
    ("/stock/new", {**A_LOT, "code": "../etc"}, "code", ""),
    ("/stock/new", {**A_LOT, "code": "CIN-01"}, "", "CIN-01"),
    ("/stock/new", {**A_LOT, "kind": "gold"}, "kind", ""),
    ("/stock/new", {**A_LOT, "by": ""}, "by", "Somebody must sign"),
    ("/stock/new", {**A_LOT, "at": "yesterday"}, "at", "2026-11-05 14:30"),
    ("/stock/new", {**A_LOT, "at": "2027-01-01T10:00"}, "", "must have been done already"),
    ("/orders/new", {**AN_ORDER, "aim": "0.100 %"}, "aim", "basis"),
    ("/orders/new", {**AN_ORDER, "aim": "120 % w/w total alkaloids as quinine"}, "aim", "100 %"),
    ("/orders/new", {**AN_ORDER, "aim": "0.300 % w/w total alkaloids as quinine"}, "", "ceiling"),
    ("/orders/new", {**AN_ORDER, "formula": "hair-tonik"}, "", "hair-tonic"),
    ("/orders/paste", {"text": "order: ORD-9\ncustomerr: X\n"}, "", "order"),
    ("/make/new", {"procedure": "bark-extract", "code": "E7", "scale": "-5 g"}, "scale", ""),
    ("/stock/CIN-01/count", {"found": "a lot"}, "found", ""),
    ("/stock/CIN-01/reject", {"meaning": "mould", "sure": "CIN"}, "sure", "CIN-01"),
    ("/stock/REC-01/release", {"meaning": ""}, "", "says what it rests on"),
    ("/test/E1/titration", {"sample-taken-portion-1": "0.2 g", "sample-titre-portion-1": "lots", "blank-titre": "20",
                            "titrant": "NAOH-01", "way": "back", "scale": "SCALE-3", "burette": "BUR-1"},
     "sample-titre-portion-1", "lots"),
    ("/test/E1/residue", {"solvent": "ethyl acetate", "found": "310", "report": ""}, "", "names its report"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "typed", "field", "word"), BAD)
def test_bad_input_is_told_and_nothing_is_written(bench, said, path, typed, field, word):
    before = bench.digest()
    answer = bench.fill(path, **typed)
    told = said(answer.text)

    assert answer.status_code in (404, 409, 422)
    assert "Nothing was saved" in told
    assert word in told
    assert bench.digest() == before
    if field:
        assert re.search(rf'id="{field}-error"', answer.text), "the sentence does not stand at its field"


def test_what_was_typed_is_kept_when_a_form_comes_back(bench):
    page = bench.fill("/stock/new", **{**A_LOT, "amount": "much", "supplier": "Invented & Sons"}).text

    assert 'value="CIN-09"' in page
    assert 'value="much"' in page
    assert "Invented &amp; Sons" in page
    assert '<option value="TO" selected>' in page


def test_two_slips_in_an_order_are_told_at_once_each_at_its_field(bench):
    page = bench.fill("/orders/new", **{**AN_ORDER, "bottles": "many", "due": "soon"}).text

    assert 'id="bottles-error"' in page
    assert 'id="due-error"' in page


# At the bench.


def step_fields(bench, batch: str, **masses: str) -> dict[str, str]:
    in_hand = step_in_hand(bench.lab, batch)
    ticks = {f"tick-{at}": "yes" for at, _ in enumerate(in_hand.step.ticks, start=1)}
    return {"step": in_hand.step.name, **ticks, **masses}


def test_a_step_without_its_tick_is_not_written(bench, said):
    begin_batch(bench.lab, "E2", "bark-extract", "250 g", by="TO")
    masses = {"mass-stock-spirit": "2944", "lot-stock-spirit": "SPI-01", "scale-stock-spirit": "SCALE-1",
              "mass-water": "1484", "lot-water": "WAT-01", "scale-water": "SCALE-1"}  # fmt: skip
    before, typed = bench.digest(), {**step_fields(bench, "E2"), **masses}
    without = bench.fill("/make/E2/step", **{**typed, "tick-1": ""})

    assert without.status_code == 409
    assert "No flame and no open element in the room" in said(without.text)
    assert bench.digest() == before
    assert 'value="2944"' in without.text
    assert bench.fill("/make/E2/step", **typed).status_code == 303
    assert next_up(bench.lab, "E2").step == "moisten"


def test_a_lot_that_is_not_released_is_offered_greyed_with_its_reason(bench, said):
    bench.fill("/stock/new", **A_LOT)
    begin_batch(bench.lab, "E2", "bark-extract", "250 g", by="TO")
    masses = {"mass-stock-spirit": "2944", "lot-stock-spirit": "SPI-01", "scale-stock-spirit": "SCALE-1",
              "mass-water": "1484", "lot-water": "WAT-01", "scale-water": "SCALE-1"}  # fmt: skip
    bench.fill("/make/E2/step", **step_fields(bench, "E2"), **masses)
    page = bench.client.get("/make/E2/step").text
    before = bench.digest()
    forced = bench.fill("/make/E2/step", **step_fields(bench, "E2"), **{
        "mass-bark": "250", "lot-bark": "CIN-09", "scale-bark": "SCALE-2"})  # fmt: skip

    assert re.search(r'value="CIN-09" required disabled', page)
    assert "Not to be used: waiting, not released" in said(page)
    assert forced.status_code == 409
    assert bench.digest() == before


def test_a_mass_that_is_far_off_asks_for_a_note_and_points_at_the_scale(bench, said):
    begin_batch(bench.lab, "E2", "bark-extract", "250 g", by="TO")
    masses = {"mass-stock-spirit": "3944", "lot-stock-spirit": "SPI-01", "scale-stock-spirit": "SCALE-1",
              "mass-water": "1484", "lot-water": "WAT-01", "scale-water": "SCALE-1"}  # fmt: skip
    before = bench.digest()
    answer = bench.fill("/make/E2/step", **step_fields(bench, "E2"), **masses)

    assert answer.status_code == 422
    assert "needs a note" in said(answer.text)
    assert 'id="mass-stock-spirit-error"' in answer.text
    assert 'class="pointer outside"' in answer.text
    assert bench.digest() == before


def test_a_mass_too_small_for_any_scale_is_offered_the_finest_and_one_too_large_the_widest():
    fine, coarse = (Apparatus(name, "scale", name, step, "g", 0.0, most)
                    for name, step, most in (("S-1", 0.01, 600.0), ("S-2", 1.0, 5000.0)))  # fmt: skip
    for mass_g, chosen in ((0.5, fine), (400.0, coarse), (50.0, fine), (9000.0, coarse)):
        assert scale_for((fine, coarse), mass_g) is chosen


def test_the_next_step_of_a_formula_leads_to_its_dose_first(bench, said):
    begin_batch(bench.lab, "T3", "hair-tonic", "500 g", by="TO", order="ORD-2")
    lead = bench.client.get("/make/T3/step", follow_redirects=False)
    worked = said(bench.client.get("/make/T3/dose", params={"extract": "E1", "scale": "SCALE-2"}).text)
    before = bench.digest()
    too_much = bench.client.get("/make/T1/dose", params={"extract": "E1", "scale": "SCALE-9"})

    assert lead.headers["location"] == "/make/T3/dose"
    assert "Upper bound" in worked
    assert "Ceiling" in worked
    assert "aim at least" in worked
    assert too_much.status_code == 404
    assert bench.digest() == before
    bench.fill("/make/T3/dose?extract=E1&scale=SCALE-2", "/make/T3/dose", extract="E1", scale="SCALE-2")
    step = said(bench.client.get("/make/T3/step").text)
    assert "The dose of T3 is taken" in step
    assert "of 100 such batches" not in step  # read on the page before; the step comes first now


def test_water_or_power_off_says_heat_off_at_the_plug_before_anything_else(reading, said):
    page = said(reading.client.get("/bench/power-or-water-off").text)

    assert page.index("Heat off at the plug first") < page.index("batch by batch")


# Corrections.


def test_a_correction_that_is_sent_twice_is_taken_once_and_another_one_is_refused(bench):
    """A phone that heard no answer sends again: it was told that nothing was saved."""
    path = "/entries/5/correct"
    sent = fields_in(bench.client.get(path).text) | {"name": "kitchen scale", "why": "misread", "by": "TO"}
    answers = [bench.client.post(path, data=sent, follow_redirects=False).status_code for _ in range(2)]
    with bench.lab.look() as look:
        written = [one.entry_no for one in look.entries(corrected=True) if one.corrects == 5]
    another = sent | {"request_key": "0123456789abcdef"}

    assert answers == [303, 303]
    assert len(written) == 1
    assert bench.client.post(path, data=another, follow_redirects=False).status_code == 409


def test_a_reading_is_put_right_and_both_stay_to_be_read(bench, said):
    listed = bench.client.get("/stock/CIN-01.json").json()
    rows = next(one for one in listed["blocks"] if one.get("head", [""])[0] == "Entry")["rows"]
    number = next(row[0]["text"] for row in rows if row[4].startswith("sample titre"))
    answer = bench.fill(f"/entries/{number}/correct", reading="8.24 mL", why="a 4 read as a 2")
    old, lot = said(bench.client.get(f"/entries/{number}").text), said(bench.client.get("/stock/CIN-01").text)

    assert answer.status_code == 303
    assert "results were calculated again" in old
    assert "Corrected by" in old
    assert "8.42 mL" in lot
    assert "8.24 mL" in lot
    assert "a 4 read as a 2" in lot


def test_an_order_changed_after_its_batch_was_begun_is_told_on_the_batch(bench, said):
    begun = begin_batch(bench.lab, "T3", "hair-tonic", "500 g", by="TO", order="ORD-2").entries[0]
    with bench.lab.look() as look:
        number = look.entries(kind="order taken", subject="ORD-2")[-1].entry_no
    asked = said(bench.client.get(f"/entries/{number}/correct").text)
    answer = bench.fill(f"/entries/{number}/correct", bottles="12 × 100 mL", slip="the customer changed it")

    assert "the customer changed it" in asked
    assert answer.headers["location"].startswith("/orders/ORD-2")
    assert "ORD-2 was corrected after this batch was begun" in said(bench.client.get("/make/T3").text)
    answer = bench.fill(f"/entries/{begun}/correct", scale="400 g", slip="the customer changed it")
    assert answer.headers["location"].startswith("/make/T3")
    assert "was corrected after this batch" not in said(bench.client.get("/make/T3").text)


def test_a_result_leads_to_the_correction_of_each_reading_it_rests_on(reading):
    with reading.lab.look() as look:
        result = look.results("CIN-01", "loss on drying")[-1]
    page = reading.client.get(f"/entries/{result.entry_no}").text

    assert all(f"/entries/{one}/correct" in page for one in result.body.readings)


def test_a_correction_without_its_reason_is_refused(bench, said):
    before = bench.digest()
    listed = bench.client.get("/stock/CIN-01.json").json()
    rows = next(one for one in listed["blocks"] if one.get("head", [""])[0] == "Entry")["rows"]
    number = next(row[0]["text"] for row in rows if row[4].startswith("sample titre"))
    answer = bench.fill(f"/entries/{number}/correct", reading="8.24 mL", why="")

    assert answer.status_code == 422
    assert "how the error happened" in said(answer.text)
    assert bench.digest() == before


def test_a_decision_is_followed_by_another_and_not_put_right(reading, said):
    entry = next(n for n in range(1, 60) if "status decided" in reading.client.get(f"/entries/{n}").text)

    assert "An entry of this kind is followed by another, not corrected" in said(
        reading.client.get(f"/entries/{entry}/correct").text
    )


def test_the_ph_of_a_bulk_is_entered_before_it_is_filled(bench, said):
    begin_batch(bench.lab, "T-9", "hair-tonic", "1000 g", by="TO")
    page = bench.client.get("/test/T-9/ph")
    answer = bench.fill("/test/T-9/ph", **{"ph": "4,6", "read-by": "strip"})

    assert (page.status_code, answer.headers["location"]) == (200, "/make/T-9")
    assert "test of T-9" in said(page.text)
    with bench.lab.look() as look:
        assert [one.body.value for one in look.readings("T-9", "pH")] == [4.6]


def test_the_release_page_leads_to_the_date_it_finds_too_late(bench):
    bench.fill("/stock/T1/stop", by="MA", meaning="its date is looked at")
    link = re.search(r"/entries/\d+/correct\?line=use%20by", bench.client.get("/products/T1/release").text)

    assert 'name="use-by"' in bench.client.get(link[0]).text


def test_the_factor_of_a_titrant_is_asked_of_a_titrant_first(reading):
    first = re.search(
        r'name="lot".*?<option value="(.*?)".*?>(.*?)</option>',
        reading.client.get("/test/titrant/standard").text,
        re.DOTALL,
    )

    assert "titrant" in first[2]
