"""What leaves the house as pages: the release list, the certificate in two forms, the label."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.certifying import stated_numbers
from stillroom.actions.releasing.deciding import review_release
from stillroom.actions.releasing.issuing import certificate_of
from stillroom.actions.releasing.label_shown import label_of
from stillroom.actions.releasing.tracing import account_of
from stillroom.documents.blocks import Page
from stillroom.documents.releasing import release_page
from stillroom.errors import BadEntry, worded
from stillroom.records.lots import Status


def show_release(lab: Laboratory, lot: str, *, by: str) -> Page:
    """The release list of a lot, for the person who would release it."""
    review = review_release(lab, lot, by=by)
    with lab.look() as look:
        known, status = look.lot(lot), look.status(lot)
        last = look.decisions(lot)
        return release_page(
            account_of(look, lot),
            review,
            by=look.person(by).name,
            stated=stated_numbers(look, lot) if known.kind.traits.on_release_list else None,
            changed=last[-1].body.changed if last and status is Status.SUSPENDED else (),
            **facts_of(look),
        )


def show_certificate(lab: Laboratory, lot: str, revision: int | None = None) -> Page:
    """The certificate of a lot for its customer, on one page: the last revision, or the one asked for."""
    with lab.look() as look:
        return certificate_of(look, lot, "customer", revision)


def show_whole_certificate(lab: Laboratory, lot: str, revision: int | None = None) -> Page:
    """The certificate of a lot whole, for an inspector."""
    with lab.look() as look:
        return certificate_of(look, lot, "whole", revision)


def show_label(lab: Laboratory, lot: str) -> Page:
    """The label of a product lot."""
    with lab.look() as look:
        if "label" not in look.lot(lot).kind.traits.papers:
            raise BadEntry(
                "A label is for a product",
                worded("{lot}, which is {kind}", lot=lot, kind=look.lot(lot).kind),
                "Name a lot of bottles",
            )
        return label_of(look, lot)
