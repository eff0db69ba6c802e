"""Laboratories beside each other: another one begun or opened from here, signed where somebody has a PIN."""

from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.house.other_laboratories import begin_beside, laboratories_beside, open_beside
from stillroom.documents.blocks import Page
from stillroom.errors import NotAllowed, StillroomError, UnknownName
from stillroom.pages.other_laboratories import show_others
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, Typed, TypedForm, comes_from_a_phone, trouble_of
from stillroom.web.pages import go, open_lab, send_form, serve_page, signers, status_of

router = Addresses()
HERE = "Laboratory"


def _begin(lab: Laboratory | None) -> Form:
    return Form(
        title=t("Begin your own laboratory"),
        kind="laboratory",
        lead=t("An empty book of your own. Everything else is asked when it is first needed."),
        action="/laboratory/new",
        button=t("Begin it"),
        here=HERE,
        back="/",
        rows=(
            Ask(
                "name",
                t("Name of the laboratory"),
                hint=t("Printed on every document; it can be plain"),
            ),
            Ask(
                "person",
                t("Your name"),
                hint=t("Printed on certificates. You may release until you say otherwise"),
            ),
            Ask(
                "code",
                t("You sign as"),
                hint=t("Left empty: your initials"),
                required=False,
            ),
            *_signing(lab),
        ),
        links=((t("Laboratories that lie here"), "/laboratory/others"),) if lab else (),
    )


def _signing(lab: Laboratory | None) -> tuple[Ask, ...]:
    """Who leaves the laboratory that is open, where somebody there has a PIN."""
    people = signers(lab) if lab else None
    if not people or not people.with_pin:
        return ()
    return (
        Ask("by", t("Signed by"), choices=tuple(people)),
        Ask("pin", t("PIN of who signs"), "pin", required=False),
    )


def _serve(request: Request, lab: Laboratory) -> None:
    """Serve another laboratory from now on, and close the one before; who is answered from it still is to the end."""
    before = open_lab(request)
    request.app.state.lab = lab
    request.app.state.home = lab.folder
    if before is not None:
        before.book.close()


def _must_sign(request: Request, typed: Typed) -> None:
    """Where somebody of the laboratory that is open has a PIN, whoever leaves it for another signs."""
    lab = open_lab(request)
    if lab is not None and (known := signers(lab)).with_pin:
        signed = typed.signed(lab)
        if signed["by"] not in (codes := [code for code, _ in known]):
            raise UnknownName.among(signed["by"], "a person", codes).at("by")


def _refuse_elsewhere(request: Request) -> None:
    if comes_from_a_phone(request.scope):
        raise NotAllowed("A laboratory is begun and opened at this machine", "a phone", "Go to the laptop")
    if getattr(request.app.state, "phones", None) is not None:
        raise NotAllowed(
            "Another laboratory is opened with no phone joined", "phones are let in", "Close their door first"
        )


@router.get("/laboratory/new", needs="owner")
def new_laboratory(request: Request) -> Response:
    """An empty beginning."""
    return send_form(request, _begin(open_lab(request)), template="unsigned.html")


@router.post("/laboratory/new", needs="owner")
def begin_new(request: Request, typed: TypedForm) -> Response:
    """Begin a laboratory, and serve it."""
    try:
        _refuse_elsewhere(request)
        _must_sign(request, typed)
        made = begin_beside(
            request.app.state.home, typed["name"], typed["person"], typed["code"], beside=open_lab(request)
        )
    except StillroomError as error:
        return _again(request, _begin(open_lab(request)), typed, error)
    _serve(request, made)
    with made.look() as look:
        first = look.people()[0]
    return go(
        "/laboratory",
        t(
            "{typed} is begun, and {first_name} signs as {first_code}.",
            typed=typed["name"],
            first_name=first.name,
            first_code=first.code,
        ),
        1,
        hand=first.code,
    )


def _again(request: Request, form: Form, typed: Typed, error: StillroomError) -> Response:
    trouble = trouble_of(error, form.fields_shown() | {"by", "pin"})
    return send_form(request, form, typed, trouble, status=status_of(error), template="unsigned.html")


@router.post("/laboratory/open", needs="owner")
def open_another(request: Request, typed: TypedForm) -> Response:
    """Serve the laboratory of a folder beside this one."""
    _refuse_elsewhere(request)
    _must_sign(request, typed)
    lab = open_beside(request.app.state.home, typed["folder"], beside=open_lab(request))
    _serve(request, lab)
    return go("/bench", t("This is {lab} now.", lab=page_facts(lab)["laboratory"]))


def _others(lab: Laboratory, _: Page) -> dict[str, Any]:
    closed = [
        one for one in laboratories_beside(lab.folder, opened=lab.folder) if not one.is_open and one.name
    ]
    return {
        "closed": closed,
        "signing": _signing(lab),
        "doing": ((t("Begin your own laboratory"), "/laboratory/new", ""),),
    }


serve_page(router, "/laboratory/others", show_others, here=HERE, template="others.html", extras=_others)
