"""The plan on arrays and the plan written as a plain loop, from the equations alone, agree to 1e-9."""

import numpy as np
import pytest

from benchmarks.plan_4096 import drawn_lists, one_by_one
from tests.planning.practice import practice_request

LISTS, FOUND = drawn_lists(practice_request(draws=256, seed=3))
BULKS, PLANTS = one_by_one(LISTS, FOUND.filling.bulk.value, 256)


def test_every_draw_needs_the_same_bulk():
    assert np.array(BULKS) == pytest.approx(FOUND.filling.bulk_each_g, rel=1e-9)


def test_every_draw_needs_the_same_plant():
    assert np.array(PLANTS) == pytest.approx(FOUND.plant_each_g, rel=1e-9)


def test_the_draws_differ():
    assert np.std(PLANTS) > 1.0
