"""An extract made here that a formula holds beside the dosed one: what it counts, its release, what it brings."""

from pathlib import Path

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.batch_content import content_made, contents_beside
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.releasing.release_facts import facts_for
from stillroom.demo.story import practice_file
from stillroom.products.formula_facts import FormulaFacts, Share
from stillroom.products.formula_lines import formula_lines
from stillroom.products.release_lines import lines_of_results
from stillroom.products.release_record import ReleaseFacts
from stillroom.records.from_yaml import procedure_from_yaml
from stillroom.substances.own import Own, OwnPlant, Stated, by_names, knowing
from tests.plain_product import RINSE, at
from tests.practice import copied, extracted_folder, opened


def test_an_extract_for_another_line_of_an_order_is_asked_for_its_own_marker_and_may_go_without(
    tmp_path: Path,
) -> None:
    lab = opened(copied(tmp_path, of=extracted_folder))
    copy_procedure(
        lab,
        "maceration",
        plant="willow bark",
        marker="salicin",
        code="willow",
        by="MA",
        at=at("2026-11-19 08:00"),
    )
    begin_batch(lab, "W1", "willow", "100 g", order="ORD-1", by="TO", at=at("2026-11-19 09:00"))
    with lab, lab.look() as look:
        assert counted_in(look, "W1").of == "salicin"
        assert counted_in(look, "E1").of == "total alkaloids"
        assert not facts_for(look, "E1").strength_by_name
    facts = ReleaseFacts("W1", {}, "", needed=("salicin, as is",), strength_by_name=True)
    assert [one.standing for one in lines_of_results(facts)] == ["undecided"]


def test_a_formula_says_what_its_other_extracts_bring_by_their_own_assays(tmp_path: Path) -> None:
    lab = opened(copied(tmp_path, of=extracted_folder))
    beside = 'lines:\n  - {name: bark, substance: cinchona alkaloid extract, percent: "1.0"}\n'
    written = RINSE.replace("lines:\n", beside).replace(": [spirit,", ": [bark, spirit,")
    write_procedure(lab, procedure_from_yaml(written), by="MA", at=at("2026-11-19 08:00"))
    begin_batch(lab, "R1", "plain-rinse", "1.000 kg", by="TO", at=at("2026-11-20 08:00"))
    lines = (
        Weighed("bark", "10.00 g", "E1", "SCALE-2"),
        Weighed("spirit", "355 g", "SPI-01", "SCALE-1"),
        Weighed("glycerin", "10.00 g", "GLY-01", "SCALE-2"),
        Weighed("water", "625 g", "WAT-01", "SCALE-1"),
        Weighed("bulk", "985 g", "", "SCALE-1"),
    )
    do_step(lab, "R1", "blend", lines, by="TO", at=at("2026-11-20 10:00"))
    with lab, lab.look() as look:
        ((counted, content),) = contents_beside(look, "R1")
        assay = look.results("E1", f"{counted}, as is")[-1].body
    assert content.answer.value == pytest.approx(10.0 * assay.value / 1000.0)
    assert content.answer.standard_uncertainty > 10.0 * assay.standard_uncertainty / 1000.0


def test_a_second_extract_of_the_active_that_is_dosed_counts_in_the_content_and_against_the_ceiling(
    tmp_path: Path,
) -> None:
    lab = opened(copied(tmp_path, of=extracted_folder))
    written = practice_file("hair-tonic.yaml").decode().replace("version: 1", "version: 2")
    beside = 'lines:\n  - {name: bark, substance: cinchona alkaloid extract, percent: "0.30"}\n'
    written = written.replace("lines:\n", beside).replace(": [spirit,", ": [bark, spirit,")
    write_procedure(lab, procedure_from_yaml(written), by="MA", at=at("2026-11-19 08:00"))
    begin_batch(lab, "T9", "hair-tonic", "1.000 kg", by="TO", order="ORD-1", at=at("2026-11-20 08:00"))
    decide_dose(lab, "T9", "E1", scale="SCALE-2", by="TO", at=at("2026-11-20 09:00"))
    with lab, lab.look() as look:
        dose_g = look.doses("T9")[-1].body.mass_g
    lines = (
        Weighed("bark", "3.00 g", "E1", "SCALE-2"),
        Weighed("extract", f"{dose_g:.2f} g", "E1", "SCALE-2"),
        Weighed("spirit", "355 g", "SPI-01", "SCALE-1"),
        Weighed("glycerin", "10.00 g", "GLY-01", "SCALE-2"),
        Weighed("panthenol", "5.00 g", "PAN-01", "SCALE-2"),
        Weighed("water", "624.4 g", "WAT-01", "SCALE-1"),
        Weighed("bulk", "995 g", "", "SCALE-1"),
    )
    do_step(
        lab, "T9", "blend", lines, by="TO", at=at("2026-11-20 10:00"), note="in a small beaker, looked at"
    )
    with lab, lab.look() as look:
        made, beside_it = content_made(look, "T9"), contents_beside(look, "T9")
        assert made
        assay = look.results("E1", f"{made.order.aim.counted}, as is")[-1].body
        bulk_g = 3.0 + dose_g + 355 + 10 + 5 + 624.4
    assert made.content.answer.value == pytest.approx((3.0 + dose_g) * assay.value / bulk_g, rel=1e-6)
    share = (assay.standard_uncertainty or 0.0) / assay.value
    assert (made.content.answer.standard_uncertainty or 0.0) / made.content.answer.value == pytest.approx(
        share, rel=0.05
    )
    assert made.judged.verdict == "over"
    assert beside_it == ()


@pytest.mark.parametrize("latin", ["Cistus creticus", "Aristolochia clematitis"])
def test_an_extract_of_a_plant_of_ones_own_is_known_by_that_plant(latin: str) -> None:
    plant = OwnPlant("velvet rose leaf", part="leaf", latin_name=latin, label_name="Velvet Leaf Extract")
    with knowing(lambda: Own(plants=by_names({plant.name: (plant, Stated(1))}))):
        for written in ("velvet rose leaf extract, percolated", "Velvet rose liquid extract"):
            lines = formula_lines(FormulaFacts((Share(written, 2.0),), "skin leave-on", "EU"))
            assert not any(one.key.startswith("unknown/") for one in lines)
            assert any(f"about {written}" in one.says for one in lines)
            stopped = any(one.about == written and one.standing == "over" for one in lines)
            assert stopped == latin.startswith("Aristolochia")
