"""The reference answers by name, keeps empty cells empty, and offers the nearest name for a wrong one."""

import pytest

from stillroom.errors import BadEntry, UnknownName
from stillroom.reference.cautions import caution, cautions
from stillroom.reference.sources import source, sources
from stillroom.reference.tables import row, table


def test_a_numeric_cell_is_a_number_and_an_empty_cell_stays_empty():
    cinchonine = row("markers", "cinchonine")

    assert cinchonine.number("molar_mass_g_mol") == pytest.approx(294.40, abs=0.005)
    assert cinchonine["pka_1"] is None
    assert (cinchonine["pka_1_low"], cinchonine["pka_1_high"]) == (8.2, 8.4)


def test_an_empty_cell_is_refused_where_a_number_is_needed():
    with pytest.raises(BadEntry, match="no figure for 'pka_1' of 'cinchonine'"):
        row("markers", "cinchonine").number("pka_1")


def test_a_misspelt_row_is_answered_with_the_nearest_name():
    with pytest.raises(UnknownName, match="Did you mean 'quinine'"):
        row("markers", "quinin")


def test_a_misspelt_table_column_source_or_caution_is_answered_with_the_nearest_name():
    with pytest.raises(UnknownName, match="'markers'"):
        table("marker")
    with pytest.raises(UnknownName, match="'formula'"):
        row("markers", "quinine")["formulla"]
    with pytest.raises(UnknownName, match="'oiml-r22-1975'"):
        source("oiml-r22")
    with pytest.raises(UnknownName, match="'flammable-vapour'"):
        caution("flamable-vapour")


def test_a_table_is_read_once_and_cannot_be_changed():
    assert table("plants") is table("plants")
    with pytest.raises(TypeError):
        table("plants").rows[0]["plant"] = "other"  # type: ignore[index]


def test_no_caution_repeats_what_its_page_says_once():
    assert [one.key for one in cautions().values() if "licensed practice" in one.wording] == []


def test_the_citation_says_how_the_publication_was_seen():
    assert all(one.citation.endswith(f"[{one.seen}]") for one in sources().values())


def test_refused_solvents_and_prohibited_plants_point_at_a_row_of_the_law():
    refused = [one for one in table("solvents").rows if one["cleanup"] == "refused"]
    prohibited = [one for one in table("plants").rows if one["status"] == "prohibited"]

    assert {one.key for one in refused} >= {"chloroform", "n-hexane", "dichloromethane"}
    assert len(prohibited) > 15
    assert all(row("limits_eu", one.words("limit_row")).number("max_mass_percent") == 0 for one in prohibited)


def test_quinine_has_its_two_ceilings_as_base():
    # EU Annex III, entry 21, export of 2015; second-hand
    leave_on, rinse_off = row("limits_eu", "L052"), row("limits_eu", "L051")

    assert (leave_on.number("max_mass_percent"), rinse_off.number("max_mass_percent")) == (0.2, 0.5)
    assert leave_on["basis"] == "as quinine base"


def test_every_caution_named_by_a_solvent_exists():
    named = {key for one in table("solvents").rows for key in one.words("cautions").split(";")}

    assert all(caution(key) for key in named)


def test_a_marker_has_its_pka_in_one_table():
    elsewhere = {one.key for name in ("acid_constants", "preservative_bands") for one in table(name).rows}

    assert [one.key for one in table("markers").rows if one.key in elsewhere and one.words("pka_of")] == []
