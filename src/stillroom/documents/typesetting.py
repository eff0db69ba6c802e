"""Sheets set by Typst: data in, PDF or pictures out.

Promises that data enters as JSON values only, never as markup; that the same data on the same date gives the
same bytes; that a letter in none of the fonts is told by code point and name, never an empty box. Only the fonts
shipped with the project are used. What stands on a sheet is for the templates in ``sheets``.
"""

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from stillroom.documents.font_letters import FONTS, in_printable_letters
from stillroom.errors import BadEntry, BookTrouble, UnknownName, worded
from stillroom.texts.catalogue import language, later, word

if TYPE_CHECKING:
    import typst

SHEETS = Path(__file__).parent / "sheets"


def sheet_names() -> tuple[str, ...]:
    """Names of the templates that can be set."""
    return tuple(sorted(one.stem for one in SHEETS.glob("*.typ") if one.stem != "style"))


def compile_pdf(template: str, data: Mapping[str, Any], *, document_date: date) -> bytes:
    """Set a sheet as PDF.

    Parameters
    ----------
    template : str
        Name of a file in ``sheets``, without its ending.
    data : mapping
        JSON content; see the first lines of the template.
    document_date : date
        Date written into the file; the date of the work, so that printing again gives the same bytes.

    Raises
    ------
    UnknownName
        There is no such template.
    BadEntry
        The data is not JSON, or does not fit the sheet.
    BookTrouble
        The fonts or the template are damaged.
    """
    (pdf,) = _compile(template, data, document_date, "pdf", None)
    return pdf


def png_pages(
    template: str, data: Mapping[str, Any], *, document_date: date, ppi: float = 144
) -> list[bytes]:
    """Set a sheet as one picture per page, for looking at.

    Parameters
    ----------
    template, data, document_date
        As for ``compile_pdf``.
    ppi : float
        Dots per inch [1/in].

    Returns
    -------
    list of bytes
        PNG files.

    Raises
    ------
    UnknownName, BadEntry, BookTrouble
        As for ``compile_pdf``.
    """
    return _compile(template, data, document_date, "png", ppi)


@cache
def _fonts() -> "typst.Fonts":
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])


def _compile(
    template: str,
    data: Mapping[str, Any],
    document_date: date,
    form: Literal["pdf", "png"],
    ppi: float | None,
) -> list[bytes]:
    import typst

    if template not in sheet_names():
        raise UnknownName.among(template, "a sheet", sheet_names())
    moment = datetime(document_date.year, document_date.month, document_date.day, tzinfo=UTC)
    try:
        out, warnings = typst.compile_with_warnings(
            SHEETS / f"{template}.typ",
            root=SHEETS,
            font_paths=_fonts(),
            ignore_system_fonts=True,
            format=form,
            ppi=ppi,
            sys_inputs={"data": _as_json({"said": _said(), "language": language(), **data})},
            timestamp=moment,
        )
    except typst.TypstError as error:
        if "label does not fit" in str(error):
            raise BadEntry(
                "The words of a label must fit its size in letters one can read",
                "more words than room",
                "Take a larger label or fewer words",
            ) from error
        raise BookTrouble(
            worded("The sheet {template!r} must set from its data", template=template),
            str(error),
            "Tell whoever looks after the program",
        ) from error
    if warnings:
        raise BookTrouble(
            "A sheet must set without a warning, with the fonts shipped beside it",
            "; ".join(str(one) for one in warnings),
            "Install stillroom again",
        )
    return list(out) if isinstance(out, list) else [out]


_ON_A_SHEET = {
    "practice": later("Practice laboratory: invented data"),
    "book": later("Book"),
    "page_of": later("page {at} of {of}"),
    "reading": later("Read"),
    "published": later("Published"),
    "assumed": later("Assumed"),
    "own runs": later("Own runs"),
    "setting": later("Set"),
    "and_more": later("And {count} more: see its trail."),
    "caution": later("Caution: {hazard}"),
    "name": later("Number"),
    "value": later("Value"),
    "how": later("How, or where from"),
    "true_size": later("True size: {width} mm × {height} mm when printed at 100 %."),
    "to_copy": later("To copy by pen"),
    "to_copy_colon": later("To copy by pen:"),
    "book_in_the_foot": later("book {book}"),
    "code_in_words": later("[code] {code}"),
}


def _said() -> dict[str, str]:
    """What a template itself says, in the language spoken at the moment; blanks stay open."""
    return {name: word(sentence) for name, sentence in _ON_A_SHEET.items()}


def _as_json(data: Mapping[str, Any]) -> str:
    try:
        return json.dumps(_printable(data), ensure_ascii=False, allow_nan=False, sort_keys=True)
    except (TypeError, ValueError) as error:
        raise BadEntry(
            "The data of a sheet must be JSON", str(error), "Give texts and whole figures"
        ) from error


def _printable(value: Any) -> Any:
    if isinstance(value, str):
        return in_printable_letters(value)
    if isinstance(value, Mapping):
        return {key: _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    return value
