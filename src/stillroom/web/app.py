"""The pages on this machine: an address for people, with .json for programs, with .txt and .pdf for paper.

A view reads the form, calls one action, and renders. It never opens the book itself. The server listens on
the loopback address only; a request that names another host, or is posted from another origin, is refused.
"""

from collections.abc import Awaitable, Callable
from pathlib import Path
from urllib.parse import urlsplit

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from stillroom.actions.laboratory import Laboratory
from stillroom.errors import StillroomError
from stillroom.web.forms import LARGEST_FORM_BYTES
from stillroom.web.pages import open_lab, send_trouble, status_of, wants_data
from stillroom.web.presenting import environment

STATIC = Path(__file__).parent / "static"
LOCAL_HOSTS = frozenset({"127.0.0.1", "localhost", "[::1]", "testserver"})
SAFE_METHODS = frozenset({"GET", "HEAD"})
OWN_PAGE = frozenset({"same-origin", "none"})
CONTENT_POLICY = (
    "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; object-src 'none'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)


def make_app(lab: Laboratory | None, *, home: Path | None = None) -> FastAPI:
    """The application for one open laboratory, or for none yet.

    Parameters
    ----------
    lab : Laboratory or None
        With None the questions of ``/ask`` are answered, and a laboratory can be begun.
    home : Path or None
        Folder a laboratory begun from a page is made in; that of the open laboratory when None.
    """
    from stillroom.web import (
        ask,
        bench,
        finishing,
        house,
        keeping,
        lots,
        making,
        orders,
        outside,
        procedures,
        products,
        sheets_entered,
        starters,
        stepping,
        stock,
        testing,
        tracing,
    )

    app = FastAPI(title="stillroom", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.lab = lab
    app.state.home = home or (lab.folder if lab else None)
    app.state.templates = environment()
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for views in (
        ask,
        keeping,
        bench,
        orders,
        stock,
        lots,
        starters,
        procedures,
        making,
        finishing,
        testing,
        outside,
        products,
        tracing,
        house,
    ):
        app.include_router(views.router)
    for views in (stepping, sheets_entered):
        app.include_router(views.router)
    app.middleware("http")(_only_this_machine)
    app.add_exception_handler(StillroomError, _in_words)
    app.add_exception_handler(HTTPException, _not_here)
    app.add_exception_handler(RequestValidationError, _not_here)
    return app


async def _only_this_machine(
    request: Request, carry_on: Callable[[Request], Awaitable[Response]]
) -> Response:
    refused = _refused(request)
    if refused:
        words, status = refused
        return HTMLResponse(words, status_code=status)
    response = await carry_on(request)
    response.headers["Content-Security-Policy"] = CONTENT_POLICY
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    if not request.url.path.startswith("/static/"):
        response.headers["Cache-Control"] = "no-store"
    return response


def _refused(request: Request) -> tuple[str, int] | None:
    host = request.headers.get("host", "")
    name = "[::1]" if host.startswith("[::1]") else host.rsplit(":", 1)[0]
    if name not in LOCAL_HOSTS:
        return "This bench is open to this machine only.", 403
    if request.method in SAFE_METHODS:
        return None
    origin = request.headers.get("origin")
    site = request.headers.get("sec-fetch-site")
    if (origin is not None and urlsplit(origin).netloc != host) or (
        site is not None and site not in OWN_PAGE
    ):
        return "A form must be sent from its own page.", 403
    length = request.headers.get("content-length", "0")
    if not length.isdigit() or int(length) > LARGEST_FORM_BYTES:
        return "A form may hold a million characters at most.", 413
    return None


async def _in_words(request: Request, error: Exception) -> Response:
    sentence = error.sentence if isinstance(error, StillroomError) else str(error)
    status = status_of(error) if isinstance(error, StillroomError) else 500
    if request.url.path.endswith(".json") or wants_data(request):
        return JSONResponse({"error": type(error).__name__, "says": sentence}, status_code=status)
    after = "" if request.method in SAFE_METHODS else "Nothing was written."
    return send_trouble(
        request, "This could not be done", sentence, status=status, after=after, back=_page_before(request)
    )


async def _not_here(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 404
    if status == 405:
        heading = "Not in this way"
        sentence = "This page cannot be asked for like that. Open it, then use its form."
    else:
        heading = "No such page"
        sentence = "There is nothing at this address. It may be mistyped, or never written."
    if request.url.path.endswith(".json"):
        return JSONResponse({"error": "UnknownName", "says": sentence}, status_code=status)
    return send_trouble(request, heading, sentence, status=status, back="/")


def _page_before(request: Request) -> str:
    first = "/bench" if open_lab(request) else "/ask"
    before = urlsplit(request.headers.get("referer", ""))
    return before.path if before.netloc == request.headers.get("host") and before.path else first
