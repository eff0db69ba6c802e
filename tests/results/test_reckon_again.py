"""A corrected reading is named in every result that rests on it, and the result is reckoned again."""

from dataclasses import replace

import pytest

from stillroom.answers.drying import loss_on_drying
from stillroom.answers.reckon_again import readings_in, superseded, with_new_readings
from stillroom.errors import BadEntry
from stillroom.evidence.answer import leaves, reading, rerun
from stillroom.evidence.trails import trail


def _weighed(name, value, entry_no):
    return reading(
        name, value, "g", f"entry {entry_no}, {name}", entry_no=entry_no, standard_uncertainty=0.001
    )


EMPTY, LOADED = _weighed("dish, empty", 40.0, 1), _weighed("dish with bark", 43.0, 2)
DRIED = [_weighed("dish after drying 1", 42.717, 3), _weighed("dish after drying 2", 42.715, 4)]
LOSS = loss_on_drying(EMPTY, LOADED, DRIED).answer


def test_a_result_names_the_entries_it_rests_on():
    assert readings_in(LOSS) == (1, 2, 4)


def test_a_correction_of_a_used_reading_is_found_in_the_answer_and_in_its_trail():
    for result in (LOSS, trail(LOSS)):
        found = superseded(result, {2: 7, 7: 9, 30: 31})

        assert [(one.name, one.entry_no, one.corrected_by) for one in found] == [("dish with bark", 2, 9)]
        assert "entry 2" in found[0].says


def test_a_correction_of_something_else_leaves_the_result_standing():
    assert superseded(LOSS, {3: 7}) == ()


def test_corrections_in_a_circle_are_refused():
    with pytest.raises(BadEntry, match="circle"):
        superseded(LOSS, {2: 7, 7: 2})


def test_the_result_reckoned_again_is_what_the_new_reading_gives():
    new = _weighed("dish with bark", 43.5, 7)
    old = next(one for one in leaves(LOSS) if one.leaf.entry_no == 2)
    again = with_new_readings(LOSS, {old.key: new})

    expected = loss_on_drying(EMPTY, new, DRIED).answer
    assert again.value == expected.value
    assert again.standard_uncertainty == pytest.approx(expected.standard_uncertainty, rel=1e-12)
    assert rerun(again) == again.value
    assert readings_in(again) == (1, 4, 7)
    assert LOSS.value == pytest.approx(9.5)


def test_a_new_reading_of_something_else_or_in_another_unit_is_refused():
    old = next(one for one in leaves(LOSS) if one.leaf.entry_no == 2)

    with pytest.raises(BadEntry, match="must be in the trail"):
        with_new_readings(LOSS, {"0" * 20: EMPTY})
    with pytest.raises(BadEntry, match="unit of the old one"):
        with_new_readings(LOSS, {old.key: replace(EMPTY, unit="kg")})
