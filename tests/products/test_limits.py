"""Verdicts on legal ceilings, held against the rows of the old export and the arithmetic of the basis."""

import pytest

from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import Answer, reading
from stillroom.products.limits import ceiling, judge, refuse_over


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


def test_a_purpose_that_decides_the_ceiling_is_asked_and_over_both_is_over():
    # Annex V, entry 3: 0.5 %; Annex III, entry 98: 2.0 % otherwise (CosIng export of 2015), second-hand.
    asked = ceiling("salicylic acid", "hair leave-on")
    answered = ceiling("salicylic acid", "hair leave-on", purpose="preservative")

    assert judge(_upper(1.0), asked).verdict == "rule needs a condition the tool cannot see"
    assert "say which" in judge(_upper(1.0), asked).says
    assert judge(_upper(5.0), asked).verdict == "over"
    assert answered.limit.value == 0.5


@pytest.mark.parametrize(
    "counted",
    [
        "total alkaloids as quinine", "quinine", "quinine sulfate", "quinine hydrochloride", "total alkaloids",
        "cinchona alkaloids", "total alkaloids as cinchonine", "total alkaloids as mean of quinine and cinchonine",
        "Quinine Sulphate dihydrate",
    ],
)  # fmt: skip
def test_a_ceiling_does_not_vanish_with_the_wording(counted):
    assert judge(_upper(0.35), ceiling(counted, "hair leave-on")).verdict == "over"
    assert judge(_upper(0.15), ceiling(counted, "Hair leave on")).verdict == "within"


@pytest.mark.parametrize(
    ("counted", "molar_mass", "units"),
    [
        ("quinine sulfate dihydrate", 782.95, 2),
        ("quinine hydrochloride dihydrate", 396.91, 1),
        ("total alkaloids as cinchonine", 294.40, 1),
    ],
)
def test_a_salt_has_the_ceiling_of_its_base_by_molar_mass(counted, molar_mass, units):
    # 0.2 % as base (Annex III, entry 21, second-hand); quinine 324.42 g/mol.
    most = 0.2 * molar_mass / (units * 324.42)

    assert ceiling(counted, "hair leave-on").limit.value == pytest.approx(most, rel=1e-4)


def test_each_kind_of_product_has_its_own_row_of_retinol():
    # Annex III, entry 376 (Regulation 2024/996), second-hand: 0.05 % in body lotion, 0.3 % otherwise.
    assert ceiling("retinol", "face cream leave-on").limit.value == 0.3
    assert ceiling("retinol", "body lotion leave-on").limit.value == 0.05
    open_kind = ceiling("retinol", "skin leave-on")
    assert judge(_upper(0.5), open_kind).verdict == "over"
    assert judge(_upper(0.2), open_kind).verdict == "rule needs a condition the tool cannot see"
    assert judge(_upper(0.04), open_kind).verdict != "over"


def test_a_row_of_another_kind_of_product_is_never_quoted_as_this_one_s():
    with pytest.raises(NotAllowed, match="skin leave-on may hold no quinine") as refused:
        refuse_over(judge(_upper(0.033), ceiling("quinine", "skin leave-on")))

    assert "at most 0.5 %" not in str(refused.value)


@pytest.mark.parametrize("market", ["EU", "eu", "E.U.", "European Union", "Germany", "FRANCE"])
def test_a_ceiling_does_not_vanish_with_how_the_market_is_written(market):
    with pytest.raises(NotAllowed, match=r"at most 0\.2 %"):
        refuse_over(judge(_upper(0.35), ceiling("quinine", "hair leave-on", market)))


def test_arbutin_of_a_skin_product_is_held_to_no_row_of_another_kind():
    # Annex III, entries 377 and 378 (Regulation 2024/996), second-hand: alpha-arbutin 2 % in face cream and 0.5 % in
    # body lotion, arbutin 7 % in face cream; neither is listed for hair.
    assert ceiling("alpha-arbutin", "face cream").limit.value == 2.0
    assert ceiling("alpha-arbutin", "body lotion").limit.value == 0.5
    assert ceiling("arbutin", "face cream").limit.value == 7.0
    assert ceiling("arbutin", "hair leave-on").verdict == "not allowed"
    open_kind = ceiling("alpha-arbutin", "skin leave-on")
    assert judge(_upper(2.5), open_kind).verdict == "over"
    assert judge(_upper(1.0), open_kind).verdict == "rule needs a condition the tool cannot see"


def test_citric_acid_is_not_silver_citrate():
    assert ceiling("citric acid", "hair leave-on").verdict == "no rule found"


def test_the_digits_that_decide_are_shown():
    # Annex III, entry 373: 0.007 % (Regulation 2024/996), second-hand.
    with pytest.raises(NotAllowed, match=r"at most 0\.007 %.*0\.0070004 %"):
        refuse_over(judge(_upper(0.0070004), ceiling("genistein", "face cream leave-on")))


def test_a_rinse_off_preservative_may_not_stay_on():
    # Annex V, entry 57: rinse-off only, 0.0015 % (Regulation 2017/1224), second-hand.
    assert ceiling("methylisothiazolinone", "hair rinse-off").limit.value == 0.0015
    assert ceiling("methylisothiazolinone", "hair leave-on").verdict == "not allowed"


@pytest.mark.parametrize(("product_type", "percent"), [("hair leave-on", 0.5), ("hair rinse-off", 2.5)])
def test_benzoic_acid_is_limited_by_kind(product_type, percent):
    # Annex V, entry 1 (CosIng export of 2015), second-hand.
    assert ceiling("65-85-0", product_type).limit.value == percent


@pytest.mark.parametrize("counted", ["total alkaloids as berberine", "Total alkaloids, as caffeine"])
def test_alkaloids_counted_as_a_marker_of_another_plant_are_no_cinchona_alkaloids(counted):
    """Annex III, entry 21, is of quinine and its salts (second-hand); it says nothing of what barberry holds."""
    assert ceiling(counted, "skin leave-on").verdict == "no rule found"
    assert ceiling("total alkaloids as quinine", "skin leave-on").verdict == "not allowed"


@pytest.mark.parametrize(
    "counted", ["total alkaloids", "total alkaloids as quinnine", "cinchona alkaloids as berberine"]
)
def test_alkaloids_that_nobody_told_apart_are_taken_as_quinine(counted):
    assert ceiling(counted, "skin leave-on").verdict == "not allowed"


def test_a_content_in_another_unit_is_asked_back():
    with pytest.raises(BadEntry, match="must be in %"):
        judge(reading("x", 1.0, "mg/kg", "entry"), ceiling("quinine", "hair leave-on"))
    with pytest.raises(BadEntry, match="Name both"):
        ceiling("", "hair leave-on")


@pytest.mark.parametrize(
    ("written", "row_percent"),
    [
        ("as cinchonine", 0.2 * 294.398 / 324.424),
        ("AS CINCHONINE", 0.2 * 294.398 / 324.424),
        ("total alkaloids (as quinine)", 0.2),
        ("Total alkaloids, as quinine", 0.2),
        ("expressed as quinine", 0.2),
        ("quinine (as the hydrochloride)", 0.2 * 360.881 / 324.424),
    ],
)
def test_a_ceiling_does_not_vanish_with_how_the_strength_is_counted(written, row_percent):
    """Annex III, entry 21: 0.2 % as quinine base; molar masses from IUPAC atomic weights, worked out by hand."""
    found = ceiling(written, "hair leave-on").limit

    assert found is not None
    assert found.value == pytest.approx(row_percent, rel=1e-4)


@pytest.mark.parametrize(
    ("amine", "product_type", "entry", "says"),
    [
        ("ethanolamine", "skin leave-on", "61", "purity >= 99 %"),
        ("MEA", "hair rinse-off", "61", "sec. amine <= 0.5 %"),
        ("tromethamine", "skin leave-on", "61", "without nitrite"),
        ("cocamide DEA", "shampoo", "60", "<= 5 % in the raw material"),
        ("triethanolamine", "shampoo", "62", "no nitrosating agents"),
    ],
)
def test_an_amine_whose_rule_has_no_figure_is_told_its_conditions(amine, product_type, entry, says):
    # Annex III, entries 60 to 62, recalled: for what is rinsed off and for the first two no share is printed.
    rule = ceiling(amine, product_type)

    assert rule.limit is None
    assert rule.verdict == "rule needs a condition the tool cannot see"
    assert f"entry {entry} " in rule.says
    assert says in rule.says
