"""The scale is found in every draw, with a fixed loss, and where no scale serves that is said."""

import numpy as np
import pytest

from stillroom.errors import OutsideModel
from stillroom.stream.components import MARKER
from stillroom.stream.scale import solve_for_scale
from tests.stream.practice import extraction


def test_each_draw_gets_its_own_scale():
    yields = np.array([0.05, 0.06, 0.10])
    scale = solve_for_scale(lambda one: yields * one - 0.15 - 5.0, np.full(3, 80.0))

    assert scale == pytest.approx((5.0 + 0.15) / yields, rel=1e-12)


def test_a_bent_surplus_is_solved_too():
    scale = solve_for_scale(lambda one: one**1.3 - 40.0, np.full(2, 5.0))

    assert scale == pytest.approx(40.0 ** (1 / 1.3), rel=1e-10)


def test_the_stream_gives_just_what_was_asked_at_the_solved_scale():
    wanted = np.array([1.0, 5.0, 15.0, 80.0])
    scale = solve_for_scale(
        lambda one: extraction(one, 4).outs["extract"][MARKER] - wanted, np.full(4, 100.0)
    )

    assert extraction(scale, 4).outs["extract"][MARKER] == pytest.approx(wanted, rel=1e-9)
    assert np.all(np.diff(scale / wanted) < 0)


def test_where_more_does_not_give_more_that_is_said():
    with pytest.raises(OutsideModel, match="More must give more"):
        solve_for_scale(lambda one: np.full_like(one, -1.0), np.full(2, 10.0))
