"""Every combination of what can be seen, and no positive without valid controls."""

from itertools import product

import pytest

from stillroom.answers.control_test import SEEN, read_control_test
from stillroom.errors import BadEntry, UnknownName

DATES = {"in date": "2026-06-30", "on the last day": "2026-03-14", "past": "2026-03-13", "none": None}
TESTED_ON = "2026-03-14T10:00:00+01:00"


def _read(**changes):
    given = {
        "sample": "precipitate",
        "blank": "clear",
        "positive_control": "precipitate",
        "reagent_released": True,
        "reagent_use_by": DATES["in date"],
        "tested_on": TESTED_ON,
    } | changes
    return read_control_test("dragendorff", **given)


def test_no_combination_gives_a_verdict_without_valid_controls():
    verdicts = {"present": 0, "absent": 0, "unclear": 0, "no result": 0}
    for sample, blank, positive, released, date in product(SEEN, SEEN, SEEN, (True, False), DATES):
        found = _read(
            sample=sample,
            blank=blank,
            positive_control=positive,
            reagent_released=released,
            reagent_use_by=DATES[date],
        )
        valid = (
            blank == "clear"
            and positive == "precipitate"
            and released
            and date in ("in date", "on the last day")
        )
        expected = (
            {"precipitate": "present", "clear": "absent", "unclear": "unclear", "not done": "no result"}[
                sample
            ]
            if valid
            else "no result"
        )
        assert found.outcome == expected
        assert found.counts is (expected != "no result")
        assert found.because.endswith(".")
        assert bool(found.caution) is (expected == "no result")
        verdicts[found.outcome] += 1

    assert verdicts == {"present": 2, "absent": 2, "unclear": 2, "no result": 4 * 4 * 4 * 2 * 4 - 6}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"blank": "not done"}, "There was no blank"),
        ({"blank": "precipitate"}, "not clean"),
        ({"positive_control": "not done"}, "no positive control"),
        ({"positive_control": "clear"}, "void, not negative"),
        ({"reagent_use_by": DATES["past"]}, r"past its use-by date (2026-03-13)"),
        ({"reagent_use_by": None}, "has no use-by date"),
        ({"reagent_released": False}, "is not released"),
        ({"sample": "not done"}, "sample was not tested"),
    ],
)
def test_the_sentence_names_what_made_the_test_void(change, said):
    assert said in _read(**change).because


def test_the_lore_names_what_deceives_and_what_hides():
    lore = " ".join(_read().lore)

    assert "proteins" in lore
    assert "caffeine" in lore
    assert "second reagent" in lore


def test_a_variant_carries_the_lore_of_its_reagent():
    found = read_control_test(
        "dragendorff-tartaric",
        sample="clear",
        blank="clear",
        positive_control="precipitate",
        reagent_released=True,
        reagent_use_by="2026-06-30",
        tested_on="2026-03-14",
    )

    assert "proteins" in found.lore[0]
    assert "caffeine" in found.lore[1]


def test_words_and_names_that_are_not_known_are_asked_back():
    with pytest.raises(BadEntry, match="must be one of precipitate"):
        _read(sample="+")
    with pytest.raises(BadEntry, match="year-month-day"):
        _read(tested_on="today")
    with pytest.raises(UnknownName, match="dragendorff"):
        read_control_test(
            "dragendorf",
            sample="clear",
            blank="clear",
            positive_control="precipitate",
            reagent_released=True,
            reagent_use_by="2026-06-30",
            tested_on="2026-03-14",
        )
