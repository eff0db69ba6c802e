"""A page as a PDF for paper: the same blocks, set by Typst, dated by the work and not by the printing."""

import re
from datetime import date
from typing import Any

from stillroom.documents.as_json import page_content
from stillroom.documents.blocks import LabelFace, Page, River, ScanCode, warns
from stillroom.documents.code_image import qr_svg
from stillroom.documents.typesetting import compile_pdf, png_pages
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.texts.catalogue import t

TEMPLATE = "page"
PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Papers a sheet can be printed on, and their names for the setter."""
PICTURE_PAPER = "picture"
"""One long narrow sheet, to be read on a phone."""
PICTURE_WIDTH_MM = 118.0
"""As in ``sheets/style.typ``. [mm]"""
PICTURE_GREYS = 4
"""Ink, paper and two between: letters stay smooth and the file small."""
LARGEST_PICTURE_BYTES = 300_000
WIDEST_READABLE_PX = 1000
"""A wider drawing would have letters below 6 pt across an A4 sheet. [px]"""


def page_pdf(page: Page, *, paper: str = "a4") -> bytes:
    """The page as PDF; the same page gives the same bytes.

    Parameters
    ----------
    paper : str
        Key of ``PAPERS``, or ``PICTURE_PAPER``.

    Raises
    ------
    UnknownName
        There is no such paper.
    """
    return compile_pdf(TEMPLATE, sheet_data(page, paper=paper), document_date=_date_of(page))


def page_picture(page: Page) -> bytes:
    """The whole page as one grey picture that a phone shows and a message carries.

    Returns
    -------
    bytes
        A PNG file below ``LARGEST_PICTURE_BYTES``, 1080 pixels wide where they suffice, else fewer.

    Raises
    ------
    BadEntry
        The page is too long for one picture.
    """
    from io import BytesIO

    from PIL import Image

    data, day = sheet_data(page, paper=PICTURE_PAPER), _date_of(page)
    for width_px in (1080, 960, 840, 720):
        (drawn,) = png_pages(TEMPLATE, data, document_date=day, ppi=width_px * 25.4 / PICTURE_WIDTH_MM)
        steps = PICTURE_GREYS - 1
        grey = Image.open(BytesIO(drawn)).convert("L").point([round(one * steps / 255) for one in range(256)])
        grey.putpalette([round(one * 255 / steps) for one in range(PICTURE_GREYS) for _ in "rgb"])
        kept = BytesIO()
        grey.save(kept, "PNG", optimize=True, bits=2)
        if kept.tell() <= LARGEST_PICTURE_BYTES:
            return kept.getvalue()
    raise BadEntry(
        worded(
            "One picture holds at most {largest_picture_bytes} kB",
            largest_picture_bytes=LARGEST_PICTURE_BYTES // 1000,
        ),
        worded("{title}, which needs {tell} kB", title=page.title, tell=kept.tell() // 1000),
        "Print it as PDF",
    )


def page_pictures(page: Page, *, ppi: float = 144, paper: str = "a4") -> list[bytes]:
    """The printed page as PNG pictures, one for each sheet of paper.

    Parameters
    ----------
    ppi : float
        Pixels per inch.
    paper : str
        Key of ``PAPERS``.
    """
    return png_pages(TEMPLATE, sheet_data(page, paper=paper), document_date=_date_of(page), ppi=ppi)


def sheet_data(page: Page, *, paper: str = "a4") -> dict[str, Any]:
    """The data the sheet is set from: the page's own, with its drawings and its paper."""
    if paper not in PAPERS and paper != PICTURE_PAPER:
        raise UnknownName.among(paper, "a paper", PAPERS)
    content = page_content(page)
    content["paper"] = PAPERS.get(paper, paper)
    content["first"] = t("Local codes and licensed practice come first.") if warns(page) else ""
    for block, data in zip(page.blocks, content["blocks"], strict=True):
        match block:
            case River(wide_svg=wide, tall_svg=tall):
                if (_width_px(wide) > WIDEST_READABLE_PX or paper == PICTURE_PAPER) and tall:
                    data["tall_svg"] = tall
                else:
                    data["wide_svg"] = wide
            case ScanCode(text=text):
                data["svg"] = qr_svg(text)
            case LabelFace(code=code) if code:
                data["code_svg"] = qr_svg(code)
    return content


def _width_px(svg: str) -> float:
    found = re.search(r'viewBox="0 0 ([\d.]+) ', svg)
    return float(found[1]) if found else 0.0


def _date_of(page: Page) -> date:
    return date.fromisoformat(page.date) if page.date else date(2026, 1, 1)
