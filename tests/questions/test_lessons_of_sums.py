"""Acid, buffer and cooling as lessons: the tempting way gives what it really gives, the answer stands on the back."""

import json
from datetime import date
from pathlib import Path

from stillroom.asking.question import answer
from stillroom.documents.as_text import page_text
from stillroom.questions import declared

STORIES = {
    one["id"]: one["expect"]
    for one in json.loads((Path(__file__).parents[1] / "reference_checks" / "stories.json").read_text())
}
HCL = {"of": "hydrochloric acid 37 %", "want": "5 %", "amount": "1 L", "density": "1.184"}
PHOSPHATE = {"pair": "phosphate", "ph": "7.0", "total": "0.05 mol/L", "amount": "1 L"}
ACETONE = {"set-ups": "2 × acetone 123.5 W", "inlet": "31", "flow": "0.5", "hours": "6"}


def lesson(question, fields):
    return answer(declared(question), fields, date(2026, 11, 29)).lesson


def sides(page):
    front, back = " ".join(page_text(page).split()).split("Turn over")
    return front, back


def test_the_share_of_the_label_tempts_and_is_told_how_far_off_it_is():
    front, back = sides(lesson("acid", {**HCL, "basis": "w/w"}))
    wrong, right = STORIES["S3"]["c1v1"], STORIES["S3"]["ww"]

    assert f"{wrong['mL']} mL" in front
    assert f"{wrong['mol_L']}" not in front
    assert f"{wrong['mol_L']} mol/L in place of {right['mol_L']}" in back
    assert f"{right['mL']:.0f}" not in front


def test_a_strength_of_several_meanings_has_no_lesson():
    assert lesson("acid", HCL) is None


def test_grams_measured_as_millilitres_come_out_as_strong_as_the_bottle_is_heavy():
    _, back = sides(lesson("acid", {**HCL, "want": "1 mol/L"}))

    assert "1.184 mol/L in place of 1.000, 18 % too strong" in back


def test_the_constant_alone_misses_the_ph_of_a_salty_buffer():
    # equal parts of 0.025 mol/kg each give 6.865 (NIST), where the constant of the table says 7.20: 0.3 too low
    front, back = sides(lesson("buffer", {**PHOSPHATE, "ph": "7.199"}))

    assert "3.40 g of potassium dihydrogen phosphate and 3.55 g of disodium hydrogen phosphate" in front
    assert "It would be pH 6.8" in back
    assert "too low" in back


def test_the_ph_of_a_mixture_has_no_lesson():
    assert lesson("buffer", {"holds": "citric acid 10 mmol/L"}) is None


def test_forgetting_that_water_carries_heat_along_tempts_in_series():
    front, back = sides(lesson("cooling", ACETONE))
    rise = STORIES["S10"]["rise_K_each"]

    assert f"{31 + rise:.1f} °C at the last one" in front
    assert "acetone set-up 2" in back
    assert f"leaves at {31 + 2 * rise:.1f} °C" in back


def test_side_by_side_the_margin_is_what_is_forgotten():
    front, back = sides(lesson("cooling", {**ACETONE, "hoses": "parallel"}))

    assert "while its water leaves colder than the boiling point" in front
    assert "20 K below" in back
