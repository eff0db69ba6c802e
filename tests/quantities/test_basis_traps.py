"""Mixed-basis traps: each is refused for the right reason, or converted to a figure worked by hand."""

import csv
import json
import re
from pathlib import Path

import pytest

from stillroom.errors import BadEntry
from stillroom.quantities.basis_words import read_basis
from stillroom.quantities.facts import ExtractYield, Facts
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.restate import restate
from stillroom.quantities.together import alike, amount_in, content, ratio, total

TRAPS = list(csv.DictReader((Path(__file__).parent / "basis_traps.csv").read_text("utf-8").splitlines()))


def facts_in(text: str) -> Facts | None:
    if not text:
        return None
    given = json.loads(text)
    table = given.get("spirit")

    def mass_fraction(volume_fraction: float, temperature_c: float) -> float:
        # A printed row, and the straight line through it and the origin beside it.
        row = next(iter(table[f"{temperature_c:g}"].items()))
        return row[1] * volume_fraction / float(row[0])

    return Facts(
        molar_mass_g_mol=given.get("molar_mass", {}),
        markers_per_formula=given.get("markers", {}),
        form_of=given.get("form_of", {}),
        loss_on_drying_mass_fraction=given.get("lod", {}),
        density_g_ml=given.get("density"),
        density_of_part_g_ml=given.get("density_part"),
        density_temperature_c=given.get("density_c"),
        spirit_mass_fraction=mass_fraction if table else None,
        extract_yield=ExtractYield(*given["yield"]) if "yield" in given else None,
        recovered_fraction=given.get("recovered"),
    )


def done(trap: dict[str, str]) -> Quantity:
    left = parse(trap["left"])
    facts, operation, right = facts_in(trap["facts"]), trap["operation"], trap["right"]
    if operation == "read":
        return left
    if operation == "convert":
        return left.to(right)
    if operation == "restate":
        return restate(left, read_basis(right), facts or Facts())
    if operation == "total":
        return total([left, parse(right)], facts)
    if operation == "content":
        return content(left, parse(right))
    return {"ratio": ratio, "alike": alike, "amount_in": amount_in}[operation](left, parse(right), facts)


def test_there_are_at_least_forty_traps_and_each_says_why_a_person_falls_into_it():
    assert len(TRAPS) >= 40
    assert len({trap["what"] for trap in TRAPS}) == len(TRAPS)
    assert all(trap["why_a_person_does_it"] and trap["worked_by_hand"] and trap["source"] for trap in TRAPS)
    assert {trap["outcome"] for trap in TRAPS} == {"refused", "value"}


@pytest.mark.parametrize("trap", [t for t in TRAPS if t["outcome"] == "refused"], ids=lambda t: t["what"])
def test_a_mixed_basis_is_refused_and_the_reason_named(trap):
    with pytest.raises(BadEntry, match=re.escape(trap["expected"])):
        done(trap)


@pytest.mark.parametrize("trap", [t for t in TRAPS if t["outcome"] == "value"], ids=lambda t: t["what"])
def test_a_mixed_basis_is_converted_to_the_figure_worked_by_hand(trap):
    number, symbol = trap["expected"].split(" ")

    found = done(trap)

    assert found.value == pytest.approx(float(number), abs=float(trap["tolerance"]))
    assert found.unit == symbol


def test_the_recovery_of_the_first_trap_says_what_it_is_reckoned_as():
    recovery = done(next(trap for trap in TRAPS if trap["what"] == "the same recovery, restated"))

    assert recovery.basis.reckoned_as == "quinine"
    assert recovery.basis.of == "total alkaloids"
