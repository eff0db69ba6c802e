"""A lot of plant has a card: fresh or dry, how fine, from where, harvested when; plans, pages and memory read it."""

import json
from dataclasses import replace

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.plant_card import describe_plant
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.orders.remembering import own_runs
from stillroom.actions.orders.requesting import request_for
from stillroom.actions.shelf.known_in_book import known_of_plant
from stillroom.actions.shelf.plant_described import described, grind_of, grind_term
from stillroom.documents.as_json import page_json
from stillroom.errors import BadEntry, NotAllowed, StillroomError
from stillroom.pages.plants import show_plant
from stillroom.pages.stock import show_lot
from stillroom.planning.plan_inputs import GRIND
from stillroom.records.entry_json import body_from_json, body_to_json
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.plant_entries import PlantDescribed
from tests.practice import later


@pytest.fixture
def with_leaf(lab: Laboratory) -> Laboratory:
    leaf = Lot("ROS-7", LotKind.PLANT, "rosemary leaf", "rosemary", supplier="Invented garden")
    receive_lot(lab, leaf, "500 g", by="TO", at=later(0))
    return lab


def card(lab: Laboratory, lot: str = "ROS-7") -> PlantDescribed:
    with lab.look() as look:
        return described(look, lot)


def say(lab: Laboratory, lot: str = "ROS-7", **said: str) -> str:
    return describe_plant(lab, lot, by="TO", at=later(1), **said).says


def test_a_lot_nobody_described_is_as_it_was_before_there_were_cards(with_leaf: Laboratory) -> None:
    assert card(with_leaf) == PlantDescribed("ROS-7")
    with with_leaf.look() as look:
        assert known_of_plant(look, "ROS-7") == []


def test_what_is_not_said_stays_as_it_was(with_leaf: Laboratory) -> None:
    say(with_leaf, state="dry", moisture="9.5 %", moisture_sure="1 %", place="upper garden")
    told = say(with_leaf, grind="fine", harvested="Sep 2026")
    found = card(with_leaf)

    assert (found.state, found.grind, found.place, found.harvested) == (
        "dry",
        "fine",
        "upper garden",
        "2026-09",
    )
    assert (found.moisture_percent, found.moisture_standard_uncertainty_percent) == (9.5, 0.5)
    assert told == "ROS-7: dry, 9.5 ± 1.0 % moisture, fine powder, upper garden, harvested 2026-09."
    assert body_from_json("plant described", 1, body_to_json(found)) == found


def test_a_slip_is_put_right_by_saying_it_again(with_leaf: Laboratory) -> None:
    say(with_leaf, state="fresh", moisture="71 %", grind="fine")
    say(with_leaf, state="dry", grind="not known")

    assert card(with_leaf).moisture_percent is None
    assert (card(with_leaf).state, card(with_leaf).grind) == ("dry", "")


def test_two_sieves_give_the_middle_and_a_term_named_later_takes_it_away(with_leaf: Laboratory) -> None:
    sieved = {"sample": "50 g", "coarser_sieve": "0.71 mm", "on_coarser": "8 g", "finer_sieve": "250 µm",
              "on_finer": "34 g"}  # fmt: skip
    say(with_leaf, **sieved)
    grind = grind_of(card(with_leaf))

    assert grind is not None
    assert grind.median_mm == pytest.approx((0.71 * 0.25) ** 0.5, rel=1e-6)
    assert grind_term(card(with_leaf)) == "medium"
    say(with_leaf, grind="fine")
    assert card(with_leaf).particle_mm is None
    with pytest.raises(BadEntry, match="all five"):
        say(with_leaf, sample="50 g")


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"moisture_sure": "1 %"},
        {"moisture": "98 %"},
        {"harvested": "2026-13"},
        {"grind": "dust"},
        {"state": "wet"},
    ],
)
def test_a_card_that_says_nothing_or_nonsense_is_asked_back(
    with_leaf: Laboratory, said: dict[str, str]
) -> None:
    with pytest.raises(StillroomError):
        say(with_leaf, **said)
    assert card(with_leaf) == PlantDescribed("ROS-7")


def test_only_a_plant_has_such_a_card(lab: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="lot of plant"):
        describe_plant(lab, "SPI-01", by="TO", state="dry")


def test_a_plan_takes_the_moisture_and_a_drying_that_was_weighed_comes_before_it(lab: Laboratory) -> None:
    say(lab, "CIN-01", moisture="14 %", grind="coarse")
    with lab.look() as look:
        known = {one.role: one for one in known_of_plant(look, "CIN-01")}

    assert known["loss on drying"].value == pytest.approx(9.5, abs=0.6)
    assert known[GRIND].value == pytest.approx((2.0 * 0.355) ** 0.5)


def test_a_fresh_lot_without_a_moisture_is_assumed_to_be_mostly_water(with_leaf: Laboratory) -> None:
    say(with_leaf, state="fresh")
    with with_leaf.look() as look:
        (found,) = known_of_plant(look, "ROS-7")

    assert (found.role, found.origin) == ("loss on drying", "assumed")
    assert 60.0 < found.value < 90.0


def test_the_pages_of_the_lot_and_of_its_plant_tell_it(with_leaf: Laboratory) -> None:
    say(with_leaf, state="dry", moisture="9.5 %", grind="coarse", place="upper garden", harvested="2026-09")
    for page in (show_lot(with_leaf, "ROS-7"), show_plant(with_leaf, "rosemary leaf")):
        words = json.dumps(page_json(page), ensure_ascii=False)
        for one in ("9.5 ± 2.0 % moisture", "coarse powder", "upper garden", "2026-09"):
            assert one in words


def test_a_run_of_another_grind_and_place_tells_less_of_the_next(lab: Laboratory) -> None:
    def width(grind: str, place: str) -> float:
        say(lab, "CIN-01", grind="coarse", place="north slope")
        leaf = replace(bark, code="CIN-08", supplier="Another invented garden")
        if not known_here:
            receive_lot(lab, leaf, "500 g", by="TO", at=later(2))
            known_here.append(leaf.code)
        say(lab, "CIN-08", grind=grind, place=place)
        with lab.look() as look:
            request = replace(request_for(look, "ORD-1", "CIN-08", own=False), remembered=(), together=())
            found = {one.role: one for one in own_runs(look, request).known}
        return found["extraction/percolate/retention_ml_per_g"].uncertainty_in_unit

    known_here: list[str] = []
    with lab.look() as look:
        bark = look.lot("CIN-01")
    assert width("coarse", "north slope") < width("fine", "the other valley")
