"""Restating there and back, what is carried along, and what contradicts itself."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.errors import BadEntry
from stillroom.quantities.basis import Basis
from stillroom.quantities.facts import ExtractYield, Facts
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.restate import restate
from stillroom.quantities.together import amount_in, content, extract_yield, ratio, total

MASSES = {"quinine": 324.42, "cinchonine": 294.40, "quinine sulfate dihydrate": 782.94}
NAMES = ("quinine", "cinchonine", "mean of quinine and cinchonine", "quinine sulfate dihydrate")
FACTS = Facts(
    molar_mass_g_mol=MASSES,
    markers_per_formula={"quinine sulfate dihydrate": 2},
    loss_on_drying_mass_fraction={"plant": 0.095, "extract": 0.031},
    density_g_ml=0.912,
    density_of_part_g_ml=0.885,
    density_temperature_c=20.0,
    extract_yield=ExtractYield(0.16, "dried", "as is"),
    recovered_fraction=0.8,
)


@st.composite
def journeys(draw):
    ratio_now = draw(st.sampled_from(("w/w", "w/v", "v/v", "v/w")))
    by_mass = ratio_now in ("w/w", "v/w")
    start = Basis(
        ratio=ratio_now,
        of="alkaloids",
        reckoned_as=draw(st.sampled_from(NAMES)),
        matter=draw(st.sampled_from(("as is", "dried"))) if by_mass else "as is",
        carrier=draw(st.sampled_from(("bark", "extract"))) if by_mass else "extract",
        reference_temperature_c=None if ratio_now == "w/w" else 20.0,
    )
    ratio_then = draw(st.sampled_from(("w/w", "w/v", "v/v", "v/w")))
    then_by_mass = ratio_then in ("w/w", "v/w")
    goal = Basis(
        ratio=ratio_then,
        reckoned_as=draw(st.sampled_from(NAMES)),
        matter=draw(st.sampled_from(("as is", "dried"))) if then_by_mass else "as is",
        carrier=draw(st.sampled_from(("bark", "extract"))) if by_mass and then_by_mass else None,
        reference_temperature_c=None if ratio_then == "w/w" else 20.0,
    )
    return start, goal, draw(st.floats(min_value=0.01, max_value=5.0))


@given(journeys())
def test_restating_there_and_back_gives_the_same_content(journey):
    start, goal, percent = journey
    first = Quantity(percent, "%", start, standard_uncertainty=0.02 * percent)

    there = restate(first, goal, FACTS)
    back = restate(there, start, FACTS)

    assert back.value == pytest.approx(percent, rel=1e-9)
    assert back.standard_uncertainty == pytest.approx(0.02 * percent, rel=1e-9)
    assert not back.basis.differences(start)


@given(st.sampled_from(NAMES), st.sampled_from(NAMES), st.sampled_from(NAMES), st.floats(0.01, 50))
def test_a_detour_over_a_third_compound_changes_nothing(one, two, three, percent):
    first = Quantity(percent, "%", Basis("w/w", "alkaloids", one))

    direct = restate(first, Basis(reckoned_as=three), FACTS)
    detour = restate(restate(first, Basis(reckoned_as=two), FACTS), Basis(reckoned_as=three), FACTS)

    assert direct.value == pytest.approx(detour.value, rel=1e-12)


@given(st.floats(0.01, 90), st.floats(0.0, 0.5))
def test_a_dried_content_is_never_below_the_content_as_is(percent, loss):
    assume(percent / (1 - loss) <= 100)
    facts = Facts(loss_on_drying_mass_fraction={"plant": loss})

    dried = restate(
        Quantity(percent, "%", Basis("w/w", "ash", matter="as is", carrier="leaf")),
        Basis(matter="dried"),
        facts,
    )

    assert dried.value >= percent


def test_grams_of_marker_are_the_same_by_either_road():
    # 250 g of bark as is holds what 226.25 g of dried bark holds.
    strength = parse("7.125 % w/w total alkaloids as quinine, of bark, as is")
    as_is = amount_in(strength, parse("250 g, of bark, as is"))
    dried_bark = restate(parse("250 g, of bark, as is"), Basis(matter="dried"), FACTS)
    dried = amount_in(restate(strength, Basis(matter="dried"), FACTS), dried_bark)

    assert dried_bark.value == pytest.approx(226.25, abs=1e-9)
    assert dried.value == pytest.approx(as_is.value, rel=1e-12)


def test_strength_times_whole_divided_by_whole_is_the_strength_again():
    strength = parse("38.4 % w/w total alkaloids as quinine, of extract, as is")
    whole = parse("39.2 g, of extract, as is")

    again = content(amount_in(strength, whole), whole)

    assert again.value == pytest.approx(38.4, rel=1e-12)
    assert again.basis == strength.basis


def test_an_unchanged_basis_gives_the_quantity_back_with_its_figures():
    first = parse("0.100 % w/w as quinine")

    assert restate(first, Basis("w/w", reckoned_as="quinine"), Facts()) == first


def test_a_strength_table_is_asked_at_the_temperature_that_was_written():
    asked = []

    def table(volume_fraction, temperature_c):
        asked.append(temperature_c)
        return 0.9 * volume_fraction

    found = restate(
        parse("70 % v/v ethanol, at 15 °C, ± 0.2 (k = 2)"), Basis("w/w"), Facts(spirit_mass_fraction=table)
    )

    assert found.value == pytest.approx(63.0, abs=1e-9)
    assert found.standard_uncertainty == pytest.approx(0.09, rel=1e-6)
    assert set(asked) == {15.0}


def test_a_strength_moves_from_one_reference_temperature_to_another_through_mass_only():
    spirit = parse("70 % v/v ethanol, at 20 °C")
    there = Facts(spirit_mass_fraction=lambda volume, _: 0.9 * volume)
    both = Facts(
        spirit_mass_fraction=lambda volume, _: 0.9 * volume,
        spirit_volume_fraction=lambda mass, at: mass / (0.9 + at / 1e4),
    )

    with pytest.raises(BadEntry, match="strength table"):
        restate(spirit, Basis(reference_temperature_c=15.0), there)

    # 0.63 / 0.9015
    assert restate(spirit, Basis(reference_temperature_c=15.0), both).value == pytest.approx(
        69.884, abs=0.0005
    )


def test_facts_that_cannot_fit_together_are_noticed():
    almost_pure = parse("95 % w/w total alkaloids as cinchonine, of extract, as is")
    wet = Facts(loss_on_drying_mass_fraction={"extract": 0.2})

    with pytest.raises(BadEntry, match="do not fit together"):
        restate(almost_pure, Basis(matter="dried"), wet)


@pytest.mark.parametrize(
    "wrong",
    [
        {"loss_on_drying_mass_fraction": {"plant": 9.5}},
        {"molar_mass_g_mol": {"quinine": 0.0}},
        {"density_g_ml": 912.0},
        {"density_of_part_g_ml": float("nan")},
        {"recovered_fraction": 80.0},
        {"markers_per_formula": {"quinine": 0}},
    ],
)
def test_a_fact_in_the_wrong_unit_is_refused(wrong):
    with pytest.raises(BadEntry, match="Got"):
        Facts(**wrong)


def test_a_yield_keeps_how_both_were_weighed():
    found = extract_yield(parse("39.2 g, of extract, as is"), parse("0.250 kg, of bark, as is"))

    assert found.mass_fraction == pytest.approx(0.1568, abs=1e-12)
    assert (found.extract_matter, found.plant_matter) == ("as is", "as is")
    with pytest.raises(BadEntry, match="as is"):
        extract_yield(parse("39.2 g, of extract"), parse("250 g, of bark, as is"))


def test_a_share_of_nothing_is_refused():
    with pytest.raises(BadEntry, match="above zero"):
        ratio(parse("1 g as quinine"), parse("0 g as quinine"))


def test_masses_of_one_lot_add_in_the_unit_of_the_first():
    found = total([parse("1.2 kg, of bark, as is"), parse("300 g, of bark, as is")])

    assert (found.value, found.unit) == (pytest.approx(1.5, abs=1e-12), "kg")
    with pytest.raises(BadEntry, match="at least one"):
        total([])


def test_volumes_of_one_liquid_add_at_one_temperature_only():
    cold, warm = "100 mL water, at 20 °C", "100 mL water, at 31 °C"

    with pytest.raises(BadEntry, match="volumes at"):
        total([parse(cold), parse(warm)])

    assert total([parse(cold), parse(cold)]).value == 200


def test_a_content_by_mass_keeps_no_temperature():
    found = restate(parse("5.00 % w/v quinine, at 20 °C"), Basis("w/w"), FACTS)

    assert found.basis == Basis("w/w", "quinine")


@pytest.mark.parametrize("part", ["1 g quinine", "1 g as quinine"])
def test_a_part_says_what_it_counts_by_name_or_by_compound(part):
    with pytest.raises(BadEntry, match="must say what it counts"):
        content(parse("1 g"), parse("20 g, of product, as is"))

    assert content(parse(part), parse("20 g, of product, as is")).value == pytest.approx(5.0, abs=1e-12)
