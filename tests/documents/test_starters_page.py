"""The pages of the ways say everything of a way in words, from the same records a copy is made of."""

import pytest

from stillroom.documents.as_text import page_text
from stillroom.documents.setting_words import SETTINGS
from stillroom.pages.procedure_templates import starter_page, starters_page
from stillroom.records.starters import starter, starters
from stillroom.stream.kind import ALTITUDE_M
from stillroom.stream.kinds import KINDS
from stillroom.stream.run import amount_settings

FACTS = {"practice": False, "laboratory": "", "date": "", "book": ""}
WAYS = [one.name for one in starters()]


def test_every_way_is_listed_with_what_it_holds_for():
    said = page_text(starters_page(**FACTS))

    assert all(one.title in said for one in starters())
    assert "volatile oils" in said


@pytest.mark.parametrize("name", WAYS)
def test_every_assumed_setting_is_told_in_the_words_of_the_trade(name):
    assumed = {
        one.name for step in starter(name).procedure.steps for one in step.settings if one.origin != "chosen"
    }

    assert assumed - set(SETTINGS) == set()


@pytest.mark.parametrize("name", WAYS)
def test_a_page_holds_its_steps_its_cautions_and_its_ranges(name):
    one, said = starter(name), " ".join(page_text(starter_page(starter(name), **FACTS)).split())

    assert all(step.name in said for step in one.procedure.steps)
    assert "What it assumes" in said
    assert "Local codes and licensed practice come first" in said
    assert "parameter_ranges" not in said


def test_no_word_is_kept_that_no_kind_uses():
    used = {name for kind in KINDS.values() for name in kind.known_settings}
    steps = [step for one in starters() for step in one.procedure.steps]
    used |= {name for step in steps for line in step.takes for name in amount_settings(line)}

    assert set(SETTINGS) - used == {ALTITUDE_M}  # of the house, in every step that boils
