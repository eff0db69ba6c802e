"""The documents the book can print now, each written to a folder as PDF and as text."""

from collections.abc import Callable, Iterator
from pathlib import Path

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.spirit_account import spirit_months
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.errors import UnknownName
from stillroom.pages.batches import show_batch
from stillroom.pages.offers import show_offer, show_offer_paper
from stillroom.pages.plans import show_plan
from stillroom.pages.release import show_certificate, show_label, show_whole_certificate
from stillroom.pages.spirit_month import show_spirit
from stillroom.pages.tracing import show_trace
from stillroom.records.lots import Status


def print_document(page: Page, into: Path, name: str, *, paper: str = "a4") -> tuple[Path, Path]:
    """Write one page as PDF and as text.

    Parameters
    ----------
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


def documents_of(lab: Laboratory) -> dict[str, Callable[[], Page]]:
    """Every document the book can print now, by file name."""
    made: dict[str, Callable[[], Page]] = {}
    with lab.look() as look:
        for order in look.orders():
            made[f"plan-{order.code}"] = _later(show_plan, lab, order.code)
        for offer in look.offers():
            made[f"offer-{offer.body.code}"] = _later(show_offer_paper, lab, offer.body.code)
            made[f"offer-{offer.body.code}-whole"] = _later(show_offer, lab, offer.body.code)
        for batch in look.batches():
            made[f"batch-sheet-{batch.code}"] = _later(show_batch, lab, batch.code)
        for lot in look.lots():
            papers = lot.kind.traits.papers
            if "certificate" in papers and (
                look.certificates(lot.code) or look.status(lot.code) is Status.RELEASED
            ):
                made[f"certificate-{lot.code}"] = _later(show_certificate, lab, lot.code)
                made[f"certificate-{lot.code}-whole"] = _later(show_whole_certificate, lab, lot.code)
            if "label" in papers:
                made[f"label-{lot.code}"] = _later(show_label, lab, lot.code)
            if "trace" in papers:
                made[f"trace-{lot.code}"] = _later(show_trace, lab, lot.code)
        for month in spirit_months(look):
            made[f"spirit-{month}"] = _later(show_spirit, lab, month)
    return made


def _later(builder: Callable[[Laboratory, str], Page], lab: Laboratory, code: str) -> Callable[[], Page]:
    return lambda: builder(lab, code)
