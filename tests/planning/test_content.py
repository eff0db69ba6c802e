"""The second answer: how sure the strength lies within declared and ceiling, once dosed by its assay."""

from dataclasses import replace
from math import erf, sqrt

import numpy as np
import pytest

from stillroom.planning import stages
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lines import asked_of
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from tests.planning.practice import (
    order,
    practice_plan,
    practice_request,
    strength,
    with_known,
    without_doubt,
)


def content_of(request: PlanRequest) -> stages.Content:
    return stages.content(asked_of(request, all_inputs(request)).only("content"))


def test_the_shares_are_whole():
    content = practice_plan().content

    total = content.share_within_percent + content.share_below_percent + content.share_above_percent
    assert total == pytest.approx(100.0, abs=1e-9)
    assert content.share_within_percent > 99.0


def test_a_poor_assay_makes_it_less_sure_by_the_normal_law():
    # Read high by more than 1/0.95 - 1 in a hundred: the content falls below what is declared.
    base = without_doubt(practice_request(), draws=20_000)
    doubtful = with_known(base, "assay to be taken", spread="normal", standard_uncertainty=5.0)
    found = content_of(doubtful)
    made_up = 1 + 0.355 * 0.9384 * 0.003  # spirit that evaporates leaves the rest a little stronger

    above = made_up * 0.100 / 0.095 - 1
    expected = 0.5 * (1 - erf(above / 0.05 / sqrt(2)))
    sampling = sqrt(expected * (1 - expected) / 20_000)
    assert found.below.mean() == pytest.approx(expected, abs=4 * sampling)


def test_a_coarse_scale_moves_the_content_in_steps():
    base = without_doubt(practice_request())
    coarse = with_known(base, "scale step", value=5.0)
    dose_g = plan(base).line("extract_g").value
    times = round(dose_g / 5.0) * 5.0 / dose_g

    found = content_of(coarse).percent / content_of(base).percent
    assert float(np.median(found)) == pytest.approx(times, rel=1e-3)


def test_each_draw_carries_the_truth_and_what_is_read():
    found = content_of(practice_request())
    draws = found.drawn.draws
    read = draws.value("assumed/assay to be taken") / 100.0

    # Read too strong, dosed too little: the content goes against the reading.
    assert np.corrcoef(found.percent, read)[0, 1] < -0.98


def test_supply_and_content_are_two_answers():
    declared_high = practice_request(order=order(at_least=strength(0.0999)))
    made = plan(declared_high)

    assert made.supply.plant_g == practice_plan().supply.plant_g
    assert made.content.share_within_percent < 70.0


def test_the_line_and_the_sentence_agree():
    made = practice_plan()

    assert made.line("share_within_percent").value == made.content.share_within_percent
    assert f"{made.content.share_within_percent:.2f} of 100 batches" in made.content.sentence


def test_the_ceiling_is_the_row_of_the_law():
    rinse_off = replace(order(), product_type="hair rinse-off")
    made = plan(practice_request(order=rinse_off))

    # Regulation (EC) 1223/2009 Annex III, 21: 0.5 % rinse-off, 0.2 % leave-on, as base. Second-hand.
    assert made.content.ceiling_percent == 0.5
    assert practice_plan().content.ceiling_percent == 0.2
