"""The ways of a plant of the book side by side, with its own procedure, glass, prices, runs and trials."""

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.equipment_and_people import add_instrument
from stillroom.actions.making.comparing_ways import PlantCompared, ways_of_plant
from stillroom.actions.making.what_it_gave import what_it_gave
from stillroom.actions.orders.requesting import request_for
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.errors import UnknownName
from stillroom.pages.ways import show_ways, show_ways_of
from stillroom.planning.forecast import forecast
from stillroom.planning.ways import YIELD
from tests.practice import later

BARK = "cinchona bark"


def compared(lab: Laboratory, way: str = "") -> PlantCompared:
    with lab.look() as look:
        return ways_of_plant(look, BARK, way=way)


@pytest.fixture(scope="module")
def found(told: Laboratory) -> PlantCompared:
    return compared(told)


def test_its_own_procedure_stands_beside_the_starters_that_are_another_way(found: PlantCompared) -> None:
    names = {one.way.name for one in found.ways}

    assert {"bark-extract", "maceration", "percolation", "soxhlet", "reflux", "infusion"} <= names
    assert "alkaloid-clean-up" not in names
    assert found.marker == "total alkaloids as quinine"
    assert (found.plant_g, found.lot) == (250.0, "CIN-01")


def test_its_own_procedure_gives_what_its_forecast_says(told: Laboratory, found: PlantCompared) -> None:
    own = next(one for one in found.ways if one.way.name == "bark-extract")
    line = own.line(YIELD)
    assert line is not None
    with told.look() as look:
        said = forecast(request_for(look, "ORD-1"), 250.0).line(YIELD)

    assert line.median == pytest.approx(said.median, rel=0.01)
    assert (line.low, line.high) == (pytest.approx(said.low, rel=0.02), pytest.approx(said.high, rel=0.02))


def test_a_finished_batch_assayed_at_both_ends_is_a_trial_of_its_own(
    told: Laboratory, found: PlantCompared
) -> None:
    assert found.trials is not None
    assert found.looked_at is not None
    assert found.looked_at.way.name == "bark-extract"
    (own,) = found.trials.own
    with told.look() as look:
        gave = what_it_gave(look, "E1")
    assert gave is not None
    assert gave.given is not None
    assert gave.given.recovery is not None

    assert (own.code, own.strength_percent, own.value) == ("E1", pytest.approx(70.0), 20.0)
    assert own.recovery_percent == gave.given.recovery.answer.value
    other = compared(told, "maceration").trials
    assert other is not None
    assert other.own == ()


def test_glass_that_is_noted_without_an_extractor_leaves_no_soxhlet(lab: Laboratory) -> None:
    before = {one.way.name: one for one in compared(lab).ways}
    add_instrument(lab, "flasks", "2 L", by="MA", at=later(0))
    after = {one.way.name: one for one in compared(lab).ways}

    assert before["soxhlet"].can
    assert not after["soxhlet"].can
    assert "No extractor of a known size is noted" in " ".join(after["soxhlet"].cannot)
    assert after["soxhlet"].lines
    assert after["maceration"].can


def test_page_and_its_data_tell_the_same_and_each_figure_has_a_name(told: Laboratory) -> None:
    page = show_ways(told, "cinchona-bark")
    told_in = " ".join(page_text(page).split())
    data = page_json(page)

    assert "gives most" in told_in
    assert "Teaches most next" in told_in
    assert "E1 70 % v/v" in told_in
    assert "bark-extract.recovery_percent" in set(page.names.values())
    assert {"bark-extract.charge_cost", "soxhlet.charge_watch_h"} <= {one["name"] for one in data["figures"]}
    assert "which way" in page_text(show_ways_of(told, BARK, "total-alkaloids-as-quinine", "reflux"))
    with pytest.raises(UnknownName, match="total alkaloids as quinine"):
        show_ways_of(told, BARK, "rosmarinic acid", "")


def test_a_still_for_the_oil_is_no_way_for_what_does_not_go_over_with_steam(lab: Laboratory) -> None:
    flower, acid = "lavender flower", "rosmarinic acid"
    copy_procedure(lab, "infusion", flower, acid, "lav-tea", by="MA", at=later(-9))
    copy_procedure(lab, "hydrodistillation", flower, "volatile oil", "lav-oil", by="MA", at=later(-8))
    with lab.look() as look:
        by_marker = {
            one: {way.way.name: way for way in ways_of_plant(look, flower, one).ways}
            for one in (acid, "volatile oil")
        }

    assert "does not go over with steam" in " ".join(by_marker[acid]["lav-oil"].way.cannot)
    assert by_marker[acid]["lav-oil"].line(YIELD) is None
    assert by_marker[acid]["lav-tea"].line(YIELD) is not None
    assert by_marker["volatile oil"]["lav-oil"].line(YIELD) is not None
