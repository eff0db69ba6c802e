"""What a person typed is printed as text, the same sheet is the same file, nothing is lost in silence."""

import io
import unicodedata
from datetime import date
from typing import Any

import pytest
import typst
from PIL import Image, ImageFont
from pypdf import PdfReader

from stillroom.documents.font_letters import FONTS, letters_of_sheets, printable_letters
from stillroom.documents.typesetting import SHEETS, compile_pdf, png_pages, sheet_names
from stillroom.errors import BadEntry, UnknownName

DAY = date(2026, 5, 24)
MM_PER_POINT = 25.4 / 72


def page(*blocks: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "title": "Batch", "kind": "batch sheet", "code": "BAT-07", "laboratory": "Invented laboratory",
        "lead": "", "date": "2026-05-24", "book": "9f3a 11c2", "practice": True, "status": "waiting",
        "blocks": list(blocks),
    } | more  # fmt: skip


def prose(text: str) -> dict[str, Any]:
    return {"block": "Prose", "text": text, "quiet": False}


def shown(value: str, **more: str) -> dict[str, Any]:
    return {
        "label": "Marc", "value": value, "plus_minus": "", "span": "", "unit": "g", "basis": "",
        "how": "", "leaves": [],
    } | more  # fmt: skip


def read(data: dict[str, Any]) -> str:
    pages = PdfReader(io.BytesIO(compile_pdf("page", data, document_date=DAY))).pages
    return "\n".join(one.extract_text() for one in pages)


def joined(text: str) -> str:
    return "".join(text.replace("\u200b", "").split())


HOSTILE = [
    '#panic("no")',
    "#import \"style.typ\"; $x^2$ *bold* _soft_ `raw` @cite <label> // gone",
    r"\ \\ \u{41} \# ~ -- ---",
    '"]) #let x = 1; {"blocks": []}',
    "= Heading\n- item\n+ item\n/ term: words",
    "#read(\"/etc/passwd\")",
]  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE)
def test_what_a_person_typed_is_printed_and_never_obeyed(words: str):
    found = joined(read(page(prose(words), title=words, code=words, lead=words)))

    assert found.count(joined(words)) >= 4


def test_hostile_words_in_a_table_a_number_and_a_caution_are_text_too():
    words = "#panic() $ * \\"
    found = joined(
        read(
            page(
                {"block": "Table", "head": [words, "n"], "rows": [[words, shown("1.5")]], "figures": [1]}
                | {"caption": words},
                {"block": "Numbers", "items": [shown("2.5", label=words, basis=words, how=words)]},
                {"block": "Caution", "hazard": words, "moment": words, "wording": words},
                {"block": "PenLines", "labels": [words]},
            )
        )
    )  # fmt: skip

    assert found.count(joined(words)) >= 10


def test_the_same_sheet_on_the_same_day_is_the_same_file():
    data = page(prose("Press the marc."), {"block": "Numbers", "items": [shown("412.0", how="Weighed.")]})

    once, again = (compile_pdf("page", data, document_date=DAY) for _ in range(2))

    assert once == again
    assert once != compile_pdf("page", data, document_date=date(2026, 5, 25))


def test_a_word_longer_than_the_line_is_broken_and_stays_on_the_page():
    word = "dihydrocinchonidine" * 20
    pdf = PdfReader(io.BytesIO(compile_pdf("page", page(prose(word)), document_date=DAY)))
    picture = Image.open(
        io.BytesIO(png_pages("page", page(prose(word)), document_date=DAY, ppi=72)[0])
    ).convert("L")
    right_edge = picture.crop((picture.width - round(15 / MM_PER_POINT), 0, picture.width, picture.height))

    assert word in joined(pdf.pages[0].extract_text())
    assert right_edge.getextrema()[0] == 255


@pytest.mark.parametrize(
    ("sign", "told"),
    [("🌿", "⟨U+1F33Fherb⟩"), ("\u202e", "⟨U+202Eright-to-leftoverride⟩"), ("\x07", "⟨U+0007⟩"),
     ("\ud800", "⟨U+D800⟩"), ("한", "⟨U+D55Changulsyllablehan⟩")],
)  # fmt: skip
def test_a_letter_that_no_font_can_draw_is_printed_as_its_code_point_and_name(sign: str, told: str):
    assert f"Mint{told}" in joined(read(page(prose(f"Mint {sign}"))))


@pytest.mark.parametrize(
    "name", ["قرّاص", "סרפד", "薬草", "बिच्छू", "крапива", "τσουκνίδα", "Ḍaṇḍā", "どくだみ"]
)
def test_a_name_in_any_of_these_scripts_is_drawn_in_letters(name: str):
    drawn = png_pages("page", page(prose(name)), document_date=DAY)[0]
    boxes = png_pages("page", page(prose("\N{WHITE SQUARE}" * len(name))), document_date=DAY)[0]

    assert all(ord(one) in letters_of_sheets() for one in name)
    assert drawn != boxes
    assert "U+" not in read(page(prose(name)))


def test_every_sign_the_sheets_use_has_a_letter_in_the_fonts():
    signs = "±×°−≥≤→µμ½¼¾·…–—✓✕■◦◊□▲§₂³²·'’“”éüßñøåçλΩДж"

    assert [one for one in signs if ord(one) not in printable_letters()] == []


def test_the_letters_read_from_the_font_are_those_another_reader_finds():
    # FreeType, through Pillow, draws the box of a missing letter for exactly the letters not in the file.
    font = ImageFont.truetype(FONTS / "stillroom-sans-regular.ttf", 40, layout_engine=ImageFont.Layout.BASIC)
    box = bytes(font.getmask("\U0001f33f"))
    drawn = {one for one in range(0x21, 0x3000) if bytes(font.getmask(chr(one))) != box}

    assert len(box) > 0
    assert {one for one in printable_letters() if 0x21 <= one < 0x3000} <= drawn
    assert {
        one for one in drawn if unicodedata.category(chr(one)) not in ("Cf", "Cc", "Zs", "Zl", "Zp", "Mn")
    } <= {*printable_letters()}


def test_only_the_fonts_shipped_are_known_to_the_setter():
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])

    assert fonts.families() == [
        "DejaVu Sans", "Droid Sans Fallback", "Lohit Devanagari",
        "Stillroom Mono", "Stillroom Sans", "Stillroom Serif",
    ]  # fmt: skip


def test_a_sheet_says_the_laboratory_is_for_practice_only_when_it_is():
    assert "Practice laboratory: invented data" in read(page(practice=True))
    assert "invented data" not in read(page(practice=False))


def test_each_page_tells_its_number_of_how_many_and_the_book():
    pages = PdfReader(
        io.BytesIO(compile_pdf("page", page(*[prose("Stir.\n" * 12)] * 12), document_date=DAY))
    ).pages

    assert len(pages) > 1
    for number, one in enumerate(pages, start=1):
        text = " ".join(one.extract_text().split())
        assert f"page {number} of {len(pages)}" in text
        assert "9f3a 11c2" in text


def test_the_reason_of_a_number_stands_at_the_foot_of_the_page():
    leaf = {"kind": "reading", "text": "entry 41", "href": ""}
    number = shown("132.4", plus_minus="9.8", how="Solved for the order.") | {"leaves": [leaf]}

    found = " ".join(read(page({"block": "Numbers", "items": [number]})).split())

    assert "132.4 ± 9.8 g" in found
    assert "Solved for the order. Read: entry 41." in found


def test_a_reason_that_two_numbers_share_stands_once():
    items = [
        shown("1.5", how="Weighed twice."),
        shown("2.5", how="Weighed twice."),
        shown("3.5", how="Counted."),
    ]
    found = read(page({"block": "Numbers", "items": items}))

    assert found.count("Weighed twice.") == 1
    assert found.count("Counted.") == 1


def test_a_drawing_taller_than_its_page_stays_beneath_the_title():
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 400"><rect width="100" height="400"/></svg>'
    )
    drawn = {"block": "River", "wide_svg": svg, "words": "A tall one."}

    assert len(PdfReader(io.BytesIO(compile_pdf("page", page(drawn), document_date=DAY))).pages) == 1


def label(**more: Any) -> dict[str, Any]:
    return {
        "block": "LabelFace", "width_mm": 70, "height_mm": 50, "title": "Tonic",
        "lines": ["100 mL"], "small": ["Aqua."],
        "code": "BAT-07", "copy_by_pen": ["BAT-07"],
    } | more  # fmt: skip


def test_a_label_is_drawn_at_its_true_size():
    sheet = page(label(), practice=False)
    picture = Image.open(io.BytesIO(png_pages("page", sheet, document_date=DAY, ppi=254)[0])).convert("L")
    plain = Image.open(
        io.BytesIO(png_pages("page", page(practice=False), document_date=DAY, ppi=254)[0])
    ).convert("L")
    width, height = picture.size
    dark_rows = [
        row
        for row in range(height)
        if sum(picture.crop((220, row, 920, row + 1)).histogram()[:140]) > 600
        and sum(plain.crop((220, row, 920, row + 1)).histogram()[:140]) < 300
    ]

    assert width == 2100
    assert dark_rows[-1] - dark_rows[0] == pytest.approx(500, abs=6)


def test_a_label_with_more_words_than_room_is_refused():
    with pytest.raises(BadEntry, match="words of a label must fit"):
        compile_pdf("page", page(label(small=["Aqua, Alcohol, Glycerin. " * 200])), document_date=DAY)


def test_data_that_is_not_json_is_refused():
    with pytest.raises(BadEntry, match="must be JSON"):
        compile_pdf("page", page(prose("x"), mass_g=float("nan")), document_date=DAY)


def test_an_unknown_sheet_is_refused_with_the_known_ones():
    with pytest.raises(UnknownName, match=r"'pag' is not a sheet known here.*Did you mean 'page'"):
        compile_pdf("pag", page(), document_date=DAY)


def test_the_style_is_no_sheet_of_its_own():
    assert (SHEETS / "style.typ").exists()
    assert "style" not in sheet_names()
