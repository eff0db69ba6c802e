"""A plan takes the right lot, is worked again with what changed and why, and says when a day cannot be met."""

from dataclasses import replace
from datetime import date

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.own_things import state_fields
from stillroom.actions.keeping_answers import keep_order
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.writing_procedures import fields_to_alter, write_typed
from stillroom.actions.orders.ordering import keep_plan
from stillroom.actions.orders.requesting import request_for
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.asking.question import Answered, answer
from stillroom.documents.as_text import page_text
from stillroom.errors import NotAllowed
from stillroom.pages.plans import kept_plan, show_plan
from stillroom.planning import stages
from stillroom.planning.changes import changes
from stillroom.planning.figures import figure_of
from stillroom.planning.outcome import Plan
from stillroom.planning.plan import plan
from stillroom.planning.working_days import ready_by, when_to_begin
from stillroom.questions import declared
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.planning.any_plant import asked

ORDER = {
    "product": "Rosemary scalp tonic", "kind": "hair leave-on", "bottles": "24 × 50 mL", "strength": "0.10 %",
    "of": "rosmarinic acid", "plant": "rosemary leaf", "way": "maceration", "due": "2027-01-31",
}  # fmt: skip
TODAY = date(2026, 11, 24)


def worked_back(**said: str) -> Answered:
    """An order asked without a book."""
    return answer(declared("order"), ORDER | said, TODAY)


def bark(lab: Laboratory, code: str, owner: str, percent: str = "") -> None:
    lot = Lot(code, LotKind.PLANT, "cinchona bark", "bark", supplier="a trader", owner=owner)
    receive_lot(lab, lot, "1 kg", by="TO")
    decide_identity(lab, code, accepted=True, evidence="compared with a specimen", by="MA")
    release(lab, code, meaning="label and look", by="MA")
    if percent:
        found_outside(lab, code, percent, "quinine")


def found_outside(lab: Laboratory, lot: str, percent: str, reckoned_as: str) -> None:
    enter_outside_result(
        lab, lot, marker="total alkaloids", found=f"{percent} ± 0.2 (k = 2)", reckoned_as=reckoned_as, matter="as is",
        laboratory="an invented laboratory", certificate="C-1", method="HPLC", by="TO",
    )  # fmt: skip


def test_another_customers_lot_moves_no_plan_and_an_assayed_lot_comes_first(lab: Laboratory) -> None:
    with lab.look() as look:
        first = request_for(look, "ORD-1").plant_lot
    bark(lab, "CIN-X", "another customer", "3 %")
    bark(lab, "CIN-Y", "ours")

    with lab.look() as look:
        assert request_for(look, "ORD-1").plant_lot == first
        with pytest.raises(NotAllowed, match="CIN-X, which belongs to another customer"):
            request_for(look, "ORD-1", "CIN-X")
        customer = look.order("ORD-1").customer
    bark(lab, "CIN-Z", customer, "9 %")
    with lab.look() as look:
        assert request_for(look, "ORD-1").plant_lot == "CIN-Z"


def test_a_plan_worked_again_tells_each_input_old_and_new_and_keeps_the_old(lab: Laboratory) -> None:
    keep_plan(lab, "ORD-1", draws=512, by="MA")
    with lab.look() as look:
        old = look.plans("ORD-1")
        customer = look.order("ORD-1").customer
    bark(lab, "CIN-Z", customer, "9 %")
    shown = page_text(show_plan(lab, "ORD-1"))
    done = keep_plan(lab, "ORD-1", draws=512, by="MA")

    with lab.look() as look:
        assert [one.entry_no for one in look.plans("ORD-1")][:-1] == [one.entry_no for one in old]
        before, after = (look.plans("ORD-1")[at].body.answers["plant_g"] for at in (-2, -1))
    assert "Since this plan was kept" in shown
    assert "assay of the plant" in shown
    assert f"had {before:.1f} g of plant, now it is {after:.1f} g" in done.says
    assert after != pytest.approx(before)


def test_a_plan_says_that_its_procedure_was_altered_since(lab: Laboratory) -> None:
    keep_plan(lab, "ORD-1", draws=512, by="MA")
    before = page_text(show_plan(lab, "ORD-1"))
    with lab.look() as look:
        altered = fields_to_alter(lab, look.order("ORD-1").formula)
    write_typed(lab, altered, by="TO")
    told = " ".join(page_text(show_plan(lab, "ORD-1")).split())
    keep_plan(lab, "ORD-1", draws=512, by="MA")

    assert "newer version" not in before
    assert "leave-on has a newer version, 2; this plan goes by version 1: calculate it again." in told
    assert "newer version" not in page_text(show_plan(lab, "ORD-1"))


def test_a_plan_seen_again_is_not_solved_again(lab: Laboratory, monkeypatch: pytest.MonkeyPatch) -> None:
    keep_plan(lab, "ORD-1", draws=512, by="MA")
    first = show_plan(lab, "ORD-1")

    def never(*_: object) -> object:
        raise AssertionError("solved again")

    monkeypatch.setattr(stages, "solve_for_scale", never)
    assert show_plan(lab, "ORD-1") == first


def test_a_change_alone_moves_the_plant_as_much_as_the_plan_with_it() -> None:
    old = replace(asked("maceration"), draws=512)
    stronger = replace(old.order.aim, percent=2 * old.order.aim.percent)
    new = replace(old, order=replace(old.order, aim=stronger))
    found = {one.what: one for one in changes(old, new)}

    # Twice the strength takes twice the marker: twice the plant, as one input alone.
    apart = plan(new).supply.plant_g - plan(old).supply.plant_g
    assert set(found) == {"order/aim"}
    assert found["order/aim"].effect_g == pytest.approx(apart, rel=1e-9)
    assert changes(old, old) == ()


def test_the_name_of_the_product_moves_nothing() -> None:
    plans: list[Plan] = [
        worked_back(product=name).found.plan for name in ("Rosemary scalp tonic", "薬 lotion")
    ]

    assert plans[0].supply.plant_g == plans[1].supply.plant_g


def test_what_is_to_have_lies_inside_its_own_range() -> None:
    limits = [one for one in worked_back().found.plan.lines if figure_of(one.key).at == "upper limit"]

    assert "plant_g" in {one.key for one in limits}
    assert all(one.low <= one.value <= one.high for one in limits)


def test_a_day_that_cannot_be_met_is_told_with_the_earliest_that_can() -> None:
    made = worked_back(due="2026-11-26").found
    days = made.when.days.days

    assert made.when.is_past
    # By hand: from Tuesday 2026-11-24 five working days end on Monday 2026-11-30.
    assert ready_by(TODAY, 5) == "2026-11-30"
    assert (
        when_to_begin(made.plan.steps, made.when.ready_at_the_earliest, 8.0, "", TODAY).begin_by
        == "2026-11-24"
    )
    assert days > 2


def test_an_order_of_the_book_keeps_its_assay_and_prices_at_the_door_without_a_book(lab: Laboratory) -> None:
    with lab.look() as look:
        code, known = "ORD-1", {one.role: one.value for one in request_for(look, "ORD-1").known}
    asked_again = {
        "plant": "cinchona bark",
        "of": "total alkaloids as quinine",
        "loss-on-drying": "8 %",
        "order": code,
    }
    keep_order(lab, ORDER | asked_again, by="MA")

    with lab.look() as look:
        kept = {one["role"]: one["value"] for one in look.plans(code)[-1].body.request["known"]}
    assert kept == known | {"loss on drying": 8.0}


def test_an_assay_that_cannot_be_restated_is_left_out_and_told(lab: Laboratory) -> None:
    bark(lab, "CIN-U", "ours")
    found_outside(lab, "CIN-U", "6 %", "unheardine")
    with lab.look() as look:
        request = request_for(look, "ORD-1", "CIN-U", draws=512)

    assert "molar mass of unheardine is not known" in request.left_out[0]
    assert any("entry" in one and "unheardine" in one for one in plan(request).not_known)


def test_an_order_too_small_for_its_own_losses_is_still_answered() -> None:
    assert worked_back(bottles="10 × 50 mL", strength="0.0002 %").lesson


def test_a_kept_plan_says_what_was_kept_after_a_plant_of_ones_own_is_stated(lab: Laboratory) -> None:
    own = ORDER | {"plant": "holarrhena bark", "of": "conessine", "strength": "0.002 %"}
    keep_order(lab, own, by="MA")
    with lab.look() as look:
        code = look.orders()[-1].code
        kept_g = look.plans(code)[-1].body.answers["plant_g"]
    holds = {"plant": "holarrhena bark", "holds": "conessine 0.01 to 0.03 %"}
    state_fields(lab, "marker", {"marker": "conessine", "molar mass": "356.59"}, by="MA")
    state_fields(lab, "plant", holds, by="MA")

    with lab.look() as look:
        found = kept_plan(look, code)
    assert found is not None
    assert found[0].supply.plant_g == pytest.approx(kept_g)
    shown = page_text(show_plan(lab, code))
    assert "markers and plants of your own stated since" in " ".join(shown.split())
    assert "own stated since" in keep_plan(lab, code, draws=512, by="MA").says
