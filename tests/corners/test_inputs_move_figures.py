"""No answer is typed in: one input changed alone moves the printed figures by the ratio worked here on paper.

Each figure is read three times: as printed on the page, unrounded from its JSON, and out of the words of the PDF.
"""

import re
from datetime import date
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.results_kept import AS_IS, DRIED, DRYING
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.orders.ordering import work_back
from stillroom.actions.questions import answered
from stillroom.actions.releasing.deciding import release
from stillroom.demo.clock import StoryClock
from stillroom.demo.story import BEGINS, begin_practice, practice_file
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.blocks import Page
from stillroom.pages.batches import show_batch
from stillroom.pages.plans import plan_shown
from stillroom.pages.stock import show_lot
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.practice import (
    copied,
    exact_in_json,
    extracted_folder,
    later,
    number_labelled,
    opened,
    row_of,
    words_of_pdf,
)


def printed(value: str, page: Page) -> bool:
    """Whether the PDF of a page holds a figure; the letter of its note may follow it."""
    return re.search(rf"(?<![\d.]){re.escape(value)}(?![\d.])", words_of_pdf(page_pdf(page))) is not None


def told_three_ways(page: Page, label: str) -> float:
    """The unrounded figure under a label, once page, JSON and PDF are seen to agree about it."""
    shown = number_labelled(page, label)
    exact = exact_in_json(page, label)
    half_a_digit = 0.5 * 10 ** -len(shown.value.partition(".")[2])

    assert float(shown.value) == pytest.approx(exact, abs=1.001 * half_a_digit)
    assert printed(shown.value, page)
    return exact


def reading_of(lab: Laboratory, lot: str, what: str) -> int:
    with lab.look() as look:
        return look.readings(lot, what)[-1].entry_no


def plan_of(lab: Laboratory, order: str = "ORD-1") -> Page:
    return plan_shown(lab, work_back(lab, order, draws=256))


def test_a_titre_moves_the_assay_and_the_content_of_the_plant(tmp_path: Path) -> None:
    # The blank is 20.06 mL: what is found is as the blank less the sample.
    ratio = (20.06 - 10.42) / (20.06 - 8.42)
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        before = {what: told_three_ways(show_lot(lab, "CIN-01"), what) for what in (AS_IS, DRIED, DRYING)}
        plan = told_three_ways(plan_of(lab), "Content of the plant")
        plant = told_three_ways(plan_of(lab), "Plant to start with")
        correct_reading(
            lab, reading_of(lab, "CIN-01", "sample titre, portion 1"), "10.42 mL", why="misread by two",
            by="TO", at=later(1),
        )  # fmt: skip
        after = {what: told_three_ways(show_lot(lab, "CIN-01"), what) for what in (AS_IS, DRIED, DRYING)}
        plan_again = told_three_ways(plan_of(lab), "Content of the plant")
        plant_again = told_three_ways(plan_of(lab), "Plant to start with")

    assert after[AS_IS] / before[AS_IS] == pytest.approx(ratio, rel=1e-12)
    assert after[DRIED] / before[DRIED] == pytest.approx(ratio, rel=1e-12)
    assert after[DRYING] == before[DRYING]
    assert plan_again / plan == pytest.approx(ratio, rel=0.001)
    # Weaker bark: more of it, in inverse proportion but for the film that stays in the glass, and but for what E1 then
    # tells of the way: it gave as much from weaker bark, so a little more of the marker is within reach.
    assert 1.0 < plant_again / plant < 1 / ratio
    assert plant_again / plant == pytest.approx(1 / ratio, rel=0.03)


def test_a_drying_moves_the_dried_content_and_nothing_as_is(tmp_path: Path) -> None:
    # 2.0000 g in; dried to 33.0510 - 31.2410 g, then to 32.9510 - 31.2410 g.
    first, then = 1.8100 / 2.0000, 1.7100 / 2.0000
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        before = {what: told_three_ways(show_lot(lab, "CIN-01"), what) for what in (AS_IS, DRIED, DRYING)}
        for number, text in ((2, "32.9519 g"), (3, "32.9510 g")):  # both, or the mass would not be constant
            correct_reading(
                lab, reading_of(lab, "CIN-01", f"dish after drying {number}"), text, why="misread by a tenth",
                by="TO", at=later(number),
            )  # fmt: skip
        after = {what: told_three_ways(show_lot(lab, "CIN-01"), what) for what in (AS_IS, DRIED, DRYING)}

    assert after[DRYING] / before[DRYING] == pytest.approx((1 - then) / (1 - first), rel=1e-9)
    assert after[DRIED] / before[DRIED] == pytest.approx(first / then, rel=1e-9)
    assert after[AS_IS] == before[AS_IS]


@pytest.mark.parametrize(("pka", "ph"), [("8.5", "7.0"), ("9.5", "7.0"), ("8.5", "9.5"), ("10.5", "9.5")])
def test_the_pka_moves_what_shaking_out_carries_over(pka: str, ph: str) -> None:
    # D = P / (1 + 10^(pKa - pH)); what stays behind is (Va / (Va + D Vs))^n.
    ratio = 60 / (1 + 10 ** (float(pka) - float(ph)))
    asked = {
        "pka": pka,
        "partition-ratio": "60",
        "ph": ph,
        "water": "100 mL",
        "solvent": "90 mL",
        "portions": "3",
    }
    page = answered("shake", asked, date(2026, 11, 29)).page

    assert told_three_ways(page, "Distribution ratio") == pytest.approx(ratio, rel=1e-9)
    assert told_three_ways(page, "All at once") == pytest.approx(
        100 * (1 - 100 / (100 + 90 * ratio)), rel=1e-9
    )
    assert told_three_ways(page, "In 3 portions") == pytest.approx(
        100 * (1 - (100 / (100 + 30 * ratio)) ** 3), rel=1e-9
    )


def test_the_pka_of_a_procedure_moves_the_recovery_of_its_clean_up(tmp_path: Path) -> None:
    # Half a pH above the pKa three portions take nearly all; two below it D is 60 / 101, and with 0.9 volumes of
    # solvent in all they take 1 - (1 / (1 + 0.3 D))^3.
    def recovery(pka: str, folder: Path) -> float:
        clock = StoryClock(BEGINS)
        with begin_practice(folder, clock) as lab:
            text = practice_file("bark-extract.yaml").decode()
            assert text.count('name: pka, value: "8.52"') == 1
            changed = text.replace('value: "8.52"', f'value: "{pka}"').replace("version: 1", "version: 2")
            enter_text(lab, changed.encode(), "bark-extract.yaml", by="MA", at=clock.at(BEGINS))
            return told_three_ways(plan_of(lab), "Recovery of the clean-up")

    plain, charged = recovery("8.52", tmp_path / "one"), recovery("11.5", tmp_path / "other")
    left = (1 / (1 + 0.3 * 60 / (1 + 10 ** (11.5 - 9.5)))) ** 3

    # The volumes of the water phase are those of the procedure, near one for one: a tenth either way.
    assert charged / plain == pytest.approx(1 - left, rel=0.12)


# Ethanol by mass of spirit by volume. 90 %: OIML R 22, Table IVb, row A081 of density_and_strength.csv (same equation).
# 96 %: share by volume times 789.24 / 807.42 kg/m3, the densities at 20 °C of ethanol and of that spirit, row A137
# (European Pharmacopoeia 5.5, from-memory).
SPIRITS = {"96.0": 0.96 * 789.24 / 807.42, "90.0": 0.8566}


def test_the_strength_of_the_spirit_moves_what_is_weighed_of_it(tmp_path: Path) -> None:
    planned = {}
    for strength in SPIRITS:
        clock = StoryClock(BEGINS)
        with begin_practice(tmp_path / strength, clock) as lab:
            lot = Lot("SPI-01", LotKind.SPIRIT, "spirit 96 %", "spirit", stated=f"{strength} % v/v at 20 °C")
            receive_lot(lab, lot, "12.000 kg", by="TO", at=clock.at("2026-11-02 09:00"))
            release(lab, "SPI-01", meaning="papers agree", by="MA", at=clock.at("2026-11-02 09:30"))
            begin_batch(lab, "E1", "bark-extract", "250 g", by="TO", at=clock.at("2026-11-05 08:00"))
            page = show_batch(lab, "E1")
            step = {one.line: one.planned_g for one in step_in_hand(lab, "E1").lines}
        weighed = row_of(page, "Weighed", "stock spirit")["Planned, g"]
        planned[strength] = step["stock spirit"]

        assert float(weighed) == pytest.approx(step["stock spirit"], abs=0.0051)
        assert printed(weighed, page)

    # The same ethanol, in weaker spirit: more of it, as the mass fractions stand to each other.
    assert planned["90.0"] / planned["96.0"] == pytest.approx(SPIRITS["96.0"] / SPIRITS["90.0"], abs=0.0002)


def test_a_larger_bottle_moves_fill_bulk_and_active_alike(tmp_path: Path) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        larger = practice_file("ORD-1.yaml").decode().replace("order: ORD-1", "order: ORD-9")
        larger = larger.replace("50 × 100 mL", "50 × 150 mL")
        enter_text(lab, larger.encode(), "ORD-9.yaml", by="MA", at=later(1))
        plain, more = plan_of(lab), plan_of(lab, "ORD-9")

        def ratio(label: str) -> float:
            return told_three_ways(more, label) / told_three_ways(plain, label)

        assert ratio("Fill for each bottle") == pytest.approx(1.5, rel=1e-12)
        assert ratio("Bottles") == 1.0
        # 20 g of film stays in the vessel whatever the batch; the rest grows by a half.
        bulk = told_three_ways(plain, "Bulk to make")
        assert ratio("Bulk to make") == pytest.approx((1.5 * (bulk - 20) + 20) / bulk, rel=0.001)
        assert ratio("Active in the bulk") == pytest.approx(ratio("Bulk to make"), rel=1e-9)
