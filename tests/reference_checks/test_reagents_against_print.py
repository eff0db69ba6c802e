"""Every reagent of the published list is here, with the amounts of its source; ranges are kept, not narrowed.

Sources: handbooks, handouts and teaching texts as each row says, seen second-hand or recalled; no page was opened.
"""

import csv
from pathlib import Path

import pytest

from stillroom.evidence.answer import reading
from stillroom.products.reagent import scale_reagent
from stillroom.records.reagent_recipes import recipe, recipe_names, recipe_row, recipes_of
from stillroom.reference.sources import sources
from stillroom.reference.tables import table
from stillroom.substances.reagent_care import care_of, safest_first

with (Path(__file__).parent / "reagent_recipes.csv").open(newline="") as _file:
    PRINTED = list(csv.DictReader(_file))
PUBLISHED_REAGENTS = 25
FINE = reading("step", 0.0001, "g", "a balance")


def made(name: str, volume_ml: float):
    """A recipe at the volume its source makes."""
    found = scale_reagent(recipe(name), reading("amount", volume_ml, "mL", "as printed"), FINE)
    return {one.line.name: one for one in found.lines}


def test_every_reagent_of_the_list_is_here_and_has_a_recipe_or_says_what_the_test_needs():
    keys = {one.key for one in table("reagents").rows}
    listed = {one.reagent for _, tests in safest_first() for one in tests}

    assert len(keys) == PUBLISHED_REAGENTS
    assert listed == keys
    assert all(recipes_of(one) or care_of(one).needs for one in keys)


@pytest.mark.parametrize("printed", PRINTED, ids=lambda one: f"{one['recipe']}/{one['line']}")
def test_a_recipe_takes_what_its_source_prints(printed):
    line = made(printed["recipe"], float(printed["made_ml"]))[printed["line"]]
    figure = printed["printed"]
    decimals = len(figure.partition(".")[2])
    found = line.mass.value if printed["unit"] == "g" else line.volume.value

    assert found == pytest.approx(float(figure), abs=0.5 * 10**-decimals if decimals else 0.05)


def test_every_recipe_is_checked_against_print_and_says_how_it_was_seen():
    checked = {one["recipe"] for one in PRINTED}
    in_a_range = {"hager", "sodium-hydroxide"}
    joined = {"dragendorff", "fehling"}

    assert checked | in_a_range | joined == set(recipe_names())
    assert {recipe_row(one).words("seen") for one in recipe_names()} == {"second-hand", "from-memory"}
    assert sources()["reagent-recipes"].seen == "second-hand"


def test_a_range_in_print_is_kept():
    picric = made("hager", 100.0)["picric acid"].mass.value
    alkali = made("sodium-hydroxide", 100.0)["sodium hydroxide"].mass.value

    assert 1.2 <= picric <= 1.3
    assert 2.0 <= alkali <= 10.0


@pytest.mark.parametrize("name", ["dragendorff", "fehling"])
def test_parts_that_are_joined_are_joined_one_to_one(name):
    first, second = made(name, 100.0).values()

    assert (first.volume.value, second.volume.value, second.fills) == (pytest.approx(50.0), 100.0, True)


@pytest.mark.parametrize(
    "name", [one for one in recipe_names() if recipe_row(one).words("part") not in ("part", "use")]
)
def test_a_recipe_keeps_no_longer_than_the_list_says(name):
    life = table("reagents")
    row = next(one for one in life.rows if one.key == recipe_row(name).words("reagent"))
    if row["life_days"] is not None:
        assert 0 < recipe(name).keeps_days <= row.number("life_days")
    else:
        assert "2 years" in row.words("life")
        assert recipe(name).keeps_days <= 730
