"""A residue that nobody tested is written, and the certificate says so."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_entry
from stillroom.actions.testing.residue import leave_residue_untested, report_residue
from stillroom.documents.as_text import page_text
from stillroom.pages.stock import show_lot


def test_that_a_residue_was_not_tested_is_written_without_any_reagent(lab: Laboratory) -> None:
    done = leave_residue_untested(lab, "E1", why="no laboratory near", by="TO")

    assert "will say: residue not tested" in done.says
    assert "not tested: no laboratory near" in page_text(show_lot(lab, "E1"))


@pytest.mark.parametrize("below", ["", "yes"])
def test_a_corrected_residue_is_held_against_its_limit_again_in_words_of_its_own(
    lab: Laboratory, below: str
) -> None:
    # ICH Q3C, ethyl acetate: class 3, 5000 ppm and more only where justified.
    said = {"solvent": "ethyl acetate", "found": "310 mg/kg", "uncertainty": "31 mg/kg", "report": "R-1"}
    read_no = report_residue(lab, "E1", **said, below=below, by="TO").entries[0]
    with lab.look() as look:
        before = look.results("E1", "solvent residue")[-1].body
    correct_entry(lab, read_no, "9310 mg/kg", why="a figure left out", by="TO")
    with lab.look() as look:
        after = look.results("E1", "solvent residue")[-1].body

    assert before.because.startswith("within: ")
    assert after.because.startswith("over: ")
    assert "9310" in after.because
    assert "limit 5000 mg/kg" in after.because
