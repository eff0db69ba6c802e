"""A reagent is scaled as a formula is: to the scale at hand, closing to what is made, in words where it cannot."""

import pytest

from stillroom.errors import BadEntry
from stillroom.evidence.answer import reading
from stillroom.products.reagent import density_by_name, scale_reagent
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.reagent_recipes import recipe, recipe_names, taken_of
from stillroom.records.to_yaml import procedure_to_yaml
from stillroom.substances.reagent_care import density_of_liquid, signal_of, statements

STEP = reading("step", 0.01, "g", "a scale")


def of(value: float, unit: str = "mL"):
    return reading("amount", value, unit, "as asked")


SUMMED = [one for one in recipe_names() if not any(taken_of(line).fills for line in recipe(one).lines)]
FILLED = [one for one in recipe_names() if one not in SUMMED]


@pytest.mark.parametrize("name", SUMMED)
@pytest.mark.parametrize("volume_ml", [20.0, 100.0, 333.0])
def test_what_is_summed_closes_to_the_mass_that_is_made(name, volume_ml):
    found = scale_reagent(recipe(name), of(volume_ml), STEP)

    assert sum(one.mass.value for one in found.lines) == pytest.approx(found.total.value, abs=1e-9)
    assert all(round(one.mass.value / 0.01, 6) == round(one.mass.value / 0.01) for one in found.lines)


@pytest.mark.parametrize("name", FILLED)
def test_twice_the_volume_takes_twice_of_everything(name):
    one, two = (
        scale_reagent(recipe(name), of(volume), reading("step", 1e-6, "g", "")) for volume in (250.0, 500.0)
    )

    for single, double in zip(one.lines, two.lines, strict=True):
        assert (single.mass is None) == (double.mass is None)
        if single.mass is not None:
            assert double.mass.value == pytest.approx(2.0 * single.mass.value, rel=1e-4)
        if single.volume is not None:
            assert double.volume.value == pytest.approx(2.0 * single.volume.value, rel=1e-9)


def test_a_concentrated_acid_is_weighed_by_the_density_of_its_bottle():
    # Commercial acids, second-hand: sulfuric acid 96 % 1.84 g/mL, acetic acid 99.5 % 1.05 g/mL.
    lines = {one.line.name: one for one in scale_reagent(recipe("anisaldehyde"), of(100.5), STEP).lines}

    assert lines["sulfuric acid"].mass.value == pytest.approx(5.0 * 1.84, abs=0.01)
    assert lines["acetic acid"].mass.value == pytest.approx(10.0 * 1.05, abs=0.01)


def test_spirit_is_weighed_by_its_own_density():
    # Ethanol 96 % v/v at 20 °C is 0.8074 g/mL: OIML R 22, recalled.
    assert density_of_liquid("spirit 96 %").value == pytest.approx(0.8074, abs=0.0005)


def test_a_scale_too_coarse_for_a_line_says_how_much_to_make():
    line = scale_reagent(recipe("dragendorff-a"), of(20.0), STEP).lines[0]

    assert "34 steps of 0.01 g: make 59 mL or more" in line.too_few_steps


def test_what_is_made_then_has_its_hundred_steps():
    line = scale_reagent(recipe("dragendorff-a"), of(59.0), STEP).lines[0]

    assert line.too_few_steps == ""


@pytest.mark.parametrize(
    ("amount", "step", "says"),
    [
        (of(0.0), STEP, "above zero"),
        (of(5.0, "g"), STEP, "filled up to a volume"),
        (of(5.0, "kWh"), STEP, "in mL or g"),
        (of(100.0), reading("step", 0.0, "g", ""), "readability"),
    ],
)
def test_what_cannot_be_scaled_is_refused_with_a_sentence(amount, step, says):
    with pytest.raises(BadEntry, match=says):
        scale_reagent(recipe("wagner"), amount, step)


def test_a_recipe_without_amounts_is_refused():
    text = procedure_to_yaml(recipe("wagner")).replace("to 100 mL", "some water")
    with pytest.raises(BadEntry):
        scale_reagent(procedure_from_yaml(text), of(100.0), STEP)


@pytest.mark.parametrize("name", recipe_names())
def test_a_recipe_copied_into_a_file_reads_back_the_same(name):
    assert procedure_from_yaml(procedure_to_yaml(recipe(name))) == recipe(name)


def test_the_stronger_signal_word_stands_on_the_bottle():
    assert signal_of(statements("H226 H315")) == "Warning"
    assert signal_of(statements("H226 H314")) == "Danger"
    assert signal_of(()) == ""


@pytest.mark.parametrize(
    ("substance", "density"),
    [  # g/mL at 20 °C by handbook tables of solutions (from-memory)
        ("hydrochloric acid 10 %", 1.048), ("HCl 10 %", 1.048), ("acetic acid 30 %", 1.038), ("ammonia 10 %", 0.9575),
        ("sulfuric acid 20 % w/w", 1.139), ("hydrochloric acid 37 %", 1.184),
    ],
)  # fmt: skip
def test_the_strength_in_the_name_of_an_acid_makes_its_density(substance, density):
    found = density_by_name(substance)

    assert found is not None
    assert found.value == pytest.approx(density, abs=0.002)


def test_a_name_that_states_no_strength_by_mass_makes_no_density():
    for name in ("hydrochloric acid 10 % w/v", "hydrochloric acid", "macrogol 400", "something 10 %"):
        assert density_by_name(name) is None
