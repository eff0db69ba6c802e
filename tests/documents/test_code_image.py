"""A scannable code is read back from its own print by a reader of other people (ZXing)."""

from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from stillroom.documents.code_image import MOST_MODULES, QUIET_MODULES, qr_modules, qr_svg
from stillroom.errors import BadEntry


def printed(svg: str, side_mm: float, ppi: float) -> Image.Image:
    """The drawing set on paper by Typst, as a picture in greys."""
    import typst

    page = f"""#set page(width: {side_mm}mm, height: {side_mm}mm, margin: 0mm)
#image(bytes(sys.inputs.at("svg")), format: "svg", width: {side_mm}mm)"""
    png = typst.compile(page.encode(), format="png", ppi=ppi, sys_inputs={"svg": svg})
    assert isinstance(png, bytes)
    return Image.open(BytesIO(png)).convert("L")


def read_by_zxing(picture: Image.Image) -> list[str]:
    import zxingcpp

    return [found.text for found in zxingcpp.read_barcodes(picture)]


@pytest.mark.parametrize(
    "text",
    [
        "CIN-01",
        "T1",
        "http://127.0.0.1:8000/lots/CIN-01",
        "lot CIN-01 · 39.20 g",
        "Größe µ 20 °C",
        "薬草-7",
        "x" * 120,
    ],
)
def test_a_printed_code_is_read_back(text):
    assert read_by_zxing(printed(qr_svg(text), side_mm=24, ppi=300)) == [text]


def test_the_code_of_a_lot_is_read_from_a_label_of_15_mm_on_a_coarse_printer():
    assert read_by_zxing(printed(qr_svg("CIN-01"), side_mm=15, ppi=150)) == ["CIN-01"]


def test_a_scratched_label_is_still_read():
    picture = printed(qr_svg("CIN-01"), side_mm=15, ppi=300)
    picture.paste(255, (85, 95, 105, 115))

    assert read_by_zxing(picture) == ["CIN-01"]


@pytest.mark.parametrize("text", ["CIN-01", "http://127.0.0.1:8000/lots/CIN-01"])
def test_every_module_is_printed_dark_or_light_to_its_edge_without_hairlines(text):
    modules = np.array(qr_modules(text))
    side = len(modules)
    grey = np.asarray(printed(qr_svg(text), side_mm=side, ppi=25.4 * 7)).astype(int)
    dark = np.kron(modules, np.ones((7, 7), dtype=bool))

    assert grey.shape == dark.shape
    assert grey[dark].max() <= 1
    assert grey[~dark].min() >= 254


def test_a_short_code_has_21_modules_three_finders_and_a_quiet_zone_of_four():
    # ISO/IEC 18004: version 1 has 21 modules a side, finders of 7, a quiet zone of 4; from-memory.
    modules = np.array(qr_modules("CIN-01"))
    inside = modules[4:-4, 4:-4]
    finder = np.ones((7, 7), dtype=bool)
    finder[1:6, 1:6] = False
    finder[2:5, 2:5] = True

    assert modules.shape == (29, 29)
    assert modules.sum() == inside.sum()
    assert QUIET_MODULES == 4
    for corner in (inside[:7, :7], inside[:7, -7:], inside[-7:, :7]):
        assert (corner == finder).all()


def test_the_drawing_is_black_on_white_and_says_its_text():
    root = ElementTree.fromstring(qr_svg("<A&B>"))
    names = {"s": "http://www.w3.org/2000/svg"}

    assert root.get("viewBox") == "0 0 29 29"
    assert root.findtext("s:title", namespaces=names) == "<A&B>"
    assert [one.get("fill") for one in root.iter() if one.get("fill")] == ["#fff", "#000"]
    assert "width" not in root.attrib


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "needs a text"),
        ("x" * 400, "400 characters"),
        ("x" * 9000, "9000 characters"),
        ("\ud800", "can be seen"),
        ("a\nb", "can be seen"),
    ],
)
def test_what_no_label_can_carry_is_refused(text, sentence):
    with pytest.raises(BadEntry, match=sentence):
        qr_modules(text)


@given(st.text(st.characters(codec="utf-8").filter(str.isprintable), min_size=1, max_size=60))
@settings(max_examples=30)
def test_any_text_gives_a_square_code_with_a_clear_margin(text):
    modules = np.array(qr_modules(text))

    assert ElementTree.fromstring(qr_svg(text)) is not None
    assert modules.shape[0] == modules.shape[1] <= MOST_MODULES + 2 * QUIET_MODULES
    assert not modules[:4].any()
    assert not modules[-4:].any()
    assert not modules[:, :4].any()
    assert not modules[:, -4:].any()
