"""How the pages are seen: light, language and paper, each kept in a cookie of this browser.

Nothing of it is written in the book. A page works without any: paper light or dark as the device has it, English, A4.
"""

from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from stillroom.documents.as_sheet import PAPERS
from stillroom.documents.blocks import Page
from stillroom.texts.catalogue import ENGLISH, LANGUAGES, speaking
from stillroom.web.duties import Addresses
from stillroom.web.forms import TypedForm
from stillroom.web.request_body import on_own_page

THEME, LANGUAGE, PAPER = "theme", "language", "paper"
CHOICES = {THEME: ("light", "dark", "device"), LANGUAGE: tuple(LANGUAGES), PAPER: tuple(PAPERS)}
A_YEAR_S = 365 * 24 * 3600

router = Addresses()


def chosen(request: Request, name: str) -> str:
    """What was chosen: in the address for this once, else in a cookie, "" when nothing fits."""
    for found in (request.query_params.get(name), request.cookies.get(name)):
        if found in CHOICES[name]:
            return found
    return ""


def theme_of(request: Request) -> str:
    """Light or dark, "" to go with the device."""
    found = chosen(request, THEME)
    return "" if found == "device" else found


def paper_of(request: Request) -> str:
    """Key of the paper that is printed on, A4 unless another was chosen."""
    return chosen(request, PAPER) or "a4"


def remember(response: Response, name: str, value: str) -> None:
    """Keep a choice in this browser for a year."""
    response.set_cookie(name, value, max_age=A_YEAR_S, httponly=True, samesite="lax")


def send_sheet(request: Request, page: Page, name: str) -> Response:
    """A frozen page as PDF, on the paper that was chosen; a paper named in the address is remembered.

    Parameters
    ----------
    name : str
        Of the file, without its ending.
    """
    from stillroom.documents.as_sheet import page_pdf

    response = Response(
        page_pdf(page, paper=paper_of(request)),
        media_type="application/pdf",
        headers={"Content-Disposition": f"inline; filename*=UTF-8''{quote(name)}.pdf"},
    )
    if PAPER in request.query_params:
        remember(response, PAPER, paper_of(request))
    return response


@router.post("/look", needs="anybody")
def choose(request: Request, typed: TypedForm) -> Response:
    """Keep a choice and go back to the page it was made on."""
    before = on_own_page(request, "referer")
    page = "/" + before.path.lstrip("/\\") if before else "/"
    asked = f"?{before.query}" if before and before.query else ""
    response = RedirectResponse(page + asked, status_code=303)
    for name, choices in CHOICES.items():
        if typed[name] in choices:
            remember(response, name, typed[name])
    return response


class Speaking:
    """Answers every request in the language that was chosen."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        with speaking(chosen(Request(scope), LANGUAGE) or ENGLISH):
            await self.app(scope, receive, send)
