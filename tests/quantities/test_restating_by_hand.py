"""Each road from one basis to another on round figures, worked by hand, and what is refused at its edge."""

import numpy as np
import pytest

from stillroom.errors import BadEntry, OutsideModel
from stillroom.quantities.basis import Basis
from stillroom.quantities.facts import ExtractYield, Facts
from stillroom.quantities.order_statistic import tolerance_rank, upper_limit
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.restate import restate

TENTH = Facts(loss_on_drying_mass_fraction={"extract": 0.1, "plant": 0.2})
BOTH_DENSITIES = Facts(density_g_ml=0.9, density_of_part_g_ml=0.8)


def straight(**more) -> Facts:
    """A strength table that is a straight line: 0.9 g/g for each mL/mL, and 0.8 the other way round."""
    return Facts(
        spirit_mass_fraction=lambda volume, _: 0.9 * volume,
        spirit_volume_fraction=lambda mass, _: mass / 0.8,
        **more,
    )


def content(percent: float, u: float | None = None, unit: str = "%", **basis) -> Quantity:
    return Quantity(percent, unit, Basis(**basis), standard_uncertainty=u)


@pytest.mark.parametrize(
    ("wrong", "got"),
    [
        ({"molar_mass_g_mol": {"x": 1e6}}, "1000000.0"),
        ({"markers_per_formula": {"x": 0}}, "0"),
        ({"loss_on_drying_mass_fraction": {"plant": 1.0}}, "1.0"),
        ({"loss_on_drying_mass_fraction": {"plant": 1.5}}, "1.5"),
        ({"loss_on_drying_mass_fraction": {"plant": -0.1}}, "-0.1"),
        ({"density_g_ml": 0.0}, "0.0"),
        ({"density_of_part_g_ml": 25.0}, "25.0"),
        ({"density_g_ml": 25.5}, "25.5"),
        ({"recovered_fraction": 0.0}, "0.0"),
        ({"recovered_fraction": 1.5}, "1.5"),
    ],
)
def test_a_fact_at_or_past_its_edge_is_refused_with_its_figure(wrong, got):
    with pytest.raises(BadEntry, match=f"Got {got}"):
        Facts(**wrong)


@pytest.mark.parametrize("share", [0.0, 1.5, -0.1])
def test_a_yield_past_its_edge_is_refused_with_its_figure(share):
    with pytest.raises(BadEntry, match=f"extraction yield.*Got {share}"):
        ExtractYield(share, "as is", "as is")


def test_facts_at_their_edges_are_taken():
    found = Facts(
        molar_mass_g_mol={"x": 0.5},
        markers_per_formula={"x": 1},
        loss_on_drying_mass_fraction={"plant": 0.0},
        density_g_ml=24.9,
        extract_yield=ExtractYield(1.0, "as is", "as is"),
        recovered_fraction=1.0,
    )

    assert found.grams_per_marker("X ") == 0.5


def test_a_limit_keeps_the_share_and_the_confidence_it_was_asked_for():
    values = np.arange(1.0, 501.0)
    rank = tolerance_rank(500, 0.9, 0.8)
    top = upper_limit(values, 0.9, 0.8)

    assert rank not in (tolerance_rank(500, 0.9), tolerance_rank(500, 0.95, 0.8))
    assert (top.value, top.rank, top.draws, top.covered, top.confidence) == (rank, rank, 500, 0.9, 0.8)


def test_whole_numbers_and_tables_are_taken_as_draws():
    assert upper_limit(list(range(59))).value == 58.0
    assert upper_limit(np.arange(60).reshape(6, 10)).draws == 60


@pytest.mark.parametrize(("covered", "confidence"), [(0.0, 0.9), (1.0, 0.9), (0.9, 0.0), (0.9, 1.0)])
def test_a_share_of_nothing_or_of_all_is_refused(covered, confidence):
    with pytest.raises(BadEntry, match="between 0 and 1"):
        tolerance_rank(100, covered, confidence)


def test_no_draws_at_all_are_too_few():
    with pytest.raises(OutsideModel, match=r"0 draws cannot show that 50 % .* with 40 %.* at least 1 draw\b"):
        tolerance_rank(0, 0.5, 0.4)


def test_half_of_one_draw_is_shown_with_half_the_confidence():
    # One draw covers a share p with confidence 1 - p: one half and one half, three quarters and one quarter.
    assert tolerance_rank(1, 0.5, 0.5) == 1
    assert tolerance_rank(1, 0.75, 0.25) == 1


def test_a_compound_takes_the_place_of_a_form_and_a_form_that_of_a_compound():
    known = Facts(form_of={"quinine": "base", "quinine sulfate": "salt"})
    as_base = content(0.2, ratio="w/w", form="base")
    as_quinine = content(0.2, ratio="w/w", reckoned_as="quinine")

    assert restate(as_base, Basis(reckoned_as="quinine"), known).basis == as_quinine.basis
    assert restate(as_quinine, Basis(form="base"), known).basis == as_base.basis
    assert restate(as_quinine, Basis(form="base"), known).value == 0.2
    with pytest.raises(BadEntry, match="name of the salt would be needed"):
        restate(as_quinine, Basis(form="salt"), known)
    with pytest.raises(BadEntry, match="name of the acid would be needed"):
        restate(as_base, Basis(form="acid"), known)
    with pytest.raises(BadEntry, match="That quinine sulfate is the base meant"):
        restate(as_base, Basis(reckoned_as="quinine sulfate"), known)


def test_what_is_counted_is_the_compound_only_where_no_form_was_named():
    known = Facts(form_of={"quinine": "base"})

    assert restate(content(0.2, ratio="w/w", of="quinine"), Basis(form="base"), known).basis.form == "base"
    with pytest.raises(BadEntry, match="name of the base would be needed"):
        restate(content(0.2, ratio="w/w", of="quinine", form="salt"), Basis(form="base"), known)
    with pytest.raises(BadEntry, match="As which compound"):
        restate(content(0.2, ratio="w/w"), Basis(reckoned_as="quinine"), known)


def test_a_compound_with_its_form_is_taken_only_where_the_form_is_known():
    masses = {"cinchonine": 294.40, "quinine": 324.42}
    first = content(1.0, ratio="w/w", reckoned_as="cinchonine")
    goal = Basis(reckoned_as="quinine", form="base")
    found = restate(first, goal, Facts(molar_mass_g_mol=masses, form_of={"quinine": "base"}))

    assert found.value == pytest.approx(324.42 / 294.40, rel=1e-12)
    assert found.basis == Basis("w/w", reckoned_as="quinine", form="base")
    with pytest.raises(BadEntry, match="That quinine is the base meant"):
        restate(first, goal, Facts(molar_mass_g_mol=masses))


def test_another_name_for_the_same_whole_or_count_takes_the_new_name():
    bark = content(5.0, ratio="w/w", of="Total  Alkaloids", carrier="bark", matter="as is")
    renamed = restate(bark, Basis(carrier="plant"), Facts())
    dried = restate(bark, Basis(carrier="plant", of="total alkaloids", matter="dried"), TENTH)
    grams = restate(parse("100 g, of bark, as is"), Basis(carrier="plant", matter="dried"), TENTH)

    assert (renamed.value, renamed.basis.carrier) == (5.0, "plant")
    assert dried.value == pytest.approx(6.25, rel=1e-12)
    assert (dried.basis.carrier, dried.basis.of) == ("plant", "total alkaloids")
    assert grams.value == pytest.approx(80.0, rel=1e-12)
    assert grams.basis == Basis(matter="dried", carrier="plant")


def test_grams_are_no_content_and_a_content_without_basis_is_told_so():
    with pytest.raises(BadEntry, match="The amount of the whole would be needed"):
        restate(parse("15 g as quinine"), Basis("w/w"), Facts())
    with pytest.raises(BadEntry, match="Its basis would be needed"):
        restate(content(5.0), Basis("w/w"), Facts())


@pytest.mark.parametrize("counted", [{"of": "quinine"}, {"reckoned_as": "quinine"}])
def test_grams_of_a_marker_have_no_dried_basis(counted):
    grams = content(15.0, unit="g", carrier="extract", matter="as is", **counted)

    with pytest.raises(BadEntry, match="Grams of a marker are the same"):
        restate(grams, Basis(matter="dried"), TENTH)


@pytest.mark.parametrize("ratio", ["w/v", "v/v"])
def test_a_liquid_by_volume_has_no_dried_basis(ratio):
    liquid = content(5.0, ratio=ratio, of="oil", carrier="extract", matter="as is")
    solid = content(5.0, ratio="w/w", of="oil", carrier="extract", matter="dried")
    facts = Facts(density_g_ml=0.9, density_of_part_g_ml=0.8, loss_on_drying_mass_fraction={"extract": 0.1})

    with pytest.raises(BadEntry, match="has no dried basis; restate it as w/w first"):
        restate(liquid, Basis(matter="dried"), facts)
    with pytest.raises(BadEntry, match=r"has no dried basis\."):
        restate(solid, Basis(ratio), facts)


def test_an_extraction_yield_bridges_plant_and_extract_by_mass_only():
    facts = Facts(extract_yield=ExtractYield(0.2, "as is", "as is"), recovered_fraction=0.8)
    extract = {"of": "x", "carrier": "extract", "matter": "as is"}

    assert restate(content(40.0, ratio="w/w", **extract), Basis(carrier="bark"), facts).value == (
        pytest.approx(40.0 * 0.2 / 0.8, rel=1e-12)
    )
    for ratio, goal in (("w/v", "bark"), ("w/w", "cream")):
        with pytest.raises(BadEntry, match=f"How much {goal} came from the extract"):
            restate(content(4.0, ratio=ratio, **extract), Basis(carrier=goal), facts)


def test_a_temperature_says_nothing_about_a_content_by_mass():
    first = content(9.0, ratio="w/w", of="x", carrier="extract", matter="as is", reference_temperature_c=20.0)
    found = restate(first, Basis(matter="dried", reference_temperature_c=15.0), TENTH)

    assert found.value == pytest.approx(10.0, rel=1e-12)
    assert found.basis.reference_temperature_c == 15.0


@pytest.mark.parametrize("of", [None, "ethanol", "Alcohol"])
def test_spirit_goes_by_its_table_both_ways(of):
    by_volume = content(50.0, 1.0, ratio="v/v", of=of, reference_temperature_c=20.0)
    by_mass = content(40.0, 1.0, ratio="w/w", of=of, reference_temperature_c=20.0)
    there, back = restate(by_volume, Basis("w/w"), straight()), restate(by_mass, Basis("v/v"), straight())

    assert there.value == pytest.approx(45.0, rel=1e-12)
    assert there.standard_uncertainty == pytest.approx(0.9, rel=1e-9)
    assert there.basis.reference_temperature_c is None
    assert back.value == pytest.approx(50.0, rel=1e-12)
    assert back.standard_uncertainty == pytest.approx(1.25, rel=1e-9)
    assert back.basis.reference_temperature_c == 20.0


def test_one_table_is_enough_for_one_way():
    by_mass = content(40.0, ratio="w/w", of="ethanol", reference_temperature_c=20.0)
    only_volume = Facts(spirit_volume_fraction=lambda mass, _: mass / 0.8)

    assert restate(by_mass, Basis("v/v"), only_volume).value == pytest.approx(50.0, rel=1e-12)
    with pytest.raises(BadEntry, match="temperature at which the volumes are meant"):
        restate(content(40.0, ratio="w/w", of="ethanol"), Basis("v/v"), only_volume)


def test_a_table_from_mass_alone_does_not_move_a_strength_by_volume():
    by_volume = content(50.0, ratio="v/v", of="ethanol", reference_temperature_c=20.0)

    with pytest.raises(BadEntry, match="strength table of spirit"):
        restate(by_volume, Basis(reference_temperature_c=15.0),
                Facts(spirit_volume_fraction=lambda mass, _: mass / 0.8))  # fmt: skip


@pytest.mark.parametrize("old_c", [None, 15.0])
def test_one_density_does_not_move_a_volume_to_another_temperature(old_c):
    by_volume = content(7.2, ratio="w/v", of="oil", reference_temperature_c=old_c)
    goal = Basis("v/v", reference_temperature_c=20.0)

    with pytest.raises(BadEntry, match="density at both temperatures"):
        restate(by_volume, goal, BOTH_DENSITIES)
    at_20 = content(7.2, ratio="w/v", of="oil", reference_temperature_c=20.0)
    assert restate(at_20, goal, BOTH_DENSITIES).value == pytest.approx(9.0, rel=1e-12)


def test_a_volume_turned_into_mass_was_meant_at_its_own_temperature():
    at_20 = Facts(density_g_ml=0.9, density_temperature_c=20.0)
    found = restate(
        content(7.2, ratio="w/v", of="oil", reference_temperature_c=20.0),
        Basis("w/w", reference_temperature_c=15.0), at_20,
    )  # fmt: skip

    assert found.value == pytest.approx(8.0, rel=1e-12)


def test_where_the_table_only_goes_the_other_way_densities_are_taken():
    only_mass = Facts(
        spirit_mass_fraction=lambda volume, _: 0.9 * volume, density_g_ml=0.9, density_of_part_g_ml=0.8
    )

    # 40 g in 100 g is 40 / 0.8 mL in 100 / 0.9 mL.
    assert restate(content(40.0, ratio="w/w", of="ethanol"), Basis("v/v"), only_mass).value == pytest.approx(
        45.0
    )


def test_an_oil_never_goes_by_the_table_of_spirit():
    oil = content(9.0, ratio="v/v", of="oil", reference_temperature_c=20.0)

    # 9 mL x 0.8 g/mL in 100 mL x 0.9 g/mL.
    found = restate(oil, Basis("w/w"), straight(density_g_ml=0.9, density_of_part_g_ml=0.8))
    assert found.value == pytest.approx(8.0, rel=1e-12)
    with pytest.raises(BadEntry, match="density at both temperatures"):
        restate(oil, Basis(reference_temperature_c=15.0), straight())
    with pytest.raises(BadEntry, match="density at both temperatures"):
        restate(content(9.0, ratio="w/v", of="ethanol", reference_temperature_c=20.0),
                Basis(reference_temperature_c=15.0), straight())  # fmt: skip


def test_the_uncertainty_of_a_bent_table_follows_its_slope_where_it_is_read():
    bent = Facts(spirit_volume_fraction=lambda mass, _: mass**2)
    by_mass = content(40.0, 1.0, ratio="w/w", of="ethanol", reference_temperature_c=20.0)

    # The slope of x squared at 0.4 is 0.8.
    assert restate(by_mass, Basis("v/v"), bent).standard_uncertainty == pytest.approx(0.8, rel=1e-6)


@pytest.mark.parametrize("percent", [0.0, 100.0])
def test_the_table_is_never_asked_past_its_ends(percent):
    def bounded(volume: float, temperature_c: float) -> float:
        assert 0.0 <= volume <= 1.0
        assert temperature_c == 20.0
        return volume

    pure = content(percent, 0.1, ratio="v/v", of="ethanol", reference_temperature_c=20.0)

    found = restate(pure, Basis("w/w"), Facts(spirit_mass_fraction=bounded))
    assert found.value == percent
    assert found.standard_uncertainty == pytest.approx(0.1, rel=1e-6)


def test_a_change_before_the_table_and_one_after_it_both_count():
    spirit = {"of": "ethanol", "reference_temperature_c": 20.0, "matter": "as is"}
    before = restate(
        content(40.0, 1.0, ratio="w/w", carrier="extract", **spirit), Basis("v/v", carrier="bark"),
        straight(extract_yield=ExtractYield(0.5, "as is", "as is")),
    )  # fmt: skip
    after = restate(
        content(40.0, 1.0, ratio="v/v", carrier="extract", **spirit), Basis("w/w", matter="dried"),
        straight(loss_on_drying_mass_fraction={"extract": 0.1}),
    )  # fmt: skip

    # 40 x 0.5 / 0.8, and 40 x 0.9 / 0.9.
    assert before.value == pytest.approx(25.0, rel=1e-9)
    assert before.standard_uncertainty == pytest.approx(0.625, rel=1e-6)
    assert after.value == pytest.approx(40.0, rel=1e-9)
    assert after.standard_uncertainty == pytest.approx(1.0, rel=1e-6)


def test_a_density_must_be_of_the_temperature_that_is_meant():
    at_20 = Facts(density_g_ml=1.02, density_temperature_c=20.0)
    by_mass = content(5.0, ratio="w/w", of="x")

    with pytest.raises(BadEntry, match="density at 15 °C would be needed; the one given is at 20 °C"):
        restate(by_mass, Basis("w/v", reference_temperature_c=15.0), at_20)
    assert restate(by_mass, Basis("w/v"), at_20).basis.reference_temperature_c == 20.0
    no_temperature = Facts(density_g_ml=1.02)
    found = restate(by_mass, Basis("w/v", reference_temperature_c=15.0), no_temperature)
    assert found.basis.reference_temperature_c == 15.0
    back = restate(content(5.1, ratio="w/v", of="x", reference_temperature_c=20.0), Basis("w/w"), at_20)
    assert back.value == pytest.approx(5.0, rel=1e-12)


def test_a_unit_that_says_the_old_basis_becomes_per_cent():
    found = restate(content(50.0, 1.0, "mg/g", ratio="w/w", of="x"), Basis("w/v"), Facts(density_g_ml=1.02))
    spirit = content(400.0, 10.0, "mg/g", ratio="w/w", of="ethanol", reference_temperature_c=20.0)
    through_table = restate(spirit, Basis("v/v"), straight())

    assert (found.value, found.unit) == (pytest.approx(5.1, rel=1e-12), "%")
    assert found.standard_uncertainty == pytest.approx(0.102, rel=1e-12)
    assert (through_table.value, through_table.unit) == (pytest.approx(50.0, rel=1e-12), "%")
    assert through_table.standard_uncertainty == pytest.approx(1.25, rel=1e-6)


def test_a_unit_that_says_no_basis_is_kept():
    found = restate(content(50.0, 1.0, "‰", ratio="w/w", of="x"), Basis("w/v"), Facts(density_g_ml=1.02))

    assert (found.value, found.unit) == (pytest.approx(51.0, rel=1e-12), "‰")


def test_only_a_share_of_one_kind_cannot_pass_a_hundred_per_cent():
    heavy = Facts(density_g_ml=1.8, density_of_part_g_ml=0.9)
    sixty = content(60.0, ratio="w/w", of="x")

    assert restate(sixty, Basis("w/v"), heavy).value == pytest.approx(108.0, rel=1e-12)
    with pytest.raises(BadEntry, match="do not fit together: the outcome would be 120 %"):
        restate(sixty, Basis("v/v"), heavy)
    ninety = content(90.0, ratio="w/w", of="x", carrier="extract", matter="as is")
    assert restate(ninety, Basis(matter="dried"), TENTH).value == pytest.approx(100.0, rel=1e-12)


def test_a_computed_quantity_keeps_no_figures_of_what_was_written():
    found = restate(parse("38.40 % w/w total alkaloids, of extract, as is"), Basis(matter="dried"), TENTH)

    assert (found.decimals, found.digits, found.as_written) == (None, None, "")


def test_densities_of_part_and_whole_both_count():
    by_mass = content(8.0, ratio="w/w", of="oil")

    assert restate(by_mass, Basis("v/w"), BOTH_DENSITIES).value == pytest.approx(10.0, rel=1e-12)
    assert restate(by_mass, Basis("w/v"), BOTH_DENSITIES).value == pytest.approx(7.2, rel=1e-12)
    assert restate(by_mass, Basis("v/v"), BOTH_DENSITIES).value == pytest.approx(9.0, rel=1e-12)
