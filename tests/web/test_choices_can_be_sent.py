"""What a form offers can be sent: an empty choice that must be made only ever asks to choose."""

import re

import pytest

from stillroom.actions.lots.stock_movements import SHELF_ACTS
from stillroom.web.lots import FORMS
from tests.web.test_every_page_opens import PAGES

PROMPTS = {"choose", "not yet"}
OF_A_LOT = (*FORMS, *SHELF_ACTS)
SELECT = re.compile(r"<select[^>]*\brequired[^>]*>(.*?)</select>", re.DOTALL)


@pytest.mark.parametrize("act", OF_A_LOT)
def test_a_choice_that_must_be_made_has_no_answer_that_cannot_be_sent(bench, said, act):
    page = bench.client.get(f"/stock/T1/{act}").text
    empty = [
        said(words)
        for block in SELECT.findall(page)
        for words in re.findall(r'<option value=""[^>]*>(.*?)</option>', block, re.DOTALL)
    ]

    assert set(empty) <= PROMPTS


@pytest.mark.parametrize(("below", "extract"), [("alone", "suspended"), ("all", "stopped")])
def test_an_extract_is_stopped_alone_or_with_everything_made_of_it(bench, below, extract):
    answer = bench.fill("/stock/E1/stop", meaning="a smell of solvent", below=below)

    with bench.lab.look() as look:
        assert answer.status_code == 303
        assert look.status("E1").value == "stopped"
        assert look.status("T1").value == extract


def test_lots_with_names_in_any_script_open_as_page_text_and_sheet(bench):
    for at, name in enumerate(["قرّاص 🌿", "סרפד", "薬草 한약", "बिच्छू बूटी", "крапива", "τσουκνίδα"]):
        bench.fill(
            "/stock/new",
            code=f"NET-{at}",
            kind="plant material",
            substance=name,
            amount="1.000 kg",
            owner="ours",
        )

    for address in ("/stock", "/trace", *(f"/stock/NET-{at}" for at in range(6))):
        for ending in ("", ".txt", ".json", ".pdf"):
            assert bench.client.get(f"{address}{ending}").status_code == 200


@pytest.mark.parametrize("address", [*PAGES, *(f"/stock/T1/{act}" for act in OF_A_LOT)])
def test_everything_that_is_sent_has_a_plain_name(bench, address):
    page = bench.client.get(address).text
    names = re.findall(r"<(?:input|select|textarea|button)\b[^>]*?\bname=([^\s>]*)", page)

    assert not [one for one in names if not one.startswith('"')]


def test_whoever_is_looked_for_at_a_release_is_who_was_chosen_and_signs_it(bench):
    bench.fill("/stock/T1/stop", meaning="a smell of solvent", below="alone")
    page = bench.client.get("/products/T1/release").text
    name = re.search(r'<select id="for" name="(\w+)"', page)
    assert name, "no person to choose"
    for code in ("TO", "MA"):
        looked = bench.client.get("/products/T1/release", params={name[1]: code}).text
        assert re.search(rf'<select id="for".*?<option value="{code}" selected', looked, re.DOTALL)
        assert re.search(rf'<select id="by".*?<option value="{code}" selected', looked, re.DOTALL)
    # TO weighed it: what stops the release stands before the form, which is folded until nothing does
    stopped = bench.client.get("/products/T1/release", params={name[1]: "TO"}).text
    free = bench.client.get("/products/T1/release", params={name[1]: "MA"}).text
    folded = "Sign the release: something stops it still"
    assert folded in stopped
    assert stopped.index("Enter a paper or a test") < stopped.index(folded)
    assert folded not in free
