"""Goods that were ordered: a job on the day they come, counted by an offer, received against what was ordered."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.day.live import live_day
from stillroom.actions.day.planning import plan_day
from stillroom.actions.day.to_plan import to_plan
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.house.pricing import note_price
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.offers.offering import accept_offer, make_offer, offer_standing
from stillroom.actions.offers.to_order import to_order
from stillroom.actions.shelf.goods_under_way import Bought, Wanted, as_ordered, order_goods, to_come
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, UnknownName
from stillroom.pages.goods import show_goods, show_goods_under_way
from stillroom.pages.lists import show_bench
from stillroom.planning.offering.offer import Offer
from stillroom.records.entries import GoodsOrdered
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Person
from stillroom.schedule.jobs import Job
from tests.actions.test_offers import ASKED

LEAF = Wanted("rosemary leaf", "2.5 kg", "38 EUR/kg")


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Laboratory]:
    noon = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    with begin_laboratory(
        tmp_path / "own", "The hill laboratory", Person("IB", "Ida Berg", True), clock=lambda: noon
    ) as lab:
        yield lab


def days_later(lab: Laboratory, days: int) -> Laboratory:
    then = lab.clock() + timedelta(days=days)
    return replace(lab, clock=lambda: then)


def job(lab: Laboratory, code: str = "goods/BUY-1") -> Job | None:
    return next((one for one in to_plan(lab).in_hand.jobs if one.code == code), None)


def told(lab: Laboratory, code: str) -> Offer:
    with lab.look() as look:
        return offer_standing(look, code, lab.today()).offer


def leaf(lab: Laboratory, amount: str, bought: Bought, code: str = "ROS-01") -> str:
    lot = Lot(code, LotKind.PLANT, "rosemary leaf", "Rosemary", "ours", "A grower")
    return receive_lot(lab, lot, amount, by="IB", bought=bought).says


def test_goods_that_were_ordered_are_a_job_on_their_day_and_late_ones_at_once(own: Laboratory) -> None:
    order_goods(own, [LEAF], "A grower", "28 November 2026", by="IB")
    early, late = job(own), job(days_later(own, 5))

    assert early is not None
    assert early.earliest_min == 3 * 1440
    assert early.due_min is not None
    assert early.earliest_min < early.due_min <= 4 * 1440
    assert early.steps[0].attention == "hands"
    assert "label it" in early.steps[0].says
    assert early.href == "/stock/new?goods=BUY-1"
    assert late is not None
    assert late.earliest_min == 9 * 60
    assert "late by 2 d" in page_text(show_bench(days_later(own, 5)))
    assert "due today" in page_text(show_bench(days_later(own, 3)))


def test_what_came_goes_against_what_was_ordered_and_the_rest_is_awaited_where_it_is_said(
    own: Laboratory,
) -> None:
    order_goods(own, [LEAF], "A grower", "2026-11-28", by="IB")
    begun = as_ordered(own, "BUY-1")
    says = leaf(own, "1.5 kg", Bought("BUY-1", begun["price"], "2026-12-09"))

    assert (begun["kind"], begun["supplier"]) == ("plant material", "A grower")
    assert "amount" not in begun  # what came is weighed or counted, whatever was ordered
    assert "1.5 kg came of 2.5 kg" in says
    assert job(own) is None
    with own.look() as look:
        rest = look.goods("BUY-2").body
        assert {one.body.of: one.body.as_written for one in look.prices()} == {"rosemary leaf": "38 EUR/kg"}
    assert (rest.as_written, rest.comes) == ("1 kg", "2026-12-09")
    assert "ROS-01: 1.5 kg" in page_text(show_goods(own, "BUY-1"))
    assert as_ordered(own, "BUY-2")["code"] == "ROS-02"
    assert "nothing more" in leaf(own, "0.9 kg", Bought("BUY-2"), "ROS-02")
    assert "Nothing is under way" in page_text(show_goods_under_way(own))


def test_bottles_that_came_are_counted_by_a_bare_number(own: Laboratory) -> None:
    order_goods(own, [Wanted("bottle 50 mL", "120 pieces")], "A glassworks", "2026-11-28", by="IB")
    lot = Lot("BOT-7", LotKind.PACKAGING, "bottle 50 mL", "bottle 50 mL")
    done = receive_lot(own, lot, "100", bought=Bought("BUY-1"), by="IB")

    assert "BUY-1: 100 came of 120 pieces" in done.says
    assert "20 pieces less" in done.says


def test_a_price_that_was_paid_leaves_packs_and_days_as_they_were_noted(own: Laboratory) -> None:
    note_price(own, "rosemary leaf", "20 EUR/kg; packs of 500 g; 3 to 6 days", by="IB")
    leaf(own, "1 kg", Bought(price="22 EUR/kg"))
    with own.look() as look:
        (noted,) = look.prices()

    assert (noted.body.amount, noted.body.pack, noted.body.high_days) == ("22", 0.5, 6.0)


def test_a_day_that_moved_and_goods_that_come_no_more_are_put_right(own: Laboratory) -> None:
    order_goods(own, [LEAF], "A grower", "2026-11-28", by="IB")
    with own.look() as look:
        entry = look.goods("BUY-1").entry_no
    (moved,) = put_right(own, entry, {"comes": "2026-12-04"}, why="They wrote", by="IB").entries
    later = job(own)
    put_right(own, moved, {"called off": "yes"}, why="Mouldy, they say", by="IB")

    assert later is not None
    assert later.earliest_min == 9 * 1440
    assert job(own) is None
    assert "called off" in page_text(show_goods(own, "BUY-1"))


def test_an_offer_counts_goods_under_way_and_waits_for_their_day(own: Laboratory) -> None:
    note_price(own, "rosemary leaf", "20 EUR/kg; 3 to 6 days", by="IB")
    make_offer(own, ASKED, by="IB")
    order_goods(own, [LEAF], "A grower", "2026-12-20", by="IB")
    make_offer(own, ASKED, by="IB")
    before, after = told(own, "OFF-1"), told(own, "OFF-2")
    plant = next(one for one in after.buying if one.item == "plant_g")

    assert plant.to_buy == 0
    assert plant.pays is None
    assert plant.lots == ("BUY-1, 2.5 kg, comes 2026-12-20",)
    assert (plant.low_days, plant.high_days) == (25.0, 25.0)
    assert before.days.low < 25 < after.days.low


def test_the_buying_list_of_an_offer_is_ordered_at_once_and_what_is_ordered_stands_in_its_place(
    own: Laboratory,
) -> None:
    make_offer(own, ASKED, by="IB")
    accept_offer(own, "OFF-1", by="IB")
    listed = to_order(own, "OFF-1")
    named = {one.substance for one in listed.lines}
    assumed = job(own, next(one.code for one in to_plan(own).in_hand.jobs if one.code.startswith("bought/")))
    lines = [Wanted(one.substance, one.amount, one.price) for one in listed.lines]
    order_goods(own, lines, "A merchant", listed.comes, order=listed.order, by="IB")
    jobs = [one.code for one in to_plan(own).in_hand.jobs]
    extraction = next(one for one in to_plan(own).in_hand.jobs if one.code.startswith("ORD-1/"))

    assert {"rosemary leaf", "bottle 50 mL", "spirit 96 %"} <= named
    assert assumed is not None
    assert assumed.href == "/goods/new?for=OFF-1"
    assert not [one for one in jobs if one.startswith("bought/")]
    assert {f"goods/BUY-{at}" for at in range(1, len(lines) + 1)} <= set(extraction.after)
    assert to_order(own, "OFF-1").lines == ()


def test_a_day_that_is_laid_out_sees_that_the_goods_were_taken_in(own: Laboratory) -> None:
    note_condition(own, "working hours", "08:00 to 16:30", by="IB")
    order_goods(own, [LEAF], "A grower", "2026-11-25", by="IB")
    plan_day(own, by="IB")
    leaf(own, "2.5 kg", Bought("BUY-1"))
    with own.look() as look:
        day = live_day(look, own.clock())

    assert day is not None
    assert day.over == {("goods/BUY-1", "receive/hands")}


@pytest.mark.parametrize(
    ("substance", "amount", "g_or_pieces"),
    [("bottle 50 mL", "120 pieces", 120.0), ("spirit 96 %", "5 L", 4036.0), ("ammonia 25 %", "1 L", None)],
)
def test_what_is_under_way_is_counted_where_its_mass_can_be_known(
    substance: str, amount: str, g_or_pieces: float | None
) -> None:
    # 96 % v/v at 20 °C: 807.2 kg/m³, OIML R 22 (1975), table, recalled from memory.
    found = to_come(GoodsOrdered("BUY-1", substance, amount, "", "2026-12-01"))

    assert found == (None if g_or_pieces is None else pytest.approx(g_or_pieces, abs=2.0))


def test_goods_are_refused_in_a_sentence(own: Laboratory) -> None:
    with pytest.raises(BadEntry, match="A date is written"):
        order_goods(own, [LEAF], "", "soon", by="IB")
    with pytest.raises(BadEntry, match="currency"):
        order_goods(own, [replace(LEAF, price="38 EUR")], "", "2026-12-01", by="IB")
    with pytest.raises(UnknownName, match="order"):
        order_goods(own, [LEAF], "", "2026-12-01", order="ORD-9", by="IB")
    with pytest.raises(BadEntry, match="Something is ordered"):
        order_goods(own, [], "", "2026-12-01", by="IB")
    with pytest.raises(UnknownName, match="goods that were ordered"):
        leaf(own, "1 kg", Bought("BUY-7"))
