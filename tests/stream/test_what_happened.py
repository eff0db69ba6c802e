"""The account of what happened: in, out, lost by name, and the grams nobody can explain."""

import json
from pathlib import Path

import pytest

from stillroom.errors import BadEntry
from stillroom.stream.happened import what_happened

STORY = next(
    one
    for one in json.loads((Path(__file__).parents[1] / "reference_checks/stories.json").read_text())
    if one["id"] == "S12"
)


def test_the_extract_of_the_story_leaves_its_unexplained_grams():
    # Story S12 (worked example, computed there).
    given = STORY["inputs"]
    account = what_happened({"E1": given["extract_lot_g"]}, {**given["used_g"], "shelf": given["shelf_g"]})

    assert account.unexplained_g == pytest.approx(STORY["expect"]["unexplained_g"], abs=0.005)
    found = 100 * account.unexplained_fraction
    assert found == pytest.approx(STORY["expect"]["unexplained_pct_of_lot"], abs=0.005)
    assert "0.34 g (0.87 %) is unexplained" in account.sentence


def test_named_losses_explain():
    account = what_happened(
        {"bark": 250.0, "spirit": 4428.0}, {"percolate": 4300.0}, {"marc": 370.0, "spilt": 8.0}
    )

    assert account.unexplained_g == pytest.approx(0.0)
    assert account.lost_g == 378.0


def test_more_out_than_in_is_said_plainly():
    account = what_happened({"in": 10.0}, {"out": 10.5})

    assert "0.50 g more came out than went in" in account.sentence


def test_a_negative_mass_is_refused_by_name():
    with pytest.raises(BadEntry, match="shelf: -1 g"):
        what_happened({"in": 10.0}, {"shelf": -1.0})


def test_nothing_in_is_refused():
    with pytest.raises(BadEntry, match="must have gone in"):
        what_happened({}, {"out": 1.0})
