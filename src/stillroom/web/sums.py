"""Sums of the bench that need no laboratory: an acid thinned, a buffer weighed, condensers cooled.

Each is a plain address with everything said in it, and the twins of a page under the same query. Nothing is signed,
nothing written.
"""

from collections.abc import Callable, Mapping
from typing import TypeAlias
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse, Response

from stillroom.actions.cooling_sums import work_out_cooling
from stillroom.actions.mix_acid import mix_acid
from stillroom.actions.mix_buffer import mix_buffer
from stillroom.actions.page_facts import PageFacts
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.errors import StillroomError
from stillroom.web.ask_entries import Question
from stillroom.web.forms import Form, Trouble, Typed, trouble_of
from stillroom.web.pages import facts_of_request, send_form, send_page, status_of
from stillroom.web.sums_entries import acid_question, buffer_question, cooling_question

router = APIRouter()
HERE = "Ask"
OPEN = "open"
"""Query field that names the entry to be opened."""
Works: TypeAlias = Callable[[Mapping[str, str], PageFacts], Page]
SUMS: dict[str, tuple[Callable[[], Question], Works]] = {
    "acid": (acid_question, lambda fields, facts: mix_acid(fields, facts).page),
    "buffer": (buffer_question, mix_buffer),
    "cooling": (cooling_question, lambda fields, facts: work_out_cooling(fields, facts).page),
}


def _fields(request: Request) -> dict[str, str]:
    return {name: value.strip() for name, value in request.query_params.items() if value.strip()}


def _page(request: Request, name: str) -> Page:
    fields = {field: text for field, text in _fields(request).items() if field != OPEN}
    return SUMS[name][1](fields, facts_of_request(request))


def _ask(request: Request, name: str) -> Response:
    """The question, or its answer when it was asked."""
    fields = _fields(request)
    opened = fields.pop(OPEN, "")
    asked = SUMS[name][0]()
    chosen = {one.name for row in asked.rows for one in row.controls if one.kind == "choice"}
    if opened or not fields.keys() & (set(asked.fields) - chosen):
        return _send_question(request, asked, fields, opened)
    try:
        page = _page(request, name)
    except StillroomError as error:
        trouble = trouble_of(error, set(asked.fields))
        return _send_question(request, asked, fields, "", trouble, status_of(error))
    return _send_answer(request, page, asked, urlencode(fields))


def _send_question(
    request: Request,
    asked: Question,
    fields: dict[str, str],
    opened: str,
    trouble: Trouble | None = None,
    status: int = 200,
) -> Response:
    form = Form(
        title=asked.title, kind="ask", action=f"/ask/{asked.name}", button=asked.button, rows=(), here=HERE,
        back="/ask", lead=asked.lead,
    )  # fmt: skip
    folded = {one.name for row in asked.more for one in row.controls}
    unfold = opened in folded or bool(folded & (fields.keys() | (trouble.at.keys() if trouble else set())))
    return send_form(
        request, form, Typed(fields), trouble, status=status, template="ask_question.html", question=asked,
        opened=opened, unfold=unfold,
    )  # fmt: skip


def _send_answer(request: Request, page: Page, asked: Question, query: str) -> Response:
    address = f"/ask/{asked.name}"
    prints = (
        {"text": "Print on paper", "href": f"{address}.pdf?{query}"},
        {"text": "As plain text", "href": f"{address}.txt?{query}"},
    )
    doing = (
        ("Alter an entry", f"{address}?{query}&{OPEN}={asked.entries[0]}", "quiet"),
        ("Ask again", address, "quiet"),
    )
    return send_page(
        request, page, here=HERE, template="ask_answer.html", doing=doing, prints=prints,
        twin=f"{address}.json?{query}",
    )  # fmt: skip


def _serve(name: str) -> None:
    """Register a sum with its twins."""

    def data(request: Request) -> Response:
        return JSONResponse(page_json(_page(request, name)))

    def text(request: Request) -> Response:
        return PlainTextResponse(page_text(_page(request, name)))

    def sheet(request: Request) -> Response:
        from stillroom.documents.as_sheet import page_pdf

        return Response(
            page_pdf(_page(request, name)),
            media_type="application/pdf",
            headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
        )

    def html(request: Request) -> Response:
        return _ask(request, name)

    for suffix, view in ((".json", data), (".txt", text), (".pdf", sheet), ("", html)):
        router.add_api_route(f"/ask/{name}{suffix}", view, methods=["GET", "HEAD"], response_model=None)


for _name in SUMS:
    _serve(_name)
