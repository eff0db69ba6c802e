"""Glycerol and plant oils stay in the extract they make: none burns like spirit, each keeps in its own way."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.errors import BadEntry, OutsideModel
from stillroom.planning.plan import plan
from stillroom.planning.shelf_inputs import may_be_planned_with
from stillroom.quantities.content import Content
from stillroom.records.formula_starters import base_that_takes
from stillroom.records.starters import copy_starter
from stillroom.stream.cautions import OF_SPIRIT, cautions_of, only_stays
from stillroom.stream.components import FIXED_OIL, GLYCEROL, MARKER, WATER, whole_mass
from stillroom.stream.kind import Feed
from stillroom.stream.run import run, runs_of
from stillroom.substances.carriers import carrier
from tests.planning.any_plant import asked

PLANT = {"water": 0.08, "marker": 0.01, "other extractables": 0.25, "plant solids": 0.66}
WET = {"water": 0.80, "marker": 0.002, "other extractables": 0.05, "plant solids": 0.148}
SHELF = {
    "oil": Feed({"fixed oil": 1.0}, 0.918),
    "glycerol": Feed({"glycerol": 1.0}, 1.261),
    "water": Feed({"water": 1.0}, 0.9982),
}
OIL = copy_starter("oil-maceration", "calendula flower", "faradiol esters", "oil")
GLYCERITE = copy_starter("glycerol-maceration", "ribwort plantain leaf", "aucubin", "gly")


def worked(procedure, plant=PLANT, grams=100.0, **settings):
    return run(procedure, {"plant": Feed(plant), **SHELF}, settings, grams, 1)


def said(procedure, plant=PLANT, **settings):
    account = worked(procedure, plant, **settings)
    return " ".join(runs_of(procedure, account, settings)["macerate"].says)


@pytest.mark.parametrize(
    ("written", "component", "share"),
    [
        ("glycerol", "glycerol", 1.0),
        ("Vegetable Glycerin", "glycerol", 1.0),
        ("glycerol 85 %", "glycerol", 0.85),
        ("glycerin 99,5 % w/w", "glycerol", 0.995),
        ("sunflower oil", "fixed oil", 1.0),
        ("olive oil, refined", "fixed oil", 1.0),
    ],
)
def test_a_line_of_glycerol_or_plant_oil_is_known(written, component, share):
    found = carrier(written)

    assert found is not None
    assert (found.component, found.share) == (component, pytest.approx(share))
    assert may_be_planned_with(written)


@pytest.mark.parametrize("written", ["lavender oil", "spirit 96 %", "ethylhexylglycerin", "", "paraffin oil"])
def test_what_goes_over_with_steam_or_is_not_listed_is_no_such_liquid(written):
    assert carrier(written) is None


def test_the_yield_of_a_maceration_in_oil_is_that_of_a_calculation_by_hand():
    account = worked(OIL)
    # 100 g: 92 g dry; 500 g of oil and 8 g of water, volumes added: 544.66 + 8.01 mL
    dry_g, liquid_ml = 92.0, 500.0 / 0.918 + 8.0 / 0.9982
    dissolved = liquid_ml / (liquid_ml + 0.3 * dry_g) * (1 - 0.6 * np.exp(-5 * 24 / 24))
    drained = dissolved * (1 - 1.8 * dry_g / liquid_ml)
    pressed = drained * 0.7 * dry_g / (liquid_ml - 1.8 * dry_g) * 0.95

    assert account.given("pressed liquid")[MARKER][0] == pytest.approx(
        1.0 * 0.60 * (drained + pressed), rel=2e-3
    )
    oil_g = sum(one[FIXED_OIL][0] for one in account.outs.values())
    lost_g = sum(grams[FIXED_OIL][0] for step in account.steps for grams in step.losses.values())
    assert oil_g + lost_g == pytest.approx(500.0, rel=1e-12)
    assert account.given("extract")[FIXED_OIL][0] / whole_mass(account.given("extract"))[0] > 0.95


def test_a_glycerol_extract_is_mostly_what_the_plant_stood_in():
    account = worked(GLYCERITE)
    extract = account.given("extract")

    assert account.from_shelf["glycerol"][GLYCEROL][0] == pytest.approx(600.0)
    assert account.from_shelf["water"][WATER][0] == pytest.approx(400.0)
    # the plant's 8 g of water are in it: 600 of 1008 g
    assert extract[GLYCEROL][0] / (extract[GLYCEROL] + extract[WATER])[0] == pytest.approx(
        600 / 1008, rel=2e-3
    )


def test_weak_glycerol_is_told_with_the_plants_own_water_and_strong_is_not():
    assert "does not keep" not in said(GLYCERITE)
    weak = said(GLYCERITE, **{"mix liquid/glycerol_g_per_g": 5.0, "mix liquid/water_g_per_g": 5.0})

    assert "it is 50 % w/w glycerol; below 50 % it does not keep" in weak  # 500 of 1008 g


def test_fresh_plant_in_oil_is_told_before_it_begins():
    assert "Fresh plant" not in said(OIL)
    assert "Fresh plant brings 80 g of water into the oil" in said(OIL, WET)


@pytest.mark.parametrize("procedure", [OIL, GLYCERITE], ids=["oil", "glycerol"])
def test_nobody_is_warned_of_spirit_where_there_is_none(procedure):
    takes = [one.substance for one in procedure.lines]
    assert only_stays(takes)
    for step in procedure.steps:
        copied = replace(step, cautions=(*step.cautions, "flammable-vapour", "spirit-law"))
        assert not set(cautions_of(copied, takes)) & set(OF_SPIRIT)
        assert set(cautions_of(copied, [*takes, "spirit 70 %"])) >= {"flammable-vapour", "spirit-law"}


def test_water_beneath_oil_oily_cloths_and_weak_glycerol_are_warned_of_at_their_step():
    assert {"water-in-oil", "warm-oil"} <= set(OIL.step("macerate").cautions)
    assert "warm-oil" in OIL.step("press").cautions
    assert "rancid-oil" in OIL.step("filter").cautions
    assert "weak-glycerol" in GLYCERITE.step("macerate").cautions


@pytest.mark.parametrize(
    ("way", "base", "each"),
    [
        ("oil-maceration", "oil", Content(30.0, "g")),
        ("glycerol-maceration", "water", Content(50.0)),
    ],
)
def test_an_order_is_worked_back_to_the_plant_through_what_stays(way, base, each):
    made = plan(asked(way, base, each=each))
    doses = made.line("extract_g").value / made.line("bulk_g").value

    assert made.supply.plant_g > 0
    assert 0.001 < doses < 0.9
    assert base_that_takes(made.request.extraction, "water") == base


def test_a_way_that_reckons_with_water_alone_refuses_glycerol_and_loses_none_of_it() -> None:
    infusion = copy_starter("infusion", "green tea leaf", "total phenols", "tea")
    in_glycerol = replace(infusion, steps=infusion.steps[:1])

    with pytest.raises(OutsideModel, match="'infuse' is calculated with water and spirit only"):
        run(
            in_glycerol,
            {"plant": Feed(PLANT), "water": Feed({"glycerol": 0.8, "water": 0.2}, 1.2)},
            {},
            100.0,
            1,
        )


def test_a_rare_draw_with_too_weak_an_extract_is_a_weak_batch_and_no_refusal():
    extraction = copy_starter("oil-maceration", "arnica flower", "helenalin", "arn")
    weak = "0.003 % w/w helenalin as helenalin"
    made = plan(asked("oil-maceration", base="oil", each=Content(30.0, "g"), plant="arnica flower", aim=weak))

    assert made.request.extraction.lines == extraction.lines
    assert 0.0 < made.content.share_below_percent < 10.0
    too_much = asked(
        "oil-maceration",
        base="oil",
        each=Content(30.0, "g"),
        plant="arnica flower",
        aim=weak.replace("0.003", "0.1"),
    )
    with pytest.raises(BadEntry, match="Ask for less of the active, or for a stronger extract"):
        plan(too_much)
