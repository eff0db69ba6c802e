"""Certificate and label are issued: kept whole in the book as they were let out, each revision beside the last."""

from dataclasses import replace
from typing import Any, Literal, TypeAlias

from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.certifying import certificate_facts, label_facts
from stillroom.actions.releasing.reviewing import standing_list
from stillroom.documents.as_json import page_content
from stillroom.documents.blocks import Block, Heading, LabelFace, Page, PageFacts, Points, Prose
from stillroom.documents.certificate import customer_certificate, heading_of, not_released, whole_certificate
from stillroom.documents.from_json import page_from_json
from stillroom.documents.label_page import label_page
from stillroom.errors import StillroomError, UnknownName, worded
from stillroom.products.label import label
from stillroom.records.entries import CertificateIssued
from stillroom.records.lots import Status
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t, word

Form: TypeAlias = Literal["customer", "whole"]
FORMS: tuple[Form, ...] = ("customer", "whole")
LABEL = "label"
MAY_NOT_LEAVE = {
    Status.SUSPENDED: later(
        "Print no more of it. Look at what changed, tell who has bottles, then release the lot again, stop it or "
        "reject it."
    ),
    Status.STOPPED: later(
        "Print no more of it. Nothing of the lot is used or sold until somebody decides otherwise."
    ),
    Status.REJECTED: later("Print no more of it. The lot is rejected for good."),
}


def issue_certificate(
    pen: BookWriter, lot: str, *, why: str, changed: tuple[str, ...] = (), suspended: str = "", at: str = ""
) -> int:
    """Issue the next revision of the certificate of a lot; the number of the entry.

    Parameters
    ----------
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
            Heading(heading_of(look.status(lot))),
            Prose(t("Do not use or sell it until it is released again: {why}", why=suspended)),
            Heading(t("What changed since revision {revision}", revision=revision - 1)),
            Points(changed),
            Prose(t("The figures cannot be worked out as the book stands: {why}", why=trouble.sentence)),
        ),
        **page_facts,
        status=not_released(look.status(lot)),
        href=f"/products/{lot}/certificate",
    )


def label_now(look: Reader, lot: str) -> Page:
    """The label of a product lot as the book stands.

    Raises
    ------
    NotAllowed
        A figure on it would not rest on what was weighed in.
    """
    facts, copy_by_pen = label_facts(look, lot)
    return label_page(
        label(facts), code=lot, name=look.lot(lot).name, copy_by_pen=copy_by_pen, **facts_of(look)
    )


def label_of(look: Reader, lot: str) -> Page:
    """The label of a product lot; of one that may not leave, why, what to do, and the label as it was, marked so."""
    status = look.status(lot)
    if status not in MAY_NOT_LEAVE:
        return label_now(look, lot)
    decided = look.decisions(lot)[-1].body
    mark = word(status.value)
    blocks: list[Block] = [
        Heading(t("{lot} is {status}: this label may not be used", lot=lot, status=mark)),
        Points(decided.changed or (decided.meaning,), "missing"),
        Prose(t(MAY_NOT_LEAVE[status])),
    ]
    kept = [one.body.pages[LABEL] for one in look.certificates(lot) if LABEL in one.body.pages]
    try:
        page = page_from_json(kept[-1]) if kept else label_now(look, lot)
        faces = [one for one in page.blocks if isinstance(one, LabelFace)]
        blocks.append(
            Heading(t("The label as it was released") if kept else t("The label as the book stands now"))
        )
        blocks += [replace(one, title=f"{mark.upper()}: {one.title}", copy_by_pen=()) for one in faces]
    except StillroomError as trouble:
        blocks.append(Prose(t("The label cannot be shown as the book stands: {why}", why=trouble.sentence)))
    return Page(
        title=t("Label of {name}, {code}", name=look.lot(lot).name, code=lot),
        kind="label",
        code=lot,
        blocks=tuple(blocks),
        **facts_of(look),
        status=status.value,
        href=f"/products/{lot}/label",
    )


def label_to_keep(look: Reader, lot: str) -> Page | None:
    """The label that a release lets out; None for what has none, or none that can be printed."""
    if LABEL not in look.lot(lot).kind.traits.papers:
        return None
    try:
        return label_now(look, lot)
    except StillroomError:
        return None
