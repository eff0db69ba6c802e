"""A sheet on A4 and on Letter, and a certificate as one picture: the same words, whatever it is set on."""

import re
from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.as_sheet import LARGEST_PICTURE_BYTES, PICTURE_PAPER, page_pdf, page_picture
from stillroom.errors import UnknownName
from stillroom.pages.release import show_certificate, show_label
from stillroom.texts.catalogue import speaking
from tests.practice import told  # noqa: F401

POINTS_PER_MM = 72 / 25.4


def words(pdf: bytes) -> set[str]:
    """Every word and figure that stands on the sheets, without the counting of pages."""
    said = " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return set(re.findall(r"[^\W\d_]{4,}|\d[\d.]*\d", re.sub(r"page \d+ of \d+", "", said)))


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    [
        ("a4", 210.0, 297.0),  # ISO 216; from-memory
        ("letter", 215.9, 279.4),  # ANSI/ASME Y14.1, size A; from-memory
    ],
)
def test_a_sheet_is_set_on_the_paper_that_was_chosen(told: Laboratory, paper, width_mm, height_mm) -> None:  # noqa: F811
    box = PdfReader(BytesIO(page_pdf(show_certificate(told, "T1"), paper=paper))).pages[0].mediabox

    assert float(box.width) == pytest.approx(width_mm * POINTS_PER_MM, abs=0.5)
    assert float(box.height) == pytest.approx(height_mm * POINTS_PER_MM, abs=0.5)


def test_a_paper_nobody_sells_is_told(told: Laboratory) -> None:  # noqa: F811
    with pytest.raises(UnknownName, match="a paper"):
        page_pdf(show_certificate(told, "T1"), paper="lettre")


def test_a_certificate_is_one_picture_that_a_message_carries(told: Laboratory) -> None:  # noqa: F811
    page = show_certificate(told, "T1")
    picture = page_picture(page)
    drawn = Image.open(BytesIO(picture))

    assert drawn.format == "PNG"
    assert len(picture) < LARGEST_PICTURE_BYTES == 300_000
    assert 720 <= drawn.width <= 1080
    assert drawn.height > drawn.width
    assert drawn.convert("L").getextrema() == (0, 255)
    assert picture == page_picture(page)


def test_the_picture_says_what_the_sheet_says(told: Laboratory) -> None:  # noqa: F811
    page = show_certificate(told, "T1")
    on_a_phone, on_paper = words(page_pdf(page, paper=PICTURE_PAPER)), words(page_pdf(page))

    assert {"Practice", "invented", "Certificate", "Dragendorff", "0.1000"} <= on_paper
    assert on_a_phone == on_paper
    assert len(PdfReader(BytesIO(page_pdf(page, paper=PICTURE_PAPER))).pages) == 1


def test_a_label_speaks_french_with_a_comma_and_the_shares_of_the_trade(told: Laboratory) -> None:  # noqa: F811
    with speaking("fr"):
        page = show_label(told, "T1")
        sheet = PdfReader(BytesIO(page_pdf(page))).pages[0].extract_text().replace("\u00a0", " ")

    face = " ".join((*page.blocks[0].lines, *page.blocks[0].small)).replace("\u00a0", " ")
    assert "0,095 % m/m" in face
    assert "Ingrédients : Aqua" in face
    assert "À utiliser de préférence avant le 2027-09-30" in face
    assert not re.search(r"\d\.\d|Batch|Keep|Flammable\.|At least|Best before", face)
    assert "Laboratoire d’exercice : données inventées" in sheet
    assert "Vraie grandeur : 90" in sheet
    assert "At least 0.095 % w/w" in " ".join(show_label(told, "T1").blocks[0].lines)
