"""A reagent whose lot is not as strong as the name in its recipe is asked about once, and kept with a note."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.asked_first import strengths_asked_about
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.reagents import make_reagent
from stillroom.errors import BadEntry
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.reagent_recipes import recipe

ACID = "acetic acid 99.5 %"


@pytest.mark.parametrize(
    ("stated", "asked"),
    [("", False), ("99.5 % w/w", False), ("99.8 % w/w", False), ("80 % w/w", True), ("10 mol/L", True)],
)
def test_a_lot_of_another_strength_than_the_name_is_asked_about(
    lab: Laboratory, stated: str, asked: bool
) -> None:
    receive_lot(lab, Lot("ACE-1", LotKind.REAGENT, ACID, "acid", stated=stated), "500 g", by="TO")
    with lab.look() as look:
        found = list(
            strengths_asked_about(
                look, recipe("dragendorff-a"), [Weighed("acetic acid", "10.5 g", "ACE-1", "")]
            )
        )

    assert bool(found) is asked
    if asked:
        assert "ACE-1" in found[0].got
        assert "times as much" in found[0].do


def test_a_recipe_made_with_a_weaker_acid_is_kept_with_its_note(lab: Laboratory) -> None:
    acid = Lot("ACE-1", LotKind.REAGENT, ACID, "acid", stated="80 % w/w")
    bismuth = Lot("BIS-1", LotKind.REAGENT, "bismuth subnitrate", "bismuth subnitrate")
    for lot in (acid, bismuth):
        receive_lot(lab, lot, "500 g", by="TO")
        release(lab, lot.code, meaning="papers and label agree", by="MA")
    procedure = recipe("dragendorff-a")
    lots = {ACID: "ACE-1", "bismuth subnitrate": "BIS-1", "purified water": "WAT-01"}
    grams = {ACID: "10.50 g", "bismuth subnitrate": "0.85 g", "purified water": "40.0 g"}
    weighed = [
        Weighed(one.name, grams[one.substance], lots[one.substance], "SCALE-2") for one in procedure.lines
    ]
    ticks = procedure.steps[0].ticks

    def made(note: str = "") -> None:
        make_reagent(
            lab,
            "dragendorff-a",
            code="DRA-9",
            amount="50 mL",
            weighed=weighed,
            ticks=ticks,
            note=note,
            by="TO",
        )

    with pytest.raises(BadEntry, match=r"ACE-1, 80 % \(its label"):
        made()
    made("the only acid in the house")
    with lab.look() as look:
        (kept,) = look.deviations("DRA-9")

    assert "ACE-1, 80 %" in kept.body.what
