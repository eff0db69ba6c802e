"""How many rows of print stand in each file of checks: published and computed ones apart, as the page of checks tells.

A row is computed when its source reckoned it (from the same equation as ours, or by an open library); all others are
published: printed or measured by somebody. Every row must be held to something by a test beside this one.
"""

import csv
import json
import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "checks.md"
COMPUTED_FILES = {"water.csv": "by two open implementations", "solvents.csv": "by an open library"}
"""Files whose every row was computed by somebody's program; hazard classes are words of the law."""
COMPUTED_WORDS = ("same equation", "computed")
READ_BY = {
    "density_and_strength.csv": "test_spirit_against_print.py",
    "dilution_table.csv": "test_spirit_against_print.py",
    "mixing.csv": "test_spirit_against_print.py",
    "handbook_density.csv": "test_spirit_against_print.py",
    "boiling.csv": "test_spirit_against_print.py",
    "boiling_at_30_c.csv": "test_spirit_against_print.py",
    "recovery.csv": "test_spirit_against_print.py",
    "water.csv": "test_spirit_against_print.py",
    "solvents.csv": "test_solvents_against_print.py",
    "acid_densities.csv": "test_acids_against_print.py",
    "acid_bottles.csv": "test_acids_against_print.py",
    "ph.csv": "test_ph_against_print.py",
}
"""Each file of liquids and reagents, and the test that reads all of it."""


def counted(name):
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    if name in COMPUTED_FILES:
        words = sum(one.get("property") == "hazard_class" for one in found)
        return words, len(found) - words
    made = sum(
        any(one.get(column) == word for word in COMPUTED_WORDS for column in ("seen", "origin"))
        for one in found
    )
    return len(found) - made, made


def told():
    line = re.compile(r"\| `([a-z0-9_]+\.csv)` \|[^|]*\| (\d+) \| (\d+) \|")
    return {hit[1]: (int(hit[2]), int(hit[3])) for hit in line.finditer(PAGE.read_text(encoding="utf-8"))}


@pytest.mark.parametrize("name", READ_BY)
def test_the_page_of_checks_tells_how_many_rows_there_are(name):
    assert told()[name] == counted(name)


@pytest.mark.parametrize(("name", "test"), READ_BY.items())
def test_a_file_of_rows_is_read_by_its_test(name, test):
    assert f'"{name}"' in (HERE / test).read_text(encoding="utf-8")


def test_the_page_of_checks_adds_its_rows_up():
    published, computed = (sum(counted(name)[at] for name in READ_BY) for at in (0, 1))
    text = PAGE.read_text(encoding="utf-8")

    assert f"{published} published and {computed} computed rows" in text


@pytest.mark.parametrize("name", ["condensers.json", "hcl_worked_example.json", "oiml_r22.json"])
def test_a_worked_example_is_on_the_page_of_checks(name):
    assert json.loads((HERE / name).read_text(encoding="utf-8"))
    assert f"`{name}`" in PAGE.read_text(encoding="utf-8")
