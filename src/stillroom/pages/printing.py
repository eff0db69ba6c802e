"""Documents written to a folder, each as PDF and as text."""

from collections.abc import Iterator
from pathlib import Path

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.errors import UnknownName
from stillroom.pages.book import documents_of


def print_document(page: Page, into: Path, name: str, *, paper: str = "a4") -> tuple[Path, Path]:
    """Write one page as PDF and as text.

    Parameters
    ----------
    page : Page
    into : Path
        Folder, made when it does not exist.
    name : str
        File name without its ending.
    paper : str
        "a4" or "letter".
    """
    into.mkdir(parents=True, exist_ok=True)
    pdf, text = into / f"{name}.pdf", into / f"{name}.txt"
    pdf.write_bytes(page_pdf(page, paper=paper))
    text.write_text(page_text(page), encoding="utf-8")
    return pdf, text


def print_all(
    lab: Laboratory, into: Path, only: str = "", *, paper: str = "a4"
) -> Iterator[tuple[Path, Path]]:
    """Write every document the book can print, one after the other.

    Parameters
    ----------
    lab : Laboratory
    into : Path
    only : str
        Name of one document; all when empty.
    paper : str
        "a4" or "letter".

    Raises
    ------
    UnknownName
        There is no document of that name; the nearest are offered.
    """
    made = documents_of(lab)
    if only and only not in made:
        raise UnknownName.among(only, "a document", made)
    for name, build in made.items():
        if only in ("", name):
            yield print_document(build(), into, name, paper=paper)
