"""Every slip of a question is told at once, each at its field; what hangs on a slip is not told besides."""

import re
from datetime import date

import pytest

from stillroom.asking.question import answer
from stillroom.errors import StillroomError
from stillroom.questions import VERBS, declared
from stillroom.records.sections import SeveralBadEntries

TODAY = date(2026, 11, 29)
HANGED_ON = {"strength": "0.1 mol/L", "of": "hydrochloric acid 37 %"}
"""Entries that tell how another is read."""


@pytest.mark.parametrize("name", VERBS)
def test_whatever_is_needed_is_asked_for_at_once(name):
    with pytest.raises(StillroomError) as told:
        answer(declared(name), {"open": "it"}, TODAY)

    errors = getattr(told.value, "errors", (told.value,))
    entries = declared(name).asks.said.entries()
    needed = [
        one.name for one in entries if one.needed or one.name == "have"
    ]  # a bottle may stand in its place
    numbered = {
        one for one in needed if re.search(r"-[2-9]$|-[1-9]-", one)
    }  # a line nobody began is told once
    hanging = {"titre-1"}  # in a line whose mass is told; its unit is that of a strength nobody said
    assert {one.where for one in errors} == set(needed) - numbered - hanging
    assert told.value.sentence.count("\n") == len(errors) - 1


@pytest.mark.parametrize("name", VERBS)
def test_a_figure_in_a_unit_that_is_none_is_told_at_its_field(name):
    question = declared(name)
    figures = [one for one in question.asks.said.entries() if one.reads.kind == "figure" and one.reads.unit]

    assert figures
    for one in figures:
        with pytest.raises(StillroomError) as told:
            answer(question, {**HANGED_ON, one.name: "12 parsecs"}, TODAY)
        assert one.name in [each.where for each in getattr(told.value, "errors", (told.value,))]


def test_a_line_of_which_one_half_is_missing_says_which_line():
    asked = {
        "strength": "0.1 mol/kg",
        "mass-1": "0.41",
        "titre-1": "20 g",
        "titre-4": "20.1 g",
        "mass-5": "x",
    }
    with pytest.raises(SeveralBadEntries) as told:
        answer(declared("factor"), asked, TODAY)

    wrong = {one.where: one.must for one in told.value.errors}
    assert wrong["mass-4"] == "Replicate 4 needs both: standard weighed, titrant used"
    assert "mass-5" in wrong
    assert "titre-5" in wrong
    assert "mass-1" not in wrong


def test_what_is_said_in_place_of_the_rest_asks_for_nothing_else():
    found = answer(declared("buffer"), {"holds": "citric acid 10 mmol/L", "pair": "phosphate"}, TODAY)

    assert found.page.title.startswith("pH ")
    assert found.lesson is None
    assert found.unsaid == ()
