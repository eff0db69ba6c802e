"""What is known of plants and markers: ranges with their source, None where nothing is known, near names."""

import pytest

from stillroom.reference.tables import row, table
from stillroom.substances.markers import marker_key, marker_nature, nearest_markers
from stillroom.substances.plant_contents import (
    contents_of,
    nearest_plants,
    plant_material,
    plants_known,
    typical_content,
)

# Minimum contents others print. Read as stored excerpts of public pages (second-hand), not in the books.
PRINTED = [
    ("rosemary leaf", "hydroxycinnamic acids", 3.0, "European Pharmacopoeia 8, quoted by a plant data base"),
    ("rosemary leaf", "phenolic diterpenes", 2.0, "USP-NF definition, public preview"),
    ("calendula flower", "total flavonoids", 0.4, "European Pharmacopoeia 10, quoted by a plant data base"),
    ("willow bark", "salicylic derivatives", 1.5, "European Pharmacopoeia 10, quoted by a plant data base"),
    ("oak bark", "tannins", 3.0, "European Pharmacopoeia 10, quoted by a plant data base"),
    ("horse chestnut seed", "escin", 3.0, "USP-NF definition"),
    ("St John's wort", "hypericins", 0.04, "USP-NF definition, public preview"),
    ("St John's wort", "hyperforin", 0.6, "USP-NF definition, public preview"),
    ("turmeric rhizome", "curcuminoids", 3.0, "Commission E monograph, translated page"),
    ("liquorice root", "glycyrrhizic acid", 4.0, "Commission E monograph, translated page"),
]
# Molar masses as chemical handbooks print them (from memory), to the digits printed.
MOLAR = [
    ("allantoin", 158.12),
    ("aucubin", 346.33),
    ("verbascoside", 624.6),
    ("azadirachtin", 720.7),
    ("betulin", 442.7),
    ("palmatine", 352.4),
    ("linalyl acetate", 196.29),
    ("hyperforin", 536.8),
    ("vitexin", 432.4),
]


@pytest.mark.parametrize(("plant", "marker", "printed", "where"), PRINTED)
def test_the_low_end_is_the_minimum_that_is_printed(plant, marker, printed, where):
    assert where
    assert typical_content(plant, marker).low_percent_dried == printed


@pytest.mark.parametrize(
    ("plant", "printed_ml_kg"),
    [("rosemary leaf", 12), ("sage leaf", 12), ("thyme herb", 12), ("chamomile flower", 4)],
)
def test_volatile_oil_begins_near_the_printed_minimum_by_volume(plant, printed_ml_kg):
    # European Pharmacopoeia, quoted by a plant data base (second-hand); 0.9 g/mL, common practice, no source
    found = typical_content(plant, "essential oil")

    assert found.low_percent_dried == pytest.approx(0.09 * printed_ml_kg, abs=0.05)


@pytest.mark.parametrize(("name", "printed"), MOLAR)
def test_molar_masses_agree_with_handbooks(name, printed):
    digits = len(str(printed).partition(".")[2])

    assert row("markers", name).number("molar_mass_g_mol") == pytest.approx(
        printed, abs=0.5 * 10**-digits + 1e-9
    )


def test_at_least_forty_plants_are_known_and_each_holds_something():
    assert len(plants_known()) >= 40
    assert [name for name in plants_known() if not contents_of(name)] == []


def test_every_content_is_a_range_of_a_known_marker_and_leaves_room_for_the_plant():
    for name in plants_known():
        material = plant_material(name)
        for one in contents_of(name):
            assert marker_nature(one.marker), one.marker
            assert 0 < one.low_percent_dried < one.high_percent_dried < 60, one.because

        assert 0 < material.loss_on_drying_percent < 15
        for low, high in (material.by_water_percent, material.by_spirit_percent):
            assert 0 < low < high < 90


def test_what_dissolves_is_no_less_than_the_marker_that_dissolves():
    # volatile oil leaves by other ways, and resins and gums by one of the two liquids only
    for name in plants_known():
        material = plant_material(name)
        most = max(material.by_water_percent[1], material.by_spirit_percent[1])
        for one in contents_of(name):
            assert one.high_percent_dried <= most, one.because


def test_a_plant_is_found_by_its_latin_name_or_without_its_part():
    assert plant_material("Rosmarinus officinalis").name == "rosemary leaf"
    assert plant_material("Rosemary").name == "rosemary leaf"
    assert plant_material("Cinchona officinalis").name == "cinchona bark"
    assert plant_material("St John’s wort").latin_name == "Hypericum perforatum"


def test_a_plant_with_several_parts_is_not_guessed():
    assert plant_material("witch hazel") is None
    assert set(nearest_plants("witch hazel")) >= {"witch hazel leaf"}


def test_nothing_known_is_none_and_never_a_figure():
    assert typical_content("moon grass", "rosmarinic acid") is None
    assert typical_content("rosemary leaf", "berberine") is None
    assert typical_content("rosemary leaf", "moonlight") is None
    assert plant_material("") is None


def test_a_misspelt_plant_or_marker_offers_the_nearest():
    assert nearest_plants("lavendar flowers")[0] == "lavender flower"
    assert nearest_plants("Rosmarinus oficinalis") == ("rosemary leaf",)
    assert "berberine" in nearest_markers("berberin")


def test_names_in_use_lead_to_one_key():
    assert marker_key("Menthol") == "(-)-menthol"
    assert marker_key("total polyphenols") == marker_key("phenols") == "total phenols"
    assert marker_key("essential oil") == "volatile oil"
    assert marker_key("moonlight") is None


def test_every_name_in_use_leads_somewhere():
    from stillroom.substances.markers import ALSO_CALLED

    assert {name for name in ALSO_CALLED if marker_nature(name) is None} == set()


def test_a_group_is_counted_as_a_compound_that_is_listed():
    singles = {one.key for one in table("markers").rows}
    counted = {one.words("counted_as") for one in table("marker_groups").rows} - {""}

    assert counted <= singles


@pytest.mark.parametrize("name", ["berberine", "sanguinarine", "palmatine", "trigonelline"])
def test_a_fixed_charge_is_a_quaternary(name):
    nature = marker_nature(name)

    assert nature.fixed_charge
    assert nature.group == "quaternary alkaloid"


def test_the_reason_of_a_content_says_how_it_was_seen():
    assert "second-hand" in typical_content("oak bark", "tannins").because
    assert "from memory" in typical_content("rosemary leaf", "rosmarinic acid").because


def test_a_poisonous_plant_says_so():
    assert "pyrrolizidine" in plant_material("comfrey root").note
