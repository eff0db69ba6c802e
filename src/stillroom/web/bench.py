"""The bench: what is in hand with its next step, what waits by the clock, and what a cut of water or power asks for."""

from typing import Any

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.bench.form_choices import every_next
from stillroom.actions.bench.outages import CUTS, end_outage, note_outage, outages_now
from stillroom.actions.bench.timers import batch_calendar, batch_timers
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.documents.blocks import Page
from stillroom.documents.calendar_entry import MEDIA_TYPE
from stillroom.pages.lists import show_bench
from stillroom.pages.power_off import show_power_off
from stillroom.pages.timers import show_timers
from stillroom.texts.catalogue import t, word
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed
from stillroom.web.pages import lab_of, open_lab, serve_page

router = Addresses()
HERE = "Bench"
CUT_PAGE = "/bench/power-or-water-off"


@router.get("/", needs="anybody")
def front(request: Request) -> Response:
    """The bench is the first page; the three questions where there is no bench yet."""
    return RedirectResponse("/bench" if open_lab(request) else "/ask", status_code=303)


def _next(lab: Laboratory, _: Page) -> dict[str, Any]:
    running = every_next(lab)
    return {
        "doing": ((t("Now"), "/bench/now", "quiet"), (t("The day"), "/bench/day", "quiet")),
        "running": running,
        "now": lab.clock().isoformat(timespec="milliseconds"),
        "timers": {one.batch: batch_timers(lab, one.batch) for one in running},
    }


@router.get("/bench/timers/{batch}.ics", needs="reader")
def calendar(request: Request, batch: str) -> Response:
    """The waits of a batch for the calendar of a phone."""
    text = batch_calendar(lab_of(request), batch)
    return Response(text, headers={"Content-Type": MEDIA_TYPE})


def _cut(lab: Laboratory) -> Form:
    page = show_power_off(lab)
    off = tuple(one.what for one in outages_now(lab))
    choices = (
        *((f"back {one}", t("{what} is back", what=word(one).capitalize())) for one in off),
        *(
            (f"off {one}", t("{what} went off", what=word(one).capitalize()))
            for one in CUTS
            if one not in off
        ),
    )
    return Form(
        title=page.title,
        kind=page.kind,
        button=t("Save it for every batch in hand"),
        rows=(Ask("what", t("What happened"), choices=choices),),
        here=HERE,
        back="/bench",
        page=page,
    )


def _write_cut(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Write that water or power went off or came back, for every batch in hand."""
    happened, _, what = typed["what"].partition(" ")
    return (end_outage if happened == "back" else note_outage)(lab, what, **sign)


serve_form(router, CUT_PAGE, _cut, _write_cut, then=CUT_PAGE, template="cut.html")


serve_page(router, "/bench/timers", show_timers, here=HERE, template="timers.html")
serve_page(router, CUT_PAGE, show_power_off, here=HERE, template="hands.html")
serve_page(router, "/bench", show_bench, here=HERE, template="bench.html", extras=_next)
