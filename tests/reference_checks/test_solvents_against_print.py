"""The shipped table of pure liquids, and the equations for water and ethanol, against an open library."""

import csv
from pathlib import Path

import pytest

from stillroom.reference.tables import row, table
from stillroom.science.liquids.antoine import antoine_pressure_pa
from stillroom.science.liquids.boiling import vapour_pressure_pa
from stillroom.science.liquids.density import density_kg_m3
from stillroom.substances.condensed import condensed
from stillroom.substances.spirits import ETHANOL_WATER_BOILING, OIML_R22

COLUMNS = {
    "molar_mass": ("molar_mass_g_mol", 1.0),
    "boiling_point_101325Pa": ("boiling_point_c", 1.0),
    "density_20C": ("density_20c_g_ml", 1000.0),
    "latent_heat_at_boiling": ("latent_heat_kj_kg", 1.0),
    "heat_capacity_20C": ("heat_capacity_kj_kg_k", 1.0),
    "flash_point_closed_cup": ("flash_point_c", 1.0),
    "lower_flammable_limit": ("lower_flammable_volume_fraction", 1.0),
    "upper_flammable_limit": ("upper_flammable_volume_fraction", 1.0),
}
PURE = {"water": 0.0, "ethanol": 1.0}


def rows():
    with (Path(__file__).parent / "solvents.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def named(chosen):
    return [pytest.param(one, id=f"{one['substance']}-{one['property']}") for one in chosen]


@pytest.mark.parametrize("printed", named(one for one in rows() if one["property"] in COLUMNS))
def test_the_shipped_figure_is_the_published_one(printed):
    column, scale = COLUMNS[printed["property"]]

    found = scale * row("liquids", printed["substance"]).number(column)

    assert found == pytest.approx(float(printed["value"]), abs=float(printed["tolerance"]))


@pytest.mark.parametrize(
    "printed", named(one for one in rows() if one["property"] == "density_20C" and one["substance"] in PURE)
)
def test_the_density_equation_ends_at_the_pure_liquids(printed):
    found = density_kg_m3(PURE[printed["substance"]], 20.0, OIML_R22)

    assert found == pytest.approx(float(printed["value"]), abs=float(printed["tolerance"]))


@pytest.mark.parametrize(
    "printed",
    named(
        one for one in rows() if one["property"].startswith("vapour_pressure") and one["substance"] in PURE
    ),
)
def test_vapour_pressures_agree_with_another_correlation(printed):
    at = float(printed["property"].removeprefix("vapour_pressure_").removesuffix("C"))
    found = vapour_pressure_pa(at, getattr(ETHANOL_WATER_BOILING, printed["substance"]))

    assert found == pytest.approx(float(printed["value"]), abs=float(printed["tolerance"]))


@pytest.mark.parametrize(
    "printed", named(one for one in rows() if one["property"].startswith("vapour_pressure"))
)
def test_what_moves_a_boiling_point_gives_the_vapour_pressure(printed):
    at = float(printed["property"].removeprefix("vapour_pressure_").removesuffix("C"))
    found = antoine_pressure_pa(at, *(one.value for one in condensed(printed["substance"]).antoine))

    assert found == pytest.approx(float(printed["value"]), abs=float(printed["tolerance"]))


@pytest.mark.parametrize("printed", named(one for one in rows() if one["property"] == "hazard_class"))
def test_the_hazard_class_is_told_as_it_is_printed(printed):
    assert row("liquids", printed["substance"])["hazard_class"] == printed["value"]


def test_every_property_of_the_printed_table_is_held_to_something():
    kinds = {one["property"] for one in rows()}

    assert {one for one in kinds if not one.startswith("vapour_pressure")} - {"hazard_class"} == set(COLUMNS)


def test_ethyl_acetate_for_clean_up_agrees_with_the_table_of_liquids():
    # 88.105 g/mol, 0.9003 g/mL and 77.1 °C from memory, beside an open library's figures
    cleanup, liquid = row("solvents", "ethyl acetate"), row("liquids", "ethyl acetate")

    assert cleanup["cleanup"] == "permitted"
    assert cleanup.number("molar_mass_g_mol") == pytest.approx(liquid.number("molar_mass_g_mol"), abs=0.005)
    assert cleanup.number("density_20c_g_ml") == pytest.approx(liquid.number("density_20c_g_ml"), abs=0.002)
    assert cleanup.number("boiling_point_c") == pytest.approx(liquid.number("boiling_point_c"), abs=0.4)


def test_every_liquid_has_a_molar_mass():
    assert all(one["molar_mass_g_mol"] for one in table("liquids").rows)
