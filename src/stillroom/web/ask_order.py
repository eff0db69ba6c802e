"""The third question: an order worked back to the plant. Six entries, nothing signed, nothing written."""

from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse, Response

from stillroom.actions.ask_order import days_ahead
from stillroom.actions.asked_pages import AskedPages
from stillroom.actions.questions import ORDER_ENTRIES, address, answered
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.errors import StillroomError
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.records.starters import starters
from stillroom.web.forms import Ask, Form, Trouble, Typed, trouble_of
from stillroom.web.pages import facts_of_request, send_form, send_page, status_of, today

router = APIRouter()
HERE = "Ask"
ADDRESS = "/ask/order"
OPEN = "open"
"""Query field that names the assumption to be replaced."""


def _fields(request: Request) -> dict[str, str]:
    return {name: value.strip() for name, value in request.query_params.items() if value.strip()}


def _answered(request: Request) -> AskedPages:
    fields = _fields(request)
    fields.pop(OPEN, None)
    return answered("order", fields, today(request), facts_of_request(request))


@router.get(ADDRESS + ".json")
def data(request: Request) -> Response:
    """The answer for a program."""
    return JSONResponse(page_json(_answered(request).page))


@router.get(ADDRESS + ".txt")
def text(request: Request) -> Response:
    """The answer as plain text."""
    return PlainTextResponse(page_text(_answered(request).page))


@router.get(ADDRESS + ".pdf")
def sheet(request: Request) -> Response:
    """The answer on paper."""
    from stillroom.documents.as_sheet import page_pdf

    return Response(page_pdf(_answered(request).page), media_type="application/pdf")


@router.get(ADDRESS + "/lesson.pdf")
def lesson(request: Request) -> Response:
    """The answer as a lesson, to be printed on two sides."""
    from stillroom.documents.as_sheet import page_pdf

    return Response(page_pdf(_answered(request).lesson), media_type="application/pdf")


@router.get(ADDRESS)
def ask(request: Request) -> Response:
    """The question, or its answer when it was asked."""
    fields = _fields(request)
    opened = fields.pop(OPEN, "")
    if opened or not fields.keys() & {"product", "bottles", "strength", "plant"}:
        return _send_question(request, fields, opened)
    try:
        page = _answered(request).page
    except StillroomError as error:
        names = {*ORDER_ENTRIES, *fields}
        return _send_question(request, fields, "", trouble_of(error, names), status_of(error))
    query = address("order", fields).partition("?")[2]
    prints = (
        {"text": "Print on paper", "href": f"{ADDRESS}.pdf?{query}"},
        {"text": "As plain text", "href": f"{ADDRESS}.txt?{query}"},
        {"text": "As a lesson", "href": f"{ADDRESS}/lesson.pdf?{query}"},
    )
    doing = (
        ("Keep in the book?", f"{ADDRESS}/keep?{query}", ""),
        ("Alter an entry", address("order", fields, open="product"), "quiet"),
    )
    twin = f"{ADDRESS}.json?{query}"
    return send_page(request, page, here=HERE, doing=doing, prints=prints, twin=twin)


def _send_question(
    request: Request,
    fields: Mapping[str, str],
    opened: str,
    trouble: Trouble | None = None,
    status: int = 200,
) -> Response:
    form = _form(request, fields, opened)
    return send_form(
        request, form, Typed(fields), trouble, status=status, template="ask.html", asks=True, focus=opened
    )


def _form(request: Request, fields: Mapping[str, str], opened: str) -> Form:
    besides = [name for name in fields if name not in ORDER_ENTRIES]
    if opened and opened not in (*ORDER_ENTRIES, *besides):
        besides.insert(0, opened)
    return Form(
        title="Work an order back",
        kind="ask",
        action=ADDRESS,
        button="What does it take?",
        here=HERE,
        back="/ask",
        rows=(
            (
                Ask("product", "Product"),
                Ask("kind", "Kind", choices=tuple((one, one) for one in KINDS_OF_PRODUCT)),
            ),
            Ask("bottles", "Bottles × content", hint="24 × 50 mL"),
            (Ask("strength", "Strength", "figure", unit="% w/w"), Ask("of", "Of what")),
            Ask("plant", "Plant and part"),
            Ask("way", "Way of extracting", choices=tuple((one.name, one.title) for one in starters())),
            Ask("due", "Due", "date", value=days_ahead(today(request))),
            *(
                Ask(name, _label(name), required=False, hint="In place of what is taken otherwise")
                for name in besides
            ),
        ),
    )


def _label(name: str) -> str:
    return name.removeprefix("set-").replace("-", " ").capitalize()
