"""The page of an extract offers to blend it with its like on the shelf, and only with that."""

from dataclasses import replace
from datetime import date
from urllib.parse import parse_qsl, urlsplit

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.results_kept import assays
from stillroom.actions.shelf.extracts_at_hand import blend_address
from stillroom.asking.question import answer
from stillroom.pages.stock import show_lot
from stillroom.questions import declared
from stillroom.records.entries import LotReceived
from stillroom.records.lots import Movement, grams, micrograms
from tests.practice import later


def test_a_lone_extract_and_a_plant_offer_no_blend(told: Laboratory) -> None:
    with told.look() as look:
        assert blend_address(look, look.lot("E1")) == ""
        assert blend_address(look, look.lot("CIN-01")) == ""


def test_two_of_a_kind_are_blended_as_they_stand_on_the_shelf(lab: Laboratory) -> None:
    with lab.look() as look:
        lot, found = look.lot("E1"), assays(look, "E1")[-1].body
        held_g = grams(look.balance_ug("E1"))
    other = replace(lot, code="E1B")
    weaker = replace(found, subject="E1B", value=0.8 * found.value)
    with lab.act("an action of tomorrow", {"kind": "extract"}, by="MA", at=later(1)) as pen:
        moved = Movement("E1B", "outside/made here", "shelf", micrograms(50.0))
        pen.enter(LotReceived(other, (moved,), "50 g"))
        pen.enter(weaker)
    with lab.look() as look:
        address = blend_address(look, look.lot("E1"))
    fields = dict(parse_qsl(urlsplit(address).query))
    wanted = f"{0.9 * found.value:.6g} %"

    blend = answer(declared("strengthen"), {**fields, "want": wanted}, date(2026, 11, 29)).found

    assert blend.lots == ("E1", "E1B")
    assert blend.weigh[0].value <= held_g
    assert blend.strength.answer.value == pytest.approx(0.9 * found.value, rel=1e-4)
    assert any("/ask/strengthen" in str(block) for block in show_lot(lab, "E1B").blocks)
