"""A residue that nobody tested is written, and the certificate says so."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.testing.residue import leave_residue_untested
from stillroom.documents.as_text import page_text
from stillroom.pages.stock import show_lot


def test_that_a_residue_was_not_tested_is_written_without_any_reagent(lab: Laboratory) -> None:
    done = leave_residue_untested(lab, "E1", why="no laboratory near", by="TO")

    assert "will say: residue not tested" in done.says
    assert "not tested: no laboratory near" in page_text(show_lot(lab, "E1"))
