"""From any code up and down, from any number to its reason, from any entry to its correction."""

from typing import Any
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.bench.form_choices import entry_in_hand, is_a_lot
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.correcting.entries import (
    correction_in_hand,
    fields_asked,
    may_be_put_right,
    put_right,
)
from stillroom.actions.releasing.recalling import RECALLS
from stillroom.documents.blocks import Page
from stillroom.pages.entries import show_entries
from stillroom.pages.entry import show_entry, show_why
from stillroom.pages.tracing import show_trace, show_tracing
from stillroom.records.entries import BatchBegun, Entry, OrderTaken, ReadingTaken
from stillroom.texts.catalogue import later, t
from stillroom.web.acts import link_of, serve_act
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm, field_name
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = Addresses()
HERE = "Trace"
SLIPS = ("misread the scale", "wrong line", "typed wrongly")
OF_AN_ORDER = (later("the customer changed it"), *SLIPS[1:])


@router.get("/trace/find", needs="reader")
def find(code: str = "") -> Response:
    """Lead from the search field to the trace."""
    return RedirectResponse(
        f"/trace/{quote(code.strip(), safe='')}" if code.strip() else "/trace", status_code=303
    )


def _correction(lab: Laboratory, entry_no: int, line: str = "") -> Form:
    """The form that puts an entry right; of one line where one was tapped."""
    entry, fields, following = correction_in_hand(lab, entry_no)
    shown = [one for one in fields if line in ("", one.line, one.name)]
    lone = len(shown) == 1
    rows = tuple(
        Ask(
            field_name(one.name),
            t("It should say ({what})", what=one.label) if lone else one.label,
            one.kind,
            one.unit,
            value=one.says,
            choices=one.choices or None,
            required=lone,
            hint="" if lone or one.choices or not one.says else t("It says {said}", said=one.says),
        )
        for one in shown
    )
    follows = t(following)
    return Form(
        title=t("Correct entry {entry_no}", entry_no=entry_no),
        kind=entry.kind,
        lead=t("It says {said}. {follows}", said=shown[0].says, follows=follows) if lone else follows,
        action=f"/entries/{entry_no}/correct",
        button=t("Save the correction"),
        rows=(*rows, Ask("line", t("Line"), "hidden", value=line, required=False), _how()),
        here=HERE,
        back=f"/entries/{entry_no}",
    )


def _how() -> Ask:
    return Ask(
        "why",
        t("In your own words"),
        required=False,
        hint=t("Both figures stay to be read"),
    )


@router.get("/entries/{entry_no}/correct", needs="maker")
def correction(request: Request, entry_no: int, line: str = "") -> Response:
    """Room for a correction."""
    lab = lab_of(request)
    return send_form(
        request, _correction(lab, entry_no, line), template="correct.html", slips=_slips(lab, entry_no)
    )


@router.post("/entries/{entry_no}/correct", needs="maker")
def write_correction(request: Request, entry_no: int, typed: TypedForm) -> Response:
    """Write a correction; both entries stay."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        said = {
            one.name: typed.amount(field_name(one.name), one.unit)
            if one.unit
            else typed[field_name(one.name)]
            for one in fields_asked(lab, entry_no)
            if field_name(one.name) in typed.fields
        }
        return put_right(lab, entry_no, said, why=_why(typed), **sign)

    return write(
        request,
        typed,
        lambda: _correction(lab_of(request), entry_no, typed["line"]),
        act,
        then=_shown_at(entry_in_hand(lab_of(request), entry_no)),
        template="correct.html",
        more=lambda: {"slips": _slips(lab_of(request), entry_no)},
    )


def _slips(lab: Laboratory, entry_no: int) -> tuple[str, ...]:
    """How such an entry goes wrong, to be tapped: an order, and the batch for it, also because the customer says so."""
    ordered = isinstance(entry_in_hand(lab, entry_no).body, OrderTaken | BatchBegun)
    return OF_AN_ORDER if ordered else SLIPS


def _shown_at(entry: Entry) -> str:
    """Where a correction is seen at work: on the page of the order or the batch; else beside the entry."""
    match entry.body:
        case OrderTaken(order=order):
            return f"/orders/{order.code}"
        case BatchBegun(code=code):
            return f"/make/{code}"
    return f"/entries/{entry.entry_no}"


def _why(typed: Typed) -> str:
    """The slip that was tapped, what was written of it, or both."""
    return "; ".join(one for one in (typed["slip"], typed["why"]) if one)


def _may_correct(lab: Laboratory, _: Page, entry_no: int) -> dict[str, Any]:
    entry = entry_in_hand(lab, entry_no)
    doing: list[tuple[str, str, str]] = []
    if may_be_put_right(entry):
        doing.append((t("Correct it"), f"/entries/{entry_no}/correct", ""))
    if getattr(entry.body, "trail", None):
        doing.append((t("Why this number"), f"/why/{entry_no}", "quiet"))
    for number in getattr(entry.body, "readings", ()):
        read = entry_in_hand(lab, number).body
        if isinstance(read, ReadingTaken):
            said = t("Correct {what}: {said}", what=read.what, said=read.as_written)
            doing.append((said, f"/entries/{number}/correct", "quiet"))
    return {"doing": tuple(doing)}


serve_page(router, "/trace", show_tracing, here=HERE, template="tracing.html")


def _follow(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    """What can follow: a batch that is no lot yet, or never becomes one, left nobody anything."""
    followed = RECALLS.values() if is_a_lot(lab, code) else (RECALLS["rehearse"],)
    return {"doing": tuple(link_of(one, t(one.called), code) for one in followed)}


for one in RECALLS.values():
    serve_act(router, one)
serve_page(router, "/trace/{code}", show_trace, here=HERE, extras=_follow)
serve_page(router, "/entries", show_entries, here="Laboratory")
serve_page(router, "/entries/{entry_no}", show_entry, here=HERE, extras=_may_correct)
serve_page(router, "/why/{what:path}", show_why, here=HERE)
