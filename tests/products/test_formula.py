"""Formulas: sums, names, scaling, ethanol and flash point."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, OutsideModel, UnknownName
from stillroom.evidence.answer import Answer, reading, rerun
from stillroom.evidence.trails import from_trail, trail
from stillroom.products.flammable import ethanol, flash_point
from stillroom.products.formula import check, scale
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.procedures import Line


def _read(name: str, value: float, unit: str) -> Answer:
    return reading(name, value, unit, f"entry 1, {name}", entry_no=1)


# An invented leave-on hair tonic: its water fills it up to 100, and it holds 35 % of a 96 % v/v spirit.
TONIC = (
    Line("water", "Aqua", None, "q.s.", "A"),
    Line("spirit", "spirit", 35.0, "", "B"),
    Line("propanediol", "propanediol", 3.0, "", "A"),
    Line("glycerol", "Glycerin", 2.0, "", "A"),
    Line("extract", "cinchona extract", None, "dosed", "B"),
    Line("solubiliser", "PEG-40 hydrogenated castor oil", 0.8, "", "B"),
    Line("panthenol", "panthenol", 0.5, "", "A"),
    Line("sodium lactate", "sodium lactate 60 %", 0.45, "", "A"),
    Line("rosemary oil", "rosemary oil", 0.2, "", "B"),
    Line("lactic acid", "lactic acid 80 %", 0.1, "", "C"),
    Line("chelant", "trisodium ethylenediamine disuccinate", 0.1, "", "A"),
)
BULK = _read("bulk", 5000.0, "g")
STEPS = {
    "": _read("step of the fine scale", 0.01, "g"),
    "spirit": _read("step of the coarse scale", 1.0, "g"),
}
DOSE = {"extract": _read("dose", 13.02, "g")}


def test_a_formula_that_its_water_fills_up_is_taken():
    formula = check(TONIC)

    assert formula.stated_percent == 42.15
    assert formula.filling_line == "water"
    assert formula.dosed_lines == ("extract",)
    assert [one.label_name for one in formula.ingredients[:2]] == ["Aqua", "Alcohol"]


def test_a_formula_of_99_8_percent_that_nothing_fills_up_is_refused_with_its_sum():
    stated = {"water": 55.85, "extract": 2.0, "rosemary oil": None}
    lines = tuple(
        Line(one.name, one.substance, stated.get(one.name, one.percent))
        for one in TONIC
        if one.name != "rosemary oil"
    )

    with pytest.raises(
        BadEntry, match=r"fills up to 100 \(q\.s\.\)\. Got none, and lines that sum to 99\.8 %"
    ):
        check(lines)


@pytest.mark.parametrize("role", ["q.s.", "dosed"])
def test_a_line_that_fills_up_or_is_dosed_states_no_share_here_nor_in_a_file(role):
    filling = Line("water", "water", None, "q.s.")
    stated = Line("extra", "glycerol", 2.0, role)
    text = f"""procedure: p
version: 1
title: t
purpose: formula
makes: m
scaled by: bulk
lines: [{{name: extra, substance: glycerol, percent: 2, role: {role}}}]
"""

    with pytest.raises(BadEntry, match=rf"A line that is {role} has no percent of its own"):
        check((stated,) if role == "q.s." else (filling, stated))
    with pytest.raises(BadEntry, match=rf"A line that is {role} has no percent of its own"):
        procedure_from_yaml(text)


def test_a_sum_is_exact_where_floats_are_not():
    lines = (*(Line(f"part {at}", "glycerol", 0.1) for at in range(10)), Line("water", "water", None, "q.s."))

    assert check(lines).stated_percent == 1.0


def test_an_unknown_ingredient_offers_the_nearest_names():
    with pytest.raises(UnknownName, match=r"'glycerrol' is not an ingredient known here.*glycerol"):
        check((Line("water", "water", None, "q.s."), Line("x", "glycerrol", 2.0)))


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        ((), "must have lines"),
        ((Line("a", "water", 100.0),), "exactly one line that fills up"),
        (
            (Line("a", "water", None, "q.s."), Line("b", "water", None, "q.s.")),
            "exactly one line that fills up",
        ),
        ((Line("a", "water", None, "q.s."), Line("a", "glycerol", 2.0)), "its own name"),
        ((Line("a", "water", None, "q.s."), Line("b", "glycerol", -2.0)), "between 0 and 100"),
        ((Line("a", "water", None, "q.s."), Line("b", "glycerol", 120.0)), "between 0 and 100"),
        ((Line("a", "water", None, "q.s."), Line("b", "glycerol", None)), "must state its share"),
        ((Line("a", "water", None, "q.s."), Line("b", "glycerol", 100.0)), "must leave something"),
    ],
)
def test_a_formula_that_cannot_be_made_is_asked_back(lines, message):
    with pytest.raises(BadEntry, match=message):
        check(lines)


def test_the_dosed_line_takes_its_share_from_the_water():
    plain = scale(check(TONIC), BULK, STEPS, {"extract": _read("dose", 100.0, "g")})
    dosed = scale(check(TONIC), BULK, STEPS, DOSE)
    by_name = {one.line.name: one.mass.value for one in dosed}

    assert by_name["extract"] == 13.02
    assert by_name["spirit"] == 1750.0
    assert by_name["water"] - next(
        one.mass.value for one in plain if one.line.name == "water"
    ) == pytest.approx(86.98)
    assert sum(by_name.values()) == pytest.approx(5000.0, abs=1e-9)
    assert all(rerun(from_trail(trail(one.mass))) == one.mass.value for one in dosed)


@given(st.floats(100.0, 50_000.0), st.floats(0.5, 60.0), st.floats(0.05, 5.0))
def test_scaled_lines_always_sum_to_the_bulk(bulk_g, spirit_percent, glycerol_percent):
    formula = check(
        (
            Line("water", "water", None, "q.s."),
            Line("spirit", "spirit", spirit_percent),
            Line("glycerol", "glycerol", glycerol_percent),
        )
    )
    scaled = scale(formula, _read("bulk", bulk_g, "g"), STEPS)

    assert sum(one.mass.value for one in scaled) == pytest.approx(bulk_g, rel=1e-12)
    assert sum(one.percent.value for one in scaled) == pytest.approx(100.0, rel=1e-12)


def test_what_is_missing_for_scaling_is_asked_for():
    formula = check(TONIC)

    with pytest.raises(BadEntry, match="dosed line 'extract' needs its mass"):
        scale(formula, BULK, STEPS)
    with pytest.raises(BadEntry, match="weighed on a scale"):
        scale(formula, BULK, {}, DOSE)
    with pytest.raises(BadEntry, match="leave something for 'water'"):
        scale(formula, BULK, STEPS, {"extract": _read("dose", 4000.0, "g")})
    with pytest.raises(BadEntry, match="above zero in grams"):
        scale(formula, _read("bulk", -1.0, "g"), STEPS, DOSE)


def test_the_ethanol_of_the_practice_tonic():
    # Invented practice case: 35.0 % of 96 % v/v spirit is printed as 32.8 % w/w, about 39.6 % v/v.
    scaled = scale(check(TONIC), BULK, STEPS, DOSE)
    found = ethanol(scaled, BULK, {"spirit": _read("strength of the spirit", 96.0, "%")})

    assert found.mass_percent.value == pytest.approx(32.8, abs=0.05)
    assert found.volume_percent.value == pytest.approx(39.6, abs=0.15)
    with pytest.raises(BadEntry, match="needs its strength"):
        ethanol(scaled, BULK, {})
    with pytest.raises(BadEntry, match="belong to a line"):
        ethanol(scaled, BULK, {"gin": _read("x", 40.0, "%")})


@pytest.mark.parametrize(
    ("strength", "printed"), [(10, 49), (20, 36), (30, 29), (40, 26), (50, 24), (60, 22), (80, 20)]
)
def test_a_published_strength_gives_its_published_flash_point(strength, printed):
    # Flash points of ethanol-water, open encyclopaedia table quoted in a safety discussion; second-hand.
    found = flash_point(_read("strength", float(strength), "%"))

    assert found.answer.value == pytest.approx(printed, abs=0.5)
    assert "No flame" in found.caution


def test_between_two_rows_the_flash_point_lies_between_them_and_outside_it_is_said():
    assert 24.0 < flash_point(_read("strength", 45.0, "%")).answer.value < 26.0
    assert flash_point(_read("strength", 5.0, "%")).answer is None
    with pytest.raises(OutsideModel, match="100"):
        flash_point(_read("strength", 101.0, "%"))
