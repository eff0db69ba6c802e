"""A loss on drying holds the truth as often as its ± says, with the scatter between portions and without."""

import numpy as np
import pytest

from stillroom.answers.budget import spread_leaf
from stillroom.answers.drying import loss_on_drying
from stillroom.evidence.answer import reading

TRIES = 1500
U_G = 0.001


@pytest.mark.parametrize("between_portions_percent", [0.0, 0.3])
def test_a_loss_on_drying_holds_the_truth_95_times_in_100(between_portions_percent):
    chance, held = np.random.default_rng(51), 0
    for _ in range(TRIES):
        sample_g, truth = chance.uniform(2.0, 5.0), chance.uniform(5.0, 14.0)
        seen = truth + between_portions_percent * chance.standard_normal()
        masses = (40.0, 40.0 + sample_g, 40.0 + sample_g * (1.0 - seen / 100.0))
        empty, loaded, dried = (
            reading(name, mass + U_G * chance.standard_normal(), "g", "as read", standard_uncertainty=U_G)
            for name, mass in zip(("dish", "dish with sample", "dried"), masses, strict=True)
        )
        spread = spread_leaf(
            "between portions", 0.0, "%", "before", standard_uncertainty=between_portions_percent
        )
        stated = loss_on_drying(empty, loaded, [dried], method_difference=spread).stated
        held += abs(stated.answer.value - truth) <= stated.expanded_uncertainty

    assert 0.93 <= held / TRIES <= 0.97
