"""The pages on this machine: an address for people, with .json for programs, with .txt and .pdf for paper.

A view reads the form, calls one action, and renders. It never opens the book itself. Who comes in at all is
decided in ``access``.
"""

from asyncio import get_running_loop
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, nullcontext
from pathlib import Path

from anyio.to_thread import current_default_thread_limiter
from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute
from starlette.types import ASGIApp, Receive, Scope, Send

from stillroom.actions.book.laboratory import Laboratory
from stillroom.errors import StillroomError
from stillroom.texts.catalogue import t
from stillroom.web.access import AtTheDoor
from stillroom.web.duties import SAFE_METHODS
from stillroom.web.jinja_environment import environment
from stillroom.web.kept_pages import KeptPages
from stillroom.web.pages import open_lab, send_trouble, status_of, wants_data
from stillroom.web.preferences import Speaking
from stillroom.web.preferences import router as look
from stillroom.web.request_body import on_own_page
from stillroom.web.worked_out_late import FetchedLate

STATIC = Path(__file__).parent / "static"


AT_ONCE = 4
"""Requests worked on at a time. Others wait their turn: to share a core is slower for all, and takes memory. [1]"""


@asynccontextmanager
async def _few_at_once(_: FastAPI) -> AsyncIterator[None]:
    """Bound what is worked on at a time."""
    current_default_thread_limiter().total_tokens = AT_ONCE
    yield


def make_app(lab: Laboratory | None, *, home: Path | None = None, served_at: str = "") -> FastAPI:
    """The application for one open laboratory, or for none yet.

    Parameters
    ----------
    lab : Laboratory or None
        With None the questions of ``/ask`` are answered, and a laboratory can be begun.
    home : Path or None
        Folder a laboratory begun from a page is made in; that of the open laboratory when None.
    served_at : str
        Address behind a proxy, "https://lab.example", where people sign in; "" at one's own machine.
    """
    from stillroom.web import bench, script_words

    app = Pages(title="stillroom", docs_url=None, redoc_url=None, openapi_url=None, lifespan=_few_at_once)
    app.state.lab = lab
    app.state.home = home or (lab.folder if lab else None)
    app.state.phones = None
    app.state.served_at = served_at
    app.state.templates = environment()
    app.state.kept_pages = KeptPages()
    # Their own routes, made once in a process; including a router would make each of them again for every application.
    app.router.routes.extend(script_words.router.routes)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.router.routes.extend((*look.routes, *bench.router.routes))
    app.others = FetchedLate(app.router.routes, _all_but_the_bench)
    app.router.routes.append(app.others)
    app.add_middleware(AtTheDoor)
    app.add_middleware(Speaking)
    app.add_middleware(Knowing)
    app.add_exception_handler(StillroomError, _in_words)
    app.add_exception_handler(HTTPException, _not_here)
    app.add_exception_handler(RequestValidationError, _not_here)
    return app


def _all_but_the_bench() -> list[BaseRoute]:
    """The addresses of all pages but the first, in the order they are tried in."""
    from stillroom.web import (
        ask,
        batch_filling,
        batch_sheet,
        batch_step,
        ceilings,
        day,
        description,
        export,
        goods,
        house,
        house_forms,
        keeping,
        lots,
        making,
        offers,
        opening_stock,
        orders,
        other_laboratories,
        otherwise,
        own,
        people,
        phones,
        plants,
        procedures,
        products,
        reagent_bottles,
        reagents,
        served,
        spirit,
        starters,
        stock,
        testing,
        titrants,
        tracing,
        watching,
    )

    return [route for one in (
        ask, description, export, keeping, day, offers, orders, titrants, testing, opening_stock, stock, goods,
        spirit, lots, starters, procedures, watching, making, otherwise, batch_filling, reagent_bottles, reagents,
        ceilings, products, plants, tracing, phones, people, own, other_laboratories, house_forms, house,
        served, batch_step, batch_sheet,
    ) for route in one.router.routes]  # fmt: skip


class Pages(FastAPI):
    """The application: the bench, which is the first page, is fetched at once, all others after the first answer."""

    others: FetchedLate

    @property
    def routes(self) -> list[BaseRoute]:
        """Every address."""
        self.others.fetch()
        return [one for one in super().routes if one is not self.others]


class Knowing:
    """Answers every request with the markers, plants and ingredients of the book that is served; fetches the rest."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        lab: Laboratory | None = scope["app"].state.lab if scope["type"] == "http" else None
        with lab.knowing_its_own() if lab else nullcontext():
            await self.app(scope, receive, send)
        others: FetchedLate = scope["app"].others
        if scope["type"] == "http" and not others.is_fetched:
            get_running_loop().run_in_executor(None, others.fetch)


async def _in_words(request: Request, error: Exception) -> Response:
    sentence = error.sentence if isinstance(error, StillroomError) else str(error)
    status = status_of(error) if isinstance(error, StillroomError) else 500
    if request.url.path.endswith(".json") or wants_data(request):
        return JSONResponse({"error": type(error).__name__, "says": sentence}, status_code=status)
    after = "" if request.method in SAFE_METHODS else t("Nothing was saved.")
    return send_trouble(
        request,
        t("This could not be done"),
        sentence,
        status=status,
        after=after,
        back=_page_before(request),
    )


async def _not_here(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 404
    if status == 405:
        heading = t("Not in this way")
        sentence = t("This page cannot be asked for like that. Open it, then use its form.")
    elif status == 413:
        heading = t("Too long")
        sentence = str(error.detail) if isinstance(error, HTTPException) else ""
    else:
        heading = t("No such page")
        sentence = t("There is nothing at this address. It may be mistyped, or never written.")
    if request.url.path.endswith(".json"):
        return JSONResponse({"error": "UnknownName", "says": sentence}, status_code=status)
    return send_trouble(request, heading, sentence, status=status, back="/")


def _page_before(request: Request) -> str:
    first = "/bench" if open_lab(request) else "/ask"
    before = on_own_page(request, "referer")
    return "/" + before.path.lstrip("/\\") if before and before.path.startswith("/") else first
