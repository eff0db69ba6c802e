"""The label of a lot: as it is printed, and marked, as it was at the release, where the lot may not leave."""

from dataclasses import replace

from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.certifying import label_facts
from stillroom.documents.blocks import Block, Heading, LabelFace, Page, Points, Prose
from stillroom.documents.from_json import page_from_json
from stillroom.documents.label_page import label_page
from stillroom.errors import StillroomError
from stillroom.products.label import label
from stillroom.records.lots import Status
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t, word

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


def label_now(look: Reader, lot: str) -> Page:
    """The label of a product lot as the book stands.

    Parameters
    ----------
    look : Reader
    lot : str

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
    """The label of a product lot; of one that may not leave, why, what to do, and the label as it was, marked so.

    Parameters
    ----------
    look : Reader
    lot : str
    """
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
