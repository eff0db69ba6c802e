"""The offer of a product: packs, what the shelf serves, margins, and what another way of making it would change."""

from dataclasses import replace
from math import ceil

import numpy as np
import pytest

from stillroom.errors import BadEntry
from stillroom.planning.offering.draws import AS_PLANNED, Otherwise, draw, left_over_g
from stillroom.planning.offering.offer import Offer, price_at, promised_days
from stillroom.planning.offering.product import listed_for, missing, product_offer
from stillroom.planning.offering.terms import OfferTerms, Supplied
from stillroom.planning.plan import plan
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import ACTIVE_AT_HAND, Held
from tests.planning.any_plant import asked

TERMS = OfferTerms(
    "2026-11-30",
    "2026-12-24",
    tax="Steuer",
    tax_percent=20.0,
    supplied=(Supplied("plant_g", 0.5, 4.0, 8.0, "noted"), Supplied("bottles", 25.0, 2.0, 4.0, "noted")),
)
REQUEST = asked("maceration", draws=512)


def active_at_hand(grams: float, doubt: float = 0.0):
    known = Known(
        ACTIVE_AT_HAND, "lots E1/active", grams, "g", doubt, "normal" if doubt else "fixed", "reading", "E1"
    )
    return replace(REQUEST, known=(*REQUEST.known, known))


def test_packs_are_bought_whole_and_paid_whole():
    offer = product_offer(REQUEST, TERMS)
    bottles = next(one for one in offer.buying if one.item == "bottles")
    plant = next(one for one in offer.buying if one.item == "plant_g")

    assert bottles.packs == ceil(bottles.to_buy / 25.0)
    assert bottles.pays == pytest.approx(bottles.packs * 25.0 * 0.55)
    assert plant.packs * 500.0 >= plant.to_buy > (plant.packs - 1) * 500.0


def test_the_price_leaves_the_margin_and_the_floor_covers_95_of_100():
    offer = product_offer(REQUEST, TERMS)
    drawn = draw(REQUEST, TERMS, missing(listed_for(REQUEST)))

    assert offer.price - offer.cost.middle == pytest.approx(0.30 * offer.price)
    assert np.mean(drawn.cost <= offer.floor) == pytest.approx(0.95, abs=0.003)
    assert offer.to_pay == pytest.approx(1.2 * offer.price)


def test_where_nobody_said_a_tax_none_is_added():
    offer = product_offer(REQUEST, replace(TERMS, tax="", tax_percent=None))

    assert offer.tax_amount is None
    assert offer.to_pay == offer.price


def test_five_times_the_amount_costs_less_for_each():
    offer = product_offer(REQUEST, TERMS)
    each = [one.price_each for one in offer.ladder]

    assert [one.times for one in offer.ladder] == [1, 2, 5]
    assert each == sorted(each, reverse=True)
    assert offer.ladder[0].price == pytest.approx(offer.price)


def test_the_promise_is_the_first_day_that_is_kept_so_often():
    days = np.array([3.0, 5.0, 5.0, 9.0, 12.0])

    assert promised_days(days, 80.0) == 9
    assert promised_days(days, 60.0) == 5
    assert promised_days(days, 81.0) == 12


def test_extract_on_the_shelf_takes_its_active_off_the_plant():
    whole, half = plan(REQUEST), plan(active_at_hand(plan(REQUEST).line("active_g").value / 2.0))

    assert half.supply.median_g == pytest.approx(whole.supply.median_g / 2.0, rel=0.1)
    assert half.line("active_g").value == whole.line("active_g").value


def test_extract_for_all_of_it_on_the_shelf_needs_no_charge_and_no_plant():
    active_g = plan(REQUEST).line("active_g").value
    served = product_offer(active_at_hand(1.2 * active_g, 0.05 * active_g), TERMS)
    made = product_offer(REQUEST, TERMS)

    assert "plant_g" not in [one.item for one in served.buying]
    assert "stock spirit" not in [one.item for one in served.lines]
    assert "plant" not in [one.item for one in served.lines]
    assert served.strong == made.strong
    assert served.buying[0].have == pytest.approx(active_g)
    assert served.cost.middle < made.cost.middle
    assert served.days.middle < made.days.middle
    assert not served.changes


def test_plant_left_of_a_pack_serves_the_second_charge():
    assert left_over_g(TERMS, 420.0, 0.0) == pytest.approx(80.0)
    assert left_over_g(TERMS, 420.0, 100.0) == pytest.approx(180.0)
    assert left_over_g(TERMS, 420.0, 600.0) == pytest.approx(180.0)
    assert left_over_g(replace(TERMS, supplied=()), 420.0, 100.0) == pytest.approx(0.0)


def test_more_plant_or_another_charge_makes_it_surer_and_an_assay_first_saves_plant():
    offer = product_offer(REQUEST, TERMS)
    changes = {one.what: one for one in offer.changes}

    assert changes["plant"].enough > 0
    assert changes["charge"].enough >= changes["plant"].enough
    assert changes["charge"].cost > changes["plant"].cost
    assert changes["charge"].days > 0
    assert changes["plant assay"].cost < changes["assay"].cost


def test_work_in_hand_comes_first_and_a_slow_supplier_is_waited_for():
    to_buy = missing(listed_for(REQUEST))
    now, busy = draw(REQUEST, TERMS, to_buy), draw(REQUEST, replace(TERMS, work_in_hand_h=80.0), to_buy)
    slow = replace(TERMS, supplied=(Supplied("plant_g", 0.5, 40.0, 41.0, "noted"),))

    assert np.median(busy.days) > np.median(now.days)
    assert draw(REQUEST, slow, to_buy).days.min() > 40


def test_what_stands_on_the_shelf_is_not_waited_for():
    held = replace(REQUEST, stock=(Held("plant_g", 1e5), Held("bottles", 1000.0)))

    assert {"plant_g", "bottles"}.isdisjoint(missing(listed_for(held)))


def test_an_order_as_planned_is_the_usual_way_of_making_it():
    to_buy = missing(listed_for(REQUEST))

    assert Otherwise(1.0, 1, 0.0) == AS_PLANNED
    assert np.array_equal(draw(REQUEST, TERMS, to_buy).days, draw(REQUEST, TERMS, to_buy, Otherwise()).days)


def test_an_offer_is_kept_and_read_back_as_it_was():
    offer = product_offer(REQUEST, TERMS)

    assert Offer.from_json(offer.to_json()) == offer


def test_a_margin_of_the_whole_price_is_refused():
    with pytest.raises(BadEntry, match="margin"):
        OfferTerms("2026-11-30", margin_percent=100.0)
    assert price_at(70.0, 30.0) == pytest.approx(100.0)
