"""Reflux and fresh plant: worked by hand beside the check, and against another integration."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from stillroom.errors import NotEnough
from stillroom.records.starters import starter
from stillroom.science.extraction.fresh_plant import least_to_pour_g, strength_on_plant, strength_to_pour
from stillroom.science.liquids.boiling import (
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)
from stillroom.stream.components import ETHANOL, MARKER, WATER, whole_mass
from stillroom.stream.kinds import KINDS
from stillroom.stream.kinds.boiling_under_reflux import boil_of
from stillroom.stream.kinds.fits_the_glass import CONDENSER, FLASK, HEATER
from stillroom.substances.spirits import (
    ethanol_water_boiling,
    oiml_r22,
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_volume_fraction_20c,
)
from tests.stream.practice import stream, works

REFLUX = {one.name: one.value for one in starter("reflux").procedure.step("reflux").settings}
PLANT = stream(1, plant_solids=70.0, marker=10.0, other_extractables=12.0, water=8.0)
FRESH = stream(1, plant_solids=70.0, marker=10.0, other_extractables=20.0, water=400.0)


def spirit(millilitres: float, percent: float) -> np.ndarray:
    fraction = spirit_mass_fraction(percent / 100)
    grams = millilitres * spirit_density_kg_m3(fraction, 20.0) / 1000
    return stream(1, ethanol=grams * fraction, water=grams * (1 - fraction))


def figure(runs, begins: str) -> float:
    return float(np.median(next(one.values for one in runs.figures if one.label.startswith(begins))))


def test_at_rest_a_reflux_gives_what_a_maceration_gives_and_an_hour_at_the_boil_does_what_days_do_cold():
    # 92 g dry keep 147.2 of about 1008 mL; 0.3 mL/g of sorption: 1008/(1008 + 27.6) dissolved, 0.854 of it drains
    still = REFLUX | {"portions": 1, "lost_g_per_kg_h": 0.0, "broken_down_share": 0.0, "contact_min": 1e5}
    done = works("reflux", (PLANT, spirit(1000.0, 60.0)), still)
    volume_ml = float(whole_mass(spirit(1000.0, 60.0) + stream(1, water=8.0))[0] / 0.9103)

    expected = 10.0 * 0.92 * volume_ml / (volume_ml + 27.6) * (1 - 147.2 / volume_ml)
    assert done.outlets[0][MARKER] == pytest.approx(expected, rel=1e-3)
    hour = works("reflux", (PLANT, spirit(1000.0, 60.0)), still | {"contact_min": 60.0})
    assert hour.outlets[0][MARKER] > 0.98 * done.outlets[0][MARKER]


def test_what_passes_the_condenser_is_stronger_than_the_flask_as_a_step_by_step_integration_says():
    # independent: dE/dt = -L (E + W) y, dW/dt = -L (E + W) (1 - y), by solve_ivp on the vapour-liquid model itself
    lost, hours, model = 60.0, 3.0, ethanol_water_boiling()
    poured = spirit(1000.0, 60.0)
    begin = [float(poured[ETHANOL][0]), float((poured[WATER] + PLANT[WATER])[0])]

    def leaves(_, now):
        x = mole_fraction_from_mass_fraction(now[0] / sum(now), model)
        y = mass_fraction_from_mole_fraction(vapour_mole_fraction(x, 101325.0, model), model)
        over = lost / 1000.0 * sum(now)
        return [-over * y, -over * (1 - y)]

    end = solve_ivp(leaves, (0.0, hours), begin, rtol=1e-10, atol=1e-10).y[:, -1]
    done = works(
        "reflux",
        (PLANT, poured),
        REFLUX | {"portions": 1, "lost_g_per_kg_h": lost, "contact_min": 60.0 * hours},
    )
    gone = done.losses["vapour past the condenser"]

    assert gone[ETHANOL] == pytest.approx(begin[0] - end[0], rel=1e-4)
    assert gone[WATER] == pytest.approx(begin[1] - end[1], rel=1e-4)


def test_higher_up_it_boils_cooler_and_gives_itself_up_more_slowly():
    brief = REFLUX | {"portions": 1, "contact_min": 10.0}
    sea = KINDS["reflux"].shows((PLANT, spirit(1000.0, 60.0)), brief)
    high = KINDS["reflux"].shows((PLANT, spirit(1000.0, 60.0)), brief | {"altitude_m": 2500.0})

    # Carey and Lewis 1932 (from memory): spirit of 60 % v/v, 25 mol% and a little less, boils at about 82 °C
    assert figure(sea, "It boils at") == pytest.approx(82.0, abs=0.6)
    assert 7.0 < figure(sea, "It boils at") - figure(high, "It boils at") < 10.0
    ratio = figure(high, "Time constant") / figure(sea, "Time constant")
    sea_k, high_k = figure(sea, "It boils at") + 273.15, figure(high, "It boils at") + 273.15
    assert ratio == pytest.approx(math.exp(30e3 / 8.314 * (1 / high_k - 1 / sea_k)), rel=1e-4)
    assert figure(high, "Drained off") < figure(sea, "Drained off")


def test_watts_condensate_and_cooling_water_agree_by_hand():
    # 150 W of which 55 % arrive, 10 W lost: 72.5 W. Vapour over 60 % v/v is near 83 % v/v (Carey and Lewis 1932,
    # second-hand), 78 % by mass:
    # latent 0.78 x 838 + 0.22 x 2257 = 1150 J/g, 0.85 g/mL: 4.45 mL/min. 72.5 W / (4186 J/(kg K) x 5 K): 0.208 L/min.
    shown = KINDS["reflux"].shows((PLANT, spirit(1000.0, 60.0)), REFLUX)

    assert figure(shown, "Heat the condenser takes") == pytest.approx(72.5)
    assert figure(shown, "Condensate that runs back") == pytest.approx(4.45, rel=0.05)
    assert figure(shown, "Cooling water") == pytest.approx(0.208, rel=0.01)


def test_the_flask_decides_how_many_fillings_there_are_and_every_gram_is_counted_once():
    liquid = spirit(1000.0, 60.0)
    one = boil_of(PLANT, liquid, REFLUX | {FLASK: 500.0, "charge_g": 1000.0})

    assert one.fills_ml == pytest.approx(500.0 * 2 / 3)
    assert one.parts * one.plant_g == pytest.approx(92.0)
    asked = KINDS["reflux"].asks((PLANT, liquid), (), REFLUX | {FLASK: 500.0, "charge_g": 1000.0})
    assert np.all(asked.watch_min >= 60.0 * 2 * np.ceil(one.parts))


@pytest.mark.parametrize(
    ("glass", "said"),
    [
        ({HEATER: 100.0}, "heater of the plan must be there"),
        ({CONDENSER: 50.0}, "condenser must take up all the vapour"),
    ],
)
def test_what_cannot_boil_or_be_cooled_stands_in_the_way_of_a_plan_only(glass, said):
    inlets, told = (PLANT, spirit(1000.0, 60.0)), REFLUX | glass
    shown = KINDS["reflux"].shows(inlets, told)

    assert any(said in one.sentence for one in shown.cannot)
    assert works("reflux", inlets, told).outlets[0][MARKER] > 0


def test_a_heater_that_hardly_boils_is_told_what_must_hold():
    with pytest.raises(NotEnough, match="Heat must be left"):
        KINDS["reflux"].shows((PLANT, spirit(1000.0, 60.0)), REFLUX | {"heater_w": 15.0})


def test_a_reflux_says_that_the_strength_poured_is_the_strength_on_the_plant():
    shown = KINDS["reflux"].shows((PLANT, spirit(1000.0, 60.0)), REFLUX)

    assert any("not by that of its vapour" in one for one in shown.says)
    assert figure(shown, "Strength poured") == pytest.approx(60.0, abs=0.01)


@pytest.mark.parametrize("kind", ["macerate", "reflux"])
def test_fresh_plant_weakens_the_spirit_and_the_plan_says_what_to_pour(kind):
    # By hand: 500 g of fresh plant bring 400 g of water to 500 mL of 70 % v/v, 442.7 g at 62.39 % w/w (OIML R 22):
    # 276.2 g of ethanol in 842.7 g, 32.8 % w/w; 0.328 x 949.3 / 789.2 kg/m3 is 39.4 % v/v.
    way = {"macerate": "maceration"}.get(kind, kind)
    told = {one.name: one.value for one in starter(way).procedure.step(kind).settings} | {"portions": 1}
    shown = KINDS[kind].shows((FRESH, spirit(500.0, 70.0)), told)

    assert figure(shown, "Strength on the plant") == pytest.approx(39.4, abs=0.1)
    assert figure(shown, "Dry plant in it") == pytest.approx(100.0)
    assert any(one.startswith("Fresh plant: 500 g of it are 100 g dry") for one in shown.says)
    assert any("so little spirit is never strong enough" in one for one in shown.says)


def test_poured_as_the_plan_says_the_strength_on_the_plant_is_the_one_wanted():
    told = {one.name: one.value for one in starter("maceration").procedure.step("macerate").settings}
    wanted = KINDS["macerate"].shows((FRESH, spirit(1500.0, 50.0)), told)
    pour = float(next(one for one in wanted.says if "pour" in one).split("pour ")[-1].split()[0])
    poured = KINDS["macerate"].shows((FRESH, spirit(1500.0, pour)), told)

    assert figure(poured, "Strength on the plant") == pytest.approx(50.0, abs=0.5)


def test_what_drains_from_fresh_plant_is_as_weak_as_the_plan_said():
    told = {one.name: one.value for one in starter("maceration").procedure.step("macerate").settings}
    shown = KINDS["macerate"].shows((FRESH, spirit(1500.0, 50.0)), told)
    drained = works("macerate", (FRESH, spirit(1500.0, 50.0)), told | {"evaporated_share": 0.0}).outlets[0]
    strength = spirit_volume_fraction_20c(drained[ETHANOL] / (drained[ETHANOL] + drained[WATER]))

    assert 100 * strength == pytest.approx(figure(shown, "Strength on the plant"), abs=1e-6)


def test_dried_plant_is_not_called_fresh():
    told = {one.name: one.value for one in starter("maceration").procedure.step("macerate").settings}

    assert not KINDS["macerate"].shows((PLANT, spirit(1000.0, 60.0)), told).says


@settings(max_examples=60)
@given(
    wanted=st.floats(0.05, 0.8), volume_ml=st.floats(50.0, 5000.0), water_g=st.just(0.0) | st.floats(0.01, 2000.0)
)  # fmt: skip
def test_the_strength_to_pour_leads_back_to_the_strength_wanted(wanted, volume_ml, water_g):
    pour = strength_to_pour(wanted, volume_ml, water_g, oiml_r22())
    if pour <= 1.0:
        poured_g = volume_ml * spirit_density_kg_m3(pour, 20.0) / 1000
        assert strength_on_plant(poured_g, pour, water_g) == pytest.approx(wanted, rel=1e-9)
    else:  # even the strongest is not enough
        strongest_g = volume_ml * spirit_density_kg_m3(1.0, 20.0) / 1000
        assert strength_on_plant(strongest_g, 1.0, water_g) < wanted
    least_g = least_to_pour_g(wanted, 0.92, water_g)
    if water_g > 0.0:
        assert strength_on_plant(least_g, 0.92, water_g) == pytest.approx(wanted, rel=1e-9)


def test_two_portions_bring_more_than_one_of_the_same_liquid_and_pressing_more_than_draining():
    # 100 g, 500 mL, 1 mL/g kept: 80.0 % in one, 88.6 % in two (the balance, computed): the plan shows both before.
    plant = stream(1, plant_solids=70.0, marker=10.0, other_extractables=20.0)
    told = {
        "retention_ml_per_g": 1.0, "sorption_ml_per_g": 0.0, "portions": 2, "contact_min": 1e6, "uptake_min": 60.0,
        "washed_share": 0.0, "marker_within_reach_share": 1.0, "others_within_reach_share": 1.0,
    }  # fmt: skip
    shown = KINDS["macerate"].shows((plant, spirit(500.0, 60.0)), told)

    assert figure(shown, "Drained off in one portion") == pytest.approx(80.0, abs=0.01)
    assert figure(shown, "In two portions") == pytest.approx(88.571, abs=0.01)
    done = works("macerate", (plant, spirit(500.0, 60.0)), told | {"evaporated_share": 0.0, "portions": 1})
    pressing = {"retention_ml_per_g": 0.4, "held_strength_share": 1.0, "left_in_press_share": 0.0}
    pressed = KINDS["press"].shows((done.outlets[1], done.outlets[0]), pressing)

    # 60 of the 100 mL in the marc come, as strong as the 400 drained: 15 % more
    assert figure(pressed, "Pressing brings") == pytest.approx(60.0, rel=1e-3)
    assert figure(pressed, "That is, of the marker") == pytest.approx(15.0, rel=1e-3)
