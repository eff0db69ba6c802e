"""Substances that a rule names: every name leads to its row, and molar masses are what their formulas make."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.reference.tables import row, table
from stillroom.substances.plants import plant_rules_in
from stillroom.substances.regulated import counted_as, regulated, regulated_row, squeezed
from stillroom.substances.written_names import parts_of

# Standard atomic weights, IUPAC 2021 (abridged conventional values), from memory.
WEIGHTS = {
    "Al": 26.982,
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "K": 39.098, "S": 32.06, "Si": 28.085, "Cl": 35.45,
    "Ca": 40.078, "Mg": 24.305, "Br": 79.904, "I": 126.90, "Zn": 65.38, "Li": 6.94, "F": 18.998,
    "P": 30.974, "Sn": 118.71, "Hg": 200.592, "Sr": 87.62,
}  # fmt: skip
SUBSTANCES = table("regulated_substances").rows


def _molar_mass(formula: str) -> float:
    total = 0.0
    for part in formula.split("."):
        times, atoms = re.fullmatch(r"(\d*)(.*)", part).groups()
        total += int(times or 1) * sum(
            WEIGHTS[element] * int(count or 1) for element, count in re.findall(r"([A-Z][a-z]?)(\d*)", atoms)
        )
    return total


@pytest.mark.parametrize("one", [one for one in SUBSTANCES if one["formula"]], ids=lambda one: one.key)
def test_a_molar_mass_is_what_its_formula_makes(one):
    assert one.number("molar_mass_g_mol") == pytest.approx(_molar_mass(one.words("formula")), abs=0.01)


@pytest.mark.parametrize(
    ("salt", "parent", "salt_mass", "parent_mass", "units"),
    [  # molar masses as suppliers print them, recalled
        ("sodium benzoate", "benzoic acid", 144.11, 122.12, 1),
        ("potassium sorbate", "sorbic acid", 150.22, 112.13, 1),
        ("sodium salicylate", "salicylic acid", 160.11, 138.12, 1),
        ("quinine sulfate dihydrate", "quinine", 782.94, 324.42, 2),
        ("quinine hydrochloride dihydrate", "quinine", 396.91, 324.42, 1),
        ("retinyl palmitate", "retinol", 524.86, 286.45, 1),
        ("sodium metabisulfite", "sulfur dioxide", 190.11, 64.07, 2),
        ("zinc sulfate heptahydrate", "zinc", 287.55, 65.38, 1),
        ("propylparaben", "4-hydroxybenzoic acid", 180.20, 138.12, 1),
        ("sodium dehydroacetate", "dehydroacetic acid", 190.13, 168.15, 1),
    ],
)
def test_a_salt_counts_by_its_molar_mass(salt, parent, salt_mass, parent_mass, units):
    low, high = counted_as(regulated_row(salt), parent)

    assert low == high == pytest.approx(units * parent_mass / salt_mass, rel=2e-4)


def test_every_name_of_a_row_leads_to_it():
    for one in SUBSTANCES:
        for name in (one.key, *one.words("also_called").split(";")):
            if name:
                assert one.key in {found.name for found in regulated(name)}, name


def test_what_a_rule_counts_is_a_substance_and_what_carries_it_an_ingredient():
    keys = {one.key for one in SUBSTANCES}
    ingredients = {one.key for one in table("ingredients").rows}

    assert {one["parent"] for one in SUBSTANCES} <= keys
    for one in table("limits_eu").rows:
        assert {key for key in one.words("counts").split(";") if key} <= keys, one.key
        assert {key for key in one.words("weighs_with").split(";") if key} <= keys, one.key
    assert {one["substance"] for one in table("natural_contents").rows} <= keys
    assert {one["ingredient"] for one in table("natural_contents").rows} <= ingredients
    assert {one["substance"] for one in table("allergens").rows if one["substance"]} <= keys
    assert {one.key for one in table("preservative_bands").rows} <= keys


@given(
    st.sampled_from(SUBSTANCES),
    st.sampled_from(["{}", " {} ", "{} powder", "{} (USP)", "organic {}", "{} 100 %"]),
    st.booleans(),
)
def test_grades_spaces_and_capitals_hide_no_substance(one, wording, shouted):
    written = wording.format(one.key.upper() if shouted else one.key)

    assert any(found.name == one.key for part in parts_of(written) for found in part.regulated), written


@pytest.mark.parametrize(
    ("written", "key", "share"),
    [
        ("Lactic Acid 80 %", "lactic acid", 0.80),
        ("LACTIC ACID, 80% solution", "lactic acid", 0.80),
        ("formaldehyde 37 %", "formaldehyde", 0.37),
        ("chlorhexidine digluconate 20 %", "chlorhexidine digluconate", 0.20),
        ("sodium lactate (60 %)", "sodium lactate", 0.60),
        ("MCI/MI 1,5 %", "MCI/MI 3:1", 0.015),
        ("retinol 10 % in sunflower oil", "retinol", 0.10),
        ("phenoxyethanol 90 % + ethylhexylglycerin 10 %", "phenoxyethanol", 0.90),
    ],
)
def test_a_strength_in_a_name_is_read(written, key, share):
    part = next(one for one in parts_of(written) if one.regulated and one.regulated[0].name == key)

    assert (part.low_share, part.high_share) == (pytest.approx(share), pytest.approx(share))


def test_a_salt_whose_water_is_not_said_may_be_either():
    assert {one.name for one in regulated("quinine sulphate")} == {
        "quinine sulfate dihydrate",
        "quinine sulfate anhydrous",
    }


def test_tea_is_a_plant_and_its_capitals_an_amine():
    assert [one.name for one in regulated("TEA")] == ["trialkanolamines"]
    assert regulated("tea") == ()


def test_a_misspelt_name_is_told_with_the_nearest():
    (part,) = parts_of("phenoxyethanoll")

    assert not part.known
    assert squeezed(part.like) == "phenoxyethanol"


@pytest.mark.parametrize(
    ("written", "plant"),
    [
        ("monkshood root", "aconite"),
        ("Aconitum napellus extract", "aconite"),
        ("Wolf's bane tincture", "aconite"),
        ("Atropa belladonna leaf extract", "deadly nightshade"),
        ("foxglove tincture", "foxglove"),
        ("jimsonweed", "thorn apple"),
        ("Laurus nobilis seed oil", "laurel seed"),
    ],
)
def test_a_prohibited_plant_is_known_by_its_common_names(written, plant):
    assert plant in {one.name for one in plant_rules_in(written)}


@pytest.mark.parametrize(
    "written",
    [
        "hemlock spruce oil",
        "Croton lechleri resin",
        "laurel leaf oil",
        "inulin",
        "chamomile flower",
        "cocoa butter",
    ],
)
def test_another_plant_of_a_like_name_is_left_alone(written):
    assert plant_rules_in(written) == ()


def test_a_plant_with_a_rule_points_at_a_row_of_the_law():
    for one in table("plants").rows:
        assert row("limits_eu", one.words("limit_row")).key
