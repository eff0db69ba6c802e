"""A document on paper, as text and as data says the same, and the same paper comes out twice."""

import io
import json
import re
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.as_json import page_json
from stillroom.documents.as_sheet import page_pdf, page_pictures
from stillroom.documents.as_text import SIGNS, page_text
from stillroom.documents.blocks import Mark, Table
from stillroom.documents.typesetting import SHEETS
from stillroom.pages.printing import documents_of
from tests.practice import document, printed, words_of_pdf

DOCUMENTS = (
    "plan-ORD-1", "batch-sheet-E1", "batch-sheet-T1", "certificate-E1", "certificate-T1", "label-T1", "trace-E1",
    "certificate-T1-whole", "spirit-2026-11",
)  # fmt: skip
FIGURE = re.compile(r"(?<![\w.])\d+(?:[.,:]\d+)*")
MARGIN_MM = 10


def figures(text: str) -> set[str]:
    return set(FIGURE.findall(text))


def test_these_are_the_documents_the_book_can_print(told: Laboratory) -> None:
    others = {"plan-ORD-2", "batch-sheet-T2", "certificate-T2", "label-T2"}
    others |= {"certificate-E1-whole", "certificate-T2-whole"}

    assert set(DOCUMENTS) | others == set(documents_of(told))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_figure_of_the_text_is_on_the_paper(name: str) -> None:
    in_text = figures(page_text(document(name)))

    assert len(in_text) > 5
    assert in_text - figures(words_of_pdf(printed(name))) == set()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_word_of_the_text_is_on_the_paper(name: str) -> None:
    # Underlines and rules are drawn on paper; letters of notes may follow a word there.
    words = set(re.findall(r"[^\W\d_]{4,}", page_text(document(name)).replace("[code]", "")))
    paper = words_of_pdf(printed(name)).lower()

    assert {word for word in words if word.lower() not in paper} == set()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_figure_of_the_data_is_in_the_text(name: str) -> None:
    found: list[str] = []

    def walk(one: Any) -> None:
        if isinstance(one, dict):
            if {"value", "plus_minus", "unit"} <= set(one):
                found.append(one["value"])
            for below in one.values():
                walk(below)
        elif isinstance(one, list):
            for below in one:
                walk(below)

    walk(json.loads(json.dumps(page_json(document(name)))))

    assert set(found) - figures(page_text(document(name))) == set()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_same_document_is_the_same_file_twice(name: str) -> None:
    assert page_pdf(document(name)) == printed(name)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_sheet_says_that_it_is_invented_and_which_book_it_is_of(name: str) -> None:
    pages = PdfReader(io.BytesIO(printed(name))).pages

    for number, page in enumerate(pages, start=1):
        text = " ".join(page.extract_text().split())
        assert "Practice laboratory: invented data" in text
        assert f"page {number} of {len(pages)}" in text
        assert document(name).book in text


@pytest.mark.parametrize("name", DOCUMENTS)
def test_nothing_reaches_the_edge_of_the_paper_and_no_sheet_is_nearly_empty(name: str) -> None:
    for picture in page_pictures(document(name), ppi=60):
        sheet = Image.open(io.BytesIO(picture)).convert("L")
        edge = round(MARGIN_MM / 25.4 * 60)
        width, height = sheet.size
        sides = [
            sheet.crop((0, 0, edge, height)), sheet.crop((width - edge, 0, width, height)),
            sheet.crop((0, height - edge // 2, width, height)),
        ]  # fmt: skip

        assert [side.getextrema()[0] for side in sides] == [255, 255, 255]
        assert sum(sheet.histogram()[:160]) > 0.004 * width * height


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_state_is_a_sign_and_a_word_and_never_a_colour_alone(name: str) -> None:
    text = page_text(document(name))
    marks = [
        cell.word
        for block in document(name).blocks
        if isinstance(block, Table)
        for row in block.rows
        for cell in row
        if isinstance(cell, Mark)
    ]

    for word in (*marks, *filter(None, [document(name).status])):
        assert f"{SIGNS.get(word, '·')} {word}" in text


def test_a_state_has_the_same_sign_on_paper_and_in_text() -> None:
    listed = re.search(r"#let signs = \((.*)\)", (SHEETS / "style.typ").read_text())

    assert listed
    assert dict(re.findall(r'"?(\w[\w ]*)"?: "(.)"', listed[1])) == SIGNS
