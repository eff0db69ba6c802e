"""Their own plant extracted, their sample tested, a reagent made: from the enquiry to what came beside the promise."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.bench.lots_offered import lots_for_line
from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.bench.next_without_bottles import samples_of
from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.day.awaited import on_their_way
from stillroom.actions.day.house_bench import bench_of_house
from stillroom.actions.day.jobs_in_hand import jobs_in_hand
from stillroom.actions.day.planning import plan_day
from stillroom.actions.day.step_times import times_of
from stillroom.actions.day.to_plan import to_plan
from stillroom.actions.house.equipment_and_people import add_instrument
from stillroom.actions.house.pricing import note_price
from stillroom.actions.keeping_answers import keep
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.spirit_read import read_strength
from stillroom.actions.lots.stock_movements import deliver
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.weighing import Weighed, lot_asked_about
from stillroom.actions.offers.offering import accept_offer, make_offer
from stillroom.actions.orders import remembering
from stillroom.actions.orders.forecasting import does_not_fit, expected_now
from stillroom.actions.orders.ordering import work_back
from stillroom.actions.orders.size_planned import size_planned
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.reagents import make_reagent
from stillroom.cli.bottling import _leaves
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, StillroomError
from stillroom.pages.day import show_fortnight
from stillroom.pages.offers import show_offer, show_offer_paper
from stillroom.pages.orders import show_order, show_orders
from stillroom.pages.report_of_tests import show_test_report
from stillroom.planning.memory import Remembered
from stillroom.planning.plan_inputs import Known
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Person
from stillroom.schedule.jobs import Job
from tests.actions.test_offers import ASKED, Clock, told

OWN = {
    "own-plant": "2 kg",
    "plant": "rosemary leaf",
    "way": "maceration",
    "of": "rosmarinic acid",
    "customer": "Shop",
}
TESTS = {"tests": "identity, loss on drying", "sample": "rosemary leaf", "customer": "Shop"}
REAGENT = {"reagent": "ferric-chloride", "reagent-amount": "1 L", "customer": "Shop"}

SPIRIT = {"dilution": "70 % v/v", "dilution-amount": "5 L", "customer": "Shop"}


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


def test_what_is_on_its_way_is_taken_in_on_its_day_and_what_it_is_for_waits(
    lab: Laboratory, clock: Clock
) -> None:
    keep(lab, "offer", TESTS, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    plan_day(lab, by="IB")
    waiting = page_text(show_fortnight(lab))
    receive_lot(
        lab, Lot("SAM-1", LotKind.PLANT, "rosemary leaf", "", owner="Shop"), "30 g", by="IB",
    )  # fmt: skip
    plan_day(lab, by="IB")

    assert "ORD-1: take in what Shop sends" in waiting
    assert "2026-12-03" in waiting  # three days on, the usual of one to five
    assert "take in" not in page_text(show_fortnight(lab))
    assert "SAM-1" in page_text(show_fortnight(lab))


def test_an_order_of_bottles_waits_for_what_was_bought_until_such_lots_are_here(
    lab: Laboratory,
) -> None:
    asked = {"product": "Hill tonic", "kind": "hair leave-on", "bottles": "24 × 50 mL", "strength": "0.10",
             "of": "rosmarinic acid", "plant": "rosemary leaf", "way": "infusion", "customer": "Shop"}  # fmt: skip
    keep(lab, "offer", asked, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    with lab.look() as look:
        (coming,) = on_their_way(look, look.orders(), lab.clock().replace(hour=0), lab.clock(), 1020)
        before = {one.item for one in told(lab).buying if one.high_days}
    receive_lot(lab, Lot("ROS-1", LotKind.PLANT, "rosemary leaf", ""), "3 kg", by="IB")
    with lab.look() as look:
        (left,) = on_their_way(look, look.orders(), lab.clock().replace(hour=0), lab.clock(), 1020)

    assert "plant_g" in before
    assert "Plant to start with" in coming.job.title
    assert "Plant to start with" not in left.job.title
    assert "Bottles" in left.job.title
    assert coming.job.earliest_min == 6 * 24 * 60  # the root of 3 by 10 days, and a half day more


@pytest.mark.parametrize(
    ("reagent", "name", "needed", "unit"),
    [
        ("folin-ciocalteu", "phenol reagent", 10.0, "mL"),  # of which no table knows the density
        (
            "aluminium-chloride",
            "methanol",
            79.1,
            "g",
        ),  # 100 mL at 0.791 g/mL, the handbook's at 20 °C, from memory
    ],
)
def test_a_liquid_of_a_reagent_is_weighed_by_its_density_or_stays_a_volume(
    lab: Laboratory, reagent: str, name: str, needed: float, unit: str
) -> None:
    keep(lab, "offer", {"reagent": reagent, "reagent-amount": "100 mL", "customer": "Shop"}, by="IB")
    line = next(one for one in told(lab).buying if one.label == name)

    assert line.needed == pytest.approx(needed, rel=0.002)
    assert line.unit == unit


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
    assert jobs == ["bought/ORD-1/6", "sent/ORD-1"]
    # Spirit is here after six days and a week of soaking follows: the fortnight does not hold it, and says so.
    assert any("ORD-1/rosemary-leaf-ext: comes after these days" in one for one in planned.body.plan["aside"])
    with lab.look() as look:
        size = size_planned(look, "ORD-1", "rosemary-leaf-ext")
    assert size is not None
    assert (size.scale, size.entry_no) == ("2 kg", None)


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


def test_spirit_is_diluted_from_the_strength_that_was_read_offered_made_and_delivered(
    lab: Laboratory,
) -> None:
    # 5 L of 70 % v/v: 2762.3 g of ethanol (OIML R 22, 789.24 g/L), from 95 % v/v, which is 92.42 % by mass (the same).
    note_price(lab, "spirit 96 %", "20 EUR/L", by="IB")
    receive_lot(lab, Lot("SPI-1", LotKind.SPIRIT, "spirit 96 %", "", stated="96 % v/v"), "3 kg", by="IB")
    receive_lot(
        lab, Lot("SPI-2", LotKind.SPIRIT, "spirit 96 %", "", denatured_with="bitrex"), "9 kg", by="IB"
    )
    receive_lot(lab, Lot("WAT-1", LotKind.WATER, "purified water", ""), "9 kg", by="IB")
    for lot in ("SPI-1", "SPI-2", "WAT-1"):
        release(lab, lot, meaning="papers agree", by="IB")
    read_strength(
        lab, "SPI-1", {"have": "95 % v/v", "known-by": "certificate", "temperature": "20 °C"}, by="IB"
    )
    keep(lab, "offer", SPIRIT, by="IB")
    offer = told(lab)

    assert offer.buying[0].needed == pytest.approx(2762.3 / 0.92421, rel=2e-4)
    assert offer.buying[0].to_buy == 0.0
    # 20 EUR/L of a spirit of 96 % that weighs 0.8074 g/mL at 20 °C
    costs = {one.item: one.cost.middle for one in offer.lines}
    assert costs["spirit 96 %"] == pytest.approx(2762.3 / 0.92421 * 0.020 / 0.8074, rel=1e-3)
    assert "licence" in page_text(show_offer(lab, "OFF-1"))
    accept_offer(lab, "OFF-1", by="IB")
    assert coming(lab).startswith("Make 4428 g of Spirit 70 % v/v")
    with lab.look() as look:
        recipe = look.order("ORD-1").formula
    weighed = (Weighed("spirit", "2988.8 g", "SPI-1", ""), Weighed("water", "1438.8 g", "WAT-1", ""))
    ticks = ("No flame and no open element in the room",)
    add_instrument(lab, "scales", "0.1 g", by="IB")
    done = make_reagent(
        lab, recipe, code="DIL-1", amount="4428 g", weighed=weighed, scale="SCALE-1", ticks=ticks, by="IB"
    )  # fmt: skip
    assert "strength" in done.says
    with lab.look() as look:
        assert look.lot("DIL-1").kind is LotKind.SPIRIT
    release(lab, "DIL-1", meaning="read 70.1", by="IB")
    assert coming(lab).startswith("DIL-1 is released: deliver")
    deliver(lab, "ORD-1", {"DIL-1": "4427.6 g"}, by="IB")
    assert "closed" in coming(lab)


def test_nothing_is_diluted_to_more_than_there_is(lab: Laboratory) -> None:
    with pytest.raises(StillroomError, match="97"):
        keep(lab, "offer", {**SPIRIT, "dilution": "97 % v/v"}, by="IB")


def test_a_dangerous_reagent_is_not_offered_before_its_tick(lab: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="tick"):
        keep(lab, "offer", {**REAGENT, "reagent": "mayer"}, by="IB")


def test_every_page_of_such_an_offer_and_order_opens(lab: Laboratory) -> None:
    for number, asked in enumerate((OWN, TESTS, REAGENT, SPIRIT), 1):
        keep(lab, "offer", asked, by="IB")
        accept_offer(lab, f"OFF-{number}", by="IB")
        for page in (show_offer, show_offer_paper):
            assert page_text(page(lab, f"OFF-{number}"))
        assert "Promised, and what came" in page_text(show_order(lab, f"ORD-{number}"))


def accepted(lab: Laboratory, kg: str = "2 kg", lot_g: str = "2000 g") -> None:
    """An order of their own plant, with their plant and ours on the shelf, released."""
    keep(lab, "offer", {**OWN, "own-plant": kg, "way": "soxhlet"}, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    for code, owner in (("OURS-1", "ours"), ("SHOP-1", "Shop")):
        lot = Lot(code, LotKind.PLANT, "rosemary leaf", "rosemary leaf", owner=owner)
        receive_lot(lab, lot, lot_g, by="IB")
        decide_identity(lab, code, accepted=True, evidence="leaf beside the sheet", by="IB")
        release(lab, code, meaning="papers read", by="IB")


def test_the_day_counts_their_plant_at_its_size(lab: Laboratory) -> None:
    keep(lab, "offer", {**OWN, "own-plant": "2 kg", "way": "soxhlet"}, by="IB")
    keep(lab, "offer", {**OWN, "own-plant": "0.1 kg", "way": "soxhlet"}, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    accept_offer(lab, "OFF-2", by="IB")
    with lab.look() as look:
        orders = {one.code: look.procedure(one.extraction) for one in look.orders()}
        large, small = (
            times_of(look, orders[code], orders[code].steps[0], order=code).watch_min
            for code in ("ORD-1", "ORD-2")
        )

    assert large == pytest.approx(20 * small, rel=0.1)


def test_a_batch_of_their_plant_has_its_forecast(lab: Laboratory) -> None:
    accepted(lab)
    with lab.look() as look:
        procedure = look.order("ORD-1").extraction
    begin_batch(lab, "Q1", procedure, "150 g", order="ORD-1", by="IB")

    with lab.look() as look:
        assert does_not_fit(look, "Q1") == ()
        assert any(one.name.startswith("strength of") for one in expected_now(look, "Q1"))


def test_an_extract_of_our_plant_is_not_delivered_as_theirs(lab: Laboratory) -> None:
    accepted(lab)
    with lab.look() as look:
        order = look.order("ORD-1")
    ours = Lot("E-OURS", LotKind.INGREDIENT, order.product, order.product)
    receive_lot(lab, ours, "50 g", by="IB")
    release(lab, "E-OURS", meaning="papers read", by="IB")

    assert coming(lab).startswith("Begin a batch")
    with pytest.raises(NotAllowed, match="gives Shop their own plant back"):
        deliver(lab, "ORD-1", {"E-OURS": "10 g"}, by="IB")


def test_what_another_customer_owns_is_delivered_to_nobody_else(lab: Laboratory) -> None:
    accepted(lab)
    theirs = Lot("X-1", LotKind.PLANT, "rosemary leaf", "rosemary leaf", owner="Farm")
    receive_lot(lab, theirs, "50 g", by="IB")
    decide_identity(lab, "X-1", accepted=True, evidence="leaf beside the sheet", by="IB")
    release(lab, "X-1", meaning="papers read", by="IB")

    with pytest.raises(NotAllowed, match="goes to that customer"):
        deliver(lab, "ORD-1", {"X-1": "10 g"}, by="IB")


def test_our_plant_in_a_batch_of_theirs_is_asked_about_and_shown_as_not_theirs(lab: Laboratory) -> None:
    accepted(lab)
    with lab.look() as look:
        procedure = look.procedure(look.order("ORD-1").extraction)
    begin_batch(lab, "Q1", procedure.code, "150 g", order="ORD-1", by="IB")
    offered = {one.code: one for one in lots_for_line(lab, "Q1", "rosemary leaf")}

    assert offered["OURS-1"].refused == "not of this batch's customer"
    assert not offered["SHOP-1"].refused
    assert offered["SHOP-1"].owner == "Shop"
    with lab.look() as look:
        plant = next(one for one in procedure.lines if one.name == procedure.scaled_by)
        asked = [str(one) for one in lot_asked_about(look, plant, "OURS-1", on="2026-11-30", batch="Q1")]
        assert not list(lot_asked_about(look, plant, "SHOP-1", on="2026-11-30", batch="Q1"))
    assert any("extracts what Shop sent" in one for one in asked)


def test_a_product_is_laid_out_after_the_batch_of_its_extract(lab: Laboratory) -> None:
    make_offer(lab, ASKED, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    with lab.look() as look:
        order = look.order("ORD-1")
    assert product_of(lab).after == (f"ORD-1/{order.extraction}",)
    begin_batch(lab, "E1", order.extraction, "50 g", order="ORD-1", by="IB")

    assert product_of(lab).after == ("E1",)


def product_of(lab: Laboratory) -> Job:
    """What makes the bottles of the first order, among everything to be done."""
    midnight = lab.clock().replace(hour=0, minute=0)
    with lab.look() as look:
        bench = bench_of_house(look, midnight, 14 * 1440, ()).bench
        jobs = jobs_in_hand(look, bench, midnight, lab.clock(), 960).jobs
        formula = look.order("ORD-1").formula
    return next(one for one in jobs if one.code == f"ORD-1/{formula}")


def test_a_run_by_which_no_later_one_would_run_to_its_end_is_set_aside_and_said(
    lab: Laboratory, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_offer(lab, {**ASKED, "way": "soxhlet"}, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    boils_away = Known(
        "extraction/siphon/lost_g_per_kg_h",
        "siphon/lost",
        600.0,
        "g/(kg·h)",
        0.5,
        "lognormal",
        "own runs",
        "from E7",
    )
    monkeypatch.setattr(
        remembering, "remembered", lambda *_: Remembered((boils_away,), ((1.0,),), runs=("E7",))
    )

    plan = work_back(lab, "ORD-1")
    assert plan.request.remembered == ()
    assert any(one.startswith("By what E7 gave, this extraction") for one in plan.request.left_out)


@pytest.mark.parametrize("way", ["maceration", "soxhlet"])
def test_work_longer_than_a_fortnight_is_laid_out_as_far_as_it_reaches_and_said(
    lab: Laboratory, way: str
) -> None:
    keep(lab, "offer", {**OWN, "own-plant": "3 kg", "way": way}, by="IB")
    accept_offer(lab, "OFF-1", by="IB")

    asked = to_plan(lab)
    (job,) = (one for one in asked.in_hand.jobs if one.code.startswith("ORD-1/"))
    assert job.title.endswith("as far as it reaches")
    assert job.due_min is None
    assert any(one.startswith(f"{job.code} goes on after these days") for one in asked.assumed)
    assert plan_day(lab, by="IB").entries


def test_the_command_delivers_what_is_no_bottle_by_its_mass() -> None:
    assert _leaves("E1 = 18.6 g") == ("E1", "18.6 g")
    assert _leaves("T1=31") == ("T1", "31 bottles")
    for text in ("E1", "E1=", "=3"):
        with pytest.raises(BadEntry, match="A lot and how much of it"):
            _leaves(text)


def test_the_samples_of_an_order_are_looked_for_among_the_lots_of_customers(lab: Laboratory) -> None:
    for code, owner in (("OURS-1", "ours"), ("SHOP-1", "shop"), ("FARM-1", "Farm")):
        lot = Lot(code, LotKind.PLANT, "rosemary leaf", "rosemary leaf", owner=owner)
        receive_lot(lab, lot, "50 g", by="IB")
    keep(lab, "offer", TESTS, by="IB")
    accept_offer(lab, "OFF-1", by="IB")
    with lab.look() as look:
        order = look.orders()[0]

        assert [one.code for one in samples_of(look, order)] == ["SHOP-1"]
        assert [one.code for one in look.lots(of_customers=True)] == ["SHOP-1", "FARM-1"]
        assert {"OURS-1", "SHOP-1", "FARM-1"} <= {one.code for one in look.lots()}
