"""Verdicts on legal ceilings, held against the rows of the old export and the arithmetic of the basis."""

import pytest

from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import Answer, reading
from stillroom.products.limits import ceiling, ceiling_of_row, judge, refuse_over


def _upper(percent: float) -> Answer:
    return reading("upper bound", percent, "%", "entry 1", entry_no=1, basis="w/w as quinine, of product")


@pytest.mark.parametrize(("product_type", "percent"), [("hair leave-on", 0.2), ("hair rinse-off", 0.5)])
def test_quinine_has_the_printed_ceiling_of_each_hair_product(product_type, percent):
    # Annex III, entry 21 (CosIng export of 2015), second-hand.
    rule = ceiling("quinine", product_type)

    assert rule.limit.value == percent
    assert rule.basis == "as quinine base"
    assert rule.state_of_data == 2015
    assert rule.source == "cosing-2015"


@pytest.mark.parametrize(
    ("percent", "verdict"), [(0.1031, "within"), (0.2, "within"), (0.2001, "over"), (0.2304, "over")]
)
def test_a_bound_is_within_up_to_the_ceiling_and_over_above_it(percent, verdict):
    judged = judge(_upper(percent), ceiling("quinine", "hair leave-on"))

    assert judged.verdict == verdict
    assert "2015" in judged.says
    assert "L052" in judged.says


def test_no_rule_found_is_never_allowed():
    judged = judge(_upper(0.001), ceiling("cinchonine", "hair leave-on"))

    assert judged.verdict == "no rule found"
    assert "never means it is allowed" in judged.says


def test_another_market_has_no_rule_here():
    assert ceiling("quinine", "hair leave-on", "US").verdict == "no rule found"


def test_a_use_that_is_not_listed_is_not_allowed():
    judged = judge(_upper(0.01), ceiling("quinine", "skin leave-on"))

    assert judged.verdict == "not allowed"
    assert "hair rinse-off; hair leave-on only" in judged.says


@pytest.mark.parametrize("substance", ["chloroform", "n-hexane", "67-66-3", "atropine", "Zinc Pyrithione"])
def test_a_prohibited_substance_is_not_allowed_at_any_content(substance):
    judged = judge(_upper(0.0), ceiling(substance, "hair leave-on"))

    assert judged.verdict == "not allowed"
    with pytest.raises(NotAllowed, match="may hold"):
        refuse_over(judged)


def test_a_condition_the_tool_cannot_see_is_said_even_within_the_figure():
    judged = judge(_upper(0.3), ceiling("dehydroacetic acid", "hair leave-on"))

    assert judged.verdict == "rule needs a condition the tool cannot see"
    assert "aerosol" in judged.says


def test_a_purpose_that_decides_the_ceiling_is_asked():
    asked = ceiling("salicylic acid", "hair leave-on")
    answered = ceiling("salicylic acid", "hair leave-on", purpose="preservative")

    assert asked.verdict == "rule needs a condition the tool cannot see"
    assert "say which" in asked.says
    assert answered.limit.value == 0.5


def test_a_rinse_off_preservative_may_not_stay_on():
    # Annex V, entry 57: rinse-off only, 0.0015 % (Regulation 2017/1224), second-hand.
    assert ceiling("methylisothiazolinone", "hair rinse-off").limit.value == 0.0015
    assert ceiling("methylisothiazolinone", "hair leave-on").verdict == "not allowed"


@pytest.mark.parametrize(("product_type", "percent"), [("hair leave-on", 0.5), ("hair rinse-off", 2.5)])
def test_benzoic_acid_is_limited_by_kind(product_type, percent):
    # Annex V, entry 1 (CosIng export of 2015), second-hand.
    assert ceiling("65-85-0", product_type).limit.value == percent


def test_a_row_that_another_table_points_at_can_be_taken_by_its_name():
    assert ceiling_of_row("L052", "quinine", "hair leave-on").limit.value == 0.2


def test_a_content_in_another_unit_is_asked_back():
    with pytest.raises(BadEntry, match="must be in %"):
        judge(reading("x", 1.0, "mg/kg", "entry"), ceiling("quinine", "hair leave-on"))
    with pytest.raises(BadEntry, match="Name both"):
        ceiling("", "hair leave-on")
