"""The Soxhlet as it runs: against another integration, against a printed vapour table, and what must always close."""

import csv
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from stillroom.errors import BadEntry, NotEnough
from stillroom.science.extraction.soxhlet import SoxhletSetUp, soxhlet_course
from stillroom.science.extraction.soxhlet_vapour import ROWS
from stillroom.science.extraction.soxhlet_washing import soxhlet_washing
from stillroom.science.extraction.uptake import time_at_temperature_min
from stillroom.science.liquids.boiling import (
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
)
from stillroom.substances.spirits import (
    ETHANOL_WATER_BOILING,
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_vapour,
    spirit_volume_fraction_20c,
)
from tests.habits.source_tree import ROOT
from tests.science.extraction.soxhlet_by_time import soxhlet_by_time


def by_volume(mass_fraction):
    return 100.0 * np.asarray(spirit_volume_fraction_20c(np.asarray(mass_fraction)))


def poured_g(ml, fraction):
    return ml * spirit_density_kg_m3(fraction, 20.0) / 1000.0


CASES = [
    {"ml": 300.0, "percent": 70.0, "siphon": 100.0, "heel": 30.0, "water": 5.0, "below": 20.0, "lost": 15.0},
    {"ml": 400.0, "percent": 50.0, "siphon": 120.0, "heel": 50.0, "water": 0.0, "below": 10.0, "lost": 40.0},
    {"ml": 250.0, "percent": 96.0, "siphon": 60.0, "heel": 12.0, "water": 2.0, "below": 30.0, "lost": 5.0},
    {"ml": 260.0, "percent": 40.0, "siphon": 160.0, "heel": 50.0, "water": 2.0, "below": 20.0, "lost": 15.0},
    {"ml": 300.0, "percent": 12.0, "siphon": 120.0, "heel": 20.0, "water": 0.0, "below": 20.0, "lost": 15.0},
    {"ml": 300.0, "percent": 30.0, "siphon": 85.0, "heel": 25.0, "water": 8.0, "below": 15.0, "lost": 15.0},
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['percent']:g} % v/v")
def test_another_integration_in_moles_and_minutes_finds_the_same_run(case):
    strength = spirit_mass_fraction(case["percent"] / 100)
    mass_g = poured_g(case["ml"], strength)
    other = soxhlet_by_time(
        poured_g=mass_g, strength=strength, siphon_ml=case["siphon"], heel_ml=case["heel"], power_w=150.0,
        efficiency=0.55, loss=0.17, room_c=22.0, lost_g_per_kg_h=case["lost"], below_k=case["below"],
        water_g=case["water"], siphonings=15, washed=0.45, slow_at_60c_min=90.0, energy_kj_mol=30.0, sorption_ml=6.0,
    )  # fmt: skip
    course = soxhlet_course(
        SoxhletSetUp(
            mass_g, strength, case["siphon"], case["heel"], 150.0, 0.55, 0.17, 22.0, case["lost"], case["below"],
            case["water"],
        ),
        15,
        spirit_vapour(),
    )  # fmt: skip
    slow_min = time_at_temperature_min(90.0, 60.0, course.thimble_c, 30.0)
    washing = soxhlet_washing(course, 0.45, slow_min, 6.0)
    lost_g = course.lost_ethanol_g + course.lost_water_g

    assert by_volume(course.flask_before_mass_fraction) == pytest.approx(by_volume(other.flask), abs=0.2)
    assert by_volume(course.thimble_mass_fraction) == pytest.approx(by_volume(other.thimble), abs=0.2)
    assert washing.out_share == pytest.approx(np.array(other.out), rel=0.005)
    assert course.siphoning_min == pytest.approx(np.array(other.minutes), rel=0.002)
    assert lost_g == pytest.approx(np.array(other.lost_g), rel=0.002)
    assert course.cooling_j == pytest.approx(np.array(other.cooling_j), rel=0.002)


SET_UPS = st.builds(
    SoxhletSetUp,
    poured_mass_g=st.floats(150.0, 900.0),
    poured_mass_fraction=st.floats(0.02, 1.0),
    siphon_ml=st.floats(20.0, 600.0),
    heel_ml=st.floats(0.0, 19.0),
    power_w=st.floats(5.0, 800.0),
    efficiency=st.floats(0.2, 0.9),
    lost_g_per_kg_h=st.floats(0.0, 200.0),
    below_boiling_k=st.floats(0.0, 40.0),
    plant_water_g=st.floats(0.0, 15.0),
)


@given(SET_UPS, st.floats(0.0, 1.0), st.floats(20.0, 500.0), st.floats(0.0, 60.0))
@settings(max_examples=80)
def test_ethanol_water_and_what_dissolves_close_in_every_siphoning(set_up, washed, slow_min, sorption_ml):
    course = soxhlet_course(set_up, 12, spirit_vapour())
    ethanol = course.flask_ethanol_g + course.thimble_ethanol_g + course.lost_ethanol_g
    water = course.flask_water_g + course.thimble_water_g + course.lost_water_g
    poured = set_up.poured_mass_g
    brought_water = poured * (1 - set_up.poured_mass_fraction) + set_up.plant_water_g
    washing = soxhlet_washing(course, washed, slow_min, sorption_ml)
    before = np.concatenate(([0.0], washing.out_share[:-1]))

    assert ethanol == pytest.approx(poured * set_up.poured_mass_fraction, rel=1e-9, abs=1e-9)
    assert water == pytest.approx(brought_water, rel=1e-9, abs=1e-9)
    assert before + washing.dissolved_share + washing.slow_share == pytest.approx(1.0, rel=1e-9)
    assert (np.diff(washing.out_share) >= 0).all()
    assert (washing.slow_share >= 0).all()
    for grams in (
        course.flask_ethanol_g, course.flask_water_g, course.thimble_ethanol_g, course.lost_ethanol_g, course.flask_ml,
    ):  # fmt: skip
        assert (grams >= -1e-9).all()


def carey_and_lewis():
    """The vapour of 1932 in place of the house's: same densities, another y and T."""
    path = ROOT / "tests" / "reference_checks" / "carey_lewis_1932.csv"
    rows = [[float(cell) for cell in row] for row in list(csv.reader(path.read_text().splitlines()))[1:]]
    x, y, celsius = np.array([[0.0, 0.0, 100.0], *rows, [1.0, 1.0, 78.3]]).T
    ours = spirit_vapour()
    strength = np.linspace(0.0, 1.0, ROWS + 1)
    moles = mole_fraction_from_mass_fraction(strength, ETHANOL_WATER_BOILING)
    rising = mass_fraction_from_mole_fraction(PchipInterpolator(x, y)(moles), ETHANOL_WATER_BOILING)
    figures = ours.figures.copy()
    figures[:, 0], figures[:, 3] = rising, PchipInterpolator(x, celsius)(moles)
    figures[:, 1] = 1000.0 / spirit_density_kg_m3(np.clip(rising, 0, 1), 20.0)
    return replace(ours, figures=figures)


SPLIT = [
    # 0.15 % v/v: half of the last digit, and how far two ways of reading between the rows of that table lie apart.
    # poured, first vapour, flask, thimble, all % v/v; °C: closed charge of 300 mL, 100 mL held; two integrations by
    # somebody else over the table of Carey and Lewis 1932 (second-hand); not outside evidence for the balance
    (96.0, 96.2, 95.9, 96.1, 78.2),
    (90.0, 92.2, 89.1, 91.8, 78.7),
    (80.0, 88.1, 76.3, 87.2, 80.1),
    (70.0, 85.5, 62.9, 83.9, 81.5),
    (60.0, 83.3, 49.2, 81.1, 83.0),
    (40.0, 79.1, 23.6, 72.2, 87.7),
]


@pytest.mark.parametrize(("poured", "first", "flask", "thimble", "celsius"), SPLIT)
def test_a_watery_charge_splits_as_reckoned_over_the_vapour_of_1932(poured, first, flask, thimble, celsius):
    strength = spirit_mass_fraction(poured / 100)
    set_up = SoxhletSetUp(poured_g(300.0, strength), strength, 100.0, 98.0, 150.0, lost_g_per_kg_h=0.0)
    course = soxhlet_course(set_up, 300, carey_and_lewis())
    one_drop = soxhlet_course(replace(set_up, siphon_ml=0.01, heel_ml=0.0), 1, carey_and_lewis())

    assert by_volume(one_drop.thimble_mass_fraction[0]) == pytest.approx(first, abs=0.15)
    assert by_volume(course.flask_before_mass_fraction[-1]) == pytest.approx(flask, abs=0.15)
    assert by_volume(course.thimble_mass_fraction[-1]) == pytest.approx(thimble, abs=0.15)
    assert course.boiling_c[-1] == pytest.approx(celsius, abs=0.06)


@pytest.mark.parametrize(("poured", "first", "flask", "thimble", "celsius"), SPLIT)
def test_the_vapour_of_this_house_splits_it_within_what_vapour_tables_differ_by(
    poured, first, flask, thimble, celsius
):
    # our vapour follows the data of 2012, up to 0.017 mole fraction above the table of 1932: 1 % v/v, 0.9 K
    strength = spirit_mass_fraction(poured / 100)
    set_up = SoxhletSetUp(poured_g(300.0, strength), strength, 100.0, 98.0, 150.0, lost_g_per_kg_h=0.0)
    course = soxhlet_course(set_up, 300, spirit_vapour())

    assert by_volume(course.flask_before_mass_fraction[-1]) == pytest.approx(flask, abs=1.0)
    assert by_volume(course.thimble_mass_fraction[-1]) == pytest.approx(thimble, abs=1.0)
    assert course.boiling_c[-1] == pytest.approx(celsius, abs=0.9)


def test_a_mantle_of_150_watts_drips_as_fast_as_reckoned_elsewhere():
    # same equation, latent heats of 38.6 and 40.65 kJ/mol: 150 W, 60 %, 10 W lost, x 0.315438: 4.9053 mL/min, to 2 %
    strength = mass_fraction_from_mole_fraction(0.315438, ETHANOL_WATER_BOILING)
    set_up = SoxhletSetUp(1000.0, strength, 1.0, 0.0, 150.0, 0.6, 10.0 / 61.4, 20.0, 0.0, 0.0)
    course = soxhlet_course(set_up, 1, spirit_vapour())

    assert 1.0 / course.siphoning_min[0] == pytest.approx(4.9053, rel=0.02)


def test_the_flask_weakens_while_the_thimble_fills_and_jumps_back_at_the_siphoning():
    strength = spirit_mass_fraction(0.70)
    course = soxhlet_course(
        SoxhletSetUp(poured_g(300.0, strength), strength, 100.0, 30.0, 150.0), 10, spirit_vapour()
    )

    assert (course.flask_after_mass_fraction > course.flask_before_mass_fraction + 0.04).all()
    assert (course.thimble_mass_fraction > course.flask_after_mass_fraction).all()
    assert (course.drops_mass_fraction < course.thimble_mass_fraction).all()


def test_a_flask_that_would_run_dry_siphons_no_more_and_loses_nothing_more():
    course = soxhlet_course(
        SoxhletSetUp(120.0, 0.7, 100.0, 60.0, 150.0, lost_g_per_kg_h=80.0), 30, spirit_vapour()
    )
    first_dry = int(np.argmin(course.siphoned))

    assert 0 < first_dry < 30
    assert not course.siphoned[first_dry:].any()
    assert (course.siphoning_min[first_dry:] == 0).all()
    assert (course.siphoned_g[first_dry:] == 0).all()
    assert course.flask_ethanol_g[-1] == course.flask_ethanol_g[first_dry]


def test_a_heater_too_weak_to_boil_brings_no_siphoning():
    course = soxhlet_course(SoxhletSetUp(250.0, 0.7, 60.0, 15.0, 15.0), 3, spirit_vapour())

    assert not course.siphoned.any()


def test_a_heater_that_fades_is_given_siphoning_by_siphoning():
    power_w = np.linspace(200.0, 120.0, 8)[:, None] * np.ones(3)
    course = soxhlet_course(SoxhletSetUp(250.0, 0.9, 60.0, 15.0, power_w), 8, spirit_vapour())

    assert course.siphoning_min.shape == (8, 3)
    assert (np.diff(course.siphoning_min[1:], axis=0) > 0).all()


def test_draws_are_run_as_if_each_were_alone():
    strength, water = np.array([0.62, 0.9, 0.2]), np.array([0.0, 3.0, 6.0])
    together = soxhlet_course(
        SoxhletSetUp(300.0, strength, 90.0, 25.0, 150.0, plant_water_g=water), 6, spirit_vapour()
    )
    for at in range(3):
        alone = soxhlet_course(
            SoxhletSetUp(300.0, strength[at], 90.0, 25.0, 150.0, plant_water_g=water[at]), 6, spirit_vapour()
        )

        assert together.thimble_mass_fraction[:, at] == pytest.approx(alone.thimble_mass_fraction, rel=1e-6)
        assert together.at_min[:, at] == pytest.approx(alone.at_min, rel=1e-6)


def test_high_up_it_boils_colder():
    set_up = SoxhletSetUp(250.0, 0.7, 60.0, 15.0, 150.0)
    sea, high = (soxhlet_course(set_up, 2, spirit_vapour(pressure)) for pressure in (101325.0, 79500.0))

    assert sea.boiling_c - high.boiling_c == pytest.approx(6.3, abs=0.5)


@given(st.floats(5.0, 60.0), st.floats(0.0, 80.0), st.integers(1, 20))
@settings(max_examples=30)
def test_what_is_washed_at_once_falls_by_the_same_ratio_each_time(heel_ml, sorption_ml, times):
    course = soxhlet_course(SoxhletSetUp(400.0, 0.9, 85.0, heel_ml, 150.0), times, spirit_vapour())
    ratio = (heel_ml + sorption_ml) / (85.0 + sorption_ml)

    assert soxhlet_washing(course, 1.0, 90.0, sorption_ml).left_share[-1] == pytest.approx(
        ratio**times, abs=1e-12
    )


def test_a_heel_as_large_as_the_siphon_is_refused():
    with pytest.raises(NotEnough, match="empty more than it keeps"):
        soxhlet_course(SoxhletSetUp(250.0, 0.9, 60.0, 60.0, 150.0), 1, spirit_vapour())


def test_an_empty_flask_is_refused():
    with pytest.raises(BadEntry, match="spirit poured must be above zero"):
        soxhlet_course(SoxhletSetUp(0.0, 0.9, 60.0, 10.0, 150.0), 1, spirit_vapour())
