"""What is seldom said stands folded beneath a form, and can be said there: a note, further lines, another series."""

import re

import pytest

from stillroom.actions.testing.kinds import KINDS
from stillroom.asking.entries import Entry


@pytest.mark.parametrize("verb", ["absorbance", "drying", "ph", "titration", "extractive", "outside"])
def test_everything_that_a_test_takes_can_be_said_on_its_page(reading, verb):
    act = KINDS[verb]
    there = set(re.findall(r'\bname="([^"]+)"', reading.client.get(act.address.format(code="CIN-01")).text))

    assert {one.name for one in act.said.entries()} <= there


def test_a_ph_that_is_asked_about_is_kept_from_its_page_with_a_note(bench, said):
    asked = bench.fill("/test/T1/ph", ph="54", read_by="meter")
    kept = bench.fill("/test/T1/ph", ph="54", read_by="meter", note="it showed so, twice")

    assert asked.status_code == 422
    assert '<details class="earlier" open>' in asked.text
    assert kept.status_code == 303


def test_five_standards_are_typed_on_the_page(bench):
    shown = {"10": "0.120", "20": "0.232", "30": "0.344", "40": "0.456", "50": "0.568"}
    standards = {
        name: value
        for at, (content, absorbance) in enumerate(shown.items(), 1)
        for name, value in ((f"standard-content-{at}", content), (f"standard-absorbance-{at}", absorbance))
    }
    answer = bench.fill(
        "/test/CIN-01/absorbance", marker="total phenols", reckoned_as="gallic acid", made_up_to="10", diluted="100",
        scale="SCALE-3", **{"sample-taken-portion-1": "0.2000", "absorbance-portion-1": "0.523"}, **standards,
    )  # fmt: skip

    assert answer.status_code == 303
    with bench.lab.look() as look:
        assert look.results("CIN-01", "total phenols as gallic acid, as is")[-1].body.counts


def test_a_form_without_anything_folded_has_no_fold(reading):
    assert not any(
        isinstance(one, Entry) and one.face.get("folded") for one in KINDS["outside"].said.declared()
    )
    assert "More, if you know it" not in reading.client.get("/stock/CIN-01/outside-result").text


def test_what_a_titrants_standard_may_go_without_is_folded_and_opens_where_it_was_typed(bench):
    address = "/test/titrant/standard"
    seldom = ("standard-taken-4", "standard-titre-5", "content", "note")
    first, _, folded = bench.client.get(address).text.partition('<details class="earlier">')
    again = bench.fill(
        address,
        lot="HCL-01",
        strength="0.1 mol/L",
        standard="benzoic acid",
        standard_taken_4="0.4090",
    )

    assert [one for one in seldom if f'name="{one}"' in first] == []
    assert [one for one in seldom if f'name="{one}"' not in folded] == []
    assert again.status_code == 422
    assert '<details class="earlier" open>' in again.text
    assert 'value="0.4090"' in again.text
