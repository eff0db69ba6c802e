"""A caution stands on the page where it matters: overpressure, a strange solvent, a formula, a label, a complaint."""

from datetime import date

import pytest

from stillroom.actions.releasing.recalling import hear_complaint
from stillroom.asking.question import answer
from stillroom.documents.as_text import page_text
from stillroom.errors import NotAllowed, UnknownName
from stillroom.pages.procedures import show_procedure
from stillroom.pages.reagents import show_recipe
from stillroom.pages.release import show_label, show_release
from stillroom.questions import declared
from stillroom.reference.cautions import caution
from stillroom.reference.tables import table
from stillroom.substances.condensed import condensed
from stillroom.substances.reagent_care import care_of, statements
from stillroom.texts.catalogue import LANGUAGES, speaking, t
from stillroom.web.acts import act_form

STILL = {"have": "70 % v/v", "amount": "5 L", "temperature": "20 °C", "stop": "91 %"}
CONCENTRATED = ("molisch", "salkowski", "shinoda", "liebermann-burchard", "vanillin", "anisaldehyde")


@pytest.mark.parametrize(
    ("pressure", "altitude"), [("1090 mbar", ""), ("1080 hPa", ""), ("1000 hPa", "1500")]
)
def test_a_still_above_the_pressure_of_the_air_is_refused(pressure, altitude):
    with pytest.raises(NotAllowed, match="stays open to the air"):
        answer(declared("recover"), {**STILL, "pressure": pressure, "altitude": altitude}, date(2026, 11, 29))


def test_another_liquid_is_not_offered_as_if_it_were_a_spelling():
    with pytest.raises(UnknownName) as told:
        condensed("chloroform")

    assert "Did you mean" not in told.value.sentence
    with pytest.raises(UnknownName, match="Did you mean 'hexane'"):
        condensed("hexan")


@pytest.mark.parametrize("test", CONCENTRATED)
def test_a_test_with_concentrated_acid_says_so(test):
    assert "strong-acid" in care_of(test).cautions


def test_a_reagent_with_methanol_bears_what_methanol_does():
    # Annex VI of Regulation (EC) 1272/2008, methanol: H225 H301 H311 H331 H370; from memory.
    held = {one.key: one.words("hazards").split() for one in table("reagent_recipes").rows}

    for recipe in ("anisaldehyde", "aluminium-chloride", "natural-product-a"):
        assert {"H225", "H301", "H311", "H331", "H370"} <= set(held[recipe]), recipe


def test_no_test_that_corrodes_is_called_the_lowest_hazard():
    corrodes = {
        one.words("reagent") for one in table("reagent_recipes").rows if "H314" in one.words("hazards")
    }

    assert sorted(one for one in corrodes if care_of(one).rank == 1) == []
    assert statements("H314")
    assert "lowest hazard" in t("lowest hazard of this list")


@pytest.mark.parametrize("test", [*CONCENTRATED, "fehling-benedict"])
def test_the_page_of_a_dangerous_test_warns_in_a_box(test):
    said = " ".join(page_text(show_recipe(None, test, {})).split())

    for key in care_of(test).cautions:
        assert caution(key).wording in said or care_of(test).tick, key


def test_what_a_formula_can_do_to_people_is_said_where_it_is_written_released_and_labelled(told):
    formula = page_text(show_procedure(told, "hair-tonic"))
    release, label = page_text(show_release(told, "T1", by="MA")), page_text(show_label(told, "T1"))

    def says(page, *keys):
        return [key for key in keys if caution(key).wording not in " ".join(page.split())]

    assert says(formula, "allergen", "preservation", "claims") == []
    assert says(release, "preservation", "claims") == []
    assert says(label, "allergen", "claims") == []


def test_whoever_hears_a_complaint_reads_what_to_do_where_somebody_reacted(told):
    form = act_form(told, hear_complaint, "T1")

    assert [one.wording for one in form.cautions] == [caution("reaction-reported").wording]
    assert "advise medical help" in form.cautions[0].wording


@pytest.mark.parametrize("code", LANGUAGES)
def test_spirit_denatured_with_nobody_knows_what_is_not_burned(code):
    with speaking(code):
        said = t(
            "denatured with something nobody knows, methanol perhaps: not for extracts or "
            "products, not for a burner"
        ) + t(
            "Spirit only, as on the label; unknown, if it does not say: then it is not used here "
            "until the supplier says"
        )

    assert "burners only" not in said
    assert "brûleurs seulement" not in said
