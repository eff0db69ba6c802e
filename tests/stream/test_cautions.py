"""Each caution comes at its moment: what boils, what is under vacuum, what harms breath and nerves."""

from dataclasses import replace

import pytest

from stillroom.records.starters import starters
from stillroom.reference.cautions import caution, cautions
from stillroom.stream.cautions import cautions_of
from stillroom.stream.kinds import KINDS

BOILS = {"distil", "drive off spirit", "concentrate", "soxhlet", "reflux", "hydrodistil", "strip solvent"}
STEPS = [step for one in starters() for step in one.procedure.steps]


def test_the_kinds_that_boil_are_those_of_the_list():
    assert {name for name, kind in KINDS.items() if "bumping" in kind.cautions} == BOILS


@pytest.mark.parametrize("kind", sorted(BOILS))
def test_a_step_that_boils_says_first_that_nothing_closed_is_heated(kind):
    assert KINDS[kind].cautions[0] == "closed-apparatus"


@pytest.mark.parametrize("step", [one for one in STEPS if one.kind in BOILS], ids=lambda one: one.name)
def test_a_step_written_before_the_caution_was_known_says_it_too(step):
    assert cautions_of(replace(step, cautions=()))[0] == "closed-apparatus"
    assert cautions_of(step)[0] == "closed-apparatus"


def test_the_flask_stays_two_thirds_full_and_nothing_that_boils_is_capped():
    said = " ".join(caution(key).wording for kind in BOILS for key in KINDS[kind].cautions).casefold()

    assert "never heat a closed apparatus" in said
    assert "at most two thirds full" in said
    assert "burst inwards" in said
    assert "cap on" not in said


@pytest.mark.parametrize("solvent", ["hexane", "n-hexane", "Methanol", "dichloromethane", "chloroform"])
def test_a_solvent_that_harms_breath_and_nerves_is_named_where_it_is_heated(solvent):
    heated = next(one for one in STEPS if one.kind == "strip solvent")
    cold = next(one for one in STEPS if one.kind == "dry")

    assert "harmful-vapour" in cautions_of(heated, [solvent])
    assert "harmful-vapour" not in cautions_of(cold, [solvent])
    assert "harmful-vapour" not in cautions_of(heated, ["ethyl acetate", "spirit"])


def test_no_caution_judges_heat_by_hand():
    assert [one.key for one in cautions().values() if "to the hand" in one.wording] == []
    assert "40 °C" in caution("sulfuric-heat").wording
