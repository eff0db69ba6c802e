"""An extract that was bought is dosed by its certificate, as one made here is by its assay."""

from pathlib import Path

import pytest

from stillroom.actions.bench.lots_offered import dose_choices
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.orders.ordering import work_back
from stillroom.actions.products.batch_content import content_made
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.products.formula_made import formula_of_batch
from stillroom.actions.releasing.certifying import certificate_facts
from stillroom.actions.releasing.deciding import release
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.evidence.answer import leaves
from stillroom.pages.orders import show_orders
from stillroom.pages.plans import show_plan
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.plain_product import at
from tests.practice import copied, extracted_folder, opened

ORDER = """order: ORD-9
customer: Invented Shop
product: Bark hair tonic
formula: hair-tonic
kind: hair leave-on
market: EU
bottles: 9 x 100 mL
aim: 0.100 % w/w total alkaloids as quinine
declared at least: 0.090 % w/w total alkaloids as quinine
due: 2027-01-20
"""
TICKS = ("The extract is dosed by its own assay", "No flame and no open element in the room")
FOUND = {
    "matter": "as is", "laboratory": "Invented Analysis", "certificate": "C-77", "method": "titration",
    "reckoned_as": "quinine", "by": "MA",
}  # fmt: skip


def bought(lab: Laboratory) -> None:
    enter_text(lab, ORDER.encode(), "order.yaml", by="MA", at=at("2026-11-19 08:00"))
    lot = Lot(
        "BEX-01", LotKind.INGREDIENT, "cinchona alkaloid extract", "bark extract", supplier="Invented Goods"
    )
    receive_lot(lab, lot, "200 g", by="TO", at=at("2026-11-19 08:10"))
    text = "38.0 % w/w ± 1.2 (k = 2)"
    enter_outside_result(
        lab, "BEX-01", marker="total alkaloids", found=text, **FOUND, at=at("2026-11-19 08:20")
    )
    release(lab, "BEX-01", meaning="certificate C-77 and label agree", by="MA", at=at("2026-11-19 08:30"))
    begin_batch(lab, "T9", "hair-tonic", "1.000 kg", order="ORD-9", by="TO", at=at("2026-11-20 08:00"))


def test_a_bought_extract_is_the_dosed_line_and_the_paper_says_how_its_content_is_known(
    tmp_path: Path,
) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        bought(lab)
        assert {one.code for one in dose_choices(lab, "T9")} == {"E1", "BEX-01"}
        done = decide_dose(lab, "T9", "BEX-01", scale="SCALE-2", by="MA", at=at("2026-11-20 08:30"))
        # 1000 g at 0.100 % hold 1.000 g; at 38.0 % that is 2.63 g of the extract.
        assert done.says.startswith("2.63 g of BEX-01")
        lines = (
            Weighed("spirit", "355 g", "SPI-01", "SCALE-1"), Weighed("glycerin", "10.00 g", "GLY-01", "SCALE-2"),
            Weighed("panthenol", "5.00 g", "PAN-01", "SCALE-2"), Weighed("extract", "2.63 g", "BEX-01", "SCALE-2"),
            Weighed("water", "627.4 g", "WAT-01", "SCALE-1"), Weighed("bulk", "995 g", "", "SCALE-1"),
        )  # fmt: skip
        do_step(lab, "T9", "blend", lines, ticks=TICKS, by="TO", at=at("2026-11-20 10:00"))
        weigh_density(
            lab, "T9", empty="38.41 g", water="138.14 g", bulk="133.12 g", temperature="20.0 °C",
            scale="SCALE-2", thermometer="THERM-1", by="MA", at=at("2026-11-20 14:00"),
        )  # fmt: skip
        fill_units(
            lab, "T9", 9, left_over="110.0 g", check_weights=("95.9 g", "96.0 g", "95.8 g"),
            packaging={"BOT-01": 9, "CAP-01": 9, "LAB-01": 9}, scale="SCALE-1", use_by="2027-03-10", by="TO",
            at=at("2026-11-20 17:00"),
        )  # fmt: skip
        with lab.look() as look:
            made = content_made(look, "T9")
            shares = {one.name: one for one in formula_of_batch(look, "T9").shares}
            facts = certificate_facts(look, "T9", standing_list(look, "T9"), suspended="-")

    assert made.content.answer.value == pytest.approx(0.0999, abs=0.0002)
    assert any("certificate C-77" in one.leaf.where for one in leaves(made.content.answer) if one.leaf)
    assert shares["cinchona alkaloid extract"].carries[0].high_percent == pytest.approx(39.2, abs=0.05)
    assert any("certificate C-77" in one for one in facts.outside)
    assert "BEX-01 was bought" in facts.residue


def test_an_order_dosed_with_a_bought_extract_is_not_worked_back_and_says_so(tmp_path: Path) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        bought(lab)
        assert "The extract is bought" in page_text(show_plan(lab, "ORD-9"))
        assert "none needed" in page_text(show_orders(lab))
        with pytest.raises(BadEntry, match="one that is bought"):
            work_back(lab, "ORD-9")
        plain = ORDER.replace("ORD-9", "ORD-10").replace("hair-tonic", "bark-extract")
        with pytest.raises(BadEntry, match="formula with a dosed line"):
            enter_text(lab, plain.encode(), "order.yaml", by="MA", at=at("2026-11-19 09:00"))
