"""A base is shaken out: the strip that cannot decide, what helps, and what the solvent carries over in portions."""

from datetime import date

import pytest

from stillroom.asking.question import answer
from stillroom.documents.as_text import page_text
from stillroom.questions import declared

ASKED = {"pka": "8.5", "partition-ratio": "60", "ph": "7.5", "water": "100 mL", "solvent": "90 mL"}


def shaken(**said):
    return answer(declared("shake"), {**ASKED, **{name.replace("_", "-"): text for name, text in said.items()}},
                  date(2026, 11, 29))  # fmt: skip


def words(**said):
    return " ".join(page_text(shaken(**said).page).split())


def test_a_strip_cannot_decide_whether_a_base_is_shaken_out():
    # D = P / (1 + 10^(pKa - pH)), left = (Va / (Va + D Vs))^n: at pH 7.5 and pKa 8.5, P 60, three of 30 mL
    found = {one: shaken(ph_by=one).found for one in ("strip", "meter", "")}
    at_7 = 1.0 - (100.0 / (100.0 + 60.0 / (1.0 + 10.0**1.5) * 30.0)) ** 3

    assert found["strip"].at_worst.value == pytest.approx(100.0 * at_7, rel=1e-9)
    assert found["meter"].at_worst.value > found["strip"].at_worst.value
    assert found[""].at_worst is None
    assert "a strip may be 0.5 off" in words()
    assert "With a strip the pH may be 0.5 lower" in words(ph_by="strip")
    assert "it cannot decide this, measure with a meter" in words(ph="8", ph_by="strip")


def test_the_advice_is_to_raise_the_ph_only_where_that_is_what_helps():
    assert "raise the pH before adding solvent" in words(ph="7.0")
    assert "raise the pH" not in words(ph="9.6")


def test_undivided_solvent_has_nothing_to_teach():
    assert shaken(portions="1").lesson is None
    assert "5.5 % stay behind, at once 17 %" in " ".join(page_text(shaken().lesson).split())
