"""Condensers, buckets and the breaker: printed problems, balances, and what always holds."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.heat.breaker import most_w
from stillroom.science.heat.buckets import (
    bucket_temperature_c,
    ice_needed_kg,
    iced_bucket_c,
    minutes_of_still_water,
    minutes_until_warm,
)
from stillroom.science.heat.condensers import (
    boil_up_heat_w,
    boiling_point_at_c,
    first_to_fail,
    least_flow_l_min,
    outlet_c,
    outlets_in_series_c,
)
from stillroom.science.heat.distilling import PureHeats, heat_to_warm_j, latent_heat_j_g
from stillroom.science.heat.surfaces import condensing_surface_cm2, log_mean_difference_k
from stillroom.science.liquids.boiling import bubble_point_c
from stillroom.substances.condensed import condensed
from stillroom.substances.spirits import ETHANOL_WATER_BOILING, spirit_density_kg_m3, spirit_mass_fraction

EXAMPLES = {
    one["id"]: one
    for one in json.loads(
        (Path(__file__).parents[2] / "reference_checks" / "condensers.json").read_text(encoding="utf-8")
    )
}


def test_the_textbook_condenser_needs_its_printed_water():
    # K01: 2 kg/s of ethanol vapour at 838 kJ/kg, water from 20 to 50 °C: 1676 kW, 13.3 kg/s. Second-hand.
    given_, printed = EXAMPLES["K01"]["given"], EXAMPLES["K01"]["answers"]
    heat = boil_up_heat_w(given_["m_vapour_kg_s"] * 60_000.0, 1.0, given_["latent_kJ_kg"])

    assert heat / 1000.0 == pytest.approx(printed["duty_kW"], abs=0.5)
    assert least_flow_l_min(heat, 30.0) / 60.0 == pytest.approx(printed["water_kg_s"], abs=0.05)


def test_the_textbook_condenser_has_its_printed_surface():
    # K01: ethanol at 78 °C, water from 20 to 50 °C, 250 W/(m² K): a mean of 41.2 K and 162.7 m². Second-hand.
    given_, printed = EXAMPLES["K01"]["given"], EXAMPLES["K01"]["answers"]
    mean_k = log_mean_difference_k(given_["T_sat_C"], 20.0, 50.0)
    surface_cm2 = condensing_surface_cm2(1000.0 * printed["duty_kW"], mean_k, given_["U_W_m2K"])

    assert mean_k == pytest.approx(printed["lmtd_K"], abs=0.05)
    assert surface_cm2 / 1e4 == pytest.approx(printed["area_m2"], abs=0.05)


def test_water_as_warm_as_the_vapour_condenses_nothing():
    with pytest.raises(BadEntry, match="only while it is colder"):
        log_mean_difference_k(34.6, 20.0, 34.6)


@given(st.floats(40.0, 120.0), st.floats(1.0, 30.0), st.floats(0.0, 9.0))
def test_the_mean_difference_lies_between_both_ends(vapour, inlet, rise):
    mean_k = log_mean_difference_k(vapour, inlet, inlet + rise)

    assert vapour - inlet - rise - 1e-9 <= mean_k <= vapour - inlet + 1e-9


def test_a_bench_still_needs_its_reckoned_water():
    # K02, a worked example: 139.6 W, water from 15 to 25 °C, 12.01 L/h. Its heat capacity of water is 4.186.
    printed = EXAMPLES["K02"]["answers"]

    assert 60.0 * least_flow_l_min(printed["duty_W"], 10.0) == pytest.approx(printed["water_L_h"], abs=0.01)
    assert outlet_c(15.0, printed["duty_W"], printed["water_L_h"] / 60.0) == pytest.approx(25.0, abs=0.01)


def test_a_bench_still_gives_off_its_reckoned_heat():
    # K02: 0.5 L/h of 90 % v/v, latent heats 849.6 and 2256.5 kJ/kg, liquid of 3.0 kJ/(kg K) from 78.5 to 25 °C
    given_, printed = EXAMPLES["K02"]["given"], EXAMPLES["K02"]["answers"]
    share = spirit_mass_fraction(given_["vol_pct"] / 100.0)
    grams_h = 1000.0 * given_["vol_L_h"] * spirit_density_kg_m3(share, 20.0) / 1000.0
    heats = PureHeats(given_["latent_ethanol_kJ_kg"], given_["latent_water_kJ_kg"], 3.0, 3.0)
    latent = latent_heat_j_g(share, heats)
    warm = heat_to_warm_j(grams_h, share, given_["T_out_C"], given_["T_cond_C"], heats)

    assert grams_h / 1000.0 == pytest.approx(printed["distillate_kg_h"], abs=0.00005)
    assert share == pytest.approx(printed["mass_fraction"], abs=0.00005)
    assert latent == pytest.approx(printed["latent_mix_kJ_kg"], abs=0.1)
    assert (grams_h * latent + warm) / 3600.0 == pytest.approx(printed["duty_W"], abs=0.05)


LOADS = st.lists(st.floats(0.0, 2000.0), min_size=1, max_size=6)


@given(LOADS, st.floats(5.0, 40.0), st.floats(0.1, 5.0))
def test_the_water_of_a_chain_carries_all_of_the_heat(loads, inlet, flow):
    outlets = outlets_in_series_c(inlet, loads, flow)

    assert outlets[-1] == pytest.approx(outlet_c(inlet, sum(loads), flow), abs=1e-9)
    assert (np.diff(outlets) >= -1e-12).all()
    assert outlets[0] >= inlet


def test_many_mornings_are_reckoned_at_once():
    outlets = outlets_in_series_c(np.array([15.0, 24.0, 31.0]), [100.0, 200.0], 0.5)

    assert outlets.shape == (3, 2)
    assert outlets[1, 1] == pytest.approx(outlets_in_series_c(24.0, [100.0, 200.0], 0.5)[1])


@given(LOADS.filter(lambda loads: sum(loads) > 1.0), st.floats(5.0, 30.0), st.floats(1.0, 20.0))
def test_the_least_flow_just_passes(loads, inlet, rise):
    flow = least_flow_l_min(sum(loads), rise)

    assert outlets_in_series_c(inlet, loads, flow)[-1] == pytest.approx(inlet + rise, abs=1e-9)


def test_the_first_that_fails_is_named_by_its_place():
    assert first_to_fail([30.0, 37.0, 40.0], [58.0, 36.0, 36.0]) == 1
    assert first_to_fail([30.0, 33.0], [58.0, 36.0]) is None


def boils_at(name, pressure_pa):
    of = condensed(name)
    return boiling_point_at_c(of.boiling.value, *(one.value for one in of.antoine), pressure_pa)


@pytest.mark.parametrize("name", ["ethanol", "water"])
@pytest.mark.parametrize("pressure_pa", [101_325.0, 90_000.0, 70_000.0, 50_000.0])
def test_the_boiling_point_moves_as_another_vapour_pressure_equation_says(name, pressure_pa):
    exact = bubble_point_c(1.0 if name == "ethanol" else 0.0, pressure_pa, ETHANOL_WATER_BOILING)

    assert boils_at(name, pressure_pa) == pytest.approx(exact, abs=0.15)


def test_water_boils_at_95_degrees_at_1500_m():
    # 84.56 kPa, 95.0 °C: steam tables, from memory
    assert boils_at("water", 84_560.0) == pytest.approx(95.0, abs=0.05)


def test_boiling_points_agree_with_the_table_of_liquids():
    from stillroom.reference.tables import table

    for one in table("liquids").rows:
        if one.key in {row.key for row in table("condensed_liquids").rows}:
            assert condensed(one.key).boiling.value == pytest.approx(one.number("boiling_point_c"), abs=0.05)


def test_a_bucket_warms_as_a_step_by_step_integration_does():
    def slope(_, temperature):
        return (500.0 - 4.0 * (temperature - 20.0)) / (25.0 * 4186.0)

    stepped = solve_ivp(slope, (0.0, 3 * 3600.0), [24.0], rtol=1e-10, atol=1e-10).y[0, -1]

    assert bucket_temperature_c(180.0, 24.0, 25.0, 500.0, 20.0, 4.0) == pytest.approx(stepped, abs=1e-6)


def test_half_a_kilowatt_warms_25_litres_by_17_kelvin_an_hour():
    # Common practice figure of the trade: about 17 K/h.
    assert bucket_temperature_c(60.0, 20.0, 25.0, 500.0) == pytest.approx(37.0, abs=0.5)


@given(
    st.floats(5.0, 30.0),
    st.floats(0.5, 30.0),
    st.floats(5.0, 100.0),
    st.floats(10.0, 2000.0),
    st.floats(0, 20.0),
)
def test_a_bucket_with_the_ice_it_needs_lasts_just_as_long(start, rise, litres, heat, hours):
    minutes, warmest = 60.0 * hours, start + rise
    ice = ice_needed_kg(minutes, start, warmest, litres, heat)
    lasts = minutes_until_warm(start, warmest, litres, heat, ice)

    assert ice >= 0.0
    assert lasts >= minutes * (1.0 - 1e-9)
    assert ice == 0.0 or lasts == pytest.approx(minutes, rel=1e-9)


def test_standing_water_lasts_two_minutes():
    # 200 mL, 20 K, 124 W by hand: 200 x 4.186 x 20 / 124 = 135 s
    assert 60.0 * minutes_of_still_water(200.0, 20.0, 124.0) == pytest.approx(135.0, abs=0.5)


def test_ten_and_sixteen_amperes():
    # Common practice of the trade: 1840 and 2944 W
    assert most_w(np.array([10.0, 16.0]), 230.0) == pytest.approx([1840.0, 2944.0])


def test_a_hose_that_is_shut_is_refused():
    with pytest.raises(BadEntry, match="flow must be above zero"):
        outlet_c(20.0, 100.0, 0.0)


def test_a_bucket_that_is_empty_is_refused():
    with pytest.raises(BadEntry, match="water in the bucket must be above zero"):
        minutes_until_warm(20.0, 30.0, 0.0, 100.0)


def test_a_high_mountain_is_refused():
    with pytest.raises(OutsideModel, match="between 40000 and 110000 Pa"):
        boils_at("ethanol", 30_000.0)


@given(
    st.floats(0.0, 600.0),
    st.floats(1.0, 40.0),
    st.floats(5.0, 100.0),
    st.floats(1.0, 2000.0),
    st.floats(0.0, 10.0),
)
def test_ice_takes_up_its_melting_heat_and_no_more(minutes, start, water, heat, ice):
    found = iced_bucket_c(minutes, start, water, heat, ice)
    plain = bucket_temperature_c(minutes, start, water, heat)

    assert 0.0 <= found <= plain + 1e-9
    if ice == 0.0:
        assert found == pytest.approx(plain, rel=1e-12)
    if found > 0.0:
        held = water * 4186.0 * (plain - start) - (
            water * 4186.0 * (found - start) + ice * (333_600.0 + 4186.0 * found)
        )
        assert held == pytest.approx(0.0, abs=1e-3)


def test_a_bucket_with_ice_is_as_warm_as_it_may_be_when_it_is_said_to_have_lasted():
    lasted = minutes_until_warm(24.0, 34.0, 25.0, 500.0, 3.0)

    assert iced_bucket_c(lasted, 24.0, 25.0, 500.0, 3.0) == pytest.approx(34.0, abs=1e-9)
    assert iced_bucket_c(0.0, 10.0, 5.0, 500.0, 4.0) == 0.0
