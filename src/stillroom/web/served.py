"""The door behind a proxy: people from elsewhere sign in with a password, over an encrypted line, and out again.

The proxy is the only one who reaches this door (it hears this machine alone); it says from where and how somebody came.
What sets up the machine itself (phones, other laboratories) is done at it and not here.
"""

import re
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from stillroom.actions.house.signing_in import SESSION_H, change_password, sign_in, sign_out, who_is
from stillroom.errors import NotAllowed, StillroomError
from stillroom.texts.catalogue import language, t
from stillroom.web.duties import SAFE_METHODS, SIGNED_IN, Addresses
from stillroom.web.forms import TypedForm
from stillroom.web.pages import lab_of, status_of, wants_data

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Laboratory

router = Addresses()
SESSION = "__Host-session"
AT, OWN_PASSWORD = "/sign-in", "/own-password"
STYLE = """<style>body { font: 1.1rem/1.5 sans-serif; max-width: 24rem; margin: 3rem auto; padding: 0 1rem }
input { box-sizing: border-box; display: block; width: 100%; font: inherit; padding: .4rem; margin: .2rem 0 1rem }
button { font: inherit; padding: .4rem 1rem }</style>"""
OPEN_TO_ALL = re.compile(r"/sign-in|/static/.*")
AT_THE_MACHINE = re.compile(r"/laboratory/(phones|new|open|others)\b.*|/join/.*")
OWN_ADDRESS = re.compile(r"https://[a-z0-9.-]+(:[0-9]{1,5})?")


def refuse_at_the_proxy(request: Request, served_at: str) -> Response | None:
    """Why a request through the proxy is not let in, as an answer; None for one that is, with who asks in its scope.

    Parameters
    ----------
    served_at : str
        Address people know these pages by, "https://lab.example".
    """
    if request.headers.get("host", "") != served_at.removeprefix("https://"):
        return HTMLResponse(t("These pages have another address."), status_code=403)
    if request.headers.get("x-forwarded-proto") != "https":
        return HTMLResponse(t("These pages are read over an encrypted line only."), status_code=403)
    path = request.scope["path"]
    if AT_THE_MACHINE.fullmatch(path):
        return HTMLResponse(t("This is done at the machine itself."), status_code=403)
    lab: Laboratory | None = request.app.state.lab
    person = who_is(lab, request.cookies.get(SESSION, "")) if lab else ""
    if person:
        request.scope[SIGNED_IN] = person
        return None
    if OPEN_TO_ALL.fullmatch(path):
        return None
    if path.endswith(".json") or wants_data(request):
        return JSONResponse({"error": NotAllowed.__name__, "says": t("Sign in first.")}, status_code=401)
    if request.method not in SAFE_METHODS:
        return HTMLResponse(
            _page(t("Nothing was saved: you are signed out. Sign in, go back, and send it again."), "/"), 401
        )
    return RedirectResponse(f"{AT}?to={quote(path)}", status_code=303)


def came_from(request: Request) -> str:
    """Where a request came from: what the proxy wrote last, or who is on the line."""
    told = request.headers.get("x-forwarded-for", "").rpartition(",")[2].strip()
    return told[:60] or (request.client.host if request.client else "")


def _page(says: str, to: str) -> str:
    """The page to sign in on. It names no laboratory and nobody."""
    person = f'<label>{t("You sign as")}<input name="person" autocomplete="username" required></label>'
    fields = f'<input type="hidden" name="to" value="{escape(to)}">{person}{_typed_unseen("password", t("Password"))}'
    return _bare_page(t("Sign in"), says, AT, fields)


def _typed_unseen(name: str, label: str, kind: str = "current") -> str:
    told = f'name="{name}" type="password" autocomplete="{kind}-password" required'
    return f"<label>{label}<input {told}></label>"


def _bare_page(title: str, says: str, at: str, fields: str) -> str:
    """A page with one small form and nothing else."""
    return (
        f'<!doctype html><html lang="{language()}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title>{STYLE}</head>"
        f'<body><h1>{title}</h1><p role="alert">{escape(says)}</p>'
        f'<form method="post" action="{at}" accept-charset="utf-8">{fields}<button>{title}</button></form>'
        "</body></html>"
    )


def _inside(to: str) -> str:
    """An address of these pages, whatever was asked for."""
    return to if re.fullmatch(r"/[^/\\\s][^\\\s]*", to) and not to.startswith(AT) else "/"


@router.get(AT, needs="anybody")
def ask_to_sign_in(request: Request, to: str = "/") -> Response:
    """The page to sign in on; at one's own machine there is no need to."""
    if not request.app.state.served_at:
        return RedirectResponse("/", status_code=303)
    return HTMLResponse(_page("", _inside(to)))


@router.post(AT, needs="anybody")
def signs_in(request: Request, typed: TypedForm) -> Response:
    """Sign somebody in, for so many hours."""
    if not request.app.state.served_at:
        return RedirectResponse("/", status_code=303)
    to = _inside(typed["to"])
    try:
        token = sign_in(lab_of(request), typed["person"], typed["password"], came_from(request))
    except StillroomError as error:
        return HTMLResponse(_page(error.sentence, to), status_code=status_of(error))
    response = RedirectResponse(to, status_code=303)
    response.set_cookie(
        SESSION, token, max_age=int(SESSION_H * 3600), httponly=True, samesite="strict", secure=True, path="/"
    )
    return response


@router.post("/sign-out", needs="anybody")
def signs_out(request: Request) -> Response:
    """End the session of this browser."""
    if request.cookies.get(SESSION):
        sign_out(lab_of(request), request.cookies[SESSION])
    response = RedirectResponse(AT, status_code=303)
    response.delete_cookie(SESSION, path="/", secure=True, httponly=True, samesite="strict")
    return response


@router.get(OWN_PASSWORD, needs="anybody")
def ask_for_own_password(request: Request) -> Response:
    """The page where whoever is signed in sets another password; at one's own machine there is none."""
    if not request.scope.get(SIGNED_IN):
        return RedirectResponse("/", status_code=303)
    return HTMLResponse(_own_password_page(""))


@router.post(OWN_PASSWORD, needs="anybody")
def sets_own_password(request: Request, typed: TypedForm) -> Response:
    """Another password for whoever is signed in and knows the one so far; every session of theirs ends."""
    person = request.scope.get(SIGNED_IN, "")
    if not person:
        return RedirectResponse("/", status_code=303)
    try:
        change_password(lab_of(request), person, typed["password"], typed["new"], came_from(request))
    except StillroomError as error:
        return HTMLResponse(_own_password_page(error.sentence), status_code=status_of(error))
    return HTMLResponse(_page(t("The password is changed. Sign in with the new one."), "/"))


def _own_password_page(says: str) -> str:
    fields = _typed_unseen("password", t("Password so far")) + _typed_unseen("new", t("New password"), "new")
    return _bare_page(t("Change the password"), says, OWN_PASSWORD, fields)
