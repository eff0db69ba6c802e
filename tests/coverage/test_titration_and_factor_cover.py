"""A titration's ± holds the truth as often as it says: 1, 2, 3 and 4 portions of a method that repeats to 2 %.

The truth, the instruments and the chemist's hands are simulated here, by equations of their own; the tool sees readings
only. Seeded; 93 to 97 of 100 are asked of a stated 95 %, or what so many tries can tell.
"""

import math
import os

import numpy as np
import pytest

from stillroom.answers.titration import total_alkaloids
from stillroom.answers.titres import Portion
from stillroom.evidence.answer import reading
from tests.coverage.limits import holds_95
from tests.long_form import some_of, studied

TRIES = int(os.environ.get("STILLROOM_TRIES", studied(600, 200, 100)))
MOLAR_G_MOL, NOMINAL_MOL_L = 309.405, 0.02
U_MASS_G, U_TITRE_ML, U_FACTOR, REPEATS = 0.0003, 0.02, 0.002, 0.02


def read(name, value, unit, u=None, cause=""):
    return reading(name, float(value), unit, "as read", standard_uncertainty=u, cause=cause)


def held(portions, seed, repeats="just so", u_mass_g=U_MASS_G, scale="", off_alike=False):
    chance = np.random.default_rng(seed)
    inside = 0
    for _ in range(TRIES):
        truth_percent = chance.uniform(5.0, 9.0)
        factor = 1.004 + U_FACTOR * chance.standard_normal()  # of the titrant in the burette, in truth
        method = REPEATS if repeats == "just so" else REPEATS * math.sqrt(8.0 / chance.chisquare(8.0))
        of_the_scale, blank_ml = u_mass_g * chance.standard_normal(), 0.35
        taken = []
        for at in range(portions):
            mass_g = 1.0 + 0.05 * chance.uniform(-1, 1)
            found_mg = 10.0 * mass_g * truth_percent * (1.0 + method * chance.standard_normal())
            titre_ml = blank_ml + found_mg / (NOMINAL_MOL_L * factor * MOLAR_G_MOL)
            off_g = of_the_scale if off_alike else u_mass_g * chance.standard_normal()
            taken.append(
                Portion(
                    read(f"mass {at}", mass_g + off_g, "g", u_mass_g, scale),
                    read(f"titre {at}", titre_ml + U_TITRE_ML * chance.standard_normal(), "mL", U_TITRE_ML),
                )
            )
        assay = total_alkaloids(
            taken,
            blank=read("blank", blank_ml + U_TITRE_ML * chance.standard_normal(), "mL", U_TITRE_ML),
            strength=read("strength", NOMINAL_MOL_L, "mol/L"),
            factor=read("factor", 1.004, "", U_FACTOR),
            loss_on_drying=None,
            way="direct",
        )
        inside += abs(assay.as_is.answer.value - truth_percent) <= assay.as_is.expanded_uncertainty
    return inside


@pytest.mark.slow
@pytest.mark.parametrize("repeats", ["just so", "known to a quarter"])
@pytest.mark.parametrize("portions", some_of([1, 2, 3, 4], 3))
def test_a_titration_holds_the_truth_95_times_in_100(portions, repeats):
    # Whether the method repeats to just the 2 % of the rule, or that is itself known to a quarter only (GUM G.4.2).
    assert holds_95(held(portions, seed=10 + portions, repeats=repeats), TRIES)


def test_portions_weighed_on_one_scale_that_is_off_hold_the_truth_95_times_in_100():
    # 3 % of a portion, alike for all three; taken as three errors of their own it holds in 79 of 100.
    assert holds_95(held(3, 7, "just so", 0.03, "samples on SCALE-1", off_alike=True), TRIES)


def test_a_titre_at_31_c_is_brought_to_20_c_as_the_factor_is():
    # Water: 0.99534 g/mL at 31 °C, 0.99820 at 20 °C (handbooks, from memory); borosilicate glass 1e-5 per kelvin. A
    # direct titration without correction reads 0.27 % high.
    given = {
        "blank": read("blank", 0.0, "mL", 0.02),
        "strength": read("strength", 0.02, "mol/L"),
        "factor": read("factor", 1.0, "", 0.001),
        "loss_on_drying": None,
        "way": "direct",
    }
    portion = [Portion(read("mass", 1.0, "g", 0.0003), read("titre", 11.0, "mL", 0.02))]
    as_read = total_alkaloids(portion, **given)
    at_20 = total_alkaloids(portion, **given, temperature=read("burette", 31.0, "°C"))

    ratio = as_read.as_is.answer.value / at_20.as_is.answer.value
    assert 100.0 * (ratio - 1.0) == pytest.approx(100 * (0.99820 / 0.99534 / (1 + 1e-5 * 11) - 1), abs=0.015)
    assert "temperature of the burette was not said" in as_read.because
    assert "temperature of the burette was not said" not in at_20.because
    assert math.isfinite(at_20.as_is.expanded_uncertainty)
