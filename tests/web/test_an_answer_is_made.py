"""What a question mixes is made on its page: everything weighed, from its lots, and a lot of its own on the shelf."""

import re
from urllib.parse import urlencode

import pytest

from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.spirit_read import read_strength
from stillroom.actions.releasing.deciding import release
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot

DILUTE = {"amount": "500 g", "have": "96 % v/v", "want": "70 % v/v", "temperature": "20 °C"}
BLEND = {
    "stock-1": "96 % v/v", "stock-1-amount": "1 L", "stock-2": "60 % v/v", "stock-2-amount": "1 L",
    "stock-2-what": "recovered", "want": "70 % v/v", "amount": "300 g", "temperature": "20 °C",
}  # fmt: skip
BUFFER = {"pair": "phosphate", "ph": "7.0", "total": "0.05 mol/L", "amount": "500 mL"}
ACID = {"of": "hydrochloric acid 37 %", "want": "1 mol/L", "amount": "250 g"}


def _shelf(lab, code, kind, substance, amount="5 kg", **more):
    receive_lot(lab, Lot(code, kind, substance, substance, **more), amount, by="TO")
    release(lab, code, meaning="papers", by="MA")


@pytest.fixture
def shelf(bench):
    lab = bench.lab
    _shelf(lab, "SPI-8", LotKind.SPIRIT, "spirit 95.1 %")
    _shelf(lab, "HCL-8", LotKind.SOLVENT, "hydrochloric acid 37 %")
    _shelf(lab, "KH-8", LotKind.REAGENT, "potassium dihydrogen phosphate", "100 g")
    _shelf(lab, "NA-8", LotKind.REAGENT, "disodium hydrogen phosphate", "100 g", use_by="2027-01-15")
    return bench


def _make(bench, question, asked, **typed):
    asked = urlencode(asked)
    at = f"/ask/{question}/make"
    form = f"{at}?{urlencode({'asked': asked})}"
    page = bench.client.get(form).text
    usual = {"scale": "SCALE-2", "tick-1": "yes", "lot-water": "WAT-01"}
    there = {name: value for name, value in usual.items() if f'name="{name}"' in page}
    return bench.fill(
        form, at, **{**there, "asked": asked, **{_field(name): value for name, value in typed.items()}}
    )


def _field(name):
    return name.replace("_", "-")


def _made(bench, code):
    with bench.lab.look() as look:
        return look.lot(code), look.balance_ug(code) / 1e6


def test_the_answer_leads_to_its_making_where_a_book_is_open(shelf, reading, said):
    query = urlencode(DILUTE)

    assert "Make it now, as a lot" in said(shelf.client.get(f"/ask/dilute?{query}").text)


def test_a_dilution_becomes_a_lot_of_spirit_and_takes_from_the_lot_that_was_poured(shelf, said):
    before = _made(shelf, "SPI-8")[1]
    made = _make(
        shelf, "dilute", DILUTE, code="SPD-1", mass_spirit="332.5", lot_spirit="SPI-8", mass_water="167.6"
    )
    lot, held_g = _made(shelf, "SPD-1")

    assert (made.status_code, made.headers["location"]) == (303, "/stock/SPD-1")
    assert (lot.kind, lot.substance) == (LotKind.SPIRIT, "spirit 70 %")
    assert held_g == pytest.approx(500.1)
    assert _made(shelf, "SPI-8")[1] == pytest.approx(before - 332.5)
    assert "Read its strength first" in said(shelf.client.get("/stock/SPD-1").text) or lot.made_by == "SPD-1"


def test_the_same_dilution_again_is_the_same_version_and_another_one_the_next(shelf):
    for code, spirit, water, amount in (
        ("A", "332.5", "167.6", "500 g"),
        ("B", "332.4", "167.6", "500 g"),
        ("C", "66.5", "33.5", "100 g"),
    ):
        asked = DILUTE | {"amount": amount}
        _make(
            shelf,
            "dilute",
            asked,
            code=f"SPD-{code}",
            mass_spirit=spirit,
            lot_spirit="SPI-8",
            mass_water=water,
        )
    with shelf.lab.look() as look:
        versions = [look.batch(f"SPD-{code}").version for code in "ABC"]

    assert versions == [1, 1, 2]


def test_a_blend_with_recovered_spirit_stays_recovered_spirit_of_its_plant(shelf, said):
    recovered = "REC-01"
    release(shelf.lab, recovered, meaning="strength read", by="MA")
    read_strength(
        shelf.lab, recovered, {"have": "60 % v/v", "known-by": "label", "temperature": "20 °C"}, by="TO"
    )
    made = _make(
        shelf, "blend", BLEND, code="BLE-1", mass_stock_1="74", lot_stock_1="SPI-8", mass_stock_2="226",
        lot_stock_2=recovered,
    )  # fmt: skip
    assert made.status_code == 303, said(made.text)
    lot, held_g = _made(shelf, "BLE-1")

    assert lot.kind is LotKind.RECOVERED
    assert held_g == pytest.approx(300.0)


def test_a_buffer_becomes_a_reagent_that_keeps_no_longer_than_was_said_or_its_salts_do(shelf, said):
    salts = {
        "mass_potassium_dihydrogen_phosphate": "1.45", "lot_potassium_dihydrogen_phosphate": "KH-8",
        "mass_disodium_hydrogen_phosphate": "2.04", "lot_disodium_hydrogen_phosphate": "NA-8", "mass_water": "497",
    }  # fmt: skip
    made = _make(shelf, "buffer", BUFFER, code="BUF-1", keeps="400", **salts)
    assert made.status_code == 303, said(made.text)
    lot, held_g = _made(shelf, "BUF-1")

    assert (lot.kind, lot.use_by) == (LotKind.REAGENT, "2027-01-15")
    assert held_g == pytest.approx(500.49)


def test_an_acid_is_made_with_goggles_on(shelf, said):
    typed = {
        "code": "ACI-1",
        "mass_hydrochloric_acid": "24.2",
        "lot_hydrochloric_acid": "HCL-8",
        "mass_water": "225.8",
    }
    without = _make(shelf, "acid", ACID, **typed | {"tick_1": ""})
    made = _make(shelf, "acid", ACID, **typed)

    assert without.status_code == 409
    assert made.status_code == 303, said(made.text)


@pytest.mark.parametrize(
    ("question", "asked"),
    [
        ("acid", ACID | {"want": "5 %"}),
        ("dilute", DILUTE | {"holds": "extract, sugar or glycerol too"}),
        ("dilute", DILUTE | {"want": "96 % v/v"}),
        ("siphon", {}),
    ],
)
def test_what_is_not_mixed_is_not_made(shelf, question, asked):
    before = shelf.digest()
    answer = shelf.client.get(f"/ask/{question}/make?{urlencode({'asked': urlencode(asked)})}")

    assert answer.status_code in (400, 404, 409, 422)
    assert shelf.digest() == before


def test_a_recipe_all_in_grams_opens_at_its_own_amount_and_is_asked_in_millilitres_by_its_density(
    shelf, said
):
    _make(shelf, "dilute", DILUTE, code="SPD-1", mass_spirit="332.5", lot_spirit="SPI-8", mass_water="167.6")
    own, asked = (
        said(shelf.client.get(f"/reagents/spirit-70{more}").text) for more in ("", "?amount=500+mL")
    )

    assert "332.41" in own
    assert "294.37" in asked, "0.8856 g/mL, OIML R 22 table, 70 % v/v at 20 °C, second-hand"


@pytest.mark.parametrize(
    ("question", "asked", "scale", "to_take"),
    [
        ("dilute", DILUTE | {"amount": "5 L"}, "SCALE-1", "2944 g"),
        ("buffer", BUFFER, "SCALE-2", "1.45 g"),
    ],
)
def test_the_scale_that_is_offered_takes_it_all_and_reads_the_least_of_it(
    shelf, question, asked, scale, to_take
):
    page = shelf.client.get(f"/ask/{question}/make?{urlencode({'asked': urlencode(asked)})}").text

    assert re.search(rf'value="{scale}"[^>]* selected', page)
    assert f"To take: {to_take}" in page


def test_what_fills_up_is_weighed_and_its_form_asks_for_no_mark(shelf, said):
    page = said(shelf.client.get(f"/ask/buffer/make?{urlencode({'asked': urlencode(BUFFER)})}").text)

    assert "mark" not in page
    assert re.search(r"Up to \d+ mL in all: weigh what of it went in", page)
    mixed = said(shelf.client.get(f"/ask/dilute/make?{urlencode({'asked': urlencode(DILUTE)})}").text)
    assert "in all" not in mixed
