"""Markers, plants and ingredients of one's own are entered on a page, and the forms offer them from then on."""

from urllib.parse import quote

import pytest

from stillroom.records.entries import IngredientStated, MarkerStated, PlantStated
from stillroom.substances.own import OwnIngredient, OwnMarker, OwnPlant, own
from tests.practice import noon

FILLED = {
    "marker": {"marker": "scopoletin", "molar-mass": "192.17", "charge": "none", "pka": "7.4", "loses-by-heat": "yes"},
    "plant": {
        "plant": "nettle root", "latin-name": "Urtica dioica", "holds": "scopoletin 0.002 to 0.01 %\nsitosterol",
        "loss-on-drying": "9", "spirit-takes-out": "8 to 20",
    },
    "ingredient": {
        "ingredient": "ucuuba butter", "name-on-the-label": "Virola Sebifera Seed Butter", "density": "0.91",
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", FILLED)
def test_what_is_entered_stands_on_the_page_and_fills_its_form_again(bench, said, kind):
    fields = FILLED[kind]
    answer = bench.client.post(
        f"/laboratory/own/{kind}",
        data={"request_key": bench.key(f"/laboratory/own/{kind}"), "by": "MA", **fields},
        follow_redirects=False,
    )
    page = said(bench.client.get("/laboratory/own").text)
    form = bench.client.get(f"/laboratory/own/{kind}?name={quote(fields[kind])}").text

    assert (answer.status_code, answer.headers["location"]) == (303, "/laboratory/own")
    assert fields[kind] in page
    for text in fields.values():
        assert text.splitlines()[0] in form
    with bench.lab.look():
        assert getattr(own(), f"{kind}s")


def test_an_own_plant_and_ingredient_are_offered_where_they_are_named(bench):
    for kind in FILLED:
        bench.client.post(
            f"/laboratory/own/{kind}",
            data={"request_key": bench.key(f"/laboratory/own/{kind}"), "by": "MA", **FILLED[kind]},
        )

    assert "nettle root" in bench.client.get("/ask/order").text
    assert "scopoletin" in bench.client.get("/ask/dose").text
    assert "ucuuba butter" in bench.client.get("/make/procedures/new?purpose=formula").text


def test_a_thing_that_is_none_is_not_found(bench):
    assert bench.client.get("/laboratory/own/mineral").status_code == 404


def test_the_things_of_ten_years_come_a_page_at_a_time_and_are_searched_and_chosen(bench, said):
    now = noon().isoformat()
    with bench.lab.book.pen(by="MA", at=now, entered_at=now) as pen:
        for number in range(100, 160):
            pen.enter(MarkerStated(OwnMarker(f"marker {number}")))
            pen.enter(PlantStated(OwnPlant(f"bark of tree {number}", latin_name=f"Arbor alpestris {number}")))
            pen.enter(IngredientStated(OwnIngredient(f"oil {number}", f"Oleum {number}")))

    def shown(asked: str) -> list[str]:
        blocks = bench.client.get(f"/laboratory/own.json?{asked}").json()["blocks"]
        return [row[0]["text"] for one in blocks if one.get("head", [""])[0] == "Name" for row in one["rows"]]

    pages = [shown(f"page={number}") for number in range(1, 6)]
    every = [name for page in pages for name in page]
    assert [len(page) for page in pages] == [50, 50, 50, 30, 0]
    assert len(set(every)) == 180
    assert shown("kind=plant") == every[60:110]
    assert (shown("words=oleum+105"), shown("words=marker&kind=plant")) == (["oil 105"], [])
    found = said(bench.client.get("/laboratory/own?words=alpetris").text)
    assert "1 to 50 of 60" in found
    assert "alpestris" in found
