"""The label of a lot that may not leave opens: why, what to do, and the label as it was released, marked."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.releasing.deciding import stop
from stillroom.documents.as_sheet import page_pdf, page_pictures
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import LabelFace
from stillroom.pages.release import show_certificate, show_label, show_whole_certificate
from stillroom.pages.stock import show_lot
from stillroom.pages.tracing import show_trace
from tests.practice import words_of_pdf


def words_of(lab: Laboratory) -> str:
    return " ".join(page_text(show_label(lab, "T1")).split())


def suspend(lab: Laboratory, field: str, said: str) -> None:
    with lab.look() as look:
        (step,) = [one for one in look.steps("T1") if one.body.step == "blend"]
    put_right(lab, step.entry_no, {field: said}, why="misread", by="TO")


def faces(lab: Laboratory) -> list[LabelFace]:
    return [one for one in show_label(lab, "T1").blocks if isinstance(one, LabelFace)]


@pytest.mark.parametrize(
    ("field", "said"), [("mass extract", "14.02 g"), ("mass extract", "0.002 g"), ("lot extract", "GLY-01")]
)
def test_the_label_of_a_suspended_lot_says_why_and_shows_it_as_it_was_marked(
    lab: Laboratory, field: str, said: str
) -> None:
    before = faces(lab)
    suspend(lab, field, said)
    page = show_label(lab, "T1")
    words = words_of(lab)
    (face,) = faces(lab)

    assert page.status == "suspended"
    assert "It is suspended: " in page_text(show_lot(lab, "T1"))
    assert "T1 is suspended: this label may not be used" in words
    assert "→" in words
    assert "tell who has bottles" in words
    assert "The label as it was released" in words
    assert face.title == "SUSPENDED: Bark hair tonic"
    assert (face.lines, face.small) == (before[0].lines, before[0].small)
    assert face.copy_by_pen == ()
    assert "SUSPENDED" in words_of_pdf(page_pdf(page))


def test_the_label_of_a_stopped_lot_is_marked_too(lab: Laboratory) -> None:
    stop(lab, "T1", meaning="a complaint about the smell", by="MA")

    assert "T1 is stopped: this label may not be used" in words_of(lab)
    assert "a complaint about the smell" in words_of(lab)
    assert faces(lab)[0].title.startswith("STOPPED")


def test_the_papers_of_a_suspended_lot_say_so_and_ask_for_no_signature(lab: Laboratory) -> None:
    stop(lab, "PAN-01", meaning="its supplier calls it back", by="MA")
    customer, whole = show_certificate(lab, "T1"), show_whole_certificate(lab, "T1")

    for page in (customer, whole):
        words = " ".join(page_text(page).split())
        assert "Do not use or sell it until it is released again. What changed since revision 1:" in words
        assert "PAN-01: stopped: its supplier calls it back" in words
        assert "Signature" not in words
    assert len(page_pictures(customer, ppi=30)) == 1
    assert str(show_trace(lab, "T1").lead).startswith("T1 is suspended. 51 filled: 31 with customers")
