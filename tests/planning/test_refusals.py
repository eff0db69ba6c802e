"""What may not or cannot be planned is refused in one sentence before anything is bought."""

from dataclasses import replace

import pytest

from stillroom.errors import BadEntry, NotAllowed, NotEnough, UnknownName
from stillroom.planning.forecast import forecast
from stillroom.planning.plan import plan
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.records.procedures import Procedure
from tests.planning.practice import LOT, measured, order, practice_request, procedure, strength, with_setting


def with_substance(one: Procedure, line: str, substance: str) -> Procedure:
    lines = tuple(replace(made, substance=substance) if made.name == line else made for made in one.lines)
    return replace(one, lines=lines)


def test_an_aim_above_the_ceiling_is_refused():
    with pytest.raises(NotAllowed, match=r"ceiling of 0\.2 % w/w for hair leave-on"):
        plan(practice_request(order=order(aim=strength(0.25))))


def test_the_same_aim_is_lawful_in_a_rinse_off_product():
    made = plan(practice_request(order=order(aim=strength(0.25), product_type="hair rinse-off")))

    assert made.content.share_within_percent > 99


def test_declaring_more_than_the_aim_is_refused():
    with pytest.raises(BadEntry, match="No more can be declared"):
        plan(practice_request(order=order(at_least=strength(0.11))))


@pytest.mark.parametrize(
    "changes",
    [
        {"units": 0},
        {"units": -5},
        {"nominal_ml": -100.0},
        {"aim": strength(-0.1)},
        {"at_least": strength(0.0)},
        {"how_sure_percent": 120.0},
        {"how_sure_percent": 100.0},
    ],
)
def test_impossible_orders_are_refused(changes):
    with pytest.raises(BadEntry, match=r"must|How sure"):
        plan(practice_request(order=order(**changes)))


def test_a_strength_on_another_basis_is_asked_back():
    other = replace(strength(0.1), reckoned_as="cinchonine")

    with pytest.raises(BadEntry, match="as quinine"):
        plan(practice_request(order=order(aim=other)))


@pytest.mark.parametrize(
    "plant", ["aconite", "deadly nightshade", "colchicum", "Aconite root", "dried leaf of Digitalis purpurea"]
)
def test_a_prohibited_plant_is_refused(plant):
    extraction = with_substance(procedure("bark-extract"), "bark", plant)

    with pytest.raises(NotAllowed, match="may not"):
        plan(practice_request(extraction=extraction))


def test_a_refused_solvent_is_refused_at_any_step():
    poured = with_substance(procedure("bark-extract"), "stock spirit", "methanol")

    with pytest.raises(NotAllowed, match="methanol may not be used"):
        plan(practice_request(extraction=poured))


@pytest.mark.parametrize("solvent", ["chloroform", "dichloromethane", "n-hexane"])
def test_a_solvent_that_may_not_be_used_is_refused(solvent):
    extraction = with_substance(procedure("bark-extract"), "ethyl acetate", solvent)

    with pytest.raises(NotAllowed, match="may not be used"):
        plan(practice_request(extraction=extraction))


def test_a_kind_of_product_that_the_rule_does_not_list_is_not_allowed():
    with pytest.raises(NotAllowed, match="lip balm is not among them"):
        plan(practice_request(order=order(product_type="lip balm")))


def test_a_market_whose_rules_are_not_held_here_is_no_permission():
    made = plan(practice_request(order=order(market="elsewhere")))

    assert made.content.ceiling_percent is None
    assert made.content.share_above_percent == 0.0
    assert "No rule found for total alkaloids in hair leave-on (elsewhere)" in made.content.sentence
    assert "not permission: look it up before release" in made.content.sentence
    assert "ceiling" not in made.line("share_within_percent").label


def test_a_ceiling_that_was_looked_up_serves_where_no_row_is_found():
    looked_up = Known(
        "ceiling", "order/ceiling", 0.15, "%", origin="reading", because="letter of the assessor"
    )
    request = practice_request(order=order(market="elsewhere"), known=(*LOT, looked_up))

    made = plan(request)

    assert made.content.ceiling_percent == 0.15
    assert not made.not_known
    with pytest.raises(NotAllowed, match=r"ceiling of 0\.15 %"):
        plan(practice_request(order=order(market="elsewhere", aim=strength(0.16)), known=request.known))


def test_a_ceiling_given_by_hand_cannot_lift_the_law():
    generous = Known("ceiling", "order/ceiling", 5.0, "%", origin="reading", because="wishful")
    request = practice_request(order=order(aim=strength(0.25)), known=(*LOT, generous))

    with pytest.raises(NotAllowed, match=r"ceiling of 0\.2 %"):
        plan(request)


@pytest.mark.parametrize("role", ["assay of the plant", "loss on drying"])
def test_a_negative_reading_is_refused(role):
    others = tuple(one for one in LOT if one.role != role)

    with pytest.raises(BadEntry, match="cannot be below zero"):
        plan(practice_request(known=(*others, measured(role, "lot X", -1.0, 0.1))))


def test_more_water_than_plant_is_refused():
    wet = (LOT[0], measured("loss on drying", "lot X", 99.0, 0.1))

    with pytest.raises(BadEntry, match="must leave some plant"):
        plan(practice_request(known=wet))


def test_a_misspelt_role_offers_the_nearest():
    with pytest.raises(UnknownName, match="loss on drying"):
        practice_request(known=(measured("los on drying", "lot X", 9.5, 0.1),))


def test_the_same_role_twice_is_refused():
    with pytest.raises(BadEntry, match="known once"):
        practice_request(known=(*LOT, LOT[0]))


def test_stock_weaker_than_the_spirit_wanted_is_told():
    weak = measured("strength of the stock spirit", "lot SP", 60.0, 0.1)

    with pytest.raises(NotEnough, match="must be stronger"):
        plan(practice_request(known=(*LOT, weak)))


def test_too_little_ammonia_is_told():
    extraction = with_setting(procedure("bark-extract"), "basify", "ammonia_g_per_g", value=0.1)

    with pytest.raises(NotEnough, match="more ammonia than acid"):
        plan(practice_request(extraction=extraction))


def test_a_charge_of_nothing_is_refused():
    with pytest.raises(BadEntry, match="above zero"):
        forecast(practice_request(), 0.0)


def test_a_request_of_another_shape_is_told():
    with pytest.raises(BadEntry, match="shape"):
        PlanRequest.from_json({"order": 5})


def test_a_refusal_says_what_to_do():
    with pytest.raises(NotAllowed, match="Aim lower") as refused:
        plan(practice_request(order=order(aim=strength(0.25))))

    assert refused.value.do
