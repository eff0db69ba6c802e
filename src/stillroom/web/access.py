"""Who comes in: this machine by its own door, phones by the other, and nobody else; what every answer carries.

The door is told by the socket a request came in by, never by what the request says of itself. The laptop's door
hears the loopback address only. The phones' door exists while a person keeps it open: it admits who scanned the
code of the day, and never to what only the laptop may do. Says nothing about who signs (``actions.pins`` does).
"""

import re
from typing import TYPE_CHECKING
from urllib.parse import unquote

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import MutableHeaders

from stillroom.actions.house.phones import is_joined, near
from stillroom.texts.catalogue import language, t
from stillroom.web.duties import SAFE_METHODS
from stillroom.web.forms import JOINED, comes_from_a_phone
from stillroom.web.pages import open_lab, send_trouble
from stillroom.web.request_body import LARGEST_FORM_BYTES, LARGEST_UPLOAD_BYTES, on_own_page
from stillroom.web.served import refuse_at_the_proxy

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from stillroom.web.phone_listener import PhoneDoor

LOCAL_HOST = re.compile(r"(127\.0\.0\.1|localhost|\[::1\]|testserver)(:\d{0,5})?")
OWN_PAGE = frozenset({"same-origin", "none"})
CONTENT_POLICY = (
    "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; object-src 'none'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
JOINING = re.compile(r"/join/[^/]+")
# Of the laboratory's own pages a phone sees these; all others set something up, which is done at the laptop.
PHONES_SEE = re.compile(r"/laboratory(/verified|/conditions(/.*)?)?(\.json|\.txt|\.pdf)?")
NOT_IN_AN_ADDRESS = re.compile(r"[\x00-\x1f\x7f]")
NOT_IN_A_QUESTION = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
"""What is asked may be a table that was pasted: its lines and tabs stay, all else is refused as everywhere."""


def scan_page(says: str) -> str:
    """The page of a phone that is not joined: what is wrong, and where the code stands.

    Parameters
    ----------
    says : str
        Why it is not joined, escaped. [text]
    """
    where = t(
        "The code stands on the laptop's screen: Laboratory, then Phones and PINs. It holds until midnight."
    )
    return (
        f'<!doctype html><html lang="{language()}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{t('Scan the code')}</title></head>"
        '<body style="font: 1.1rem/1.5 sans-serif; max-width: 32rem; margin: 3rem auto; padding: 0 1rem">'
        f"<h1>{t('Scan the code')}</h1><p>{says}</p>"
        f"<p>{where}</p></body></html>"
    )


class AtTheDoor:
    """Refuses who may not come in, and dresses every answer, also the one to an error.

    Parameters
    ----------
    app : ASGIApp
        What lies behind the door.
    """

    def __init__(self, app: "ASGIApp") -> None:
        self.app = app

    async def __call__(self, scope: "Scope", receive: "Receive", send: "Send") -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        begun = False

        async def dressed(message: "Message") -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                _dress(MutableHeaders(scope=message), request)
            await send(message)

        refused = refusal(request)
        if refused is not None:
            await refused(scope, receive, dressed)
            return
        try:
            await self.app(scope, receive, dressed)
        except Exception:
            if not begun:
                await _broken(request)(scope, receive, dressed)
            raise


def refusal(request: Request) -> Response | None:
    """Why a request is not let in, as an answer; None for one that is."""
    phone, served_at = comes_from_a_phone(request.scope), request.app.state.served_at
    if served_at:
        refused = refuse_at_the_proxy(request, served_at)
    else:
        refused = _refused_phone(request) if phone else _refused_host(request)
    if refused is not None:
        return refused
    path, query = request.scope["path"], unquote(request.url.query)
    refuse_in_query = NOT_IN_A_QUESTION if path.startswith("/ask/") else NOT_IN_AN_ADDRESS
    if NOT_IN_AN_ADDRESS.search(path) or refuse_in_query.search(query):
        return HTMLResponse(t("An address has no such letters in it."), status_code=400)
    if request.method in SAFE_METHODS:
        return None
    return _refused_form(request)


def _refused_host(request: Request) -> Response | None:
    if LOCAL_HOST.fullmatch(request.headers.get("host", "")):
        return None
    return HTMLResponse(t("This bench is open to this machine only."), status_code=403)


def _refused_phone(request: Request) -> Response | None:
    door: PhoneDoor | None = request.app.state.phones
    lab = open_lab(request)
    client = request.client.host if request.client else ""
    if door is None or lab is None or request.scope["server"][0] != door.address:
        return HTMLResponse(t("The bench is not open to phones."), status_code=403)
    if not near(client):
        return HTMLResponse(t("This bench is open to its own network only."), status_code=403)
    if request.headers.get("host", "") != door.host:
        return HTMLResponse(t("This bench has another address."), status_code=403)
    path = request.scope["path"]
    if JOINING.fullmatch(path) and request.method in SAFE_METHODS:
        return None
    if not is_joined(lab, request.cookies.get(JOINED, ""), door.address):
        was = t("Yesterday's code does not hold today.") if JOINED in request.cookies else ""
        return HTMLResponse(scan_page(t("{was} This phone has not joined the bench.", was=was).strip()), 403)
    if path.startswith("/laboratory") and not (
        PHONES_SEE.fullmatch(path) and (request.method in SAFE_METHODS or path.startswith("/laboratory/cond"))
    ):
        return send_trouble(
            request,
            t("At the laptop only"),
            t(
                "Setting up the laboratory is done at the laptop. Got a phone. Go there, and open "
                "the same page."
            ),
            status=403,
            back="/bench",
        )
    return None


def _refused_form(request: Request) -> Response | None:
    foreign = "origin" in request.headers and on_own_page(request, "origin") is None
    site = request.headers.get("sec-fetch-site")
    if foreign or (site is not None and site not in OWN_PAGE):
        return HTMLResponse(t("A form must be sent from its own page."), status_code=403)
    brings_a_file = request.headers.get("content-type", "").startswith("multipart/form-data")
    most = LARGEST_UPLOAD_BYTES if brings_a_file else LARGEST_FORM_BYTES
    words = (
        t("A photograph may weigh 12 MB at most. Take it smaller, or send it without.")
        if brings_a_file
        else t("A form may hold a million characters at most.")
    )
    length = request.headers.get("content-length", "0")
    if not (length.isascii() and length.isdigit()) or len(length) > 12 or int(length) > most:
        return HTMLResponse(words, status_code=413, headers={"Connection": "close"})
    return None


def _dress(headers: MutableHeaders, request: Request) -> None:
    headers["Content-Security-Policy"] = CONTENT_POLICY
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Referrer-Policy"] = "same-origin"
    if request.app.state.served_at:
        headers["Strict-Transport-Security"] = "max-age=31536000"
    if not comes_from_a_phone(
        request.scope
    ):  # browsers heed it on this machine or over https, and complain elsewhere
        headers["Cross-Origin-Opener-Policy"] = "same-origin"
    if "cache-control" not in headers:
        # A script is asked after each time, so that a phone runs the one that fits its page.
        kept = request.scope["path"].startswith("/static/")
        headers["Cache-Control"] = "no-cache" if kept else "no-store"


def _broken(request: Request) -> Response:
    sentence = t(
        "Something went wrong in the program itself, and what was typed may not be written. "
        "Look at the page it belongs to before it is sent again."
    )
    try:
        return send_trouble(request, t("This could not be done"), sentence, status=500, back="/")
    except Exception:  # noqa: BLE001 the frame may be what is broken
        return HTMLResponse(sentence, status_code=500)
