"""The bench: what is in hand with its next step, and what a cut of water or power asks for."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.in_hand import every_next
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.showing_house import show_bench, show_power_off
from stillroom.documents.blocks import Page
from stillroom.web.pages import open_lab, serve_page

router = APIRouter()
HERE = "Bench"


@router.get("/")
def front(request: Request) -> Response:
    """The bench is the first page; the three questions where there is no bench yet."""
    return RedirectResponse("/bench" if open_lab(request) else "/ask", status_code=303)


def _next(lab: Laboratory, _: Page) -> dict[str, Any]:
    return {"running": every_next(lab)}


serve_page(router, "/bench/power-or-water-off", show_power_off, here=HERE, template="hands.html")
serve_page(router, "/bench", show_bench, here=HERE, template="bench.html", extras=_next)
