"""A factor is asked with no laboratory: verdict, drift, days in this room, and what a wrong entry is told."""

import re
from datetime import date

import numpy as np
import pytest

from stillroom.asking.question import answer
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, UnknownName
from stillroom.questions import declared

TODAY = date(2026, 11, 25)
ASKED = {
    "titrant": "sodium hydroxide", "strength": "0.1 mol/L", "standard": "potassium hydrogen phthalate",
    "mass-1": "0.4085", "titre-1": "20.06", "mass-2": "0.4120", "titre-2": "20.22", "mass-3": "0.4061",
    "titre-3": "19.94", "blank": "0.04",
}  # fmt: skip


def work_out_factor(fields, today):
    return answer(declared("factor"), fields, today).page


def told(**more):
    fields = {name.replace("_", "-"): text for name, text in more.items()}
    return " ".join(page_text(work_out_factor({**ASKED, **fields}, TODAY)).split())


def test_three_that_agree_are_released_with_factor_and_strength():
    # the pharmacopoeias' sum for the first: 408.5 / (20.42 x 20.02) = 0.9993
    page = told()

    assert "Released: 3 replicates spread by 0.03 %, at most 0.2 %." in page
    # titre 0.05/√3 of 20.03 mL and mass 0.001/√3 of 0.4089 g, each off alike in all three, blank 0.05/√3: 0.25 %, twice
    assert "Factor 0.9994 ± 0.0050 (k = 2)" in page
    assert "mol/L" in page


@pytest.mark.parametrize(("blank", "factor"), [("0 mL", "0.9974"), ("0.01", "0.9979"), ("0.02", "0.9984")])
def test_a_blank_of_nothing_or_next_to_it_is_taken(blank, factor):
    # By hand, mean of three: 1000 m / 204.22 over (V - blank), over 0.1.
    by_hand = [
        1000 * m / 204.22 / (v - float(blank.split()[0])) / 0.1
        for m, v in ((0.4085, 20.06), (0.4120, 20.22), (0.4061, 19.94))
    ]
    assert f"{sum(by_hand) / 3:.4f}" == factor
    assert f"Factor {factor} ± 0.0050" in told(blank=blank)


def test_replicates_that_fall_apart_are_told_to_be_of_no_use():
    page = told(titre_3="20.30")

    assert "Not released: replicates spread by" in page
    assert "used for no result" in page


@pytest.mark.parametrize("name", ["KHP", "khp", "Kaliumhydrogenphthalat", "potassium biphthalate"])
def test_a_standard_is_known_by_the_names_of_its_jar(name):
    assert told(standard=name) == told()


def test_tris_is_weighed_for_an_acid():
    # By hand: 1000 × 0.2430 / 121.14 / 20.02 / 0.1 = 1.00199; the others the same.
    tris = {"standard": "Tris", "titrant": "hydrochloric acid", "blank": "0.00 mL"}
    tris |= {f"mass_{at}": "0.2430" for at in (1, 2, 3)} | {f"titre_{at}": "20.02" for at in (1, 2, 3)}

    assert "Factor 1.0020" in told(**tris)


def test_a_titrant_eleven_per_cent_off_its_name_is_not_released():
    assert "at most 10 % is allowed" in told(strength="0.09 mol/L")


def test_a_warm_room_takes_days_off_by_what_was_measured():
    # stable to day 18 at 35 °C (Kumar & Ram 2019, second-hand); set weekly, so 7 x 18 / 30 days there
    page = told(room="35")

    assert "by 2026-11-29, within 4 d" in page
    assert "from the day it was made 18 d" in page


def test_the_drift_is_told_against_the_last_factor():
    page = told(last_factor="1.0040", last_on="2026-11-11")

    assert "Since 2026-11-11 it moved by -0.46 %, no more than this factor is sure of" in page


def test_a_weak_titrant_is_made_fresh():
    page = told(strength="0.02 mol/L", mass_1="0.0817", mass_2="0.0824", mass_3="0.08122")

    assert "Below 0.1 mol/L it does not keep" in page


def test_a_weighed_titrant_is_asked_in_grams():
    page = told(strength="0.1 mol/kg")

    assert "Titrant, g" in page
    assert "± 0.01 g" in page


def test_what_is_said_of_the_instruments_narrows_the_factor():
    page = told(titre_plus_minus="0.02", scale_plus_minus="0.0004")

    assert "how sure the burette is" not in page
    # half as k says: 0.01 of 20.03 mL, 0.0002 of 0.4089 g, blank 0.01 mL, the mean 0.017 %: together 0.088 %, twice
    assert "Factor 0.9994 ± 0.0018" in page


def test_more_replicates_on_one_scale_and_one_burette_do_not_wash_out_what_these_are_off():
    four = {f"{what}-{at}": ASKED[f"{what}-{at - 3}"] for at in (4, 5, 6) for what in ("mass", "titre")}
    three, six = (work_out_factor({**ASKED, **more}, TODAY) for more in ({}, four))
    instruments = 2 * 0.9994 * ((0.05 / 20.03) ** 2 + (0.001 / 0.4089) ** 2) ** 0.5 / 3**0.5

    for asked in (three, six):
        found = re.search(r"Factor +[\d.]+ ± ([\d.]+)", page_text(asked))
        assert found is not None
        assert float(found[1]) >= instruments


def test_what_a_burette_is_off_is_held_by_the_factor_95_times_in_100():
    chance, inside = np.random.default_rng(3), 0
    for _ in range(100):
        mass = chance.uniform(0.40, 0.42, 3)
        titre = mass / 204.22 / 0.1 * 1000 * (1 + 0.0003 * chance.standard_normal(3)) + 0.04
        shown_g, shown_ml = mass + chance.uniform(-0.001, 0.001), titre + chance.uniform(-0.05, 0.05)
        entered = {f"mass-{at}": f"{one:.4f}" for at, one in enumerate(shown_g, 1)}
        entered |= {f"titre-{at}": f"{one:.3f}" for at, one in enumerate(shown_ml, 1)}
        entered["blank"] = f"{0.04 + chance.uniform(-0.04, 0.05):.3f}"
        found = re.search(
            r"Factor +([\d.]+) ± ([\d.]+)", page_text(work_out_factor({**ASKED, **entered}, TODAY))
        )
        assert found is not None
        inside += abs(float(found[1]) - 1.0) <= float(found[2])

    assert inside >= 93 - 2


@pytest.mark.parametrize(
    ("fields", "kind", "says", "where"),
    [
        ({"standard": "sodium carbonate"}, BadEntry, "weighed for an acid", "standard"),
        ({"standard": "chalk"}, UnknownName, "primary standard", "standard"),
        ({"strength": ""}, BadEntry, "nominal strength is needed", "strength"),
        ({"strength": "5 g"}, BadEntry, "mol/L, or in mol/kg", "strength"),
        ({"blank": ""}, BadEntry, "needs a blank", "blank"),
        ({"titre_2": ""}, BadEntry, "Replicate 2 needs both", "titre-2"),
        ({"mass_1": "0"}, BadEntry, "zero", "mass-1"),
        ({"room": "90"}, BadEntry, "between -5 and 55", "room"),
        ({"last_factor": "1.004"}, BadEntry, "has its day", "last-on"),
        ({"last_factor": "1.004", "last_on": "2026-12-01"}, BadEntry, "before today", "last-on"),
        ({"last_factor": "9", "last_on": "2026-11-01"}, BadEntry, "near 1", "last-factor"),
    ],
)
def test_bad_entries_are_told_at_their_field(fields, kind, says, where):
    with pytest.raises(kind, match=says) as caught:
        told(**fields)

    assert caught.value.where == where
