"""Density, moles in a litre and bottles of acids and alkalis, against the printed tables."""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from stillroom.answers.acid_strength import poured_mol_l
from stillroom.reference.tables import row
from stillroom.science.solutions.strength import (
    SolutionDensities,
    mass_concentration_g_ml,
    moles_in_a_litre_mol_l,
    solute_mass_fraction,
    solution_density_g_ml,
)
from stillroom.substances.acids import acid_or_alkali, bottles, densities_of

HERE = Path(__file__).parent


def rows(name):
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


AT_20 = [one for one in rows("acid_densities.csv") if one["temperature_c"] == "20"]


def named(chosen):
    return [pytest.param(one, id=f"{one['id']}-{one.get('solute', one.get('reagent'))}") for one in chosen]


@pytest.mark.parametrize("printed", named(AT_20))
def test_a_printed_density_and_its_moles_are_given_back(printed):
    of = acid_or_alkali(printed["solute"])
    share = float(printed["mass_percent"]) / 100.0
    density = solution_density_g_ml(share, densities_of(of.solute))
    moles = moles_in_a_litre_mol_l(
        mass_concentration_g_ml(share, densities_of(of.solute)), of.molar_mass.value
    )
    decimals = len(printed["printed_mol_l"].partition(".")[2])
    # The printed moles come from unrounded densities: half a digit of the one, half a digit of the other.
    tolerance = max(0.5 * 10.0**-decimals, 0.0005 * moles) + 0.5e-4 / density * moles

    assert density == pytest.approx(float(printed["density_g_ml"]), abs=float(printed["tolerance_density"]))
    assert moles == pytest.approx(float(printed["printed_mol_l"]), abs=tolerance)
    assert of.molar_mass.value == pytest.approx(float(printed["molar_mass_g_mol"]), abs=0.001)


INNER = [
    one
    for one in AT_20
    if float(one["mass_percent"]) / 100.0
    not in {
        end
        for first, last in densities_of(acid_or_alkali(one["solute"]).solute).stretches
        for end in (
            densities_of(acid_or_alkali(one["solute"]).solute).solute_mass_fractions[first],
            densities_of(acid_or_alkali(one["solute"]).solute).solute_mass_fractions[last],
        )
    }
]
"""Rows with a neighbour on either side: the printed moles of a last row may round to beyond it."""


@pytest.mark.parametrize("printed", named(INNER))
def test_the_moles_lead_back_to_the_printed_strength_by_mass(printed):
    of = acid_or_alkali(printed["solute"])
    share = float(printed["mass_percent"]) / 100.0
    decimals = len(printed["printed_mol_l"].partition(".")[2])
    moles = float(printed["printed_mol_l"])
    found = solute_mass_fraction(moles * of.molar_mass.value / 1000.0, densities_of(of.solute))

    assert found == pytest.approx(share, rel=0.0015 + 10.0**-decimals / moles)


def test_a_row_left_out_is_read_between_its_neighbours():
    # Every inner row with both neighbours within 4 % is left out once and read off the curve through the others:
    # the curve, not only the rows, is held to the print (0.0005 g/mL, the tolerance of the handbook's rows).
    worst = {}
    for solute in {one["solute"] for one in AT_20}:
        table = densities_of(acid_or_alkali(solute).solute)
        shares, densities = np.array(table.solute_mass_fractions), np.array(table.densities_g_ml)
        for at in range(1, len(shares) - 1):
            if shares[at + 1] - shares[at - 1] > 0.0401:
                continue
            kept = np.arange(len(shares)) != at
            without = SolutionDensities(
                solute, tuple(shares[kept]), tuple(densities[kept]), 20.0, 0.15, "crc-102"
            )
            found = solution_density_g_ml(float(shares[at]), without)
            worst[solute, shares[at]] = abs(found - densities[at])

    assert len(worst) > 60
    assert max(worst.values()) <= 0.0005


def test_published_and_recalled_rows_are_told_apart():
    seen = [one["seen"] for one in rows("acid_densities.csv")]

    assert seen.count("second-hand") == 173
    assert seen.count("from-memory") == 1


@pytest.mark.parametrize("printed", named(rows("acid_bottles.csv")))
def test_a_bottle_as_it_is_sold_holds_the_printed_moles(printed):
    name = printed["reagent"].removesuffix(", glacial").removesuffix(" solution")
    of = acid_or_alkali(name)
    sold = next(
        one for one in bottles(of.solute) if one.number("strength_percent") == float(printed["mass_percent"])
    )
    moles = 10.0 * sold.number("strength_percent") * sold.number("density_g_ml") / of.molar_mass.value

    assert sold.number("density_g_ml") == float(printed["density_g_ml"])
    assert moles == pytest.approx(float(printed["printed_mol_l"]), abs=float(printed["tolerance"]))


def test_phosphoric_acid_of_85_per_cent_is_kept_at_the_temperature_it_was_printed_for():
    # 1.6845 g/mL at 25 °C and 14.61 mol/L: second-hand, an encyclopaedia page that quotes the handbook
    printed = next(one for one in rows("acid_densities.csv") if one["temperature_c"] == "25")
    sold = row("commercial_reagents", "phosphoric acid 85 %")
    moles = 10.0 * 85.0 * sold.number("density_g_ml") / float(printed["molar_mass_g_mol"])

    assert sold.number("density_temperature_c") == 25.0
    assert sold.number("density_g_ml") == pytest.approx(float(printed["density_g_ml"]), abs=0.003)
    assert moles == pytest.approx(float(printed["printed_mol_l"]), abs=0.005)


def test_five_millilitres_in_ninety_five_of_water():
    # Worked example from handbook densities: 0.6016 mol/L poured together, 0.6007 mol/L made up to 100 mL
    told = json.loads((HERE / "hcl_worked_example.json").read_text())
    found = poured_mol_l(5.0, 37.0, told["density_37_g_ml"], 36.461, solute="hydrochloric acid")
    made_up = 5.0 * told["density_37_g_ml"] * 0.37 / 36.461 / 0.1

    assert found == pytest.approx(told["molarity_mol_l"], abs=0.0005)
    assert made_up == pytest.approx(told["made_up_to_100ml_molarity"], abs=0.0001)


def test_the_worked_example_is_met_figure_by_figure():
    told = json.loads((HERE / "hcl_worked_example.json").read_text())
    # volumes follow the density, which the handbook's rows allow 0.0005 g/mL
    hcl = densities_of("hydrochloric acid")
    acid_g = 5.0 * solution_density_g_ml(0.37, hcl)
    share = 0.37 * acid_g / (acid_g + 95.0 * 0.9982)
    density = solution_density_g_ml(share, hcl)
    five = mass_concentration_g_ml(0.05, hcl)

    assert acid_g / 5.0 == pytest.approx(told["density_37_g_ml"], abs=0.00005)
    assert acid_g == pytest.approx(told["mass_acid_g"], abs=0.0005)
    assert 0.37 * acid_g == pytest.approx(told["HCl_g"], abs=0.005)
    assert 0.37 * acid_g / 36.461 == pytest.approx(told["HCl_mol"], abs=0.000005)
    assert acid_g + 95.0 * 0.9982 == pytest.approx(told["total_mass_g"], abs=0.005)
    assert 100.0 * share == pytest.approx(told["mass_pct"], abs=0.0005)
    assert density == pytest.approx(told["density_g_ml"], abs=0.0005)
    assert (acid_g + 95.0 * 0.9982) / density == pytest.approx(told["final_volume_ml"], abs=0.05)
    assert 100.0 * share * density == pytest.approx(told["g_per_100ml"], abs=0.0011)
    assert moles_in_a_litre_mol_l(mass_concentration_g_ml(0.37, hcl), 36.461) == pytest.approx(
        told["molarity_conc_acid"], abs=0.005
    )
    assert 100.0 * five / mass_concentration_g_ml(0.37, hcl) == pytest.approx(
        told["ml_37_for_100ml_of_5pct_mm"], abs=0.006
    )
