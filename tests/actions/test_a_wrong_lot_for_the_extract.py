"""A lot without an assay weighed in for the extract: release, certificate and label say so, and it can be put right."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import fields_of, put_right
from stillroom.actions.making.batches import do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import review_release
from stillroom.demo.bottling import SMALL, T1
from stillroom.documents.as_text import page_text
from stillroom.errors import NotAllowed
from stillroom.pages.release import show_label, show_release
from stillroom.pages.stock import show_lot
from tests.practice import copied, extracted_folder, opened

NO_ASSAY = "A dose follows an assay of total alkaloids that counts"


@pytest.fixture
def slipped(tmp_path: Path) -> Iterator[Laboratory]:
    """The first tonic blended with panthenol where its extract belongs."""
    yield from _blended(tmp_path, lot="PAN-01")


@pytest.fixture
def forgotten(tmp_path: Path) -> Iterator[Laboratory]:
    """The first tonic blended with nothing of its extract, by a scale that nobody named."""
    yield from _blended(tmp_path, mass="0 g", apparatus="")


def _blended(folder: Path, **otherwise: str) -> Iterator[Laboratory]:
    with opened(copied(folder, extracted_folder)) as lab:
        decide_dose(lab, "T1", "E1", scale=SMALL, by="MA")
        in_hand = step_in_hand(lab, "T1", "blend")
        assert in_hand is not None
        weighed = [replace(one, **otherwise) if one.line == "extract" else one for one in T1.weighed]
        do_step(lab, "T1", "blend", weighed, ticks=in_hand.step.ticks, note="it happened so", by="TO")
        weigh_density(
            lab, "T1", empty="38.41 g", water="138.14 g", bulk="133.12 g", temperature="20.0 °C",
            scale=SMALL, thermometer="THERM-1", by="TO",
        )  # fmt: skip
        fill_units(
            lab, "T1", T1.units, left_over=T1.left_over, check_weights=T1.check_weights,
            packaging={"BOT-01": 51, "CAP-01": 51, "LAB-01": 52}, scale=SMALL, use_by="2027-09-30", by="TO",
        )  # fmt: skip
        yield lab


def test_a_release_list_says_that_the_content_is_not_known_and_why(slipped: Laboratory) -> None:
    (line,) = [one for one in review_release(slipped, "T1", by="MA").lines if one.key == "content"]

    assert line.standing == "missing"
    assert NO_ASSAY in line.says
    assert "one for PAN-01" in " ".join(page_text(show_release(slipped, "T1", by="MA")).split())


def test_a_label_that_may_not_be_printed_says_why(slipped: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="weighed in"):
        show_label(slipped, "T1")


def test_the_right_lot_gives_the_content(slipped: Laboratory) -> None:
    with slipped.look() as look:
        (entry,) = [one for one in look.steps("T1") if one.body.step == "blend"]
        field = next(
            one.name for one in fields_of(look, entry) if one.says == "PAN-01" and "extract" in one.name
        )
    put_right(slipped, entry.entry_no, {field: "E1"}, why="the wrong jar", by="TO")
    found = {one.key: one for one in review_release(slipped, "T1", by="MA").lines}

    assert found["content"].standing == "within"


def test_where_nothing_of_the_extract_was_weighed_in_every_page_says_so(forgotten: Laboratory) -> None:
    (line,) = [one for one in review_release(forgotten, "T1", by="MA").lines if one.key == "content"]

    assert (line.standing, "Nothing was weighed in" in line.says) == ("missing", True)
    assert page_text(show_lot(forgotten, "T1"))
    with pytest.raises(NotAllowed, match="weighed in"):
        show_label(forgotten, "T1")
