"""A fresh lot on the racks becomes a dry one when two weighings agree, and what left as water leaves the shelf."""

from datetime import timedelta

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.plant_card import describe_plant
from stillroom.actions.lots.rack_weighing import weigh_rack
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.lot_waits import waits_for
from stillroom.actions.shelf.known_in_book import known_of_plant
from stillroom.actions.shelf.plant_described import described
from stillroom.errors import BadEntry, NotAllowed
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, grams
from tests.practice import later

BEGAN = later(0) - timedelta(hours=120)


@pytest.fixture
def fresh(lab: Laboratory) -> Laboratory:
    receive_lot(lab, Lot("SAL-7", LotKind.PLANT, "sage leaf", "sage, fresh"), "5 kg", by="TO", at=BEGAN)
    describe_plant(lab, "SAL-7", state="fresh", moisture="78 %", moisture_sure="1 %", by="TO", at=BEGAN)
    return lab


def rack(lab: Laboratory, hour: float, mass: str, **more: str) -> str:
    return weigh_rack(lab, "SAL-7", mass=mass, by="TO", at=BEGAN + timedelta(hours=hour), **more).says


def test_it_is_not_dry_while_it_still_loses_and_says_what_to_look_for(fresh: Laboratory) -> None:
    assert "Weigh the same rack again tomorrow" in rack(fresh, 1, "500 g")
    assert "Not dry yet" in (told := rack(fresh, 25, "210 g"))
    assert "grey down" in told
    assert "After three days" in rack(fresh, 80, "140 g")


def test_two_weighings_that_agree_make_it_a_dry_lot_with_the_moisture_its_masses_say(
    fresh: Laboratory,
) -> None:
    for hour, mass in ((1, "500 g"), (25, "190 g"), (49, "125.4 g")):
        rack(fresh, hour, mass)
    told = rack(fresh, 73, "125.0 g", whole="1.25 kg")

    with fresh.look() as look:
        found, shelf_g = described(look, "SAL-7"), grams(look.balance_ug("SAL-7"))
        known = {one.role: one for one in known_of_plant(look, "SAL-7")}
    assert "it is dry" in told
    assert (found.state, shelf_g) == ("dry", 1250.0)
    assert found.moisture_percent == pytest.approx(12.0)
    assert found.moisture_standard_uncertainty_percent == pytest.approx(0.5 * 500.0 / 125.0)
    assert known["loss on drying"].value == pytest.approx(12.0)


def test_more_dry_than_fresh_is_asked_back_and_nothing_is_written(fresh: Laboratory) -> None:
    rack(fresh, 1, "500 g")
    rack(fresh, 49, "125 g")
    with pytest.raises(BadEntry, match="no more than fresh"):
        rack(fresh, 73, "125 g", whole="6 kg")
    with fresh.look() as look:
        assert described(look, "SAL-7").state == "fresh"
        assert len(look.readings("SAL-7", "rack")) == 2


def test_what_all_of_it_weighs_leaves_the_shelf_also_before_two_weighings_agree(fresh: Laboratory) -> None:
    rack(fresh, 1, "500 g")
    assert "Not dry yet" in rack(fresh, 25, "190 g", whole="1.9 kg")
    with fresh.look() as look:
        assert described(look, "SAL-7").state == "fresh"
        assert grams(look.balance_ug("SAL-7")) == 1900.0


@pytest.mark.parametrize("slip", ["19.0 g", "1900 g", "520 g"])
def test_a_slip_on_the_rack_is_asked_about_once_and_kept_with_its_reason(
    fresh: Laboratory, slip: str
) -> None:
    rack(fresh, 1, "500 g")
    rack(fresh, 25, "190 g")
    with pytest.raises(BadEntry, match="loses water and nothing else"):
        rack(fresh, 49, slip)
    rack(fresh, 49, slip, note="another rack by mistake")
    with fresh.look() as look:
        kept = look.readings("SAL-7", "rack")[-1]
    assert (kept.body.value, kept.why) == (float(slip.split()[0]), "another rack by mistake")


def test_the_rack_says_what_it_weighed_and_its_lot_that_it_is_to_be_dried(fresh: Laboratory) -> None:
    rack(fresh, 1, "500 g")
    rack(fresh, 25, "190 g")
    with fresh.look() as look:
        assert callable(weigh_rack.lead)
        assert weigh_rack.lead(look, "SAL-7").endswith("So far: 500 g, 190 g.")
        assert any("weigh its rack" in one for one in waits_for(look, "SAL-7"))


def test_only_a_plant_lies_on_a_rack(fresh: Laboratory) -> None:
    with pytest.raises(NotAllowed):
        weigh_rack(fresh, "SPI-01", mass="500 g", by="TO")
