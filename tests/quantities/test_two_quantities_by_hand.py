"""Sums, shares, contents and amounts by mass and by volume, worked by hand, with the basis that comes out."""

import pytest

from stillroom.errors import BadEntry
from stillroom.quantities.basis import Basis
from stillroom.quantities.facts import Facts
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.together import alike, amount_in, content, extract_yield, ratio, total


def test_one_volume_is_a_share_of_another_by_volume():
    found = ratio(parse("25 mL water, at 20 °C"), parse("0.2 L water, at 20 °C"))

    assert (found.value, found.unit) == (pytest.approx(12.5, rel=1e-12), "%")
    assert found.basis == Basis("v/v", "water", reference_temperature_c=20.0)


def test_one_mass_is_a_share_of_another_by_mass():
    found = ratio(parse("0.1 g quinine"), parse("0.5 g quinine"))

    assert (found.value, found.unit) == (pytest.approx(20.0, rel=1e-12), "%")
    assert found.basis == Basis("w/w", "quinine")


def test_a_share_is_of_amounts_only():
    with pytest.raises(BadEntry, match="Multiply a content by its whole first"):
        ratio(parse("5 % w/w quinine"), parse("5 % w/w quinine"))
    with pytest.raises(BadEntry, match="one amount of another"):
        ratio(parse("5 min"), parse("10 min"))


@pytest.mark.parametrize(
    ("part", "whole", "percent", "basis"),
    [
        # 5 mL in 100 g; 5 g in 100 mL; 10 mL in 50 mL; 1 g in 20 g.
        ("5 mL oil", "100 g, of flower, dried", 5.0, Basis("v/w", "oil", None, "dried", "flower")),
        (
            "5 g quinine", "0.1 L, of solution, at 20 °C", 5.0,
            Basis("w/v", "quinine", carrier="solution", reference_temperature_c=20.0),
        ),
        (
            "0.01 L ethanol, at 20 °C", "50 mL, of spirit, at 20 °C", 20.0,
            Basis("v/v", "ethanol", carrier="spirit", reference_temperature_c=20.0),
        ),
        ("1000 mg quinine", "0.02 kg, of hair tonic", 5.0, Basis("w/w", "quinine", carrier="hair tonic")),
        ("0.1 g as quinine", "0.5 g, of extract, as is", 20.0, Basis("w/w", None, "quinine", "as is", "extract")),
    ],
)  # fmt: skip
def test_two_amounts_make_a_content_with_its_basis(part, whole, percent, basis):
    found = content(parse(part), parse(whole))

    assert (found.value, found.unit) == (pytest.approx(percent, rel=1e-12), "%")
    assert found.basis == basis


@pytest.mark.parametrize(
    ("part", "whole", "words"),
    [
        ("5 min", "20 g, of product", "one amount in another"),
        ("5 g quinine", "20 min", "one amount in another"),
        ("5 g quinine", "20 g", "must say what it is"),
        ("5 g quinine", "20 g, of bark", "as is or dried"),
        ("5 g quinine", "0 g, of product", "above zero"),
        ("5 mL ethanol, at 20 °C", "50 mL, of spirit, at 15 °C", "one temperature"),
    ],
)
def test_what_makes_no_content_is_refused(part, whole, words):
    with pytest.raises(BadEntry, match=words):
        content(parse(part), parse(whole))


@pytest.mark.parametrize(
    ("strength", "whole", "amount", "unit", "basis"),
    [
        (
            "70 % v/v ethanol, of spirit, at 20 °C", "0.5 L, of spirit, at 20 °C", 350.0, "mL",
            Basis(of="ethanol", reference_temperature_c=20.0),
        ),
        ("2 % v/w oil, of flower, dried", "0.15 kg, of flower, dried", 3.0, "mL", Basis(of="oil")),
        (
            "5 % w/v quinine, of solution, at 20 °C", "0.2 L, of solution, at 20 °C", 10.0, "g",
            Basis(of="quinine"),
        ),
        (
            "5 mg/g total alkaloids as quinine, of bark, as is", "2 kg, of bark, as is", 10.0, "g",
            Basis(of="total alkaloids", reckoned_as="quinine"),
        ),
        ("0.2 % w/w as base, of cream", "100 g, of cream", 0.2, "g", Basis(form="base")),
    ],
)  # fmt: skip
def test_a_content_of_a_whole_is_an_amount(strength, whole, amount, unit, basis):
    found = amount_in(parse(strength), parse(whole))

    assert (found.value, found.unit) == (pytest.approx(amount, rel=1e-12), unit)
    assert found.basis == basis


@pytest.mark.parametrize(
    ("strength", "whole", "words"),
    [
        ("5 g quinine", "100 g, of cream", "content with its basis is needed"),
        ("5 % w/w quinine, of cream", "100 pieces", "grams or millilitres"),
        ("5 % w/w quinine, of cream", "100 mL, of cream", "ratio: w/v against w/w"),
    ],
)
def test_what_makes_no_amount_is_refused(strength, whole, words):
    with pytest.raises(BadEntry, match=words):
        amount_in(parse(strength), parse(whole))
    with pytest.raises(BadEntry, match="content with its basis is needed"):
        amount_in(Quantity(5.0, "%"), parse("100 g, of cream"))


def test_a_content_is_restated_to_fit_its_whole_where_the_facts_reach():
    strength = parse("10 % w/w quinine, of extract, dried")
    whole = parse("50 g, of extract, as is")

    # 10 % x 0.9 of 50 g.
    found = amount_in(strength, whole, Facts(loss_on_drying_mass_fraction={"extract": 0.1}))
    assert found.value == pytest.approx(4.5, rel=1e-12)
    with pytest.raises(BadEntry, match="loss on drying of the extract"):
        amount_in(strength, whole, Facts())
    with pytest.raises(BadEntry, match="Two bases cannot be mixed"):
        amount_in(strength, parse("50 g, of extract"), Facts())


@pytest.mark.parametrize(
    ("amounts", "value", "unit"),
    [
        (["1 mol", "500 mmol"], 1.5, "mol"),
        (["1 h", "30 min"], 1.5, "h"),
        (["1 kWh", "1800 kJ"], 1.5, "kWh"),
        (["3 bottles", "4 bottles"], 7.0, "bottles"),
        (["12.50 EUR", "2.50 EUR"], 15.0, "EUR"),
        (["50 mL"], 50.0, "mL"),
        (["0.1 L, of spirit", "50 mL, of spirit"], 0.15, "L"),
    ],
)
def test_amounts_of_one_kind_add_up_in_the_first_unit(amounts, value, unit):
    found = total([parse(one) for one in amounts])

    assert (found.value, found.unit) == (pytest.approx(value, rel=1e-12), unit)
    assert found.basis == parse(amounts[0]).basis


@pytest.mark.parametrize("reading", ["20 °C", "1.02 g/mL", "5 mL/min"])
def test_readings_are_not_added_up(reading):
    with pytest.raises(BadEntry, match="cannot be added up"):
        total([parse(reading), parse(reading)])


def test_a_sum_keeps_the_basis_of_the_first():
    assert total([parse("100 g, of bark, as is"), parse("50 g, of bark, as is")]).basis == Basis(
        matter="as is", carrier="bark"
    )


@pytest.mark.parametrize("over", ["w/w", "w/v"])
def test_contents_of_different_things_in_one_whole_add_up_and_name_both(over):
    found = total([
        parse(f"3.0 % {over} quinine, of extract"), parse(f"20 ‰ {over} cinchonine, of extract"),
        parse(f"1.0 % {over} cinchonidine, of extract"),
    ])  # fmt: skip

    assert (found.value, found.unit) == (pytest.approx(6.0, rel=1e-12), "%")
    assert found.basis == Basis(over, "quinine + cinchonine + cinchonidine", carrier="extract")


@pytest.mark.parametrize(
    ("contents", "words"),
    [
        (["3 % v/v ethanol, of spirit, at 20 °C", "3 % v/v oil, of spirit, at 20 °C"], "Only w/w and w/v"),
        (["3 % w/w as quinine, of bark, as is", "3 % w/w cinchonine, of bark, as is"], "each says what it counts"),
        (["3 % w/w quinine, of bark, as is", "3 % w/w as cinchonine, of bark, as is"], "each says what it counts"),
        (["3 % w/w quinine, of bark, as is", "2 % w/w Quinine, of bark, as is"], "counts something else"),
        (["3 % w/w quinine, as is", "2 % w/w cinchonine, as is"], "only in one whole"),
        (["3 % w/w quinine, of bark", "2 % w/w cinchonine, as is"], "only in one whole"),
    ],
)  # fmt: skip
def test_contents_that_do_not_add_up_are_refused(contents, words):
    with pytest.raises(BadEntry, match=words):
        total([parse(one) for one in contents])


def test_facts_do_not_fill_in_what_the_first_leaves_unstated():
    silent, stated = parse("5 % w/w quinine, of bark"), parse("6 % w/w quinine, of bark, as is")

    with pytest.raises(BadEntry, match="matter: not stated against as is"):
        alike(silent, stated, Facts(loss_on_drying_mass_fraction={"plant": 0.1}))
    assert alike(parse("1 kg, of bark"), parse("250 g, of bark")).value == pytest.approx(0.25, rel=1e-12)


@pytest.mark.parametrize(
    ("extract", "plant", "words"),
    [
        ("39 g, of bark, as is", "250 g, of bark, as is", "mass of extract"),
        ("39 g, of extract, as is", "250 g, of extract, as is", "mass of plant"),
        ("39 g, of extract, as is", "250 g, of bark", "each say"),
    ],
)
def test_a_yield_is_of_extract_over_plant_and_both_say_how_they_were_weighed(extract, plant, words):
    with pytest.raises(BadEntry, match=words):
        extract_yield(parse(extract), parse(plant))


def test_a_yield_keeps_each_of_the_two_ways_of_weighing():
    found = extract_yield(parse("50 g, of extract, dried"), parse("0.25 kg, of bark, as is"))

    assert (found.mass_fraction, found.extract_matter, found.plant_matter) == (0.2, "dried", "as is")
