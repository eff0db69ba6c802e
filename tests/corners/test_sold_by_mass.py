"""A balm is sold by mass: "12 × 30 g" holds from the order to the customer, and nobody asks for a density."""

from pathlib import Path
from typing import Any

import pytest

from stillroom.actions.bench.form_choices import next_up
from stillroom.actions.book.product_made import product_in
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.stock_movements import deliver, keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.products.filling import FILL_YIELD
from stillroom.actions.releasing.deciding import release
from stillroom.errors import BadEntry, OutsideModel
from stillroom.planning.plan import plan
from stillroom.quantities.content import Content, content
from stillroom.records.from_yaml import procedure_from_yaml
from stillroom.records.lots import Lot, LotKind
from stillroom.records.order_from_yaml import bottles
from tests.plain_product import FILLED, at
from tests.planning.practice import order, practice_request, procedure, without_doubt
from tests.practice import copied, extracted_folder, later, opened
from tests.web.conftest import opened as served
from tests.web.conftest import words

BALM = (
    """procedure: hand-balm
version: 1
title: Hand balm
purpose: formula
makes: hand balm
scaled by: bulk
product type: skin leave-on
keeps: 270 d
lines:
  - {name: oil, substance: sunflower oil, role: q.s., label name: Helianthus Annuus Seed Oil}
  - {name: wax, substance: beeswax, percent: "18", label name: Cera Alba}
steps:
  - name: melt
    kind: blend
    says: Melt the wax in the oil on the water bath, and stir until it thickens.
    takes: [oil, wax]
    gives: [bulk]
    weighs: [oil, wax, bulk]
    settings:
      - {name: evaporated_share, value: "0", origin: chosen}
      - {name: film_g, value: 5 g, origin: chosen}
"""
    + FILLED
)
ORDER = """order: ORD-B
customer: K9
product: Hand balm
formula: hand-balm
kind: skin leave-on
market: EU
bottles: 12 tins of 30 g
due: 2027-01-15
"""
SHELF = {
    "OIL-9": (LotKind.INGREDIENT, "sunflower oil", "2000 g"),
    "WAX-9": (LotKind.INGREDIENT, "beeswax", "500 g"),
    "TIN-9": (LotKind.PACKAGING, "tin 30 g", "40 pieces"),
}
WEIGHED = ("30.31 g", "30.28 g", "30.35 g", "30.30 g")
DECIDED = {
    "paper/label check": "read against the list of ingredients",
    "paper/microbial count": "no water in it",
    "paper/challenge test": "no water in it",
}


@pytest.mark.parametrize(
    ("written", "units", "each"),
    [
        ("12 × 30 g", 12, Content(30.0, "g")),
        ("12 tins of 30 g", 12, Content(30.0, "g")),
        ("6 x 0,25 kg", 6, Content(250.0, "g")),
        ("24 × 50 mL", 24, Content(50.0, "mL")),
        ("8 jars of 0.1 L", 8, Content(100.0, "mL")),
    ],
)
def test_what_is_sold_is_written_by_volume_or_by_mass(written: str, units: int, each: Content) -> None:
    many, found = bottles(written)

    assert many == units
    assert found.is_as(each)


@pytest.mark.parametrize("written", ["30 °C", "0 g", "30 cm", "30"])
def test_a_content_that_is_neither_volume_nor_mass_above_zero_is_refused(written: str) -> None:
    with pytest.raises(BadEntry):
        content(written)


def test_a_plan_by_mass_fills_the_mass_and_the_overfill_and_asks_for_no_density() -> None:
    by_mass = plan(without_doubt(practice_request(order=order(nominal_ml=0.0, nominal_g=30.0))))

    assert by_mass.line("fill_g").value == pytest.approx(30.0 * 1.01, rel=1e-12)
    assert "by mass" in by_mass.line("fill_g").answer.says
    assert by_mass.line("fill_g").answer.sources == ()
    assert "density_g_ml" not in {one.key for one in by_mass.lines}
    assert not [one for one in by_mass.doubts if "density" in one.name]


def test_a_formula_without_water_or_spirit_is_planned_by_mass_alone() -> None:
    dosed = (
        BALM.replace("wax, substance", "wax, role: q.s., substance")
        .replace(
            "{name: oil, substance: sunflower oil, role: q.s.,",
            "{name: extract, substance: cinchona bark extract, role: dosed,",
        )
        .replace('percent: "18", ', "")
        .replace("oil", "extract")
    )
    balm = procedure_from_yaml(dosed.replace("sunflower extract", "sunflower oil"))
    request = practice_request(formula=balm, order=order(formula="hand-balm", nominal_ml=0.0, nominal_g=30.0))

    made = plan(without_doubt(request))

    assert made.line("fill_g").value == pytest.approx(30.3, rel=1e-12)
    assert made.line("plant_g").value > 0
    with pytest.raises(OutsideModel, match="by mass"):
        plan(without_doubt(practice_request(formula=balm, order=order(formula="hand-balm"))))
    assert procedure("hair-tonic").lines


@pytest.fixture
def bench(tmp_path: Path) -> Any:
    folder = copied(tmp_path, extracted_folder)
    with opened(folder) as lab:
        write_procedure(lab, procedure_from_yaml(BALM), by="MA", at=at("2026-11-19 08:00"))
        enter_text(lab, ORDER.encode(), "ORD-B.yaml", by="MA", at=at("2026-11-19 08:10"))
        for code, (kind, substance, amount) in SHELF.items():
            lot = Lot(
                code, kind, substance, substance, use_by="2028-01-01" if kind is LotKind.INGREDIENT else None
            )
            receive_lot(lab, lot, amount, by="TO", at=at("2026-11-19 08:20"))
            release(lab, code, meaning="looked at", by="MA", at=at("2026-11-19 08:30"))
        begin_batch(lab, "B1", "hand-balm", "400 g", order="ORD-B", by="TO", at=at("2026-11-20 08:00"))
        lines = (
            Weighed("oil", "328.0 g", "OIL-9", "SCALE-2"),
            Weighed("wax", "72.00 g", "WAX-9", "SCALE-2"),
            Weighed("bulk", "395.0 g", "", "SCALE-2"),
        )
        do_step(lab, "B1", "melt", lines, by="TO", at=at("2026-11-20 10:00"))
    yield from served(folder)


def test_a_balm_goes_from_the_order_to_the_customer_by_mass(bench: Any) -> None:
    lab, get = bench.lab, lambda where: words(bench.client.get(where).text)
    assert "12 × 30 g" in get("/orders/ORD-B")
    assert "12 of 30 g hold 0.36 kg" in get("/orders/ORD-B/plan")
    assert next_up(lab, "B1").does == "fill"
    form = get("/make/B1/fill")
    assert "Fill 30.30 g into each" in form
    assert "density was not weighed" not in form
    said = {
        "scale": "SCALE-2",
        "use-by": "2027-06-30",
        "left-over": "28,4",
        "check-weight": "\n".join(WEIGHED),
    }
    assert "bottle" not in get("/orders/ORD-B/plan").split("What the release will repeat")[0].casefold()
    assert "What each holds" in form
    assert bench.fill("/make/B1/fill", **said, **{"units": "12", "pack-TIN-9": "12"}).status_code == 303

    with lab.look() as look:
        assert product_in(look, "B1").each == Content(30.0, "g")
        (share,) = look.results("B1", FILL_YIELD)
    assert share.body.value == pytest.approx(100.0 * 12 / (400.0 / 30.0), rel=1e-9)
    assert "Mean 30.31" in get("/products/B1/release")
    assert "nominal 30 g" in get("/products/B1/release")
    keep_back(lab, "B1", amount="2 tins", by="TO")
    release(lab, "B1", meaning="all was read", decisions=DECIDED, by="JU")
    for paper in ("label", "certificate"):
        told = get(f"/products/B1/{paper}")
        assert "30 g" in told
        assert "30 mL" not in told
        assert "bottles" not in told, "what is sold by mass stands in tins or jars"
    assert "bottles" not in get("/orders/ORD-B").casefold()
    assert "Bottles filled" not in get("/make/B1")
    assert "bottles" not in get("/orders/ORD-B/deliver")
    deliver(lab, "ORD-B", {"B1": "10 tins"}, by="MA")
    assert "bottles" not in get("/orders/ORD-B")
    assert "12 filled: 10 with customers" in get("/trace/B1")
    assert lab.book.verify().troubles == ()


def test_a_tin_that_is_short_by_more_than_the_tolerable_mass_is_told_in_grams(bench: Any) -> None:
    short = {
        "scale": "SCALE-2",
        "use-by": "2027-06-30",
        "left-over": "31.4",
        "units": "12",
        "pack-TIN-9": "12",
    }

    told = words(bench.fill("/make/B1/fill", **short, **{"check-weight": "27.1\n30.3\n30.3\n30.3"}).text)

    # 9 % of the nominal content up to 50 g, rounded up to a tenth: the printed table of tolerable errors (recalled)
    assert "1 of 4 short by more than 2.7 g" in told


def test_what_a_tin_holds_is_put_right_in_grams(bench: Any) -> None:
    said = {
        "scale": "SCALE-2",
        "use-by": "2027-06-30",
        "left-over": "28.4",
        "check-weight": "\n".join(WEIGHED),
    }
    bench.fill("/make/B1/fill", **said, **{"units": "12", "pack-TIN-9": "12"})
    with bench.lab.look() as look:
        (filled,) = look.fillings("B1")

    put_right(bench.lab, filled.entry_no, {"nominal": "28 g"}, why="read on the tin", by="TO", at=later(1))

    with bench.lab.look() as look:
        assert product_in(look, "B1").each == Content(28.0, "g")
