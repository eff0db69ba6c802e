"""From any code up and down, from any number to its reason, from any entry to its correction."""

from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.correcting import correct_entry
from stillroom.actions.in_hand import entry_in_hand
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.showing import show_entry, show_why
from stillroom.actions.showing_house import show_tracing
from stillroom.actions.tracing import show_trace
from stillroom.documents.blocks import Page
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.records.entries import Entry, LotReceived, OutageNoted, ReadingTaken, StepDone
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm, field_name
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Trace"
SLIPS = ("misread the scale", "wrong line", "typed wrongly")


@router.get("/trace/find")
def find(code: str = "") -> Response:
    """Lead from the search field to the trace."""
    return RedirectResponse(
        f"/trace/{quote(code.strip(), safe='')}" if code.strip() else "/trace", status_code=303
    )


def _correction(lab: Laboratory, entry_no: int, line: str = "") -> Form:
    """The form that puts an entry right; of one line where one was tapped."""
    entry = entry_in_hand(lab, entry_no)
    body = entry.body
    if entry.corrected_by is not None:
        raise NotAllowed(
            "An entry is put right once",
            worded(
                "entry {entry_no}, corrected by {corrected_by}",
                entry_no=entry_no,
                corrected_by=entry.corrected_by,
            ),
            worded("Open entry {corrected_by}", corrected_by=entry.corrected_by),
        )
    one_figure = _one_figure(entry)
    if one_figure is not None:
        what, said, follows = one_figure
        rows: tuple[Ask, ...] = (Ask("reading", t("correcting.should_say", what=what), value=said), _how())
        lead = t("correcting.says", said=said, follows=follows)
    elif isinstance(body, StepDone) and body.weighings:
        rows = tuple(
            Ask(
                f"mass-{field_name(one.line)}",
                one.line,
                value=one.as_written,
                hint=t("correcting.line_says", said=one.as_written),
            )
            for one in body.weighings
            if line in ("", one.line)
        )
        rows = (*rows, Ask("line", t("stock_form.line"), "hidden", value=line, required=False), _how())
        lead = t("correcting.one_mass")
    else:
        raise NotAllowed(
            "A reading, a weighing, a receipt or the time of an outage is put right here",
            worded("entry {entry_no}, {kind}", entry_no=entry_no, kind=entry.kind),
            "Write a new entry that says what holds now",
        )
    return Form(
        title=t("correcting.put_right", entry_no=entry_no),
        kind=entry.kind,
        lead=lead,
        action=f"/entries/{entry_no}/correct",
        button=t("correcting.write"),
        rows=rows,
        here=HERE,
        back=f"/entries/{entry_no}",
    )


def _how() -> Ask:
    return Ask("why", t("correcting.how"), required=False, hint=t("correcting.both_stay"))


def _one_figure(entry: Entry[Any]) -> tuple[str, str, str] | None:
    """What an entry says in one figure, as it was written, and what follows when it is put right."""
    match entry.body:
        case ReadingTaken(what=what, as_written=said):
            return what, said, t("correcting.results_again")
        case LotReceived(as_written=said):
            return "amount", said, t("correcting.shelf_follows")
        case OutageNoted(what=cut, is_back=back):
            said = entry.done_at[:16].replace("T", " ")
            return (
                f"{cut} {'back' if back else 'off'}",
                said,
                t("correcting.only_this_time"),
            )
    return None


@router.get("/entries/{entry_no}/correct")
def correction(request: Request, entry_no: int, line: str = "") -> Response:
    """Room for a correction."""
    form = _correction(lab_of(request), entry_no, line)
    return send_form(request, form, template="correct.html", slips=SLIPS)


@router.post("/entries/{entry_no}/correct")
def write_correction(request: Request, entry_no: int, typed: TypedForm) -> Response:
    """Write a correction; both entries stay."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        entry = entry_in_hand(lab, entry_no)
        if isinstance(entry.body, StepDone):
            line, mass = _the_one_changed(entry.body, typed)
            return correct_entry(lab, entry_no, mass, line=line, why=_why(typed), **sign)
        return correct_entry(lab, entry_no, typed["reading"], why=_why(typed), **sign)

    return write(
        request,
        typed,
        lambda: _correction(lab_of(request), entry_no, typed["line"]),
        act,
        then=f"/entries/{entry_no}",
        template="correct.html",
        more=lambda: {"slips": SLIPS},
    )


def _why(typed: Typed) -> str:
    """The slip that was tapped, what was written of it, or both."""
    return "; ".join(one for one in (typed["slip"], typed["why"]) if one)


def _the_one_changed(body: StepDone, typed: Typed) -> tuple[str, str]:
    entered = {one.line: typed.amount(f"mass-{field_name(one.line)}", "g") for one in body.weighings}
    changed = [one.line for one in body.weighings if entered[one.line] not in ("", one.as_written)]
    if len(changed) != 1:
        raise BadEntry(
            "One mass is put right at a time",
            ", ".join(changed) or "none that differs",
            "Change the one that was wrong; write another correction for the next",
        )
    return changed[0], entered[changed[0]]


def _may_correct(lab: Laboratory, _: Page, entry_no: int) -> dict[str, Any]:
    entry = entry_in_hand(lab, entry_no)
    doing: list[tuple[str, str, str]] = []
    if entry.corrected_by is None and (_one_figure(entry) or isinstance(entry.body, StepDone)):
        doing.append((t("correcting.put_it_right"), f"/entries/{entry_no}/correct", ""))
    if getattr(entry.body, "trail", None):
        doing.append((t("correcting.why_this_number"), f"/why/{entry_no}", "quiet"))
    return {"doing": tuple(doing)}


serve_page(router, "/trace", show_tracing, here=HERE, template="tracing.html")
serve_page(router, "/trace/{code}", show_trace, here=HERE)
serve_page(router, "/entries/{entry_no}", show_entry, here=HERE, extras=_may_correct)
serve_page(router, "/why/{what:path}", show_why, here=HERE)
