"""The kinds of the six ways on small round figures, worked by hand beside the check, and what they refuse.

Density of water at 20 °C: 0.998201 g/mL (OIML R 22, second-hand); table of liquids: 0.9982 g/mL.
"""

import math

import numpy as np
import pytest

from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.stream.components import ETHANOL, MARKER, OTHERS, SOLIDS, SOLVENT, WATER, whole_mass
from stillroom.stream.kinds import KINDS
from stillroom.stream.kinds.heating import boils_at_c
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from tests.stream.practice import stream, works

WATER_G_ML = 0.998201
PLANT = stream(1, plant_solids=70.0, marker=10.0, other_extractables=20.0)
MACERATING = {
    "retention_ml_per_g": 1.0,
    "sorption_ml_per_g": 0.0,
    "portions": 1,
    "contact_min": 1e6,
    "uptake_min": 60.0,
    "washed_share": 0.0,
    "marker_within_reach_share": 1.0,
    "others_within_reach_share": 0.5,
    "evaporated_share": 0.0,
}


def water(millilitres: float) -> np.ndarray:
    return stream(1, water=millilitres * WATER_G_ML)


def test_a_single_maceration_brings_what_drains():
    # 100 g of plant keep 100 of 500 mL: 80 % of the marker, 80 % of half of the rest.
    done = works("macerate", (PLANT, water(500.0)), MACERATING)
    drained, marc = done.outlets

    assert drained[MARKER] == pytest.approx(8.0, rel=1e-5)
    assert drained[OTHERS] == pytest.approx(8.0, rel=1e-5)
    assert drained[WATER] == pytest.approx(400.0 * WATER_G_ML, rel=1e-5)
    assert marc[MARKER] == pytest.approx(2.0, rel=1e-5)
    assert marc[SOLIDS] == pytest.approx(70.0)


def test_two_halves_bring_more_and_an_hour_brings_less():
    twice = works("macerate", (PLANT, water(500.0)), MACERATING | {"portions": 2})
    brief = works("macerate", (PLANT, water(500.0)), MACERATING | {"contact_min": 60.0})

    # 250 + 250 mL: 1 - (100/250)(100/350) = 88.571 %; an hour of a time constant of an hour: 80 (1 - 1/e) %.
    assert twice.outlets[0][MARKER] == pytest.approx(8.8571, abs=5e-4)
    assert brief.outlets[0][MARKER] == pytest.approx(8.0 * (1 - math.exp(-1)), rel=1e-5)


def test_a_plant_that_drinks_everything_is_refused():
    with pytest.raises(NotEnough, match="more than the marc keeps"):
        works("macerate", (PLANT, water(99.0)), MACERATING)


def test_pressing_brings_the_liquid_of_the_marc_as_strong_as_what_drained():
    drained, marc = works("macerate", (PLANT, water(500.0)), MACERATING).outlets
    done = works(
        "press",
        (marc, drained),
        {"retention_ml_per_g": 0.6, "held_strength_share": 1.0, "left_in_press_share": 0.1},
    )
    # 40 of 100 mL run out with 0.02 g/mL of marker: 0.8 g, a tenth of it stays in the cloth.
    joined, pressed = done.outlets

    assert joined[MARKER] == pytest.approx(8.0 + 0.72, rel=1e-5)
    assert joined[WATER] == pytest.approx((400.0 + 36.0) * WATER_G_ML, rel=1e-5)
    assert pressed[MARKER] == pytest.approx(1.2, rel=1e-5)
    assert done.losses["left in the press"][MARKER] == pytest.approx(0.08, rel=1e-5)


def test_a_press_that_keeps_more_than_the_marc_holds_brings_nothing():
    drained, marc = works("macerate", (PLANT, water(500.0)), MACERATING).outlets
    settings = {"retention_ml_per_g": 1.5, "held_strength_share": 1.0, "left_in_press_share": 0.1}
    joined, pressed = works("press", (marc, drained), settings).outlets

    assert joined == pytest.approx(drained)
    assert pressed == pytest.approx(marc)


def test_a_filter_keeps_sediment_and_some_liquor():
    done = works(
        "filter",
        (stream(1, water=80.0, marker=10.0, other_extractables=10.0),),
        {"sediment_share": 0.2, "liquor_in_filter_share": 0.1},
    )

    assert done.outlets[0][OTHERS] == pytest.approx(7.2)
    assert done.outlets[0][MARKER] == pytest.approx(9.0)
    assert done.losses["sediment on the filter"][OTHERS] == pytest.approx(2.0)
    assert whole_mass(done.losses["liquor in the filter"]) == pytest.approx(9.8)


SIPHONING = {
    "siphon_ml_per_g": 8.0,
    "heel_ml_per_g": 2.0,
    "sorption_ml_per_g": 0.0,
    "retention_ml_per_g": 2.0,
    "cycles": 2,
    "cycle_min": 30.0,
    "washed_share": 0.5,
    "slow_min": 60.0,
    "marker_within_reach_share": 1.0,
    "others_within_reach_share": 0.0,
    "lost_g_per_kg_h": 0.0,
    "broken_down_share": 0.0,
    "heat_reaching_share": 0.5,
}


def spirit(mass_g: float, volume_fraction: float = 0.96) -> np.ndarray:
    fraction = spirit_mass_fraction(volume_fraction)
    return stream(1, ethanol=mass_g * fraction, water=mass_g * (1 - fraction))


def test_two_siphonings_leave_a_sixteenth_of_what_washes_and_an_hour_of_the_rest():
    # r = 2/8; washable 0.5/16; slow 0.5/e after 2 x 30 min of a time constant of an hour.
    done = works("soxhlet", (PLANT, spirit(1200.0)), SIPHONING)
    left = 0.5 / 16 + 0.5 * math.exp(-1)

    assert done.outlets[0][MARKER] == pytest.approx(10.0 * (1 - left), rel=1e-9)
    assert done.outlets[0][OTHERS] == pytest.approx(0.0)


def test_heat_and_the_condenser_take_their_shares():
    settings = SIPHONING | {"lost_g_per_kg_h": 20.0, "broken_down_share": 0.1}
    done = works("soxhlet", (PLANT, spirit(1200.0)), settings)
    came = 10.0 * (1 - 0.5 / 16 - 0.5 * math.exp(-1))

    # one hour at 20 g for each kilogram of 1200 g
    assert whole_mass(done.losses["vapour past the condenser"]) == pytest.approx(24.0, rel=1e-9)
    assert done.losses["broken down by heat"][MARKER] == pytest.approx(0.1 * came, rel=1e-9)


def test_ethyl_acetate_alone_runs_in_a_soxhlet():
    done = works("soxhlet", (PLANT, stream(1, ethyl_acetate=1300.0)), SIPHONING)

    # 100 g keep 200 mL at 0.9003 g/mL (table of solvents)
    assert done.outlets[1][SOLVENT] == pytest.approx(200.0 * 0.9003, rel=1e-6)


@pytest.mark.parametrize(
    ("strength", "flask", "thimble"), [(0.40, 23.6, 72.2), (0.60, 49.2, 81.1), (0.70, 62.9, 83.9)]
)
def test_a_watery_spirit_is_reckoned_with_the_strength_that_washes_the_plant(strength, flask, thimble):
    # a third of the charge held up, closed: flask and thimble over the vapour of Carey and Lewis 1932 (second-hand);
    # ours is up to 1 % v/v richer, and a thimble that empties to a heel swings about that by as much again
    dry = stream(
        1, plant_solids=8.0, marker=1.0, other_extractables=1.0
    )  # 10 g: 100 mL at the crest, 90 stay
    held = SIPHONING | {
        "siphon_ml_per_g": 10.0,
        "heel_ml_per_g": 9.0,
        "retention_ml_per_g": 2.0,
        "cycles": 60,
    }
    poured = spirit(300.0 * spirit_density_kg_m3(spirit_mass_fraction(strength), 20.0) / 1000.0, strength)
    runs = KINDS["soxhlet"].shows((dry, poured), held)
    shown = {one.label: float(np.asarray(one.values)[0]) for one in runs.figures}
    done = works("soxhlet", (dry, poured), held)

    assert shown["Strength in the flask just before it siphons"] == pytest.approx(flask, abs=2.0)
    assert shown["Strength on the plant, in the thimble as it siphons"] == pytest.approx(thimble, abs=2.0)
    assert any("percolates, macerates or boils it under reflux" in one for one in runs.says)
    assert any("No published table" in one for one in runs.says)
    assert done.outlets[1][ETHANOL] / (
        done.outlets[1][ETHANOL] + done.outlets[1][WATER]
    ) > spirit_mass_fraction(strength)


def test_strong_spirit_with_a_stopwatch_time_keeps_its_former_figures():
    # The closed form with r = 2/8 and the dynamic run of the same thimble agree where the slow rest is small.
    quick = SIPHONING | {"washed_share": 1.0}
    former = works("soxhlet", (PLANT, spirit(1300.0)), quick).outlets[0][MARKER]
    paced = {name: value for name, value in quick.items() if name != "cycle_min"} | {"heater_w": 900.0}
    followed = works("soxhlet", (PLANT, spirit(1300.0)), paced).outlets[0][MARKER]

    assert former == pytest.approx(10.0 * (1 - 0.25**2), rel=1e-9)
    assert followed == pytest.approx(former, rel=1e-9)


def test_a_soxhlet_without_heater_or_stopwatch_asks_for_one():
    bare = {name: value for name, value in SIPHONING.items() if name != "cycle_min"}
    with pytest.raises(BadEntry, match="follows from its heater"):
        works("soxhlet", (PLANT, spirit(1400.0, 0.7)), bare)


def test_warmer_and_finer_gives_more_and_a_marker_has_times_of_its_own():
    base = {name: value for name, value in SIPHONING.items() if name != "cycle_min"} | {
        "heater_w": 600.0, "slow_at_c": 58.0, "particle_mm": 0.5, "stated_particle_mm": 0.5,
        "others_within_reach_share": 1.0,
    }  # fmt: skip
    charge = (PLANT, spirit(1400.0, 0.7))
    usual = works("soxhlet", charge, base).outlets[0]
    warm = works("soxhlet", charge, base | {"below_boiling_k": 10.0}).outlets[0]
    coarse = works("soxhlet", charge, base | {"particle_mm": 2.0}).outlets[0]
    others = works("soxhlet", charge, base | {"others_slow_min": 600.0}).outlets[0]

    assert warm[MARKER] > usual[MARKER] > coarse[MARKER]
    assert others[MARKER] == usual[MARKER]
    assert others[OTHERS] < usual[OTHERS]


def test_a_flask_that_would_run_dry_is_refused():
    with pytest.raises(NotEnough, match="runs dry"):
        works("soxhlet", (PLANT, spirit(700.0)), SIPHONING)


def test_a_mixture_of_solvents_is_not_guessed():
    with pytest.raises(OutsideModel, match="one solvent at a time"):
        works("soxhlet", (PLANT, stream(1, ethyl_acetate=700.0, ethanol=700.0)), SIPHONING)


def test_the_heat_of_a_soxhlet_is_that_of_what_siphons():
    # 2 x 600 mL of 96 % v/v: 0.8074 g/mL, 0.939 by mass; 849.6 and 2256.5 J/g (table of liquids): 935 J/g
    inlets = (PLANT, spirit(1300.0))
    done = works("soxhlet", inlets, SIPHONING)
    work = KINDS["soxhlet"].asks(inlets, done.outlets, SIPHONING)

    assert work.watch_min == 60.0
    assert work.cooling_j == pytest.approx(1200.0 * 0.8074 * 935.0, rel=0.03)
    assert work.heat_kwh == pytest.approx(2 * np.asarray(work.cooling_j) / 3.6e6)


INFUSING = {
    "retention_ml_per_g": 2.0,
    "sorption_ml_per_g": 0.0,
    "temperature_c": 80.0,
    "contact_min": 10.0,
    "uptake_at_80c_min": 10.0,
    "activation_energy_kj_per_mol": 40.0,
    "washed_share": 0.0,
    "marker_within_reach_share": 1.0,
    "others_within_reach_share": 1.0,
    "steamed_off_share": 0.1,
    "broken_down_share": 0.5,
    "heat_reaching_share": 0.5,
}


def test_an_infusion_brings_what_its_minutes_and_its_straining_let_it():
    done = works("infuse", (PLANT, water(1000.0)), INFUSING)
    came = 10.0 * (1 - math.exp(-1)) * 0.8

    assert done.outlets[0][MARKER] == pytest.approx(came / 2, rel=1e-5)
    assert done.losses["broken down by heat"][MARKER] == pytest.approx(came / 2, rel=1e-5)
    assert done.losses["steam off"][WATER] == pytest.approx(100.0 * WATER_G_ML, rel=1e-5)
    assert done.outlets[0][WATER] == pytest.approx(700.0 * WATER_G_ML, rel=1e-5)


def test_a_cooler_infusion_brings_less():
    hot = works("infuse", (PLANT, water(1000.0)), INFUSING).outlets[0][MARKER]
    cool = works("infuse", (PLANT, water(1000.0)), INFUSING | {"temperature_c": 40.0}).outlets[0][MARKER]

    assert cool < 0.5 * hot


@pytest.mark.parametrize("kind", ["infuse", "evaporate", "hydrodistil"])
def test_spirit_is_not_heated_in_the_open(kind):
    inlets = (PLANT, spirit(1000.0, 0.4)) if kind != "evaporate" else (spirit(1000.0, 0.4),)
    settings = INFUSING if kind == "infuse" else STEAMING
    with pytest.raises(OutsideModel, match="Recover the spirit"):
        works(kind, inlets, settings)


STEAMING = {
    "distillate_ml_per_min_kg": 30.0,
    "distil_min": 100.0,
    "washed_share": 0.0,
    "fast_min": 1.0,
    "slow_min": 100.0,
    "marker_volatile_share": 0.9,
    "others_volatile_share": 0.1,
    "oil_in_vapour_g_per_g": 1.0,
    "past_condenser_share": 0.0,
    "heat_reaching_share": 0.5,
}


def test_steam_brings_the_oil_that_its_time_lets_go():
    # 0.1 kg x 30 mL/min x 100 min = 300 mL; 1 - 1/e of 9 g of marker and of 2 g of the rest
    done = works("hydrodistil", (PLANT, water(1000.0)), STEAMING)

    assert done.outlets[0][WATER] == pytest.approx(300.0 * 0.9982, rel=1e-9)
    assert done.outlets[0][MARKER] == pytest.approx(9.0 * (1 - math.exp(-1)))
    assert done.outlets[0][OTHERS] == pytest.approx(2.0 * (1 - math.exp(-1)))


def test_steam_brings_no_more_oil_than_it_can_carry():
    done = works("hydrodistil", (PLANT, water(1000.0)), STEAMING | {"oil_in_vapour_g_per_g": 0.01})
    oil_g = done.outlets[0][MARKER] + done.outlets[0][OTHERS]

    assert oil_g == pytest.approx(0.01 * 300.0 * 0.9982)


def test_a_still_that_would_boil_dry_is_refused():
    with pytest.raises(NotEnough, match="A fifth of the water"):
        works("hydrodistil", (PLANT, water(370.0)), STEAMING)


def test_the_hydrosol_keeps_its_oil_and_the_glass_a_film():
    distillate = stream(1, water=998.2, marker=4.0, other_extractables=1.0)
    done = works(
        "separate oil",
        (distillate,),
        {"dissolved_mg_per_l": 500.0, "water_in_oil_share": 0.01, "film_g": 0.1},
    )
    # 1 L keeps 0.5 of 5 g; 4.5 g of oil with 0.045 g of water; 0.1 g of that on the glass
    oil, hydrosol = done.outlets

    assert hydrosol[MARKER] == pytest.approx(0.4)
    assert hydrosol[OTHERS] == pytest.approx(0.1)
    assert whole_mass(oil) == pytest.approx(4.545 - 0.1)


def test_less_oil_than_the_water_dissolves_is_no_oil():
    distillate = stream(1, water=998.2, marker=0.3)
    done = works(
        "separate oil",
        (distillate,),
        {"dissolved_mg_per_l": 500.0, "water_in_oil_share": 0.01, "film_g": 0.1},
    )

    assert whole_mass(done.outlets[0]) == pytest.approx(0.0, abs=1e-12)
    assert done.outlets[1][MARKER] == pytest.approx(0.3)


THICKENING = {"soft_extract_solids_mass_fraction": 0.5, "past_condenser_share": 0.0, "broken_down_share": 0.0}


@pytest.mark.parametrize("kind", ["concentrate", "evaporate"])
def test_thickening_ends_at_the_wanted_solids(kind):
    liquor = stream(1, water=500.0, ethanol=5.0, marker=10.0, other_extractables=30.0)
    outlet = works(kind, (liquor,), THICKENING).outlets[-1]

    assert outlet[MARKER] == pytest.approx(10.0)
    assert whole_mass(outlet) == pytest.approx(80.0)


@pytest.mark.parametrize("kind", ["concentrate", "evaporate"])
def test_what_is_thick_already_stays_as_it_is(kind):
    liquor = stream(1, water=20.0, marker=10.0, other_extractables=30.0)
    outlet = works(kind, (liquor,), THICKENING).outlets[-1]

    assert outlet == pytest.approx(liquor)


@pytest.mark.parametrize("strength", [0.02, 0.10, 0.40, 0.70, 0.96])
def test_concentrating_agrees_with_boiling_in_small_steps(strength):
    # An independent road: 4000 small cuts, each leaving with the vapour of the liquid then in the flask.
    from stillroom.science.liquids.boiling import (
        mass_fraction_from_mole_fraction,
        mole_fraction_from_mass_fraction,
        vapour_mole_fraction,
    )
    from stillroom.substances.spirits import ethanol_water_boiling

    model, fraction = ethanol_water_boiling(), spirit_mass_fraction(strength)
    liquor = stream(1, ethanol=900.0 * fraction, water=900.0 * (1 - fraction), other_extractables=100.0)
    back, thick = works("concentrate", (liquor,), THICKENING).outlets
    ethanol_g, water_g = 900.0 * fraction, 900.0 * (1 - fraction)
    cut_g = 800.0 / 4000
    for _ in range(4000):
        p = ethanol_g / (ethanol_g + water_g)
        over = 0.0
        if p > 1e-9:
            moles = mole_fraction_from_mass_fraction(p, model)
            over = mass_fraction_from_mole_fraction(vapour_mole_fraction(moles, 101325.0, model), model)
        ethanol_g, water_g = ethanol_g - cut_g * over, water_g - cut_g * (1 - over)

    assert whole_mass(back) == pytest.approx(800.0)
    assert back[ETHANOL] == pytest.approx(900.0 * fraction - ethanol_g, rel=2e-3, abs=0.05)
    assert thick[WATER] == pytest.approx(water_g, rel=2e-2, abs=0.4)


@pytest.mark.parametrize("kind", ["concentrate", "evaporate"])
def test_thickening_ends_at_the_mark_of_the_flask(kind):
    # By hand: 30 mL less 0.62 mL for each of 10 g dissolved is 23.8 mL of water, 0.9982 g/mL (OIML R 22): 23.76 g.
    liquor = stream(1, water=500.0, marker=3.0, other_extractables=7.0)
    settings = {**THICKENING, "stop_at_ml": 30.0, "heater_w": 300.0, "heat_reaching_share": 0.6}
    outlet = works(kind, (liquor,), settings).outlets[-1]
    shown = {
        one.unit: float(np.asarray(one.values)[0]) for one in KINDS[kind].shows((liquor,), settings).figures
    }

    assert outlet[WATER] == pytest.approx(23.76, abs=0.01)
    assert shown["mL"] == pytest.approx(30.0, abs=1e-6)
    assert shown["g"] == pytest.approx(33.76, abs=0.01)
    assert shown["g/mL"] == pytest.approx(33.76 / 30.0, abs=5e-4)


def test_a_mark_that_is_reached_while_spirit_is_left_says_how_strong_that_is():
    liquor = stream(3, water=400.0, ethanol=500.0, other_extractables=20.0)
    settings = {**THICKENING, "stop_at_ml": 600.0, "heater_w": 300.0, "heat_reaching_share": 0.6}
    done, shown = works("concentrate", (liquor,), settings), KINDS["concentrate"].shows((liquor,), settings)
    left = done.outlets[1]
    figures = {one.unit: float(np.asarray(one.values)[0]) for one in shown.figures}
    strength = float(left[ETHANOL][0] / (left[ETHANOL][0] + left[WATER][0]))

    assert figures["mL"] == pytest.approx(600.0, abs=1e-3)
    assert 0.1 < strength < 500.0 / 900.0
    assert float(spirit_mass_fraction(figures["% v/v"] / 100.0)) == pytest.approx(strength, rel=1e-6)


def test_a_heat_dose_at_the_boil_is_the_time_it_boils_times_how_much_faster_it_goes():
    # It warms up evenly, then boils at 100 °C; k(T)/k(60) at 66 kJ/mol is exp(66000/8.314462 * (1/333.15 - 1/T)).
    liquor = stream(1, water=500.0, marker=3.0)
    settings = {
        **THICKENING,
        "gentle_c": 60.0,
        "half_gone_min": 240.0,
        "heater_w": 300.0,
        "heat_reaching_share": 0.6,
    }
    shown = {one.unit: one.values for one in KINDS["evaporate"].shows((liquor,), settings).figures}
    heats = [
        KINDS["evaporate"].asks((liquor,), (one,), settings).watch_min
        for one in (liquor, works("evaporate", (liquor,), settings).outlets[0])
    ]
    warming, whole = (float(np.asarray(one)[0]) for one in heats)
    rise = np.exp(66000.0 / 8.314462 * (1.0 / 333.15 - 1.0 / np.linspace(293.15, 373.15, 2000)))
    dose = warming * rise.mean() + (whole - warming) * rise[-1]

    assert shown["min"] == pytest.approx(dose, rel=3e-3)
    assert shown["%"] == pytest.approx(100.0 * 0.5 ** (dose / 240.0), rel=0.02)


@pytest.mark.parametrize("kind", ["concentrate", "evaporate", "distil", "drive off spirit"])
def test_what_the_heat_dose_takes_of_the_marker_is_taken_off_and_a_dose_that_was_read_comes_first(kind):
    liquor = stream(4, water=500.0, marker=3.0, other_extractables=7.0)
    liquor[ETHANOL] = 0.0 if kind == "evaporate" else 200.0
    settings = {
        **THICKENING, "stop_at_ml": 100.0, "half_gone_min": 240.0, "heater_w": 300.0, "heat_reaching_share": 0.6,
    }  # fmt: skip
    shown = {one.unit: one.values for one in KINDS[kind].shows((liquor,), settings).figures}
    done, as_read = (
        works(kind, (liquor,), settings),
        works(kind, (liquor,), {**settings, "heat_dose_min": 60.0}),
    )

    assert done.outlets[-1][MARKER] == pytest.approx(3.0 * 0.5 ** (np.asarray(shown["min"]) / 240.0))
    assert as_read.outlets[-1][MARKER] == pytest.approx(3.0 * 0.5**0.25)
    assert as_read.losses["broken down by heat"][MARKER] == pytest.approx(3.0 - 3.0 * 0.5**0.25)


@pytest.mark.parametrize("kind", ["distil", "drive off spirit"])
def test_a_still_stops_at_a_mark_whatever_share_its_procedure_wants(kind):
    liquor = stream(2, water=400.0, ethanol=500.0, other_extractables=20.0)
    marked = {**THICKENING, "stop_at_ml": 600.0, "heater_w": 300.0, "heat_reaching_share": 0.6}
    done = works(kind, (liquor,), {**marked, "ethanol_share": 0.99, "residue_ethanol_mass_fraction": 0.01})
    alike = works("concentrate", (liquor,), marked)
    shown = {
        one.unit: float(np.asarray(one.values)[0]) for one in KINDS[kind].shows((liquor,), marked).figures
    }

    assert shown["mL"] == pytest.approx(600.0, abs=1e-3)
    assert done.outlets[1] == pytest.approx(alike.outlets[1])


def test_a_liquid_without_spirit_gives_only_water_back():
    back = works("concentrate", (stream(1, water=500.0, marker=10.0),), THICKENING).outlets[0]

    assert back[ETHANOL] == 0.0
    assert back[WATER] == pytest.approx(490.0)


def test_evaporating_in_the_open_is_watched_and_cools_nothing():
    settings = THICKENING | {"heater_w": 1000.0, "heat_reaching_share": 0.5}
    liquor = stream(1, water=1000.0, marker=10.0)
    done = works("evaporate", (liquor,), settings)
    work = KINDS["evaporate"].asks((liquor,), done.outlets, settings)

    # 1000 g from 20 to 100 °C at 4.184 J/(g K), 990 g boiled off at 2257 J/g (steam tables, from memory)
    heat_j = 1000.0 * 4.184 * 80.0 + 990.0 * 2257.0
    assert work.heat_kwh == pytest.approx(2 * heat_j / 3.6e6, rel=0.02)
    assert work.watch_min == pytest.approx(heat_j / 500.0 / 60.0, rel=0.02)
    assert work.cooling_j == 0.0


def test_water_boils_where_the_pressure_lets_it():
    # At 3000 m a standard day has 70 121 Pa (US Standard Atmosphere 1976, from memory); water boils at 90 °C at
    # 70 182 Pa (IAPWS-95, second-hand).
    assert boils_at_c(0.0, {"altitude_m": 3000.0}) == pytest.approx(90.0, abs=0.1)
    assert boils_at_c(0.0, {}) == pytest.approx(100.0, abs=0.1)


def test_an_infusion_hotter_than_water_boils_is_refused():
    high = INFUSING | {"temperature_c": 92.0, "altitude_m": 3000.0}

    with pytest.raises(OutsideModel, match=r"no hotter than it boils, 90\.0 °C"):
        works("infuse", (PLANT, water(1000.0)), high)
