"""A table of lots: a template to fill in, every cell looked at, and nothing taken before somebody says so."""

from dataclasses import replace

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.lots.opening_stock import opening_of, take_opening, template
from stillroom.errors import BadEntry, StillroomError
from stillroom.pages.opening_stock import show_opening
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.export import sent_as_file
from stillroom.web.forms import NOTHING_TYPED, Ask, Form, Signed, TypedForm, trouble_of
from stillroom.web.pages import lab_of, send_form, status_of, write
from stillroom.web.request_body import TABLE

router = Addresses()
HERE = "Stock"
AT = "/stock/new/many"


def _asking() -> Form:
    return Form(
        title=t("Receive a table of lots"),
        kind="stock",
        lead=t("Every cell is looked at first. Nothing is taken before it is confirmed."),
        action=AT,
        button=t("Look at it"),
        rows=(
            Ask(
                TABLE,
                t("Table"),
                "table",
                hint=t("CSV in UTF-8 or XLSX, as in the template, at most 2000 rows"),
            ),
        ),
        here=HERE,
        back="/stock",
        links=((t("Template as CSV"), f"{AT}.csv"), (t("Template as XLSX"), f"{AT}.xlsx")),
    )


def _taking(lab: Laboratory, content: bytes) -> Form:
    opening = opening_of(lab, content)
    page = show_opening(lab, opening)
    return Form(
        title=page.title,
        kind=page.kind,
        lead=page.lead,
        action=f"{AT}/take",
        button=t("Take these"),
        rows=(Ask(TABLE, TABLE, "hidden", value=opening.csv),),
        here=HERE,
        back=AT,
        page=page,
        cautions=(caution("wrong-plant"),),
    )


@router.get(AT, needs="maker")
def ask_for_table(request: Request) -> Response:
    """Room for a table."""
    lab_of(request)
    return send_form(request, _asking(), template="unsigned.html")


@router.get(AT + ".{ending}", needs="reader")
def empty_table(ending: str) -> Response:
    """The template."""
    return sent_as_file("lots", ending, template(ending))


@router.post(AT, needs="maker")
def look_at_table(request: Request, typed: TypedForm) -> Response:
    """Show what would be taken, or each cell that cannot be."""
    lab = lab_of(request)
    try:
        if typed.table is None:
            raise BadEntry("A table is a file", "none", "Choose one", where=TABLE)
        opening = opening_of(lab, typed.table)
        if not opening.troubles:
            return send_form(request, _taking(lab, typed.table))
    except StillroomError as error:
        trouble = trouble_of(error, {TABLE})
        return send_form(
            request, _asking(), NOTHING_TYPED, trouble, status=status_of(error), template="unsigned.html"
        )
    page = show_opening(lab, opening)
    again = replace(_asking(), page=page, lead=page.lead)
    return send_form(request, again, status=422, template="unsigned.html")


@router.post(AT + "/take", needs="maker")
def take_table(request: Request, typed: TypedForm) -> Response:
    """Receive every lot of it, or none."""
    content = typed[TABLE].encode()

    def act(lab: Laboratory, sign: Signed) -> Done:
        return take_opening(lab, content, **sign)

    def again() -> Form:
        try:
            return _taking(lab_of(request), content)
        except StillroomError:
            return _asking()

    return write(request, typed, again, act, then="/stock")
