"""Labels: order of ingredients, declared strength, dates, claims."""

from dataclasses import replace

import pytest

from stillroom.actions.releasing.certifying import use_of
from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import assumed, reading
from stillroom.products.claims import claims
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.products.label import LabelFacts, ingredient_order, label, strength_words
from stillroom.quantities.content import Content
from stillroom.records.orders import StatedStrength
from stillroom.texts.catalogue import speaking

DECLARED = reading(
    "declared at least", 0.095, "%", "order 1", entry_no=1, basis="w/w total alkaloids as quinine, of product"
)
CONTENT = reading(
    "content", 0.1, "%", "entry 9", entry_no=9, basis="w/w total alkaloids as quinine, of product"
)
FACTS = LabelFacts(
    product="Hair tonic",
    each=Content(100.0),
    ingredients={"Aqua": 62.0, "Alcohol": 35.0, "Glycerin": 2.7, "Cinchona Pubescens Bark Extract": 0.26},
    batch="T1",
    made_on="2026-03-14",
    best_before="2027-09-14",
    declared=DECLARED,
    content=CONTENT,
    flammable=True,
    text="Conditions, scalp feels fresh.",
)


def test_a_label_carries_what_the_law_and_the_customer_ask_for():
    found = label(FACTS)

    assert found.lines[0] == "Hair tonic"
    assert "100 mL" in found.lines
    assert "At least 0.095 % w/w total alkaloids as quinine, of product" in found.lines
    assert "Ingredients: Aqua, Alcohol, Glycerin, Cinchona Pubescens Bark Extract" in found.lines
    assert "Batch T1" in found.lines
    assert "Best before 2027-09-14" in found.lines
    assert any(line.startswith("Flammable") for line in found.lines)
    assert any("responsible person" in one for one in found.to_add)
    assert not found.flags
    assert not any("℮" in line for line in found.lines)


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("0,8 % w/w lawsone as lawsone", "0.8 % w/w lawsone"),
        ("0.8% w/w Caffeic acid as caffeic acid, of product", "0.8% w/w Caffeic acid, of product"),
        ("0,095 % w/w total alkaloids as quinine", "0.095 % w/w total alkaloids as quinine"),
        ("1.5 % w/w 1,8-cineole as 1,8-cineole", "1.5 % w/w 1,8-cineole"),
        ("0.1 % w/w acid as caffeic acid", "0.1 % w/w acid as caffeic acid"),
    ],
)
def test_a_marker_counted_as_itself_is_named_once_and_a_paper_has_one_decimal_sign(written, printed):
    stated = StatedStrength(0.8, "", "", written)

    assert strength_words(stated.printed) == printed
    with speaking("fr"):
        assert "0.8" not in strength_words(stated.printed)


def test_ingredients_fall_from_one_percent_up_and_stand_in_any_order_below():
    # Art. 19(1)(g) of Regulation (EC) No 1223/2009, recalled; invented parts.
    found = ingredient_order(
        {"Aqua": 90.96, "Propanediol": 5.99, "Glycerin": 3.0, "Xanthan Gum": 0.01, "Plant Extract": 0.04}
    )

    assert found.falling == ("Aqua", "Propanediol", "Glycerin")
    assert set(found.any_order) == {"Plant Extract", "Xanthan Gum"}


def test_equal_shares_are_told_and_exactly_one_percent_is_ordered():
    found = ingredient_order({"Glycerin": 2.0, "Propanediol": 2.0, "Aqua": 95.0, "Panthenol": 1.0})

    assert found.ties == (("Glycerin", "Propanediol"),)
    assert found.falling[-1] == "Panthenol"


def test_a_label_may_not_declare_more_than_the_batch_holds_or_rest_on_an_assumption():
    with pytest.raises(NotAllowed, match="at most what the batch holds"):
        label(replace(FACTS, content=replace(CONTENT, value=0.09)))
    guess = assumed("content", 0.1, "%", "like the last batch")
    with pytest.raises(NotAllowed, match="must rest on readings"):
        label(replace(FACTS, content=guess))


def test_what_keeps_longer_than_thirty_months_bears_no_date():
    # Art. 19(1)(c) of Regulation (EC) No 1223/2009, recalled.
    assert any("open jar" in one for one in label(replace(FACTS, best_before="2029-03-14")).to_add)
    assert "Best before 2028-09-14" in label(replace(FACTS, best_before="2028-09-14")).lines
    assert any("best-before date" in one for one in label(replace(FACTS, best_before=None)).to_add)


def test_below_five_millilitres_no_nominal_content_is_needed_and_at_five_it_is():
    # Art. 19(1)(b) of Regulation (EC) No 1223/2009: not below 5 g or 5 mL; page of an authority, second-hand.
    assert "5 mL" in label(replace(FACTS, each=Content(5.0))).lines
    assert not any(line.endswith(" mL") for line in label(replace(FACTS, each=Content(4.0))).lines)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"batch": " "}, "product and its batch"),
        ({"each": Content()}, "above zero"),
        ({"ingredients": {}}, "must list its ingredients"),
        ({"ingredients": {"Aqua": -1.0}}, "between 0 and 100"),
        ({"best_before": "2026-03-14"}, "after the day it was made"),
        ({"best_before": "soon"}, "year-month-day"),
        ({"declared": replace(DECLARED, basis="")}, "carry its basis"),
    ],
)
def test_a_label_that_cannot_be_printed_is_asked_back(change, message):
    with pytest.raises(BadEntry, match=message):
        label(replace(FACTS, **change))


@pytest.mark.parametrize(
    "sentence",
    [
        "Stops hair loss in four weeks.",
        "Helps hair regrow.",
        "Regrows what was lost.",
        "Heals burns.",
        "Treats acne.",
        "With SPF 15.",
        "Anti-inflammatory bark.",
        "Kills germs.",
        "Cures dandruff.",
        "Paraben-free.",
        "Relieves pain.",
        "Against wrinkles.",
    ],
)
def test_a_promise_of_a_medical_effect_is_flagged_with_a_safer_wording(sentence):
    found = claims(sentence)

    assert found
    assert all(one.safer_wording for one in found)
    assert "medical effect" in found[0].caution


@pytest.mark.parametrize(
    "sentence",
    [
        "Conditions, scalp feels fresh.",
        "Hair looks fuller.",
        "Cools and hydrates skin after sun.",
        "A healthy shine for hair.",
        "Rinse with lukewarm water.",
    ],
)
def test_plain_words_are_not_flagged(sentence):
    assert claims(sentence) == ()


@pytest.mark.parametrize("kind", KINDS_OF_PRODUCT)
def test_every_kind_that_can_be_chosen_says_on_the_label_what_it_is_for(kind: str) -> None:
    assert use_of(kind).startswith("For the ")


def test_what_the_label_says_already_is_not_printed_twice():
    mine = replace(FACTS, text="For external use only.\nShake before use.")
    lines = label(mine).lines

    assert sum("For external use only" in one for one in lines) == 1
    assert "Shake before use." in lines
