"""Recovered spirit is for its own plant, denatured spirit names its denaturant, and what was read counts."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.actions.bench.lots_offered import lots_for_line
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.spirit_account import spirit_account
from stillroom.actions.lots.spirit_lots import crossing_over, plants_of
from stillroom.actions.lots.spirit_read import read_strength
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.amounts_planned import planned
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.orders.ordering import work_back
from stillroom.actions.releasing.deciding import release, stop
from stillroom.demo.files import practice_file
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed
from stillroom.pages.spirit_month import show_spirit
from stillroom.pages.stock import show_lot
from stillroom.pages.tracing import show_trace
from stillroom.planning.shelf_inputs import STOCK, feeds_of
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.procedures import Line
from stillroom.records.starters import starter

TICKS = ("No flame and no open element in the room",)
WHY = "a trial that is thrown away; the responsible person agreed"


def mix(lab: Laboratory, batch: str, lot: str, note: str = "") -> object:
    weighed = [
        Weighed("stock spirit", "1500 g", lot, "SCALE-1"),
        Weighed("water", "200 g", "WAT-01", "SCALE-1"),
    ]
    return do_step(lab, batch, "mix spirit", weighed, ticks=TICKS, temperature="20.0 °C", note=note, by="TO")


def begin_other_plant(lab: Laboratory) -> None:
    text = (
        practice_file("bark-extract.yaml")
        .decode()
        .replace("procedure: bark-extract", "procedure: leaf-extract")
    )
    text = text.replace("substance: cinchona bark", "substance: rosemary leaf")
    enter_text(lab, text.encode(), "leaf-extract.yaml", by="MA")
    begin_batch(lab, "L1", "leaf-extract", "100 g", by="TO")


def test_recovered_spirit_remembers_the_plant_it_came_from(told: Laboratory) -> None:
    with told.look() as look:
        assert plants_of(look, "REC-01") == ("cinchona bark",)
    assert "cinchona bark: used for that plant only" in page_text(show_lot(told, "REC-01"))


def test_it_is_used_again_for_the_same_plant(lab: Laboratory) -> None:
    release(lab, "REC-01", meaning="read, smelt and labelled", by="MA")
    begin_batch(lab, "E2", "bark-extract", "100 g", by="TO")
    offered = {one.code: one.refused for one in lots_for_line(lab, "E2", "spirit 96 %")}
    mix(lab, "E2", "REC-01", "recovered spirit, weaker than the stock")

    assert offered["REC-01"] == offered["SPI-01"] == ""
    assert "EAC-02" not in offered
    assert spirit_account(lab, "2026-11").account.batches[-1].batch == "E2"


def test_it_is_not_offered_for_another_plant_and_says_why(lab: Laboratory) -> None:
    release(lab, "REC-01", meaning="read, smelt and labelled", by="MA")
    begin_other_plant(lab)
    offered = {one.code: one.refused for one in lots_for_line(lab, "L1", "spirit 96 %")}

    assert "recovered from cinchona bark: not for rosemary leaf" in offered["REC-01"]
    with pytest.raises(NotAllowed, match="used for the plant it came from"):
        mix(lab, "L1", "REC-01")


def test_a_person_can_decide_otherwise_and_the_reason_stands_as_a_deviation(lab: Laboratory) -> None:
    release(lab, "REC-01", meaning="read, smelt and labelled", by="MA")
    begin_other_plant(lab)
    mix(lab, "L1", "REC-01", WHY)

    with lab.look() as look:
        deviation = look.deviations("L1")[-1].body
    assert "not for rosemary leaf" in deviation.what
    assert deviation.done_about_it == WHY


def test_a_plant_stopped_behind_recovered_spirit_stands_in_the_trace_of_what_it_was_used_for(
    lab: Laboratory,
) -> None:
    release(lab, "REC-01", meaning="read, smelt and labelled", by="MA")
    begin_other_plant(lab)
    mix(lab, "L1", "REC-01", WHY)
    assert "stands behind this" not in page_text(show_trace(lab, "L1"))
    stop(lab, "CIN-01", meaning="foreign bark", by="MA")

    said = " ".join(page_text(show_trace(lab, "L1")).split())
    assert "CIN-01, cinchona bark, whole quills, stands behind this and is stopped: foreign bark" in said


def test_it_never_goes_straight_into_a_product(told: Laboratory) -> None:
    with told.look() as look:
        assert "never straight into a product" in crossing_over(look, look.lot("REC-01"), "T1")


@pytest.mark.parametrize("name", ["denatured spirit", "Methylated spirit, blue"])
def test_denatured_spirit_names_its_denaturant(lab: Laboratory, name: str) -> None:
    lot = Lot("DEN-01", LotKind.SPIRIT, "spirit 96 %", name, stated="96.0 % v/v at 20 °C")
    with pytest.raises(BadEntry, match="Denatured spirit names its denaturant"):
        receive_lot(lab, lot, "1.000 kg", by="TO")

    with lab.look() as look:
        assert "DEN-01" not in look.lot_codes()


@pytest.mark.parametrize("said", ["unknown", "Unknown "])
def test_an_unknown_denaturant_is_refused_and_a_use_of_it_is_a_deviation(lab: Laboratory, said: str) -> None:
    spirit = Lot(
        "DEN-01",
        LotKind.SPIRIT,
        "spirit 96 %",
        "denatured spirit",
        stated="96.0 % v/v at 20 °C",
        denatured_with=said,
    )
    receive_lot(lab, spirit, "5.000 kg", by="TO")
    release(lab, "DEN-01", meaning="looked at", by="MA")
    begin_batch(lab, "E2", "bark-extract", "100 g", by="TO")

    refused = {one.code: one.refused for one in lots_for_line(lab, "E2", "spirit 96 %")}["DEN-01"]
    assert "methanol perhaps" in refused
    assert "not for a burner" in refused
    with pytest.raises(NotAllowed, match=r"not for products.*may hold methanol and is not burned"):
        mix(lab, "E2", "DEN-01")

    # What was done all the same is kept, and stands as a deviation.
    mix(lab, "E2", "DEN-01", WHY)
    with lab.look() as look:
        assert "denatured with something nobody knows" in " ".join(
            entry.body.what for entry in look.deviations("E2")
        )


def test_a_denaturant_that_is_named_stands_on_the_page_of_the_lot(lab: Laboratory) -> None:
    lot = Lot(
        "DEN-01", LotKind.SPIRIT, "spirit 96 %", "denatured spirit", stated="96.0 % v/v at 20 °C",
        denatured_with="denatonium benzoate",
    )  # fmt: skip
    receive_lot(lab, lot, "1.000 kg", by="TO")

    assert "denatonium benzoate" in page_text(show_lot(lab, "DEN-01"))


def test_a_strength_that_was_read_takes_the_place_of_what_was_reckoned(lab: Laboratory) -> None:
    before = {one.lot: one.end_g for one in spirit_account(lab, "2026-11").account.standing}
    read_strength(lab, "REC-01", {"have": "80.0", "known-by": "alcoholometer", "temperature": "20"}, by="TO")
    after = spirit_account(lab, "2026-11")

    assert {one.lot: one.end_g for one in after.account.standing}["REC-01"] < before["REC-01"]
    assert "REC-01" not in after.by_model
    assert any(one.batch == "E1" and one.is_asked_about for one in after.account.batches)
    assert "Batch E1, ethanol" in page_text(show_spirit(lab, "2026-11"))


def test_a_strength_is_not_read_in_what_holds_extract(lab: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="nothing dissolved"):
        read_strength(lab, "E1", {"have": "40", "known-by": "alcoholometer", "temperature": "20"}, by="TO")
    with pytest.raises(BadEntry, match="never filled in"):
        read_strength(lab, "REC-01", {"have": "40", "known-by": "alcoholometer"}, by="TO")


def test_spirit_with_an_unknown_denaturant_is_not_at_hand_for_the_buying_list(lab: Laboratory) -> None:
    def at_hand() -> float:
        plan = work_back(lab, "ORD-1", draws=64)
        return next(one.have for one in plan.buying if one.item == "all_stock_spirit_g")

    before = at_hand()
    for code, said in (("DEN-01", "unknown"), ("SPI-02", "")):
        spirit = Lot(
            code, LotKind.SPIRIT, "spirit 96 %", "spirit", stated="96.0 % v/v at 20 °C", denatured_with=said
        )
        receive_lot(lab, spirit, "5.000 kg", by="TO")
        release(lab, code, meaning="papers", by="MA")

    assert at_hand() == pytest.approx(before + 5000.0)


def test_a_spirit_of_which_no_lot_stands_is_as_strong_as_its_name_says(lab: Laboratory) -> None:
    text = practice_file("bark-extract.yaml").decode().replace("spirit 96 %", "spirit 80 %")
    enter_text(
        lab, text.replace("procedure: bark-extract", "procedure: of-80").encode(), "of-80.yaml", by="MA"
    )
    begin_batch(lab, "L1", "of-80", "100 g", by="TO")
    with lab.look() as look:
        found = planned(look, "L1")
    poured, water = (found.grams["mix spirit", one] for one in ("stock spirit", "water"))

    # OIML R 22, table of mass by volume at 20 °C, from memory: 80 % v/v is 73.48 % w/w, 70 % v/v is 62.39 % w/w.
    assert (poured + water) / poured == pytest.approx(73.48 / 62.39, rel=5e-4)
    assert any("no lot of it stands, 80.0 % v/v" in one for one in found.taken_with)


def test_two_spirits_of_one_formula_are_each_as_strong_as_they_are_named() -> None:
    lines = [Line("strong", "spirit 96 %"), Line("weak", "spirit 70 %")]
    both = replace(starter("maceration").procedure, lines=tuple(lines))
    feeds = feeds_of(both, {STOCK: np.array([95.0, 96.0, 97.0])}, {})

    # Ethanol by mass, OIML R 22 from memory: 93.84 and 62.39 %.
    assert feeds["strong"].makeup["ethanol"][1] == pytest.approx(0.9384, abs=5e-5)
    assert feeds["weak"].makeup["ethanol"][1] == pytest.approx(0.6239, abs=5e-5)
    assert np.ptp(feeds["weak"].makeup["ethanol"]) > 0.015


@pytest.mark.parametrize("said", ["not denatured", "None", "undenatured.", "no", "–"])
def test_that_a_spirit_is_not_denatured_is_no_denaturant(lab: Laboratory, said: str) -> None:
    spirit = Lot(
        "SPI-N", LotKind.SPIRIT, "spirit 96 %", "spirit 96 %", stated="96 % v/v", denatured_with=said
    )
    receive_lot(lab, spirit, "2 kg", by="TO")

    with lab.look() as look:
        assert look.lot("SPI-N").denatured_with == ""
