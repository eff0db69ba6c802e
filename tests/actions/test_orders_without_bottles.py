"""Their own plant extracted, their sample tested, a reagent made: from the enquiry to what came beside the promise."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.day.planning import plan_day
from stillroom.actions.house.pricing import note_price
from stillroom.actions.keeping_answers import keep
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.offers.offering import accept_offer
from stillroom.actions.testing.identity import decide_identity
from stillroom.documents.as_text import page_text
from stillroom.errors import NotAllowed
from stillroom.pages.offers import show_offer, show_offer_paper
from stillroom.pages.orders import show_order, show_orders
from stillroom.pages.report_of_tests import show_test_report
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Person
from tests.actions.test_offers import Clock, told

OWN = {
    "own-plant": "2 kg",
    "plant": "rosemary leaf",
    "way": "maceration",
    "of": "rosmarinic acid",
    "customer": "Shop",
}
TESTS = {"tests": "identity, loss on drying", "sample": "rosemary leaf", "customer": "Shop"}
REAGENT = {"reagent": "ferric-chloride", "reagent-amount": "1 L", "customer": "Shop"}


@pytest.fixture
def clock() -> Clock:
    shows = Clock()
    shows.now = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)
    return shows


@pytest.fixture
def lab(tmp_path: Path, clock: Clock) -> Iterator[Laboratory]:
    with begin_laboratory(
        tmp_path / "own", "The hill laboratory", Person("IB", "Ida Berg", True), clock=clock
    ) as one:
        yield one


def coming(lab: Laboratory, order: str = "ORD-1") -> str:
    with lab.look() as look:
        return next_of_order(look, look.order(order)).says


def test_their_plant_costs_nothing_and_its_yield_is_told_with_its_spread(lab: Laboratory) -> None:
    keep(lab, "offer", OWN, by="IB")
    offer = told(lab)

    assert offer.what == "own plant"
    assert "plant" not in [one.item for one in offer.lines]
    assert "plant_g" not in [one.item for one in offer.buying]
    assert "bottles" not in [one.item for one in offer.buying]
    assert "5–95 %" in offer.amount_says
    assert offer.enough is None
    keep(lab, "offer", {**OWN, "at-least": "5 g"}, by="IB")
    keep(lab, "offer", {**OWN, "at-least": "30 g"}, by="IB")
    easy, hard = told(lab, "OFF-2").enough, told(lab, "OFF-3").enough
    assert easy is not None
    assert hard is not None
    assert easy > 99.0
    assert hard < 60.0


def test_their_plant_goes_from_the_offer_over_their_lot_to_a_batch(lab: Laboratory) -> None:
    keep(lab, "offer", OWN, by="IB")
    accept_offer(lab, "OFF-1", by="IB")

    assert coming(lab) == "Receive what Shop sends: 2 kg of rosemary leaf, as theirs."
    assert "their own plant, extracted" in page_text(show_order(lab, "ORD-1"))
    assert "2 kg of rosemary leaf" in page_text(show_orders(lab))
    plan_day(lab, by="IB")
    with lab.look() as look:
        planned = look.day_planned()
    assert planned is not None
    jobs = [one["code"] for one in planned.body.plan["jobs"]]
    assert any(one.startswith("ORD-1/") for one in jobs)


def test_a_paper_for_their_plant_says_what_to_expect_and_no_cost(lab: Laboratory) -> None:
    keep(lab, "offer", OWN, by="IB")
    paper = page_text(show_offer_paper(lab, "OFF-1"))

    assert "To expect:" in " ".join(paper.split())
    assert f"{told(lab).cost.middle:.2f}" not in paper


def test_a_sample_is_tested_reported_and_held_against_the_promise(lab: Laboratory, clock: Clock) -> None:
    keep(lab, "offer", {**TESTS, "tests": "identity"}, by="IB")
    assert "Send 10 g of each sample or more" in told(lab).amount_says
    accept_offer(lab, "OFF-1", by="IB")
    assert coming(lab).startswith("Receive what Shop sends")
    clock.now += timedelta(days=3)
    receive_lot(
        lab, Lot("S-1", LotKind.PLANT, "rosemary leaf", "rosemary leaf", owner="Shop"), "50 g", by="IB"
    )
    assert coming(lab) == "S-1 waits for identity."
    assert "Not whole yet" in page_text(show_test_report(lab, "ORD-1"))
    decide_identity.do(lab, "S-1", {"accepted": "yes", "evidence": "compared with a voucher"}, by="IB")

    assert coming(lab).startswith("Every test is done")
    assert "compared with a voucher" in " ".join(page_text(show_test_report(lab, "ORD-1")).split())
    assert "took 3 days" in page_text(show_order(lab, "ORD-1"))


def test_tests_of_several_samples_share_their_blank_and_controls(lab: Laboratory) -> None:
    keep(lab, "offer", {**TESTS, "tests": "titration"}, by="IB")
    keep(lab, "offer", {**TESTS, "tests": "titration", "samples": "3"}, by="IB")
    one, three = told(lab), told(lab, "OFF-2")

    assert one.hours.middle == pytest.approx(1.0, rel=0.05)  # 60 min of three and a blank
    assert three.hours.middle == pytest.approx(2.5, rel=0.05)  # 3 × 60 less two blanks of 15 min


def test_a_reagent_is_offered_with_its_life_at_the_prices_of_the_house(lab: Laboratory) -> None:
    note_price(lab, "ferric chloride hexahydrate", "80 EUR/kg", by="IB")
    note_price(lab, "hour", "60 EUR/h", by="IB")
    keep(lab, "offer", REAGENT, by="IB")
    offer = told(lab)
    lines = {one.item: one.cost.middle for one in offer.lines}

    assert "Keeps 360 days" in offer.strength_says
    assert lines["ferric chloride"] == pytest.approx(50.0 * 0.080)  # 5 g in 100 mL
    assert lines["hours"] == pytest.approx(60.0 * offer.hours.middle)
    assert {one.unit for one in offer.buying} == {"g"}
    accept_offer(lab, "OFF-1", by="IB")
    assert coming(lab).startswith("Make 1000 mL")


def test_a_dangerous_reagent_is_not_offered_before_its_tick(lab: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="tick"):
        keep(lab, "offer", {**REAGENT, "reagent": "mayer"}, by="IB")


def test_every_page_of_such_an_offer_and_order_opens(lab: Laboratory) -> None:
    for number, asked in enumerate((OWN, TESTS, REAGENT), 1):
        keep(lab, "offer", asked, by="IB")
        accept_offer(lab, f"OFF-{number}", by="IB")
        for page in (show_offer, show_offer_paper):
            assert page_text(page(lab, f"OFF-{number}"))
        assert "Promised, and what came" in page_text(show_order(lab, f"ORD-{number}"))
