"""A procedure begins as a copy: written once, refused with the way out, and honest about what is not known."""

import pytest

from stillroom.actions.bench.form_choices import procedures
from stillroom.actions.bench.procedure_templates import copy_procedure, what_is_known
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, UnknownName
from stillroom.pages.procedure_templates import show_starter, show_starters
from stillroom.records.starters import starters


def test_a_copy_is_in_the_book_and_says_what_is_usual(lab):
    done = copy_procedure(lab, "maceration", "rosemary leaf", "rosmarinic acid", "rosemary-extract", by="TO")
    made = next(one for one in procedures(lab) if one.code == "rosemary-extract")

    assert made.markers == ("rosmarinic acid",)
    assert "0.8 to 2.5 %" in done.says
    assert "an assay of your lot comes first" in done.says


def test_a_form_sent_twice_is_written_once(lab):
    asked = (lab, "infusion", "nettle leaf", "total phenols", "nettle-extract")
    first = copy_procedure(*asked, by="TO", request_key="key-of-the-form-1")
    again = copy_procedure(*asked, by="TO", request_key="key-of-the-form-1")

    assert first.entries == again.entries


def test_a_code_in_use_is_refused(lab):
    before = lab.book.digest()
    with pytest.raises(BadEntry, match="has already"):
        copy_procedure(lab, "maceration", "sage leaf", "rosmarinic acid", "bark-extract", by="TO")

    assert lab.book.digest() == before


def test_nothing_is_written_when_the_way_cannot_work(lab):
    before = lab.book.digest()
    with pytest.raises(NotAllowed, match="1-butanol"):
        copy_procedure(lab, "alkaloid-clean-up", "barberry bark", "berberine", "barberry-extract", by="TO")

    assert lab.book.digest() == before


def test_a_prohibited_plant_is_refused(lab):
    with pytest.raises(NotAllowed, match="may not be received"):
        copy_procedure(lab, "maceration", "deadly nightshade", "total alkaloids", "night-extract", by="TO")


def test_a_plant_nobody_knows_is_copied_and_said_so(lab):
    done = copy_procedure(lab, "maceration", "moon grass", "moonlight", "moon-extract", by="TO")

    assert "Nothing is known here about moonlight" in done.says
    assert "Nothing is known here about moon grass" in done.says


def test_what_is_to_beware_of_is_said(lab):
    assert "pyrrolizidine" in what_is_known("infusion", "comfrey root", "allantoin")
    assert "Did you mean lavender flower?" in what_is_known(
        "hydrodistillation", "lavendar flower", "linalool"
    )


def test_every_way_has_a_page_with_its_steps_and_cautions(lab):
    listed = page_text(show_starters(lab))
    for one in starters():
        said = page_text(show_starter(lab, one.name))

        assert one.title in listed
        assert all(step.name in said for step in one.procedure.steps)
        assert "Local codes and licensed practice come first" in said


def test_a_way_that_is_not_there_offers_the_nearest(lab):
    with pytest.raises(UnknownName, match="infusion"):
        show_starter(lab, "infusions")
