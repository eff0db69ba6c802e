"""Formulas as a person writes them, each with the verdict that its rule's own figure asks for.

``formulas.csv``: the column "because" reckons each from the row of the annex (second-hand or recalled, as ``limits_eu``
says of it) with molar masses worked out by hand, never from what the code gives.
"""

import csv
import re
from pathlib import Path

import pytest

from stillroom.products.check_lines import gravest
from stillroom.products.formula_facts import Carried, FormulaFacts, Share
from stillroom.products.formula_lines import formula_lines

FORMULAS = list(csv.DictReader((Path(__file__).parent / "formulas.csv").read_text().splitlines()))
BASES = {
    "oil": (("sunflower oil", None),),
    "water": (("water", None),),
    "tonic": (("spirit 96 %", 30.0), ("water", None)),
    "gel": (("xanthan gum", 0.3), ("phenoxyethanol", 0.8), ("water", None)),
}
LINE = re.compile(r"(?P<name>.+?) (?P<percent>[\d.]+)(?: \[(?P<of>.+) (?P<holds>[\d.]+)\])?")
VERDICT = {"over": "over", "undecided": "undecided", "cannot be seen here": "lawful", "within": "lawful"}


def facts_of(row: dict[str, str]) -> FormulaFacts:
    shares = []
    for written in row["lines"].split("; "):
        found = LINE.fullmatch(written)
        carries = (Carried(found["of"], float(found["holds"]), float(found["holds"])),) if found["of"] else ()
        shares.append(Share(found["name"], float(found["percent"]), carries=carries))
    base = [Share(name, percent) for name, percent in BASES[row["base"]]]
    left = 100.0 - sum(one.percent or 0.0 for one in (*shares, *base))
    whole = [one if one.percent is not None else Share(one.name, left) for one in base]
    name, _, purpose = row["purpose"].partition("=")
    return FormulaFacts(
        (*whole, *shares),
        row["kind"],
        ph=float(row["ph"]) if row["ph"] else None,
        words={"name": row["words"]} if row["words"] else {},
        on_label=(row["on_label"],) if row["on_label"] else (),
        purposes={name: purpose} if name else {},
    )


@pytest.mark.parametrize("row", FORMULAS, ids=lambda one: one["formula"])
def test_a_formula_gets_the_verdict_of_its_own_row(row):
    lines = formula_lines(facts_of(row))
    deciding = {one.key: one.standing for one in lines}

    assert VERDICT[gravest(lines)] == row["expected"], [one.says for one in lines if one.standing != "within"]
    assert row["decides"] in deciding, deciding
    if row["expected"] != "lawful":
        assert deciding[row["decides"]] == row["expected"]


def test_there_are_eighty_and_every_verdict_occurs():
    assert len(FORMULAS) >= 80
    assert {one["expected"] for one in FORMULAS} == {"lawful", "over", "undecided"}
    assert len({one["formula"] for one in FORMULAS}) == len(FORMULAS)


@pytest.mark.parametrize("row", FORMULAS[:40], ids=lambda one: one["formula"])
def test_capitals_and_the_order_of_lines_change_no_verdict(row):
    facts = facts_of(row)
    shouted = FormulaFacts(
        tuple(Share(one.name.upper(), one.percent, carries=one.carries) for one in reversed(facts.shares)),
        facts.product_kind.upper(),
        ph=facts.ph,
        words=facts.words,
        on_label=facts.on_label,
        purposes=facts.purposes,
    )

    assert {
        one.key: one.standing for one in formula_lines(facts) if "/" in one.key and "unknown" not in one.key
    } == {
        one.key: one.standing for one in formula_lines(shouted) if "/" in one.key and "unknown" not in one.key
    }
