"""Markers, solvents, plants, reagents, ingredients and small rules, as the tables have them."""

import pytest

from stillroom.errors import BadEntry, NotAllowed, UnknownName
from stillroom.reference.sources import source
from stillroom.reference.tables import table
from stillroom.substances.acids import protolyte
from stillroom.substances.ingredients import ingredient
from stillroom.substances.markers import marker, molar_mass
from stillroom.substances.plants import plant_rule, refuse_prohibited
from stillroom.substances.reagents import life_days, reagent, use_by
from stillroom.substances.rules import rule
from stillroom.substances.solvents import cleanup_solvent, permitted, residue_limit


@pytest.mark.parametrize(
    ("name", "printed"), [("quinine", 324.42), ("cinchonine", 294.39), ("caffeine", 194.19)]
)
def test_a_molar_mass_is_the_handbook_one_and_opens_to_its_row(name, printed):
    # Molar masses as printed in handbooks; from-memory.
    found = molar_mass(name)

    assert found.value == pytest.approx(printed, abs=0.015)
    assert found.leaf.where == f"markers, {name}"
    assert found.sources


def test_a_quaternary_marker_is_charged_at_every_ph_and_quinine_is_not():
    assert marker("berberine").fixed_charge
    assert not marker("quinine").fixed_charge
    assert marker("quinine").cas == "130-95-0"


def test_the_constants_of_a_marker_stand_in_one_table():
    # Quinine 4.13 and 8.52: as the handbook of reference check ACB-01 prints them (from memory).
    assert protolyte("quinine").pka == (4.13, 8.52)
    assert protolyte("quinine").charge_fully_protonated == 2
    assert {one.key for one in table("markers").rows}.isdisjoint(
        one.key for one in table("acid_constants").rows
    )


def test_only_a_permitted_solvent_may_clean_up():
    assert cleanup_solvent("ethyl acetate").cautions
    assert "ethyl acetate" in permitted()
    for refused in ("chloroform", "n-hexane", "dichloromethane", "methanol"):
        with pytest.raises(NotAllowed, match="Use ethyl acetate"):
            cleanup_solvent(refused)
    with pytest.raises(UnknownName, match="toluene"):
        cleanup_solvent("toluene")
    assert residue_limit("ethyl acetate").unit == "mg/kg"


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("cinchona bark", "permitted"),
        ("Cinchona pubescens", "permitted"),
        ("aconite", "prohibited"),
        ("Atropa belladonna", "prohibited"),
        ("elecampane", "restricted"),
        ("marigold", "no rule found"),
    ],
)
def test_a_plant_has_the_rule_of_its_row_or_none(name, status):
    assert plant_rule(name).status == status


def test_a_prohibited_plant_is_refused_and_an_unlisted_one_is_never_called_allowed():
    with pytest.raises(NotAllowed, match="Annex II, 11"):
        refuse_prohibited("Aconitum napellus")
    assert refuse_prohibited("cinchona bark").limit_row == "L052"
    assert "never means allowed" in refuse_prohibited("marigold").why


@pytest.mark.parametrize(
    ("written", "plant"),
    [
        ("belladonna leaf", "deadly nightshade"),
        ("Deadly-nightshade berries", "deadly nightshade"),
        ("feuille de belladone", "deadly nightshade"),
        ("Fingerhutblätter", "foxglove"),
        ("Colchicum autumnale seed", "colchicum"),
        ("Nicotiana rustica leaf", "tobacco"),
    ],
)
def test_a_prohibited_plant_is_refused_whatever_part_it_is_named_with_and_in_whatever_language(
    written, plant
):
    with pytest.raises(NotAllowed, match=f"^{plant} may not be received"):
        refuse_prohibited(written)


def test_no_plant_or_ingredient_listed_here_is_taken_for_a_prohibited_one():
    for listed in ("ingredients", "plant_contents", "plant_materials"):
        for one in table(listed).rows:
            if plant_rule(one.key).status != "prohibited":
                refuse_prohibited(one.key)
    for name in ("hemlock spruce needles", "tomato leaf", "cocoa", "elecampane root"):
        assert refuse_prohibited(name).status != "prohibited"


def test_a_reagent_made_today_and_kept_one_day_is_used_today():
    assert life_days("tannic-acid").value == 1.0
    assert use_by("tannic-acid", "2026-03-14") == "2026-03-14"


def test_the_earliest_of_life_and_ingredients_is_the_use_by_date():
    assert use_by("wagner", "2026-03-14") == "2026-06-11"
    assert use_by("wagner", "2026-03-14", ["2026-05-01", "2027-01-01"]) == "2026-05-01"
    with pytest.raises(BadEntry, match="no figure for 'life_days'"):
        use_by("hager", "2026-03-14")
    with pytest.raises(BadEntry, match="year-month-day"):
        use_by("wagner", "14 March")


def test_what_a_table_does_not_say_is_not_stated():
    assert reagent("borntrager").detects == "anthraquinones"
    assert reagent("tannic-acid").false_negative == "not stated"
    with pytest.raises(UnknownName, match="wagner"):
        reagent("wagnr")


@pytest.mark.parametrize(
    ("name", "label_name"),
    [
        ("water", "Aqua"),
        ("Aqua", "Aqua"),
        ("Glycerine", "Glycerin"),
        ("ethanol 96 %", "Alcohol"),
        ("spirit", "Alcohol"),
    ],
)
def test_an_ingredient_is_known_by_any_of_its_names(name, label_name):
    assert ingredient(name).label_name == label_name


def test_an_unknown_ingredient_offers_the_nearest():
    with pytest.raises(UnknownName, match="Did you mean 'panthenol'"):
        ingredient("pantenol")


def test_no_two_ingredients_share_a_name():
    names = [
        one.casefold()
        for row in table("ingredients").rows
        for one in {row.key.casefold(), *filter(None, row.words("also_called").casefold().split(";"))}
    ]

    assert len(names) == len(set(names))


def test_every_small_rule_opens_to_a_known_source():
    for row in table("laboratory_rules").rows:
        found = rule(row.key)

        assert found.value > 0
        assert source(found.sources[0]).title
