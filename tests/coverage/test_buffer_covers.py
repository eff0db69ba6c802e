"""The pH of a buffer weighed on a coarse scale holds the truth as often as its ± says; a litre of it is surer.

The two weighings and the error of the constants are simulated here; the tool is asked once and sees the plan only.
"""

import numpy as np
import pytest

from stillroom.answers.buffer_weighed import buffer_ph, instrument_error, weighed
from stillroom.evidence.answer import reading
from stillroom.substances.acids import buffer_pair

TRIES = 600
STEP_G = 0.01


def asked(volume_ml):
    return weighed(
        buffer_pair("phosphate"),
        reading("pH", 7.0, "", "as asked", basis="at 25 °C"),
        reading("total", 0.05, "mol/L", "as asked"),
        reading("volume", volume_ml, "mL", "as asked"),
        instrument_error("strip"),
        None,
        reading("readability of the scale", STEP_G, "g", "as asked"),
    )


@pytest.mark.parametrize(("volume_ml", "half"), [(10.0, 0.15), (1000.0, 0.023)])
def test_the_ph_of_a_weighed_buffer_is_as_sure_as_its_scale_and_its_constants(volume_ml, half):
    # 10 mL on a 0.01 g scale: 0.15 by hand, from u = 0.01 / sqrt 6 of 0.029 g and 0.041 g, over ln 10.
    found = asked(volume_ml)
    chance = np.random.default_rng(31)
    limits = STEP_G / 2.0
    inside = 0
    for _ in range(TRIES):
        acid_g, base_g = (
            mass.value + chance.uniform(-limits, limits) + chance.uniform(-limits, limits)
            for mass in (found.acid_form, found.base_form)
        )
        acid_mol, base_mol = acid_g / 136.086, base_g / 141.958  # KH2PO4 and Na2HPO4
        both = acid_mol + base_mol
        truth = buffer_ph(base_mol / both, 1000.0 * both / volume_ml, pair="phosphate") + chance.uniform(
            -0.02, 0.02
        )
        low, high = found.expected.interval or (
            found.expected.answer.value - found.expected.expanded_uncertainty,
            found.expected.answer.value + found.expected.expanded_uncertainty,
        )
        inside += low <= truth <= high

    assert found.expected.expanded_uncertainty == pytest.approx(half, rel=0.2)
    assert 0.93 <= inside / TRIES <= 0.975
