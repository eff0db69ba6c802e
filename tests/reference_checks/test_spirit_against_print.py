"""Density, strength, mixing, dilution and boiling of spirit against what others have printed.

Each row of the CSV files beside this test carries its source, how it was seen, and the tolerance the source
allows. Rows reckoned from the same equation as ours guard against slips of the pen only; they are counted and
tested apart. A row that disagrees says why in ``disagrees_because`` and must go on disagreeing until somebody
looks.
"""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest

from stillroom.answers.spirit_percent import spirit_mass_g, spirit_volume_ml
from stillroom.answers.still_sums import distillate_g, distillate_percent, drip_percent
from stillroom.science.liquids.alcoholometer import true_volume_fraction_20c
from stillroom.science.liquids.boiling import (
    activity_coefficients,
    bubble_point_c,
    vapour_mole_fraction,
    vapour_pressure_pa,
)
from stillroom.science.liquids.density import density_kg_m3, mass_fraction_from_density
from stillroom.science.liquids.dilution import dilute_from_stock, dilute_to_volume
from stillroom.science.liquids.mixing import Part, mix, mixture_volume_ml
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    volume_fraction_from_mass_fraction,
)
from stillroom.substances.spirits import ethanol_water_boiling, oiml_r22
from stillroom.substances.water import (
    density_of_water_kg_m3,
    heat_capacity_of_water_j_g_k,
    latent_heat_of_water_kj_kg,
)

HERE = Path(__file__).parent
SAME = "same equation"
TABLE, BOILING = oiml_r22(), ethanol_water_boiling()
AIR, BRASS = 1.2, 8000.0


def rows(name, *, same_equation=None):
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    if same_equation is not None:
        found = [one for one in found if (one["seen"] == SAME) == same_equation]
    return [
        pytest.param(one, id=one.get("id") or f"{one['mass_pct']}%-{one['t_C']}C", marks=_marks(one))
        for one in found
    ]


def _marks(row):
    why = row["disagrees_because"]
    return [pytest.mark.xfail(strict=True, reason=why)] if why else []


def in_air(density):
    return (density - AIR) / (1.0 - AIR / BRASS)


def density_or_strength(row):
    mass, volume, at = row["mass_pct"], row["vol_pct_20C"], float(row["t_C"])
    kind = row["kind"]
    if kind == "density_from_mass_pct":
        return density_kg_m3(float(mass) / 100, at, TABLE)
    if kind == "vol_pct_15_56C_from_mass_pct":
        return 100 * volume_fraction_from_mass_fraction(float(mass) / 100, TABLE, base_temperature_c=15.56)
    base = 15.56 if kind.endswith("_15_56C") else 20.0
    fraction = mass_fraction_from_volume_fraction(float(volume) / 100, TABLE, base_temperature_c=base)
    if kind == "density_from_vol_pct":
        return density_kg_m3(fraction, at, TABLE)
    if kind.startswith("sg_air"):
        return in_air(density_kg_m3(fraction, at, TABLE)) / in_air(density_kg_m3(0.0, at, TABLE))
    assert kind.startswith("mass_pct_from_vol_pct")
    return 100 * fraction


@pytest.mark.parametrize("row", rows("density_and_strength.csv", same_equation=False))
def test_density_and_strength_agree_with_print(row):
    found = density_or_strength(row)

    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("density_and_strength.csv", same_equation=True))
def test_density_and_strength_same_equation(row):
    found = density_or_strength(row)

    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("handbook_density.csv"))
def test_density_off_20_c_agrees_with_a_handbook_that_knows_nothing_of_the_equation(row):
    # a wrong digit in the temperature terms cannot be seen at 20 °C
    found = density_kg_m3(float(row["mass_pct"]) / 100, float(row["t_C"]), TABLE)

    assert found == pytest.approx(float(row["expected"]), abs=0.15)


def test_the_handbook_rows_would_catch_a_wrong_digit_in_a_temperature_term():
    slipped = replace(TABLE, c=((TABLE.c[0][0] + 0.1, *TABLE.c[0][1:]), *TABLE.c[1:]))
    worst = max(
        abs(density_kg_m3(float(row["mass_pct"]) / 100, float(row["t_C"]), slipped) - float(row["expected"]))
        for row in (one.values[0] for one in rows("handbook_density.csv"))
    )

    assert density_kg_m3(0.5, 20.0, slipped) == density_kg_m3(0.5, 20.0, TABLE)
    assert worst > 0.15


def mixed(row):
    given, kind = json.loads(row["inputs"]), row["kind"]
    at = given.get("t", 20)
    if kind == "true_strength_from_alcoholometer":
        return 100 * true_volume_fraction_20c(given["reading"] / 100, at, TABLE)
    if kind == "true_strength_from_density":
        return 100 * volume_fraction_from_mass_fraction(
            mass_fraction_from_density(given["rho"], at, TABLE), TABLE
        )
    if kind == "mass_fraction_of_vol_pct":
        return 100 * mass_fraction_from_volume_fraction(given["q"] / 100, TABLE)
    if kind == "mass_pct_of_vol_pct_15C":
        return 100 * mass_fraction_from_volume_fraction(given["q"] / 100, TABLE, base_temperature_c=15)
    if kind == "density_d15_4_of_vol_pct_15C":
        fraction = mass_fraction_from_volume_fraction(given["q"] / 100, TABLE, base_temperature_c=15)
        return density_kg_m3(fraction, 15, TABLE) / density_kg_m3(0.0, 4.0, TABLE)
    if kind == "volume_change_with_t":
        fraction = mass_fraction_from_volume_fraction(given["q"] / 100, TABLE)
        return (
            given["v"]
            * density_kg_m3(fraction, given["t1"], TABLE)
            / density_kg_m3(fraction, given["t2"], TABLE)
        )
    if kind == "ml_of_96_3_spirit_for_1000_ml":
        return dilute_to_volume(
            given["q1"] / 100, given["q2"] / 100, given["final"], 20, TABLE
        ).stock_volume_ml
    fraction = mass_fraction_from_volume_fraction(given["q1"] / 100, TABLE)
    spirit = density_kg_m3(fraction, at, TABLE) / 1000
    if kind in ("mix_volume", "mix_strength"):
        water = given["vw"] * density_kg_m3(0.0, at, TABLE) / 1000
        mixture = mix([Part(given["v1"] * spirit, fraction), Part(water, 0.0)])
        if kind == "mix_volume":
            return mixture_volume_ml(mixture, at, TABLE)
        return 100 * volume_fraction_from_mass_fraction(mixture.ethanol_mass_fraction, TABLE)
    stock_ml = given.get("v1", 1000.0)
    diluted = dilute_from_stock(given["q1"] / 100, given["q2"] / 100, stock_ml * spirit, at, TABLE)
    return diluted.product_volume_ml if kind == "final_volume_from_1000_ml" else diluted.water_volume_ml


@pytest.mark.parametrize("row", rows("mixing.csv", same_equation=False))
def test_mixing_and_alcoholometer_agree_with_print(row):
    found = mixed(row)

    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("mixing.csv", same_equation=True))
def test_mixing_and_alcoholometer_same_equation(row):
    found = mixed(row)

    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("dilution_table.csv"))
def test_water_to_add_agrees_with_the_dilution_table(row):
    # the table's strengths and volumes are at 15 °C
    base = float(row["base_T_C"])
    have = mass_fraction_from_volume_fraction(
        float(row["from_vol_pct"]) / 100, TABLE, base_temperature_c=base
    )
    want = mass_fraction_from_volume_fraction(float(row["to_vol_pct"]) / 100, TABLE, base_temperature_c=base)
    stock_g = 100 * density_kg_m3(have, base, TABLE) / 1000
    strength = (
        volume_fraction_from_mass_fraction(have, TABLE),
        volume_fraction_from_mass_fraction(want, TABLE),
    )

    found = dilute_from_stock(*strength, stock_g, base, TABLE).water_volume_ml

    assert found == pytest.approx(float(row["water_ml_per_100_ml"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("boiling.csv"))
def test_boiling_agrees_with_measured_points(row):
    ethanol, pressure = float(row["x1"]), 1000 * float(row["P_kPa"])

    vapour, temperature = (
        vapour_mole_fraction(ethanol, pressure, BOILING),
        bubble_point_c(ethanol, pressure, BOILING),
    )

    assert vapour == pytest.approx(float(row["y1"]), abs=float(row["tol_y"]))
    assert temperature == pytest.approx(float(row["T_C"]), abs=float(row["tol_T_C"]))


WATER = {
    "density": lambda at: (
        density_kg_m3(0.0, at, TABLE) if at <= TABLE.highest_temperature_c else density_of_water_kg_m3(at)
    ),
    "heat_capacity": heat_capacity_of_water_j_g_k,
    "latent_heat": latent_heat_of_water_kj_kg,
    "vapour_pressure": lambda at: vapour_pressure_pa(at, BOILING.water),
}


@pytest.mark.parametrize("row", rows("water.csv"))
def test_water_agrees_with_the_formulation_of_1995(row):
    found = WATER[row["property"]](float(row["t_C"]))

    assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", [one for one in rows("water.csv") if one.values[0]["property"] == "density"])
def test_two_equations_of_water_agree_with_the_formulation_of_1995(row):
    found = density_of_water_kg_m3(float(row["t_C"]))

    assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_the_coefficients_of_the_density_equation_are_the_printed_ones():
    printed = json.loads((HERE / "oiml_r22.json").read_text(encoding="utf-8"))

    assert (list(TABLE.a), list(TABLE.b)) == (printed["A"], printed["B"])
    assert [list(line) for line in TABLE.c] == printed["C"]
    assert sum(len(one) for one in (TABLE.a, TABLE.b, *TABLE.c)) == 54
    assert density_kg_m3(1.0, 20.0, TABLE) == pytest.approx(printed["rho_ethanol_20"], abs=0.005)
    assert density_kg_m3(0.0, 20.0, TABLE) == pytest.approx(printed["rho_water_20"], abs=0.000005)


@pytest.mark.parametrize("row", rows("boiling_at_30_c.csv"))
def test_pressure_and_vapour_at_30_c_agree_with_measured_points(row):
    # far below the pressures a still is reckoned for: the same parameters, asked at another temperature
    at, ethanol = float(row["t_C"]), float(row["x1"])
    of_ethanol, of_water = activity_coefficients(ethanol, at, BOILING)
    from_ethanol = ethanol * of_ethanol * vapour_pressure_pa(at, BOILING.ethanol)
    from_water = (1.0 - ethanol) * of_water * vapour_pressure_pa(at, BOILING.water)

    assert from_ethanol / (from_ethanol + from_water) == pytest.approx(
        float(row["y1"]), abs=float(row["tol_y"])
    )
    assert (from_ethanol + from_water) / 1000.0 == pytest.approx(
        float(row["P_kPa"]), rel=float(row["tol_P_pct"]) / 100.0
    )


@pytest.mark.parametrize("row", rows("recovery.csv"))
def test_a_simple_still_gives_back_what_was_reckoned_elsewhere(row):
    have, share = float(row["start_vol_pct"]), float(row["ethanol_share"])
    start_g = spirit_mass_g(1000.0 * float(row["start_l"]), have, 20.0)
    percent = distillate_percent(have, 101325.0, share)
    over_g = distillate_g(start_g, have, 101325.0, share)

    half_a_digit = float(row["tol_vol_pct"])
    assert float(row["low_vol_pct"]) - half_a_digit <= percent <= float(row["high_vol_pct"]) + half_a_digit
    assert spirit_volume_ml(over_g, percent, 20.0) / 1000.0 == pytest.approx(
        float(row["over_l"]), abs=float(row["tol_l"])
    )
    assert drip_percent(have, 101325.0, 0.0) == pytest.approx(float(row["first_drop_vol_pct"]), abs=0.5)
