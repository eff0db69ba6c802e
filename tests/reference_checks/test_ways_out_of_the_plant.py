"""Soxhlet, infusion, steam and maceration against figures others have printed.

Each check names its source and how it was seen. Checks reckoned from a cited formula by somebody else guard
against slips only; they say "same equation". No time-yield table of a Soxhlet was found in print: its laws are
tested on the story and on flow-through curves, which is not the same.
"""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from stillroom.science.extraction.siphoning import (
    condensate_ml_per_min,
    siphon_ratio,
    siphonings_needed,
    soxhlet_split,
    soxhlet_tail,
)
from stillroom.science.extraction.steaming import oil_by_volume_ml_per_100g, oil_per_water_g_g
from stillroom.science.extraction.uptake import (
    share_not_yet_out,
    time_at_temperature_min,
    uptake_time_from_share_min,
)
from stillroom.science.heat.distilling import latent_heat_j_g
from stillroom.substances.spirits import (
    ethanol_water_boiling,
    ethanol_water_heats,
    oiml_r22,
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_volume_fraction_20c,
)

HERE = Path(__file__).parent
STORY = next(one for one in json.loads((HERE / "stories.json").read_text()) if one["id"] == "S4")


def test_the_story_of_the_soxhlet_that_is_nearly_done():
    # worked example of the practice stories (reckoned twice, not outside evidence); printed to 0.01 % of itself
    given, expected = STORY["inputs"], STORY["expect"]
    tail = soxhlet_tail(
        given["residue_mg"], given["collected_g"], given["cycle_min"], given["target_remaining_pct"] / 100
    )

    assert tail.ratio == pytest.approx(expected["ratio"], abs=5e-5)
    assert tail.remaining_mass_mg == pytest.approx(expected["remaining_mg"], abs=0.05)
    assert 100 * tail.remaining_share == pytest.approx(expected["remaining_pct"], abs=5e-4)
    assert tail.more_cycles == expected["more_cycles"]
    assert tail.more_minutes == expected["more_min"]


RICHER = pytest.mark.xfail(
    strict=True,
    reason="the vapour of the 1932 table lies up to 0.017 mole fraction below later data, ours does not",
)


@pytest.mark.parametrize(
    ("poured_ml", "poured", "held_ml", "where", "printed", "allowed"),
    [
        (300.0, 70.0, 100.0, "flask", 62.948, 0.6),
        pytest.param(300.0, 70.0, 100.0, "thimble", 83.854, 0.6, marks=RICHER),
        (250.0, 96.0, 80.0, "flask", 95.935, 0.4),
        (250.0, 96.0, 80.0, "thimble", 96.138, 0.4),
    ],
)
def test_a_watery_spirit_runs_at_several_strengths(poured_ml, poured, held_ml, where, printed, allowed):
    # vapour table of Carey and Lewis 1932 (second-hand) with a balance; 0.6 and 0.4 % v/v as that source allows
    fraction = spirit_mass_fraction(poured / 100)
    mass_g = poured_ml * spirit_density_kg_m3(fraction, 20.0) / 1000
    split = soxhlet_split(mass_g, fraction, held_ml, oiml_r22(), ethanol_water_boiling())
    found = split.flask_mass_fraction if where == "flask" else split.thimble_mass_fraction

    assert 100 * spirit_volume_fraction_20c(found) == pytest.approx(printed, abs=allowed)


def test_a_70_percent_flask_gives_no_more_than_about_86_percent():
    # a simple still starting from 70 % v/v never gives more than about 86 % v/v (first vapour 85.5, Carey and
    # Lewis 1932, second-hand)
    split = soxhlet_split(300.0, spirit_mass_fraction(0.70), 50.0, oiml_r22(), ethanol_water_boiling())

    assert 100 * spirit_volume_fraction_20c(split.first_vapour_mass_fraction) == pytest.approx(85.5, abs=0.6)


def test_a_mantle_of_150_watts_fills_a_60_ml_thimble_five_times_an_hour():
    # same equation, with latent heats of 38.6 and 40.65 kJ/mol: 4.9053 mL/min; 2 % as that source allows
    vapour = spirit_mass_fraction(0.83668)
    latent = latent_heat_j_g(vapour, ethanol_water_heats())
    found = condensate_ml_per_min(150.0, 0.6, 10.0, latent, spirit_density_kg_m3(vapour, 20.0) / 1000)

    assert found == pytest.approx(4.9053, rel=0.02)


def test_four_siphonings_wash_all_but_a_hundredth_out():
    # same equation: 85 mL at the siphon point, 25 mL kept, no hold: 3.7631
    assert siphonings_needed(0.01, siphon_ratio(85.0, 25.0)) == pytest.approx(3.7631, rel=0.002)


def test_bromobenzene_goes_over_with_steam_as_printed():
    # Vogel, Practical organic chemistry (from memory): at 95.3 °C 119 and 641 mmHg, M 157: 61.8 % by weight
    ratio = oil_per_water_g_g(119.0, 641.0, 157.0)

    assert 100 * ratio / (1 + ratio) == pytest.approx(61.8, abs=0.5)


def test_oil_in_the_arm_is_the_layer_less_the_xylene():
    # WHO, Quality control methods 1998, chapter 10 (second-hand); figures by the same equation
    assert oil_by_volume_ml_per_100g(0.52, 0.30, 30.0) == pytest.approx(0.73333, rel=0.002)


def test_caffeine_of_tea_leaves_more_slowly_at_60_degrees():
    # Jaganyi and Price 1999 (abstract, second-hand): 0.99 /min at 80 °C, 40.3 kJ/mol; 0.43431 /min at 60 °C is
    # the same equation
    slower_min = time_at_temperature_min(1 / 0.99, 80.0, 60.0, 40.3)

    assert 1 / slower_min == pytest.approx(0.43431, rel=0.01)


def test_petitgrain_oil_is_nearly_over_after_150_minutes():
    # Ellouze and Abderrabba 2014 (abstract, second-hand): 95 % of the oil at 150 min; 0.019972 /min follows
    assert 1 / uptake_time_from_share_min(150.0, 0.95) == pytest.approx(0.019972, rel=0.005)


def test_lemongrass_oil_after_two_hours():
    # Baou and others 2022 (abstract, second-hand): 0.0087 /min and 0.89 % at last; 0.57668 % same equation
    left = share_not_yet_out(120.0, 0.0, 0.0, 1 / 0.0087)

    assert 0.89 * (1 - left) == pytest.approx(0.57668, rel=0.002)


def test_two_sites_give_up_as_the_cited_form_says():
    # So and Macdonald 1986 form (from memory), same equation: 70.367 of 100 after 30 min
    left = share_not_yet_out(30.0, 0.6, 2.0, 100.0)

    assert 100 * (1 - left) == pytest.approx(70.367, rel=0.002)


def curves():
    with (HERE / "uptake_curves.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    names = sorted({one["curve"] for one in rows})
    return [pytest.param([one for one in rows if one["curve"] == name], id=name) for name in names]


@pytest.mark.parametrize("rows", curves())
def test_the_law_passes_through_measured_curves(rows):
    # measured by others (theses and papers named in the file, second-hand): within 5 % of the last yield
    from scipy.optimize import curve_fit

    time_min = np.array([float(one["time_min"]) for one in rows])
    found = np.array([float(one["yield"]) for one in rows])

    def law(minutes, final, slow_min):
        return final * (1 - np.asarray(share_not_yet_out(minutes, 0.0, 0.0, slow_min)))

    (final, slow_min), _ = curve_fit(law, time_min, found, p0=(found[-1], time_min[-1] / 2))

    assert law(time_min, final, slow_min) == pytest.approx(found, abs=0.05 * found[-1])
