"""When an extraction ends it says what it gave, from entries that stand in the book, and follows their corrections."""

import re
from dataclasses import replace

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_weighing
from stillroom.actions.making.giving_up import give_up
from stillroom.actions.making.what_it_gave import WhatItGave, stays_in, what_it_gave
from stillroom.answers.batch_given import Portion, batch_given
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.batch_gave import label_of
from stillroom.evidence.answer import reading
from stillroom.in_python.reading import Laboratory as InPython
from stillroom.pages.batches import show_batch
from stillroom.pages.entry import find_answer
from stillroom.pages.plants import show_plant
from stillroom.records.entries import StepDone
from stillroom.records.starters import copy_starter
from tests.practice import exact_in_json, later, told_folder

DRY_G = 250.0 * (1.0 - (33.2410 - 33.0510) / (33.2410 - 31.2410))
"""Bark weighed in, less the loss of its dish."""
EXTRACT_G = 39.20 + 0.50
"""On the shelf, and the sample set aside."""
ETHANOL_OF_96_PERCENT = 0.9384
"""Ethanol by mass of spirit of 96 % v/v: alcoholometric tables, from memory."""


def gave(lab: Laboratory, batch: str = "E1") -> WhatItGave:
    with lab.look() as look:
        found = what_it_gave(look, batch)
    assert found is not None
    return found


def test_an_extraction_says_what_it_gave_by_the_weighings_of_its_sheet(told: Laboratory) -> None:
    found = gave(told)
    assert found.given is not None
    figures = {name: one.answer for name, one in found.given.figures.items()}
    with told.look() as look:
        bark = look.results("CIN-01", "total alkaloids as quinine, as is")[-1].body.value
        extract = look.results("E1", "total alkaloids as quinine, as is")[-1].body.value

    assert figures["extract_of_100_g_dry"].value == pytest.approx(100 * EXTRACT_G / DRY_G, rel=1e-12)
    assert figures["drug_extract_ratio"].value == pytest.approx(250.0 / EXTRACT_G, rel=1e-12)
    assert figures["recovery"].value == pytest.approx(100 * EXTRACT_G * extract / (250 * bark), rel=1e-6)
    assert figures["ethanol_used"].value == pytest.approx(2944 * ETHANOL_OF_96_PERCENT, rel=1e-4)
    assert figures["ethanol_not_back"].value == pytest.approx(
        figures["ethanol_used"].value - figures["ethanol_back"].value, rel=1e-12
    )
    assert found.hours.value == pytest.approx(6 * 24 + 1.5)
    assert (found.plant, found.lots) == ("cinchona bark", ("CIN-01",))


def test_the_doubt_is_that_of_the_weighings_and_of_both_assays(told: Laboratory) -> None:
    found = gave(told).given
    assert found is not None
    ratio = found.ratio.answer
    by_hand = ratio.value * ((0.01 / 250.0) ** 2 + 2 * (0.01 / EXTRACT_G) ** 2) ** 0.5

    assert ratio.standard_uncertainty == pytest.approx(by_hand, rel=1e-3)
    assert found.recovery is not None
    assert 1.0 < (found.recovery.answer.standard_uncertainty or 0.0) < 4.0


def test_a_corrected_weighing_moves_what_the_batch_gave(lab: Laboratory) -> None:
    with lab.look() as look:
        (last,) = [one for one in look.steps("E1") if one.body.step == "set a sample aside"]
    assert isinstance(last.body, StepDone)
    correct_weighing(lab, last.entry_no, "extract", "38.20 g", why="misread", by="TO", at=later(1))

    found = gave(lab).given
    assert found is not None
    assert found.ratio.answer.value == pytest.approx(250.0 / (EXTRACT_G - 1.0), rel=1e-12)


def test_page_json_and_python_say_the_same(told: Laboratory) -> None:
    page = show_batch(told, "E1")
    told_json = {one["name"]: one["value"] for one in page_json(page)["figures"]}
    with InPython(told_folder()) as lab:
        batch, (row,) = lab.batch("E1"), lab.yields

    for name in ("extract_of_100_g_dry", "drug_extract_ratio", "recovery", "ethanol_used"):
        assert told_json[name] == batch[name].value == row[name]
    assert exact_in_json(page, "Marker of the plant found in the extract") == row["recovery"]
    assert row["hours"] == pytest.approx(145.5)
    assert find_answer(told, "E1/recovery")[0].value == row["recovery"]


def test_a_formula_a_batch_under_way_and_one_given_up_gave_nothing_yet(lab: Laboratory) -> None:
    from stillroom.actions.making.batches import begin_batch

    begin_batch(lab, "E9", "bark-extract", "100 g", by="TO", at=later(-1))
    give_up(lab, "E9", why="the flask broke", by="TO", at=later(0))
    begin_batch(lab, "E10", "bark-extract", "100 g", by="TO", at=later(0))

    with lab.look() as look:
        assert [what_it_gave(look, one) for one in ("T1", "E9", "E10")] == [None, None, None]


def test_spirit_that_came_back_unread_is_not_known_to_the_digits_of_the_scale(lab: Laboratory) -> None:
    found = gave(lab).given
    assert found is not None
    back = found.figures["ethanol_back"].answer

    assert back.standard_uncertainty is not None
    assert back.standard_uncertainty > 0.03 * back.value


def test_a_value_ends_at_the_decimal_of_its_uncertainty(told: Laboratory) -> None:
    for page in (show_batch(told, "E1"), show_plant(told, "cinchona-bark")):
        found = re.findall(r"(\d+(?:\.\d+)?) ?± (\d+(?:\.\d+)?) \(k = 2\)", page_text(page))
        assert found
        for said in found:
            value, doubt = (len(one.partition(".")[2]) for one in said)
            assert value == doubt, said


@pytest.mark.parametrize(
    ("way", "plant", "marker", "stays"),
    [
        ("glycerol-maceration", "ribwort plantain leaf", "aucubin", ("glycerol", "purified water")),
        ("oil-maceration", "calendula flower", "faradiol esters", ("sunflower oil",)),
        ("maceration", "rosemary leaf", "rosmarinic acid", ()),
        ("infusion", "green tea leaf", "total phenols", ()),
        ("hydrodistillation", "lavender flower", "linalool", ()),
    ],
)
def test_a_liquid_that_is_never_taken_off_stays_in_the_extract(
    way: str, plant: str, marker: str, stays: tuple[str, ...]
) -> None:
    assert stays_in(copy_starter(way, plant, marker, "x")) == stays


def test_a_tincture_keeps_its_spirit_and_water() -> None:
    whole = copy_starter("maceration", "rosemary leaf", "rosmarinic acid", "x")
    tincture = replace(
        whole, steps=tuple(one for one in whole.steps if one.kind in ("mix to strength", "macerate", "press"))
    )

    assert stays_in(tincture) == ("spirit 96 %", "purified water")


def test_the_ratio_of_an_extract_with_its_liquid_in_it_is_not_called_native() -> None:
    plant = {"A-1": Portion(reading("plant", 100.0, "g", "weighed"), reading("drying", 8.0, "%", "dried"))}
    extract = {"extract": reading("extract", 800.0, "g", "weighed")}

    native, whole = (
        batch_given(plant, extract, stays=one).ratio.answer for one in ((), ("glycerol", "water"))
    )

    assert native.value == whole.value == pytest.approx(0.125)
    assert label_of("drug_extract_ratio", native) == "Drug–extract ratio, native"
    assert "nothing is added" in native.says
    assert label_of("drug_extract_ratio", whole) == "Drug–extract ratio, its liquid counted"
    assert "glycerol and water that stays in it" in whole.says
    assert "nothing is added" not in whole.says
