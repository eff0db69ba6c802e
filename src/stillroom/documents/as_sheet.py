"""A page as a PDF for paper: the same blocks, set by Typst, dated by the work and not by the printing."""

import re
from datetime import date
from typing import Any

from stillroom.documents.as_json import page_json
from stillroom.documents.blocks import LabelFace, Page, River, ScanCode
from stillroom.documents.code_image import qr_svg
from stillroom.documents.typesetting import compile_pdf, png_pages

TEMPLATE = "page"
WIDEST_READABLE_PX = 1000
"""A wider drawing would have letters below 6 pt across an A4 sheet. [px]"""


def page_pdf(page: Page) -> bytes:
    """The page as PDF; the same page gives the same bytes.

    Parameters
    ----------
    page : Page

    Raises
    ------
    BadEntry
        A letter is in none of the shipped fonts.
    """
    return compile_pdf(TEMPLATE, sheet_data(page), document_date=_date_of(page))


def page_pictures(page: Page, *, ppi: float = 144) -> list[bytes]:
    """The printed page as PNG pictures, one for each sheet of paper.

    Parameters
    ----------
    page : Page
    ppi : float
        Pixels per inch.
    """
    return png_pages(TEMPLATE, sheet_data(page), document_date=_date_of(page), ppi=ppi)


def sheet_data(page: Page) -> dict[str, Any]:
    """The data the sheet is set from: the page's own, with its drawings."""
    content = page_json(page)
    for block, data in zip(page.blocks, content["blocks"], strict=True):
        match block:
            case River(wide_svg=wide, tall_svg=tall):
                if _width_px(wide) > WIDEST_READABLE_PX and tall:
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
