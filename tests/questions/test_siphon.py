"""A Soxhlet is asked when it may stop: the story in full, the twins of its figures, and residues that cannot tell."""

import json
import re
from datetime import date
from pathlib import Path

import pytest

from stillroom.asking.question import answer
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.questions import declared

STORY = next(
    one
    for one in json.loads((Path(__file__).parents[1] / "reference_checks" / "stories.json").read_text())
    if one["id"] == "S4"
)
GIVEN, EXPECTED = STORY["inputs"], STORY["expect"]
ASKED = {
    "residues": "; ".join(str(one) for one in GIVEN["residue_mg"]),
    "collected": str(GIVEN["collected_g"]),
    "cycle": str(GIVEN["cycle_min"]),
    "remain": f"{GIVEN['target_remaining_pct']} %",
}


def work_out_siphon(fields):
    return answer(declared("siphon"), fields, date(2026, 11, 29)).page


def exact(**more):
    page = page_json(work_out_siphon({**ASKED, **more}))
    return {
        one["label"]: one["exact"]
        for block in page["blocks"]
        if block["block"] == "Numbers"
        for one in block["items"]
    }


def test_the_story_of_the_soxhlet_is_met_by_its_page():
    # worked example of the practice stories (reckoned twice, not outside evidence); printed to 0.01 % of itself
    found = exact()

    assert found["Each residue over the one before"] == pytest.approx(EXPECTED["ratio"], abs=5e-5)
    assert found["Still washes out"] == pytest.approx(EXPECTED["remaining_mg"], abs=0.05)
    assert found["Of all that can be washed out"] == pytest.approx(EXPECTED["remaining_pct"], abs=5e-4)
    assert found["More siphonings"] == EXPECTED["more_cycles"]
    assert found["Time they take"] == EXPECTED["more_min"]


def test_it_says_how_many_more_or_that_it_may_stop():
    not_yet = page_text(work_out_siphon(ASKED))
    enough = page_text(work_out_siphon({**ASKED, "remain": "5"}))

    assert f"Not yet: {EXPECTED['more_cycles']} more siphonings, {EXPECTED['more_min']} min" in not_yet
    assert "It may stop" in enough


def test_what_may_remain_is_told_when_nobody_said_it():
    assert "how much may remain" in page_text(work_out_siphon({**ASKED, "remain": ""}))


@pytest.mark.parametrize(
    ("fields", "kind", "says", "where"),
    [
        ({"residues": "412; 251"}, NotEnough, "at least 3", "residues"),
        ({"residues": "100; 110; 130"}, OutsideModel, "must fall", "residues"),
        ({"residues": ""}, BadEntry, "are needed", "residues"),
        ({"residues": "412; 251; lots"}, BadEntry, "lots", "residues"),
        ({"collected": "0.5"}, BadEntry, "includes these residues", "residues"),
        ({"collected": ""}, BadEntry, "is needed", "collected"),
        ({"cycle": "14 g"}, BadEntry, "14 g", "cycle"),
        ({"remain": "90"}, BadEntry, "between 0.0001 and 50", "remain"),
    ],
)
def test_bad_entries_are_told_at_their_field(fields, kind, says, where):
    with pytest.raises(kind, match=says) as caught:
        work_out_siphon({**ASKED, **fields})

    assert caught.value.where == where


def test_four_residues_that_scatter_allow_a_wide_rest_and_do_not_let_it_stop():
    # Student's t of two degrees of freedom, 4.30, on the slope of the logarithms alone gives 32 to 2980 mg; with the
    # level of the line 30 to 3290, worked out outside this code. Two draws in a hundred have no end at all, so the
    # upper end rests on the five largest of a thousand: a fifth either way.
    page = page_text(
        work_out_siphon({"residues": "310 230 100 90", "collected": "18.4 g", "cycle": "14 min"})
    )

    low, high = (float(one) for one in re.search(r"95 of 100 between (\S+) and (\S+);", page).groups())
    assert 27.0 <= low <= 32.0
    assert 0.8 * 3290.0 <= high <= 1.2 * 3290.0
    assert "first order does not hold" in page
    assert "scatter too much to tell" in " ".join(page.split())
    assert "More siphonings" not in page


def test_residues_near_the_end_of_the_scale_are_worked_out():
    page = page_text(
        work_out_siphon({"residues": "3.1 1.9 1.2 0.7", "collected": "18.4 g", "cycle": "14 min"})
    )

    assert "no upper end can be told" in page


def test_the_same_story_told_by_pipetted_samples_gives_the_same_figures():
    # 10 mL of a siphoning of 60 mL: a sixth of each residue of the story
    samples = "; ".join(f"{one / 6:.6f}" for one in GIVEN["residue_mg"])
    found = exact(residues=samples, sample="10 mL", siphoned="60 mL")

    assert found["Each residue over the one before"] == pytest.approx(EXPECTED["ratio"], abs=5e-5)
    assert found["Still washes out"] == pytest.approx(EXPECTED["remaining_mg"], abs=0.05)
    assert found["Of all that can be washed out"] == pytest.approx(EXPECTED["remaining_pct"], abs=5e-4)
    assert found["More siphonings"] == EXPECTED["more_cycles"]


def test_a_sample_without_the_volume_of_a_siphoning_is_asked_about():
    with pytest.raises(BadEntry, match="stands beside the volume of a siphoning"):
        exact(sample="10 mL")
