"""How a page goes out: as HTML, as data, as text, as a sheet; and how a form is written and answered.

One function registers all four addresses of a page for its builder, so that none can be forgotten. A form
that cannot be taken comes back with what was typed kept and nothing written; one that was taken leads on with
a sentence.
"""

import re
from base64 import urlsafe_b64decode, urlsafe_b64encode
from binascii import Error as NotBase64
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from inspect import Parameter, Signature, signature
from typing import Any
from urllib.parse import quote, unquote

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response

from stillroom.actions.bench.form_choices import book_id, people
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.house.pins import pin_facts
from stillroom.actions.lots.tables_out import tables_from
from stillroom.actions.releasing.suspended import told_with_what_followed
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.errors import BookTrouble, NotAllowed, StillroomError, UnknownName
from stillroom.pages.paging import Wanted
from stillroom.texts.catalogue import t
from stillroom.web.duties import SIGNED_IN, Addresses
from stillroom.web.forms import (
    HAND,
    NOTHING_TYPED,
    Form,
    Signed,
    Trouble,
    Typed,
    comes_from_a_phone,
    shown_fields,
    trouble_of,
)
from stillroom.web.kept_pages import SAID, kept
from stillroom.web.left_open import by_the_clock, new_key
from stillroom.web.preferences import paper_of, send_sheet, theme_of

LONGEST_SAID = 1200
A_YEAR_S = 365 * 24 * 3600
ON_A_SHARED_PHONE_S = 15 * 60

Builder = Callable[..., Page]
Extras = Callable[..., Mapping[str, Any]]


def lab_of(request: Request) -> Laboratory:
    """The laboratory that is served.

    Raises
    ------
    NotAllowed
        None is open.
    """
    lab = open_lab(request)
    if lab is None:
        raise NotAllowed(
            "This page belongs to a laboratory, and none is open",
            request.url.path,
            "Ask first without one, or begin one",
        )
    return lab


def open_lab(request: Request) -> Laboratory | None:
    """The laboratory that is served, None where nobody has begun one."""
    lab: Laboratory | None = request.app.state.lab
    return lab


def now(request: Request) -> datetime:
    """The time now, by the clock of the laboratory where one is open."""
    lab = open_lab(request)
    return lab.clock() if lab else datetime.now(UTC).astimezone()


def today(request: Request) -> date:
    """The day it is."""
    return lab.today() if (lab := open_lab(request)) else now(request).date()


def facts_of_request(request: Request) -> PageFacts:
    """What every page says of itself; nothing where no laboratory is open."""
    lab = open_lab(request)
    return page_facts(lab) if lab else NO_BOOK


def hand_of(request: Request) -> str:
    """Code of the person who signed last in this browser, "" when nobody did."""
    return unquote(request.cookies.get(HAND, ""))


class Signers(list[tuple[str, str]]):
    """Who may sign, as a field offers them: code and words, and what it must know of their PINs."""

    with_pin: frozenset[str] = frozenset()
    """Codes of those who give a PIN."""
    on_a_phone: bool = False
    """True where nobody signs without one."""
    book: str = ""
    """Whose people they are: the book a form was opened for."""

    def only(self, person: str) -> "Signers":
        """The one who is signed in."""
        left = Signers(one for one in self if one[0] == person)
        left.with_pin, left.book = self.with_pin, self.book
        return left

    def on_phones(self) -> "Signers":
        """Those who may sign on a phone."""
        left = Signers(one for one in self if one[0] in self.with_pin)
        left.with_pin, left.on_a_phone, left.book = self.with_pin, True, self.book
        return left


def signers(lab: Laboratory) -> Signers:
    """Everybody who may sign, as a field offers them."""
    found = Signers((one.code, f"{one.name} ({one.code})") for one in people(lab))
    found.with_pin, found.book = frozenset(pin_facts(lab)), book_id(lab)
    return found


def serve_page(
    router: Addresses,
    path: str,
    build: Builder,
    *,
    here: str,
    template: str = "page.html",
    extras: Extras | None = None,
) -> None:
    """Register a page at its address and its twins at the same address with .json, .txt and .pdf. A reader may see it.

    Parameters
    ----------
    path : str
        Such as "/orders/{code}".
    build : callable
        Takes the laboratory and the parts of the path by name, gives the frozen page.
    here : str
        Page of the running head.
    template : str
        Extends "page.html".
    extras : callable or None
        Takes the laboratory, the page and the parts of the path; gives what the template needs besides the
        page, such as "doing": words, address and manner of each thing that may be done from here.
    """
    names = [part for part in signature(build).parameters if re.search(r"{" + part + r"[:}]", path)]
    pages = "wanted" in signature(build).parameters

    def built(request: Request, **parts: Any) -> Page:
        if pages:
            parts["wanted"] = Wanted.of(request.query_params)
        return build(lab_of(request), **parts)

    def html(request: Request, **parts: Any) -> Response:
        lab, page = lab_of(request), built(request, **parts)
        more = dict(extras(lab, page, **parts)) if extras else {}
        return send_page(request, page, here=here, template=template, **more)

    def data(request: Request, **parts: Any) -> Response:
        return JSONResponse(page_json(built(request, **parts)))

    def text(request: Request, **parts: Any) -> Response:
        return PlainTextResponse(page_text(built(request, **parts)))

    def sheet(request: Request, **parts: Any) -> Response:
        page = built(request, **parts)
        return send_sheet(request, page, f"{page.kind}-{page.code}".strip("-").replace(" ", "-"))

    for suffix, view in ((".json", data), (".txt", text), (".pdf", sheet), ("", html)):
        _add(router, path + suffix, kept(view), names, build)


def _add(
    router: Addresses, path: str, view: Callable[..., Response], names: list[str], build: Builder
) -> None:
    known = signature(build).parameters
    parts = [Parameter(name, Parameter.KEYWORD_ONLY, annotation=known[name].annotation) for name in names]
    asked = Parameter("request", Parameter.POSITIONAL_OR_KEYWORD, annotation=Request)
    view.__signature__ = Signature([asked, *parts])  # type: ignore[attr-defined]
    router.serve(path, view, needs="reader")


def send_page(
    request: Request, page: Page, *, here: str, template: str = "page.html", status: int = 200, **more: Any
) -> HTMLResponse:
    """A frozen page as HTML, with the addresses of its twins."""
    twin = _twin(page.href, ".json")
    prints = (
        (
            {"text": t("Print on paper"), "href": _twin(page.href, ".pdf")},
            {"text": t("As plain text"), "href": _twin(page.href, ".txt")},
            *({"text": name, "href": href} for name, href in tables_from(page)),
        )
        if page.href
        else ()
    )
    context = {
        "page": page,
        "twin": twin,
        "prints": prints,
        **_frame(page.laboratory, page.practice, page.book),
        **more,
    }
    return send(request, template, here=here, status=status, **context)


def _twin(href: str, ending: str) -> str:
    """The same page in another form: the ending stands before what is asked of a list."""
    path, mark, asked = href.partition("?")
    return f"{path}{ending}{mark}{asked}" if href else ""


def send_form(
    request: Request,
    form: Form,
    typed: Typed = NOTHING_TYPED,
    trouble: Trouble | None = None,
    *,
    status: int = 200,
    template: str = "form.html",
    **more: Any,
) -> HTMLResponse:
    """A form as HTML, empty or with what was typed and what was wrong with it."""
    lab = open_lab(request)
    facts = facts_of_request(request)
    context = {
        "people": signers(lab) if lab else [],
        "trouble": trouble,
        "twin": f"{form.page.href}.json" if form.page and form.page.href else "",
        **shown_fields(form, typed),
        **_frame(facts["laboratory"], facts["practice"], facts["book"]),
        **more,
    }
    return send(request, template, here=form.here, status=status, **context)


def send_trouble(
    request: Request, heading: str, sentence: str, *, status: int, back: str, after: str = ""
) -> HTMLResponse:
    """A page that says what cannot be done, in the same frame as every other where the book allows."""
    try:
        facts = facts_of_request(request)
        frame = _frame(facts["laboratory"], facts["practice"], facts["book"])
    except BookTrouble:
        frame = {}
    said = {"trouble": sentence, "heading": heading, "after": after, "back": back}
    return send(request, "trouble.html", here="", status=status, **said, **frame)


def send(request: Request, template: str, *, here: str, status: int = 200, **context: Any) -> HTMLResponse:
    """A template as HTML; what was said on the page before is shown once."""
    said, entry_no = _told(request.cookies.get(SAID, ""))
    offered, person = context.get("people"), request.scope.get(SIGNED_IN, "")
    if isinstance(offered, Signers) and (person or comes_from_a_phone(request.scope)):
        context["people"] = offered.only(person) if person else offered.on_phones()
    html = request.app.state.templates.get_template(template).render(
        here=here,
        by_the_clock=by_the_clock(lambda: now(request)),
        said=said,
        said_entry=entry_no,
        hand=hand_of(request),
        signed_in=person,
        new_key=new_key,
        theme=theme_of(request),
        paper=paper_of(request),
        **context,
    )
    response = HTMLResponse(html, status_code=status)
    if SAID in request.cookies:
        response.delete_cookie(SAID)
    return response


def write(
    request: Request,
    typed: Typed,
    form: Callable[[], Form],
    act: Callable[[Laboratory, Signed], Done],
    *,
    then: str,
    template: str = "form.html",
    more: Callable[[], Mapping[str, Any]] = dict,
) -> Response:
    """Do what a form asks; lead on with a sentence, or give the form back with nothing written.

    Parameters
    ----------
    form : callable
        Gives the form again, when it has to come back.
    act : callable
        Takes the laboratory and who signs; gives what was done.
    then : str
        Address to go to when it was taken.
    template : str
        Template of the form.
    more : callable
        What the template needs besides, when the form has to come back.
    """
    lab = lab_of(request)
    try:
        done = told_with_what_followed(lab, act(lab, typed.signed(lab)))
    except StillroomError as error:
        again = form()
        hidden = {one.name for one in again.asks()} - again.fields_shown()
        names = again.fields_shown() | {"by", "at", "pin", "photograph"} | set(typed.fields) - hidden
        trouble = trouble_of(error, names)
        if wants_data(request):
            return JSONResponse(
                {"error": type(error).__name__, "says": trouble.above, "at": trouble.at},
                status_code=status_of(error),
            )
        return send_form(
            request,
            again,
            typed,
            trouble,
            status=status_of(error),
            template=template,
            **more(),
        )
    says = done.says or t("It was written already.")
    if wants_data(request):
        response = JSONResponse({"says": says, "entries": list(done.entries), "then": then})
        _remember_hand(response, typed["by"], on_a_phone=typed.on_a_phone)
        return response
    entry_no = done.entry_no if done.entries else None
    return go(then, says, entry_no, hand=typed["by"], on_a_phone=typed.on_a_phone)


def go(
    then: str, says: str, entry_no: int | None = None, *, hand: str = "", on_a_phone: bool = False
) -> RedirectResponse:
    """Lead on to another page, which says once what was done; a shared phone soon forgets who signed."""
    response = RedirectResponse(then, status_code=303)
    told = f"{entry_no or ''}|{says[:LONGEST_SAID]}"
    response.set_cookie(
        SAID, urlsafe_b64encode(told.encode()).decode(), max_age=60, httponly=True, samesite="strict"
    )
    _remember_hand(response, hand, on_a_phone=on_a_phone)
    return response


def wants_data(request: Request) -> bool:
    """Whether a script of ours asks, which takes an answer as data and shows it itself."""
    return request.headers.get("accept") == "application/json"


def _remember_hand(response: Response, hand: str, *, on_a_phone: bool = False) -> None:
    if hand:
        for_s = ON_A_SHARED_PHONE_S if on_a_phone else A_YEAR_S
        response.set_cookie(HAND, quote(hand), max_age=for_s, httponly=True, samesite="lax")


def status_of(error: StillroomError) -> int:
    """HTTP status that fits an error raised on purpose."""
    match error:
        case UnknownName():
            return 404
        case NotAllowed():
            return 409
        case BookTrouble():
            return 503
    return 422


def _told(cookie: str) -> tuple[str, str]:
    try:
        entry_no, _, says = urlsafe_b64decode(cookie.encode()).decode().partition("|")
    except (NotBase64, ValueError):
        return "", ""
    return says, entry_no if entry_no.isdigit() else ""


def _frame(laboratory: str, practice: bool, book: str) -> dict[str, Any]:
    digest, _, entry_no = book.partition(" at entry ")
    return {
        "laboratory": laboratory,
        "practice": practice,
        "book": {"digest_short": digest, "entry_no": entry_no} if book else None,
    }
