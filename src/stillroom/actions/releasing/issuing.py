"""Certificates are issued: both forms kept whole in the book, each revision beside the one before it."""

from typing import Any, Literal, TypeAlias

from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.certifying import certificate_facts
from stillroom.actions.releasing.label_shown import LABEL, label_to_keep
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.documents.as_json import page_content
from stillroom.documents.blocks import Heading, Page, PageFacts, Points, Prose
from stillroom.documents.certificate import customer_certificate, whole_certificate
from stillroom.documents.from_json import page_from_json
from stillroom.errors import StillroomError, UnknownName, worded
from stillroom.records.entries import CertificateIssued
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

Form: TypeAlias = Literal["customer", "whole"]
FORMS: tuple[Form, ...] = ("customer", "whole")


def issue_certificate(
    pen: BookWriter, lot: str, *, why: str, changed: tuple[str, ...] = (), suspended: str = "", at: str = ""
) -> int:
    """Issue the next revision of the certificate of a lot; the number of the entry.

    Parameters
    ----------
    pen : BookWriter
    lot : str
    why : str
    changed : tuple of str
        Since the revision before.
    suspended : str
        Why the lot may not be used; "" at a release.
    at : str
        When, as it is printed. [ISO time]
    """
    revision = len(pen.look.certificates(lot)) + 1
    pages = pages_now(pen.look, lot, revision=revision, changed=changed, suspended=suspended, at=at)
    kept: dict[str, Any] = {form: page_content(page) for form, page in zip(FORMS, pages, strict=True)}
    released = None if suspended else label_to_keep(pen.look, lot)
    if released is not None:
        kept[LABEL] = page_content(released)
    return pen.enter(CertificateIssued(lot, revision, why, changed, kept))


def pages_now(
    look: Reader,
    lot: str,
    *,
    revision: int = 1,
    changed: tuple[str, ...] = (),
    suspended: str = "",
    at: str = "",
) -> tuple[Page, Page]:
    """Both forms as the book stands: for the customer, and whole.

    Raises
    ------
    NotAllowed
        The lot is not released, or a figure rests on an assumption.
    """
    page_facts = facts_of(look)
    if at:
        page_facts["date"] = at[:10]
    try:
        found = standing_list(look, lot)
        facts = certificate_facts(look, lot, found, revision=revision, changed=changed, suspended=suspended)
        return customer_certificate(facts, **page_facts), whole_certificate(facts, **page_facts)
    except StillroomError as trouble:
        if not suspended:
            raise
        page = _without_figures(look, lot, trouble, revision, changed, suspended, page_facts)
        return page, page


def certificate_of(look: Reader, lot: str, form: Form = "customer", revision: int | None = None) -> Page:
    """A certificate as it was issued: the last revision, or the one asked for.

    Raises
    ------
    UnknownName
        The lot has no such revision.
    NotAllowed
        The lot was never released.
    """
    issued = look.certificates(lot)
    if not issued and revision in (None, 1):
        return pages_now(look, lot)[FORMS.index(form)]
    found = issued[-1] if revision is None else next((e for e in issued if e.body.revision == revision), None)
    if found is None:
        raise UnknownName(
            worded("The certificate of {lot} has no revision {revision}", lot=lot, revision=revision),
            do=worded("The last is {last}", last=issued[-1].body.revision if issued else 0),
        )
    return page_from_json(found.body.pages[form])


def _without_figures(
    look: Reader,
    lot: str,
    trouble: StillroomError,
    revision: int,
    changed: tuple[str, ...],
    suspended: str,
    page_facts: PageFacts,
) -> Page:
    """A revision that withdraws the one before it, where the figures cannot be worked out any more."""
    known = look.lot(lot)
    return Page(
        title=t("Certificate for {lot_name}, lot {lot_code}", lot_name=known.name, lot_code=lot),
        kind="certificate",
        code=lot,
        blocks=(
            Heading(t("Suspended")),
            Prose(t("Do not use or sell it until it is released again: {why}", why=suspended)),
            Heading(t("What changed since revision {revision}", revision=revision - 1)),
            Points(changed),
            Prose(t("The figures cannot be worked out as the book stands: {why}", why=trouble.sentence)),
        ),
        **page_facts,
        status="suspended",
        href=f"/products/{lot}/certificate",
    )
