"""Solve for the scale: how much to start with, so that in each draw just enough comes out.

Promises that the surplus is zero within 1e-12 of the scale, in every draw. The surplus must rise with the
scale.
"""

from collections.abc import Callable

import numpy as np

from stillroom.errors import OutsideModel, worded
from stillroom.stream.components import Array

CLOSE_ENOUGH = 1e-12
ROUNDS = 60


def solve_for_scale(surplus_g: Callable[[Array], Array], start_g: Array) -> Array:
    """The scale at which every draw gives just what is asked.

    Parameters
    ----------
    surplus_g : callable
        Scale, one for each draw, to what comes out less what is asked. [g]
    start_g : array
        Where to begin looking, above zero. [g]

    Returns
    -------
    array
        Scale, one for each draw. [g]

    Raises
    ------
    OutsideModel
        No scale gives what is asked: more plant does not give more.

    Notes
    -----
    Secants in all draws at once. A fixed loss makes the surplus straight but not proportional, so that two
    rounds do.
    """
    before = np.asarray(start_g, dtype=np.float64)
    gave = surplus_g(before)
    scale = before * 1.25
    for _ in range(ROUNDS):
        gives = surplus_g(scale)
        apart = scale - before
        slope = np.where(apart != 0.0, (gives - gave) / np.where(apart != 0.0, apart, 1.0), 1.0)
        settled = np.abs(gives) <= CLOSE_ENOUGH * np.abs(slope) * scale
        if settled.all():
            return scale
        if not np.all(slope[~settled] > 0):
            raise OutsideModel("More must give more, or no scale can be found", "a step that gives nothing")
        step = np.where(settled, 0.0, gives / np.where(slope > 0, slope, 1.0))
        before, gave = np.where(settled, before, scale), np.where(settled, gave, gives)
        scale = np.maximum(scale - step, scale * 1e-3)
        if np.all(np.abs(step) <= CLOSE_ENOUGH * scale):
            return scale
    raise OutsideModel(
        "A scale that gives just enough must be found", worded("none in {rounds} rounds", rounds=ROUNDS)
    )
