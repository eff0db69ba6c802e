"""pH by charge balance, within 0.02 of what is printed: published buffers and a computed table, told apart."""

import csv
from pathlib import Path

import pytest

from stillroom.science.solutions.acidity import solve_acidity
from stillroom.substances.acids import protolyte

PRINTED = list(csv.DictReader((Path(__file__).parent / "ph.csv").read_text().splitlines()))


def named(origin):
    return [pytest.param(one, id=one["solution"]) for one in PRINTED if one["origin"] == origin]


def found_for(printed):
    return solve_acidity(
        [protolyte(printed["protolyte"])], [float(printed["total_mol_l"])], float(printed["cations_mol_l"])
    ).ph


@pytest.mark.parametrize("printed", named("published"))
def test_a_standard_buffer_is_met_within_two_hundredths(printed):
    assert found_for(printed) == pytest.approx(float(printed["printed_ph"]), abs=0.02)


@pytest.mark.parametrize("printed", named("computed"))
def test_a_pure_acid_of_the_computed_table_is_met_within_two_hundredths(printed):
    assert found_for(printed) == pytest.approx(float(printed["printed_ph"]), abs=0.02)


def test_published_rows_and_computed_rows_are_counted_apart():
    assert len(named("published")) == 7
    assert len(named("computed")) == 21
