"""The worked stories come out of the actions and of the practice book to the digits they are printed with.

Inputs and expected figures are those of ``tests/reference_checks/stories.json``, invented cases reckoned by hand.
A figure agrees when it rounds to the printed one; S5 states its own tolerance.
"""

import json
import math
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from scipy.stats import t as student_t

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.results_kept import AS_IS, AS_IS_MEAN, DRIED, DRIED_MEAN
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.products.dosing import work_out_dose, work_out_share
from stillroom.actions.questions import answered
from stillroom.actions.releasing.tracing import trace
from stillroom.actions.testing.titrant_factors import factor_titrant
from stillroom.actions.testing.titration import keep_earlier_portions, titrate
from stillroom.answers.budget import budget_of
from stillroom.answers.spirit_diluted import Diluted
from stillroom.demo.shelves import EARLIER_EXTRACTS
from stillroom.documents.as_json import page_json
from stillroom.errors import NotAllowed
from stillroom.evidence.answer import rerun, walk
from stillroom.evidence.trails import from_trail
from stillroom.pages.stock import show_lot
from stillroom.pages.tracing import show_trace
from tests.practice import (
    STORIES,
    copied,
    document,
    exact_in_json,
    extracted_folder,
    later,
    number_labelled,
    opened,
    row_of,
)


def digits(figure: float) -> Any:
    """The figure, right to half of its last printed digit."""
    decimals = len(repr(figure).partition(".")[2]) if isinstance(figure, float) else 0
    return pytest.approx(figure, abs=0.5000001 * 10**-decimals)


def expect(story: str) -> dict[str, Any]:
    return STORIES[story]["expect"]


def given(story: str) -> dict[str, Any]:
    return STORIES[story]["inputs"]


def diluted(**fields: str) -> Diluted:
    found: Diluted = answered("dilute", fields, date(2026, 11, 29)).found.found
    return found


class TestS1SpiritOfSeventy:
    def test_the_step_of_batch_e1_plans_the_masses_of_the_story(self, told: Laboratory) -> None:
        step = step_in_hand(told, "E1", "mix spirit")
        planned = {line.line: line.planned_g for line in step.lines}

        assert planned["stock spirit"] / 1000 == digits(expect("S1")["stock_kg"])
        assert planned["water"] / 1000 == digits(expect("S1")["water_kg"])

    def test_the_printed_sheet_shows_them_beside_what_was_weighed(self) -> None:
        row = row_of(document("batch-sheet-E1"), "Weighed", "stock spirit")

        assert float(row["Planned, g"]) / 1000 == pytest.approx(expect("S1")["stock_kg"], abs=0.00005)
        assert (row["Actual, g"], row["Lot"]) == ("2944.00", "SPI-01")

    def test_diluting_at_the_bench_gives_every_figure(self) -> None:
        story = given("S1")
        found = diluted(
            have=f"{story['have_abv']} % v/v", want=f"{story['want_abv']} % v/v", amount=f"{story['volume_L']} L",
            temperature=f"{story['temp_C']} °C",
        )  # fmt: skip
        told = {
            "stock_kg": found.stock.value / 1000,
            "stock_L": found.stock_volume.value / 1000,
            "water_kg": found.water.value / 1000,
            "water_L": found.water_volume.value / 1000,
            "contraction_mL": found.contraction.value,
            "naive_strength_abv": found.naive_strength.value,
            "naive_volume_L": found.naive_volume.value / 1000,
        }

        assert told == {name: digits(expect("S1")[name]) for name in told}
        assert all(rerun(one) == one.value for one in found.answers)

    def test_measured_warm_by_volume_the_spirit_falls_short(self) -> None:
        cool, warm = (
            diluted(have="96.0 % v/v", want="70.0 % v/v", amount="5.000 L", temperature=temperature)
            for temperature in ("20 °C", "30 °C")
        )
        per_ml = [one.stock.value / one.stock_volume.value for one in (cool, warm)]

        assert 100 * (1 - per_ml[1] / per_ml[0]) == digits(expect("S1")["short_mass_pct_if_measured_at_30C"])


class TestS5BackTitrationOfBark:
    WITHIN = 0.005  # per cent, as the story states

    @pytest.mark.parametrize(
        ("what", "name"), [(AS_IS_MEAN, "as_is_pct"), (DRIED_MEAN, "dried_pct"), (DRIED, "as_quinine")]
    )
    def test_the_results_of_cin_01(self, told: Laboratory, what: str, name: str) -> None:
        with told.look() as look:
            (entry,) = look.results("CIN-01", what)
        shown = number_labelled(show_lot(told, "CIN-01"), what)

        assert entry.body.counts
        assert entry.body.value == pytest.approx(expect("S5")[name], abs=self.WITHIN)
        assert float(shown.value) == pytest.approx(expect("S5")[name], abs=self.WITHIN + 0.005)
        assert exact_in_json(show_lot(told, "CIN-01"), what) == entry.body.value

    def test_the_alkaloids_found_are_those_of_the_story(self, told: Laboratory) -> None:
        with told.look() as look:
            answer = from_trail(look.results("CIN-01", AS_IS_MEAN)[-1].body.trail)
        (found,) = [one for one in walk(answer) if one.unit == "mg"]

        assert found.value == digits(expect("S5")["mg"])

    def test_the_dried_content_carries_its_expanded_uncertainty(self, told: Laboratory) -> None:
        with told.look() as look:
            body = look.results("CIN-01", DRIED_MEAN)[-1].body

        # The story leaves the repeatability of the method out: its U is that of the readings alone. With the usual 2 %
        # of one portion, known by fourteen degrees of freedom (t = 2.145), the content is known to some 0.34.
        found = budget_of(from_trail(body.trail)).contributions
        readings = math.hypot(
            *(one.contribution for one in found if not one.name.startswith("repeatability"))
        )
        assert 2.0 * readings == digits(expect("S5")["U_k2"])
        assert body.coverage_factor == pytest.approx(2.145, abs=0.02)
        assert body.coverage_factor * body.standard_uncertainty == pytest.approx(
            2.145 * 0.0203 * 7.873, rel=0.02
        )

    def test_what_leaving_the_blank_out_would_have_said_is_told(self, told: Laboratory) -> None:
        with told.look() as look:
            because = look.results("CIN-01", DRIED_MEAN)[-1].body.because

        assert f"it would have said {expect('S5')['without_blank']} %" in because


class TestS6DoseByAssay:
    def test_the_dose_of_t1_with_both_readings_of_meets_it(self, extracted: Laboratory) -> None:
        found = work_out_dose(extracted, "T1", "E1", scale="SCALE-2")

        assert found.chosen.exact.value == pytest.approx(
            expect("S6")["extract_g"], abs=0.01
        )  # as the story states
        assert found.mass.value == pytest.approx(round(expect("S6")["extract_g"], 2), abs=1e-9)
        assert found.content.answer.value == pytest.approx(given("S6")["target_pct"], abs=0.0005)
        assert found.chosen.upper.value == pytest.approx(0.103, abs=0.0005)
        assert found.judged.verdict == "within"

    def test_to_be_95_per_cent_sure_of_the_aim_takes_more_the_less_is_known(
        self, extracted: Laboratory, tmp_path: Path
    ) -> None:
        # The story takes the doubt as well known (normal, 1.645 of it); sixteen earlier portions know it less
        # well, which Student's t of their degrees of freedom pays for.
        first = work_out_dose(extracted, "T1", "E1", scale="SCALE-2")
        strength = first.strength.answer
        factor = float(student_t.ppf(0.95, strength.degrees_of_freedom))
        with opened(copied(tmp_path, of=extracted_folder)) as lab:
            keep_earlier_portions(
                lab, "bark-extract", EARLIER_EXTRACTS * 40, carrier="extract", by="MA", at=later(1)
            )
            factor_titrant(
                lab, "NAOH-01", strength="0.0200 mol/L", factor="1.004", factor_standard_uncertainty="0.002",
                by="TO", at=later(2),
            )  # fmt: skip
            titrate(
                lab, "E1",
                portions=[("0.2000 g", "8.42 mL"), ("0.2000 g", "8.16 mL"), ("0.2000 g", "8.23 mL")],
                blank="20.06 mL", titrant="NAOH-01", scale="SCALE-3", burette="BUR-1", by="TO", at=later(2),
            )  # fmt: skip
            again = work_out_dose(lab, "T1", "E1", scale="SCALE-2")

        assert first.option("aim at least").exact.value == pytest.approx(
            5.0 / (strength.value - factor * strength.standard_uncertainty) * 100, rel=1e-9
        )
        # The portions are weighed on one scale, whose error they share; by itself each would give 13.36.
        assert again.option("aim at least").exact.value == pytest.approx(13.36, abs=0.02)
        assert again.option("aim at least").exact.value < first.option("aim at least").exact.value

    def test_the_extract_was_assayed_as_the_story_says(self, told: Laboratory) -> None:
        with told.look() as look:
            body = look.results("E1", AS_IS)[-1].body

        assert body.value == digits(given("S6")["strength_pct"])
        # The story's k is 2; here it is Student's of the earlier portions.
        assert 2.0 * body.standard_uncertainty == digits(given("S6")["U_k2"])
        assert body.coverage_factor > 2.0

    def test_the_upper_bound_is_held_against_the_ceiling(self, extracted: Laboratory) -> None:
        chosen = work_out_dose(extracted, "T1", "E1", scale="SCALE-2").chosen

        # The story's k is 2; sixteen earlier portions know the spread less well, and k is Student's.
        content = chosen.content.answer
        assert content.value + 2.0 * content.standard_uncertainty == pytest.approx(
            expect("S6")["upper_pct"], abs=0.0001
        )
        assert chosen.top.value == content.value + chosen.content.k * content.standard_uncertainty
        assert chosen.content.k > 2.0
        assert chosen.upper.value < given("S6")["limit_pct"]

    def test_the_next_lot_takes_more_and_the_old_weight_would_be_weak(self, extracted: Laboratory) -> None:
        found = work_out_dose(
            extracted, "T1", "E1", scale="SCALE-2", next_strength=f"{given('S6')['next_lot_pct']} %"
        )

        assert found.what_if.mass.value == pytest.approx(expect("S6")["next_lot_g"], abs=0.01)
        assert found.what_if.old_mass_gives.value == digits(expect("S6")["old_weight_new_lot_pct"])

    def test_a_strength_of_the_dried_extract_takes_more(self, extracted: Laboratory) -> None:
        story = given("S6")
        found = work_out_dose(
            extracted, "T1", "E1", scale="SCALE-2", next_strength=f"{story['strength_pct']} % dried",
            next_loss_on_drying=f"{story['lod_pct']} %",
        )  # fmt: skip

        assert found.what_if.mass.value == pytest.approx(expect("S6")["if_dried_basis_g"], abs=0.01)

    def test_a_fixed_share_of_extract_is_blocked(self, extracted: Laboratory) -> None:
        blocked = f"{expect('S6')['mass_rule_0p6_pct']:.3f}"

        with pytest.raises(NotAllowed, match=r"at most 0\.2 % as quinine base") as refused:
            work_out_share(extracted, "T1", "E1", "0.6 %")
        content, _ = work_out_share(extracted, "T1", "E1", "0.3 %")
        assert f"{2 * content.answer.value:.3f}" == blocked
        assert "upper bound" in refused.value.sentence

    def test_the_book_kept_the_dose_and_the_sheet_and_the_json_show_it(self, told: Laboratory) -> None:
        with told.look() as look:
            body = look.doses("T1")[-1].body
        row = row_of(document("batch-sheet-T1"), "Weighed", "extract")

        assert body.mass_g == pytest.approx(13.02, abs=1e-9)
        assert (row["Planned, g"], row["Actual, g"]) == ("13.02", "13.02")
        assert "13.02 g of E1 for 5000 g of bulk" in json.dumps(page_json(document("batch-sheet-T1")))


class TestS7BasePartition:
    @pytest.mark.parametrize("ph", ["9.5", "7.0"])
    def test_shaking_out_at_the_bench(self, ph: str) -> None:
        story, wanted = given("S7"), expect("S7")[f"pH{ph}"]
        asked = {
            "pka": f"{story['pKa']}", "partition-ratio": f"{story['P']}", "ph": ph,
            "water": f"{story['aq_mL']} mL", "solvent": f"{story['solvent_mL']} mL", "portions": "3",
        }  # fmt: skip
        found = answered("shake", asked, date(2026, 11, 29)).found

        assert found.distribution.value == digits(wanted["D"])
        assert found.at_once.value == digits(wanted["one"])
        assert found.in_portions.value == digits(wanted["three"])


class TestS12RecallWithClosure:
    def test_the_trace_of_e1_is_exact(self, told: Laboratory) -> None:
        found, wanted = trace(told, "E1"), expect("S12")
        (extract,) = [one for one in found.down if one.lot.code == "E1"]

        assert found.units_made == wanted["units"]
        assert found.units_with_customers == wanted["with_customers"]
        assert found.units_on_shelf == wanted["blocked"]
        assert found.units_retained == wanted["retained"]
        assert found.closes is wanted["closes"]
        assert extract.came == round(given("S12")["extract_lot_g"] * 1_000_000)
        assert extract.shelf == round(wanted["book_g"] * 1_000_000)
        assert extract.unexplained == round(wanted["unexplained_g"] * 1_000_000)
        assert extract.unexplained_percent == digits(wanted["unexplained_pct_of_lot"])
        assert {place: amount / 1e6 for place, amount in extract.went} == {
            f"batch/{batch}": grams for batch, grams in given("S12")["used_g"].items()
        }

    @pytest.mark.parametrize("lot", ["T1", "T2"])
    def test_each_tonic_has_the_bottles_of_the_story(self, told: Laboratory, lot: str) -> None:
        row = row_of(show_trace(told, "E1"), "Lot", lot)
        story = given("S12")

        assert row["Filled"] == str(story["units"][lot])
        assert row["With customers"] == str(story["sold"][lot])
        assert row["Retained"] == str(story["retained"][lot])
        assert row["On the shelf"] == str(story["stock"][lot])

    def test_the_bottles_filled_are_told_as_a_share_of_those_possible(self, told: Laboratory) -> None:
        # 51 of the 52.7 bottles that 5.000 kg can fill.
        with told.look() as look:
            share = look.results("T1", "fill yield")[-1].body.value

        assert share == pytest.approx(100 * 51 / 52.7, abs=0.1)

    def test_the_trace_is_the_same_from_both_ends(self, told: Laboratory) -> None:
        down = {one.lot.code for one in trace(told, "CIN-01").down}
        up = {one.lot.code for one in trace(told, "T2").up}

        assert {"E1", "T1", "T2"} <= down
        assert {"CIN-01", "E1"} <= up
