"""The page of a dose says of the whole formula what its release will say."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.orders.amounts_planned import planned
from stillroom.actions.products.formula_made import formula_dosed, formula_of_batch
from stillroom.documents.as_json import page_json
from stillroom.pages.dose import show_dose
from stillroom.products.formula_lines import formula_lines
from tests.practice import copied, extracted_folder, opened


def test_the_dose_page_weighs_the_formula_as_the_release_will(told: Laboratory) -> None:
    with told.look() as look:
        made = formula_of_batch(look, "T1")
        weighed = next(one for one in made.shares if one.name == "cinchona alkaloid extract")
        before = formula_dosed(look, "T1", "E1", weighed.percent)
    standing = [
        {one.key: one.standing for one in formula_lines(replace(one, on_label=()))} for one in (made, before)
    ]

    assert standing[0] == standing[1]
    assert "ceiling/quinine" in standing[1]


def test_an_ingredient_over_its_ceiling_stands_open_on_the_dose_page_before_anything_is_weighed(
    tmp_path: Path,
) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        with lab.look() as look:
            formula = look.procedure("hair-tonic")
        lines = tuple(
            replace(one, substance="phenoxyethanol", percent=1.4) if one.name == "panthenol" else one
            for one in formula.lines
        )
        write_procedure(lab, replace(formula, version=formula.version + 1, lines=lines), by="MA")
        begin_batch(lab, "T5", "hair-tonic", "1.000 kg", order="ORD-1", by="TO")
        text = json.dumps(page_json(show_dose(lab, "T5", extract="E1", scale="SCALE-2")), ensure_ascii=False)

    # Annex V, entry 29: at most 1.0 % of phenoxyethanol (an export of the annexes, second-hand).
    assert "what its release will stop at" in text
    assert "1.40 % of the product is over the 1 %" in text
    assert "Preservation" in text


def test_no_water_is_planned_that_would_leave_the_extract_no_room(tmp_path: Path, told: Laboratory) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        begin_batch(lab, "T5", "hair-tonic", "1.000 kg", order="ORD-1", by="TO")
        with lab.look() as look:
            found = planned(look, "T5")
    with told.look() as look:
        dosed, whole_g = planned(look, "T1"), look.batch("T1").scale_g

    assert {line for _, line in found.grams}.isdisjoint({"water", "extract"})
    assert found.grams["blend", "spirit"] == pytest.approx(355.0)
    assert "once the dose is decided: extract, water" in found.taken_with[-1]
    taken = [dosed.grams["blend", one] for one in ("spirit", "glycerin", "panthenol", "extract", "water")]
    assert sum(taken) == pytest.approx(whole_g)
