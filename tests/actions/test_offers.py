"""An enquiry becomes an offer, the offer an order, and what came stands beside what was promised."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.day.planning import note_surprise, plan_day
from stillroom.actions.house.describing import describe_house, tax_of
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.house.pricing import note_price
from stillroom.actions.keeping_answers import keep
from stillroom.actions.lots.spirit_read import read_strength
from stillroom.actions.offers.offering import accept_offer, make_offer, offer_standing, withdraw_offer
from stillroom.actions.releasing.deciding import release
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed
from stillroom.pages.offers import show_offer, show_offer_paper, show_offers
from stillroom.pages.orders import show_order
from stillroom.pages.plans import kept_plan
from stillroom.planning.offering.offer import Offer
from stillroom.records.people import Person

ASKED = {
    "product": "Hill tonic", "kind": "hair leave-on", "bottles": "24 × 50 mL", "strength": "0.10",
    "of": "rosmarinic acid", "plant": "rosemary leaf", "way": "maceration", "due": "2027-01-20",
    "customer": "Invented shop",
}  # fmt: skip


class Clock:
    """A clock that goes when it is told to."""

    now = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def empty(tmp_path: Path, clock: Clock) -> Iterator[Laboratory]:
    with begin_laboratory(
        tmp_path / "own", "The hill laboratory", Person("IB", "Ida Berg", True), clock=clock
    ) as lab:
        yield lab


def told(lab: Laboratory, code: str = "OFF-1") -> Offer:
    with lab.look() as look:
        return offer_standing(look, code, lab.clock().date()).offer


def test_an_enquiry_is_kept_as_a_numbered_offer_as_it_was_told(empty: Laboratory) -> None:
    done = make_offer(empty, ASKED, by="IB")
    make_offer(empty, ASKED, by="IB")
    first = told(empty)

    assert done.says.startswith("Offer OFF-1: 24 × 50 mL of Hill tonic, ready in")
    note_price(empty, "hour", "60 EUR/h", by="IB")
    assert told(empty) == first
    assert "OFF-2" in page_text(show_offers(empty))
    make_offer(empty, ASKED, by="IB")
    assert told(empty, "OFF-3").price > first.price


def test_packs_and_suppliers_days_noted_with_a_price_are_bought_by(empty: Laboratory) -> None:
    note_price(empty, "rosemary leaf", "20 EUR/kg; packs of 500 g; 20 to 24 days", by="IB")
    note_price(empty, "bottle 50 mL", "0.50 EUR/piece; packs of 40 pieces", by="IB")
    make_offer(empty, ASKED, by="IB")
    bought = {one.item: one for one in told(empty).buying}

    assert (bought["plant_g"].packs, bought["plant_g"].pack, bought["plant_g"].pays) == (1, "0.5 kg", 10.0)
    assert (bought["plant_g"].low_days, bought["plant_g"].high_days) == (20.0, 24.0)
    assert (bought["bottles"].packs, bought["bottles"].pays) == (1, 20.0)
    assert told(empty).days.low > 24


@pytest.mark.parametrize("text", ["20 EUR/kg; packs of none", "20 EUR/kg; soon", "20 EUR/kg; 0 days"])
def test_a_price_says_how_it_is_sold_or_is_refused(empty: Laboratory, text: str) -> None:
    with pytest.raises(BadEntry):
        note_price(empty, "rosemary leaf", text, by="IB")


def test_the_laboratorys_own_tax_stands_on_the_paper_and_where_nobody_said_none_is_stated(
    empty: Laboratory,
) -> None:
    make_offer(empty, ASKED, by="IB")
    describe_house(empty, {"tax": "Invented tax 12.5 %", "address": "4 Invented Lane, Nowhere"}, by="IB")
    make_offer(empty, ASKED, by="IB")
    without, with_tax = (page_text(show_offer_paper(empty, code)) for code in ("OFF-1", "OFF-2"))

    assert "no tax stated" in without
    assert "Invented tax 12.5 %" in with_tax
    assert "4 Invented Lane" in with_tax
    assert told(empty, "OFF-2").to_pay == pytest.approx(1.125 * told(empty, "OFF-2").price)


def test_the_paper_for_the_customer_tells_no_cost_and_no_margin(empty: Laboratory) -> None:
    make_offer(empty, ASKED, by="IB")
    offer, paper = told(empty), page_text(show_offer_paper(empty, "OFF-1"))

    assert f"{offer.price:.2f}" in paper
    assert f"{offer.cost.middle:.2f}" not in paper
    assert "margin" not in paper.casefold()


def test_an_offer_taken_is_an_order_with_its_plan_in_one_go(empty: Laboratory) -> None:
    make_offer(empty, ASKED, by="IB")
    done = accept_offer(empty, "OFF-1", by="IB")

    with empty.look() as look:
        kinds = [look.entry(number).kind for number in done.entries]
        order, found = look.order("ORD-1"), kept_plan(look, "ORD-1")
        assert offer_standing(look, "OFF-1", empty.clock().date()).stands == "accepted"
    assert kinds == ["procedure written", "procedure written", "order taken", "plan made", "offer ended"]
    assert (order.customer, order.due, order.units) == ("Invented shop", "2027-01-20", 24)
    assert found is not None
    plant_g = next(one.needed for one in told(empty).buying if one.item == "plant_g")
    assert found[0].supply.plant_g == pytest.approx(
        plant_g, rel=0.05
    )  # other draws, named after the procedures
    assert "Promised, and what came" in page_text(show_order(empty, "ORD-1"))
    with pytest.raises(NotAllowed, match="open"):
        accept_offer(empty, "OFF-1", by="IB")


def test_without_a_day_wanted_the_order_is_due_on_the_day_promised(empty: Laboratory) -> None:
    make_offer(empty, {**ASKED, "due": ""}, by="IB")
    accept_offer(empty, "OFF-1", by="IB")

    with empty.look() as look:
        due = look.order("ORD-1").due
    assert due == told(empty).ready_on
    assert told(empty).chance_wanted is None


def test_an_offer_expires_by_its_date_and_may_be_withdrawn_with_a_reason(
    empty: Laboratory, clock: Clock
) -> None:
    make_offer(empty, ASKED, by="IB")
    make_offer(empty, ASKED, by="IB")
    with pytest.raises(BadEntry, match="reason"):
        withdraw_offer(empty, "OFF-2", " ", by="IB")
    withdraw_offer(empty, "OFF-2", "the plant is not to be had", by="IB")
    clock.now += timedelta(days=15)

    assert "expired" in page_text(show_offer(empty, "OFF-1"))
    assert "the plant is not to be had" in page_text(show_offer(empty, "OFF-2"))
    for code in ("OFF-1", "OFF-2"):
        with pytest.raises(NotAllowed, match="open"):
            accept_offer(empty, code, by="IB")


def test_the_bench_that_stands_decides_the_day(empty: Laboratory) -> None:
    make_offer(empty, ASKED, by="IB")
    alone = told(empty)
    accept_offer(empty, "OFF-1", by="IB")
    plan_day(empty, by="IB")
    make_offer(empty, {**ASKED, "product": "Other tonic"}, by="IB")
    beside = told(empty, "OFF-2")
    note_condition(empty, "days of work", "Tuesday", by="IB")
    make_offer(empty, {**ASKED, "product": "Third tonic"}, by="IB")
    one_day = told(empty, "OFF-3")

    assert alone.begins_in_days is not None
    assert alone.earliest_days is not None
    assert alone.days.low <= alone.earliest_days <= alone.days.high
    assert beside.days.middle >= alone.days.middle
    assert one_day.days.middle > alone.days.middle
    assert one_day.earliest_days > alone.earliest_days
    assert "On the bench as it stands" in page_text(show_offer(empty, "OFF-1"))


def test_an_answer_kept_from_the_question_is_the_same_offer(empty: Laboratory) -> None:
    keep(empty, "offer", ASKED, by="IB")
    make_offer(empty, ASKED, by="IB")

    assert told(empty, "OFF-1") == told(empty, "OFF-2")


@pytest.mark.parametrize("text", ["VAT", "20 %", "a fifth"])
def test_a_tax_has_a_name_and_a_rate(text: str) -> None:
    with pytest.raises(BadEntry, match="rate"):
        tax_of(text)
    assert tax_of("Mehrwertsteuer 19 %") == ("Mehrwertsteuer", 19.0)
    assert tax_of("") == ("", None)


BARK = {
    "product": "Bark tonic", "kind": "hair leave-on", "bottles": "12 × 50 mL", "strength": "0.10 %",
    "of": "total alkaloids as quinine", "plant": "cinchona bark", "way": "percolation",
}  # fmt: skip


def test_left_over_extract_serves_a_small_order_whole_and_a_large_one_in_part(lab: Laboratory) -> None:
    make_offer(lab, BARK, by="TO")
    make_offer(lab, {**BARK, "bottles": "400 × 100 mL"}, by="TO")
    small, large = (told(lab, code) for code in ("OFF-1", "OFF-2"))

    assert small.enough is None
    assert small.strong == pytest.approx(100.0, abs=1.0)
    assert "plant_g" not in [one.item for one in small.buying]
    assert small.buying[0].lots == large.buying[0].lots == ("E1, 6.18 g",)
    assert large.enough is not None


def test_recovered_spirit_of_the_plant_is_less_spirit_to_buy(lab: Laboratory) -> None:
    asked = {**BARK, "bottles": "400 × 100 mL"}
    make_offer(lab, asked, by="TO")
    release(lab, "REC-01", meaning="read, smelt and labelled", by="MA")
    read_strength(lab, "REC-01", {"have": "82", "known-by": "alcoholometer", "temperature": "20"}, by="TO")
    make_offer(lab, asked, by="TO")
    make_offer(lab, {**asked, "plant": "rosemary leaf", "of": "rosmarinic acid"}, by="TO")
    before, after, other = (
        next(one for one in told(lab, code).buying if one.item == "all_stock_spirit_g")
        for code in ("OFF-1", "OFF-2", "OFF-3")
    )

    assert before.to_buy > after.to_buy == 0
    assert any("REC-01" in one for one in after.lots)
    assert not any("REC-01" in one for one in other.lots)


PRICES = {
    "rosemary leaf": "38 CHF/kg", "stock spirit": "14 CHF/L", "formula ingredients": "15 CHF/kg",
    "bottle": "0.55 CHF/piece", "cap": "0.20 CHF/piece", "label": "0.15 CHF/piece", "water": "3 CHF/m3",
    "electricity": "0.30 CHF/kWh",
}  # fmt: skip


@pytest.fixture
def in_francs(empty: Laboratory) -> Laboratory:
    describe_house(empty, {"currency": "CHF"}, by="IB")
    return empty


def test_an_offer_whose_work_has_no_price_has_no_price_and_nothing_to_sign(in_francs: Laboratory) -> None:
    for of, text in PRICES.items():
        note_price(in_francs, of, text, by="IB")
    done = make_offer(in_francs, ASKED, by="IB")
    offer, paper = told(in_francs), page_text(show_offer_paper(in_francs, "OFF-1"))

    assert offer.unpriced == ("hour",)
    assert (offer.price, offer.floor, offer.to_pay) == (None, None, None)
    assert offer.cost.middle > 0
    assert "without tax" not in done.says
    assert "hour" in done.says
    assert "CHF for each" not in paper
    assert "Nothing to sign yet" in paper
    assert "no price yet" in page_text(show_offers(in_francs))
    note_price(in_francs, "hour", "60 CHF/h", by="IB")
    make_offer(in_francs, ASKED, by="IB")
    assert told(in_francs, "OFF-2").unpriced == ()
    assert "Nothing to sign yet" not in page_text(show_offer_paper(in_francs, "OFF-2"))


def test_what_has_no_price_is_told_as_it_is_noted_and_only_what_is_taken(in_francs: Laboratory) -> None:
    make_offer(in_francs, ASKED, by="IB")
    unpriced = told(in_francs).unpriced

    assert not {"acid", "ammonia", "ethyl acetate", "other reagents"} & set(unpriced)
    for of in unpriced:
        unit = {"hour": "h", "stock spirit": "L", "water": "m3", "electricity": "kWh"}.get(
            of, "piece" if of in ("bottle", "cap", "label") else "kg"
        )
        note_price(in_francs, of, f"2 CHF/{unit}", by="IB")
    make_offer(in_francs, ASKED, by="IB")
    assert told(in_francs, "OFF-2").unpriced == ()
    assert told(in_francs, "OFF-2").price


def test_a_price_that_a_person_states_stands_with_the_name_whatever_has_none(in_francs: Laboratory) -> None:
    make_offer(in_francs, {**ASKED, "price": "450 CHF"}, by="IB")
    offer, page = told(in_francs), page_text(show_offer(in_francs, "OFF-1"))
    paper = page_text(show_offer_paper(in_francs, "OFF-1"))

    assert (offer.price, offer.stated_by, offer.floor) == (450.0, "IB", None)
    assert "The price is stated by IB" in page
    assert "hour" in page
    assert "450.00 CHF" in paper
    with pytest.raises(BadEntry, match="CHF"):
        make_offer(in_francs, {**ASKED, "price": "450 EUR"}, by="IB")
    with pytest.raises(BadEntry, match="currency code"):
        make_offer(in_francs, {**ASKED, "price": "450"}, by="IB")
    with pytest.raises(BadEntry, match="above zero"):
        make_offer(in_francs, {**ASKED, "price": "0 CHF"}, by="IB")
    with pytest.raises(BadEntry, match="not both"):
        make_offer(in_francs, {**ASKED, "price": "450 CHF", "margin": "30 %"}, by="IB")


def test_an_amount_whose_cost_is_not_known_shows_no_cost_beside_its_stated_price(
    in_francs: Laboratory,
) -> None:
    make_offer(in_francs, {**ASKED, "price": "450 CHF"}, by="IB")
    price = page_text(show_offer(in_francs, "OFF-1")).partition("CHF, without tax")[2].partition("No tax")[0]

    assert "450.00" in price
    assert "0.00 " not in price.replace("450.00", "")


def test_an_offer_kept_at_nothing_before_prices_were_asked_for_is_not_signed(in_francs: Laboratory) -> None:
    make_offer(in_francs, ASKED, by="IB")
    kept = told(in_francs).to_json()
    del kept["unpriced"], kept["stated_by"]
    before = Offer.from_json({**kept, "price": 0.0, "floor": 0.0})

    assert before.price is None
    assert before.unpriced == ("everything",)


def test_an_order_is_not_due_before_the_day_its_offer_promised(empty: Laboratory) -> None:
    make_offer(empty, {**ASKED, "due": "2026-11-28"}, by="IB")
    offer = told(empty)
    accept_offer(empty, "OFF-1", by="IB")

    assert offer.ready_on > "2026-11-28"
    with empty.look() as look:
        assert look.order("ORD-1").due == offer.ready_on


@pytest.mark.parametrize("asked", [ASKED, {"tests": "loss on drying", "sample": "rosemary leaf"}])
def test_a_wanted_date_that_is_over_is_asked_about_before_an_offer_is_kept(
    empty: Laboratory, asked: dict[str, str]
) -> None:
    with pytest.raises(BadEntry, match="today or later"):
        make_offer(empty, {**asked, "due": "2026-11-02"}, by="IB")


def test_a_house_without_a_condenser_may_say_so_and_an_offer_promises_no_date_on_its_bench(
    empty: Laboratory,
) -> None:
    note_condition(empty, "condensers", "0", by="IB")
    make_offer(empty, ASKED, by="IB")

    shown = page_text(show_offer(empty, "OFF-1"))

    assert [(one.what, one.needs, one.most) for one in told(empty).lacks] == [("condensers", 1, 0)]
    assert "No date can be promised on this bench" in shown
    assert "Days promised" not in shown
    assert "no date" in page_text(show_offers(empty))
    assert "Nothing to sign yet" in page_text(show_offer_paper(empty, "OFF-1"))
    with pytest.raises(NotAllowed, match="promises a day"):
        accept_offer(empty, "OFF-1", by="IB")


def test_what_a_lacking_condenser_would_buy_is_the_promise_of_a_bench_that_has_it(empty: Laboratory) -> None:
    make_offer(empty, ASKED, by="IB")
    note_condition(empty, "condensers", "0", by="IB")
    make_offer(empty, ASKED, by="IB")
    note_condition(empty, "condensers", "1", by="IB")
    make_offer(empty, ASKED, by="IB")

    assert told(empty, "OFF-2").ready_on == told(empty, "OFF-1").ready_on == told(empty, "OFF-3").ready_on
    assert f"it would be ready on {told(empty).ready_on}" in page_text(show_offer(empty, "OFF-2"))
    assert told(empty, "OFF-3").lacks == ()


def test_the_only_condenser_broken_for_good_leaves_no_date(empty: Laboratory) -> None:
    make_offer(empty, ASKED, by="IB")
    accept_offer(empty, "OFF-1", by="IB")
    plan_day(empty, by="IB")
    note_surprise(empty, "broken", "condensers", by="IB")
    make_offer(empty, ASKED, by="IB")

    assert [one.what for one in told(empty, "OFF-2").lacks] == ["condensers"]
