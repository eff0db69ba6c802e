"""What was written wrongly is put right beside what it said, and everything that rests on it follows."""

from pathlib import Path
from typing import Any

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.results_kept import AS_IS, AS_IS_MEAN, DRIED, DRIED_MEAN
from stillroom.actions.correcting.entries import correct_reading, correct_weighing, put_right
from stillroom.actions.making.batches import do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.releasing.tracing import account_of
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.evidence.answer import leaves, rerun
from stillroom.evidence.trails import from_trail
from stillroom.pages.batches import show_batch
from stillroom.pages.entry import find_answer, show_entry
from stillroom.pages.stock import show_lot
from tests.practice import copied, extracted_folder, later, opened, row_of, words_of_pdf


def reading_of(lab: Laboratory, lot: str, what: str) -> Any:
    with lab.look() as look:
        return look.readings(lot, what)[-1]


def result_of(lab: Laboratory, lot: str, what: str) -> Any:
    with lab.look() as look:
        return look.results(lot, what)[-1]


def test_a_corrected_titre_reckons_all_four_results_again(lab: Laboratory) -> None:
    before = {what: result_of(lab, "CIN-01", what) for what in (AS_IS, AS_IS_MEAN, DRIED, DRIED_MEAN)}
    wrong = reading_of(lab, "CIN-01", "sample titre, portion 1")
    done = correct_reading(lab, wrong.entry_no, "8.62 mL", why="read a line too high", by="TO", at=later(1))
    after = {what: result_of(lab, "CIN-01", what) for what in before}

    # The blank is 20.06 mL.
    for what, old in before.items():
        assert after[what].body.value / old.body.value == pytest.approx(
            (20.06 - 8.62) / (20.06 - 8.42), rel=1e-12
        )
        assert after[what].corrects == old.entry_no
        assert done.entries[0] in {one.leaf.entry_no for one in leaves(from_trail(after[what].body.trail))}
        assert rerun(from_trail(after[what].body.trail)) == after[what].body.value
    assert done.says == (
        f"Entry {wrong.entry_no} said 8.42 mL; it now says 8.62 mL. 4 results were calculated again."
    )


def test_the_old_reading_and_the_old_results_stay_to_be_read(lab: Laboratory) -> None:
    wrong = reading_of(lab, "CIN-01", "sample titre, portion 1")
    old = result_of(lab, "CIN-01", AS_IS)
    correct_reading(lab, wrong.entry_no, "8.62 mL", why="read a line too high", by="TO", at=later(1))
    page = show_lot(lab, "CIN-01")
    said = row_of(page, "Entry", str(wrong.entry_no))
    now = row_of(page, "Entry", str(reading_of(lab, "CIN-01", "sample titre, portion 1").entry_no))

    assert said["What"] == "sample titre, portion 1 8.42 mL"
    assert said["Correction"].startswith("corrected by")
    assert now["What"] == "sample titre, portion 1 8.62 mL"
    assert now["Correction"] == f"corrects {wrong.entry_no}: read a line too high"
    answer, _ = find_answer(lab, str(old.entry_no))
    assert answer.value == old.body.value
    assert "Corrected by" in page_text(show_entry(lab, old.entry_no))
    paper = words_of_pdf(page_pdf(page))
    assert "8.42 mL" in paper
    assert "8.62 mL" in paper
    assert "read a line too high" in paper


def test_a_corrected_drying_reaches_the_assays_that_rest_on_it(lab: Laboratory) -> None:
    before = {what: result_of(lab, "CIN-01", what).body.value for what in (AS_IS, DRIED)}
    wrong = reading_of(lab, "CIN-01", "dish after drying 3")
    correct_reading(lab, wrong.entry_no, "33.0310 g", why="misread", by="TO", at=later(1))

    # 2.0000 g of sample: 1.8100 g were left, now 1.7900 g.
    assert result_of(lab, "CIN-01", DRIED).body.value / before[DRIED] == pytest.approx(1.81 / 1.79, rel=1e-9)
    assert result_of(lab, "CIN-01", AS_IS).body.value == before[AS_IS]


def test_a_corrected_factor_reaches_every_lot_it_was_used_for(lab: Laboratory) -> None:
    before = {lot: result_of(lab, lot, AS_IS).body.value for lot in ("CIN-01", "E1")}
    correct_reading(
        lab,
        reading_of(lab, "NAOH-01", "titrant factor").entry_no,
        "1.014",
        why="digits swapped",
        by="TO",
        at=later(1),
    )

    for lot, old in before.items():
        assert result_of(lab, lot, AS_IS).body.value / old == pytest.approx(1.014 / 1.004, rel=1e-12)


def test_a_result_stays_corrected_once_however_often_its_readings_are(lab: Laboratory) -> None:
    for at, text in ((1, "8.62 mL"), (2, "8.52 mL")):
        wrong = reading_of(lab, "CIN-01", "sample titre, portion 1")
        correct_reading(lab, wrong.entry_no, text, why="read again", by="TO", at=later(at))
    with lab.look() as look:
        standing = look.results("CIN-01", AS_IS)
        every = look.results("CIN-01", AS_IS, corrected=True)

    assert len(standing) == 1
    assert [one.corrected_by is None for one in every] == [False, False, True]
    assert standing[0].body.value / every[0].body.value == pytest.approx(
        (20.06 - 8.52) / (20.06 - 8.42), rel=1e-12
    )
    assert lab.book.verify().troubles == ()


def blend_of(lab: Laboratory, batch: str) -> Any:
    with lab.look() as look:
        (step,) = [one for one in look.steps(batch) if one.body.step == "blend"]
        return step


def test_a_corrected_weighing_moves_the_stock(lab: Laboratory) -> None:
    with lab.look() as look:
        before = {lot: account_of(look, lot).shelf for lot in ("GLY-01", "E1", "WAT-01")}
    step = blend_of(lab, "T2")
    done = correct_weighing(
        lab, step.entry_no, "glycerin", "67.80 g", why="digits swapped", by="TO", at=later(1)
    )
    with lab.look() as look:
        after = {lot: account_of(look, lot).shelf for lot in before}

    assert (after["GLY-01"] - before["GLY-01"]) / 1e6 == pytest.approx(76.80 - 67.80, abs=1e-9)
    assert {lot: after[lot] for lot in ("E1", "WAT-01")} == {lot: before[lot] for lot in ("E1", "WAT-01")}
    assert done.says == "glycerin of blend: said 76.80 g, now 67.80 g."


def test_both_values_and_the_reason_stand_on_the_sheet(lab: Laboratory) -> None:
    step = blend_of(lab, "T2")
    correct_weighing(lab, step.entry_no, "glycerin", "67.80 g", why="digits swapped", by="TO", at=later(1))
    page = show_batch(lab, "T2")
    row = row_of(page, "What", "glycerin of blend")
    paper = words_of_pdf(page_pdf(page))

    assert (row["Said"], row["Now says"], row["Why"]) == ("76.80 g", "67.80 g", "digits swapped")
    assert row["Entries"] == f"{step.entry_no}, now {blend_of(lab, 'T2').entry_no}"
    assert row_of(page, "Weighed", "glycerin")["Actual, g"] == "67.80"
    assert all(words in paper for words in ("76.80 g", "67.80 g", "digits swapped"))


def test_the_slip_told_in_the_story_is_on_the_sheet_of_t1(told: Laboratory) -> None:
    row = row_of(show_batch(told, "T1"), "What", "glycerin of blend")

    assert (row["Said"], row["Now says"]) == ("50.90 g", "50.00 g")
    assert "spoon" in row["Why"]
    assert (
        "Done 2026-11-16 10:30 by TO; at 20.5 °C; corrected 2026-11-16 10:45 by TO: read the display"
        in " ".join(page_text(show_batch(told, "T1")).split())
    )


def test_a_corrected_density_is_on_the_sheet_and_in_its_result(lab: Laboratory) -> None:
    before = result_of(lab, "T2", "density at 20 °C").body.value
    wrong = reading_of(lab, "T2", "bottle full of bulk")
    correct_reading(lab, wrong.entry_no, "133.30 g", why="drop on the pan", by="TO", at=later(1))
    row = row_of(show_batch(lab, "T2"), "What", "bottle full of bulk")

    assert (row["Said"], row["Now says"], row["Why"]) == ("133.12 g", "133.30 g", "drop on the pan")
    # 94.71 g of bulk, now 94.89 g, in the same bottle; air weighs a thousandth of either.
    assert result_of(lab, "T2", "density at 20 °C").body.value / before == pytest.approx(
        94.89 / 94.71, rel=1e-4
    )


def receipt_of(lab: Laboratory, lot: str) -> Any:
    with lab.look() as look:
        (found,) = [one for one in look.entries(kind="lot received") if one.body.lot.code == lot]
        return found


def test_a_receipt_of_less_than_was_used_is_kept_and_the_lot_says_that_its_shelf_must_be_counted(
    lab: Laboratory,
) -> None:
    with lab.look() as look:
        before = account_of(look, "GLY-01").shelf
    done = put_right(
        lab, receipt_of(lab, "GLY-01").entry_no, {"amount": "100 g"}, why="wrong jar", by="TO", at=later(1)
    )
    with lab.look() as look:
        less = account_of(look, "GLY-01")
    # 50.00 g and 76.80 g went into the two tonics.
    assert (less.shelf, less.beyond) == (0, 26_800_000)
    assert "The shelf holds less than the book thinks (GLY-01)" in done.says
    assert "26.80 g more were used than the book had" in page_text(show_lot(lab, "GLY-01"))
    assert lab.book.verify().troubles == ()

    put_right(
        lab,
        receipt_of(lab, "GLY-01").entry_no,
        {"amount": "950 g"},
        why="read the gross weight",
        by="TO",
        at=later(2),
    )
    with lab.look() as look:
        whole = account_of(look, "GLY-01")
    assert (whole.shelf, whole.beyond) == (before - 50_000_000, 0)
    assert "more were used than" not in page_text(show_lot(lab, "GLY-01"))
    assert lab.book.verify().troubles == ()


def test_swapped_lines_are_put_right_in_one_correction(lab: Laboratory) -> None:
    step = blend_of(lab, "T2")
    put_right(
        lab,
        step.entry_no,
        {"mass glycerin": "38.40 g", "mass panthenol": "76.80 g"},
        why="two lines swapped",
        by="TO",
        at=later(1),
    )
    with lab.look() as look:
        moved = {one.lot: one.amount for one in look.steps("T2")[0].body.movements}

    assert (moved["GLY-01"], moved["PAN-01"]) == (38_400_000, 76_800_000)
    assert lab.book.verify().troubles == ()


def test_a_lot_taken_by_mistake_is_put_right_and_both_shelves_follow(lab: Laboratory) -> None:
    step = blend_of(lab, "T2")
    with lab.look() as look:
        before = {lot: account_of(look, lot).shelf for lot in ("GLY-01", "PAN-01")}
    put_right(lab, step.entry_no, {"lot glycerin": "PAN-01"}, why="wrong jar", by="TO", at=later(1))
    with lab.look() as look:
        after = {lot: account_of(look, lot) for lot in before}

    row = row_of(show_batch(lab, "T2"), "What", "glycerin of blend")
    assert (row["Said"], row["Now says"]) == ("76.80 g, GLY-01", "76.80 g, PAN-01")
    assert after["GLY-01"].shelf - before["GLY-01"] == 76_800_000
    assert before["PAN-01"] + after["PAN-01"].beyond - after["PAN-01"].shelf == 76_800_000
    assert lab.book.verify().troubles == ()


def test_a_corrected_step_keeps_its_place_and_the_time_it_was_done(lab: Laboratory) -> None:
    with lab.look() as look:
        order = [one.body.step for one in look.steps("E1")]
        first = look.steps("E1")[0]
        made_on = look.received_at("E1")
        last = look.steps("E1")[-1]
    for entry, field, text in ((first, "temperature", "21 °C"), (last, "note", "looked at again")):
        put_right(lab, entry.entry_no, {field: text}, why="written wrongly", by="TO", at=later(1))
    with lab.look() as look:
        assert [one.body.step for one in look.steps("E1")] == order
        assert look.steps("E1")[0].done_at == first.done_at
        assert look.received_at("E1") == made_on


def test_a_corrected_slip_says_so_in_the_deviation_that_was_written_with_it(tmp_path: Path) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        _corrected(lab)


def _corrected(lab: Laboratory) -> None:
    with lab.look() as look:
        blend = look.procedure("hair-tonic").steps[0]
    decide_dose(lab, "T1", "E1", scale="SCALE-2", by="MA")
    masses = {
        "spirit": "1775 g",
        "glycerin": "500 g",
        "panthenol": "25 g",
        "extract": "13.02 g",
        "water": "3137 g",
    }
    lots = {
        "spirit": "SPI-01",
        "glycerin": "GLY-01",
        "panthenol": "PAN-01",
        "extract": "E1",
        "water": "WAT-01",
    }
    weighed = [Weighed(line, mass, lots[line], "SCALE-1") for line, mass in masses.items()]
    weighed.append(Weighed("bulk", "4975 g", "", "SCALE-1"))
    done = do_step(lab, "T1", blend.name, weighed, ticks=blend.ticks, note="the scale showed so", by="TO")
    with lab.look() as look:
        (before,) = look.deviations("T1")
    correct_weighing(lab, done.entries[0], "glycerin", "50 g", why="a nought too many", by="TO")
    with lab.look() as look:
        (after,) = look.deviations("T1")

    assert after.corrects == before.entry_no
    assert after.body.closed
    assert after.body.what == before.body.what
    assert after.body.done_about_it.startswith("the scale showed so; entry")
    assert "was corrected by entry" in after.body.done_about_it
    assert after.body.done_about_it.endswith("a nought too many")
